//! Whole-pixel sizes and rectangles.

/// Width and height of a picture, each at least 1 and at most [`PxSize::LIMIT`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PxSize {
    width: u32,
    height: u32,
}

impl PxSize {
    /// The longest side that any picture may have: coordinates stay exact in `f32` kernels and areas in `i64`.
    pub const LIMIT: u32 = 1 << 20;

    /// The size, or `None` where a side is 0 or beyond the limit.
    #[must_use]
    pub const fn new(width: u32, height: u32) -> Option<Self> {
        if width == 0 || height == 0 || width > Self::LIMIT || height > Self::LIMIT {
            None
        } else {
            Some(Self { width, height })
        }
    }

    /// Columns.
    #[must_use]
    pub const fn width(self) -> u32 {
        self.width
    }

    /// Rows.
    #[must_use]
    pub const fn height(self) -> u32 {
        self.height
    }

    /// Number of pixels.
    #[must_use]
    pub const fn area(self) -> u64 {
        self.width as u64 * self.height as u64
    }

    /// The rectangle from the origin that has this size.
    #[must_use]
    pub const fn rect(self) -> PxRect {
        PxRect { x0: 0, y0: 0, x1: self.width as i64, y1: self.height as i64 }
    }

    /// The size times a factor, each side rounded to the nearest pixel and at least 1.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Option<Self> {
        let side = |n: u32| (f64::from(n) * factor).round().clamp(1.0, f64::from(u32::MAX)) as u32;
        if factor.is_finite() && factor > 0.0 { Self::new(side(self.width), side(self.height)) } else { None }
    }
}

/// A half-open rectangle of whole pixels: columns `x0..x1`, rows `y0..y1`, in picture coordinates
/// (x right, y down). It may lie outside the picture and may be empty; it is never inside out.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct PxRect {
    x0: i64,
    y0: i64,
    x1: i64,
    y1: i64,
}

impl PxRect {
    /// No pixel at all.
    pub const EMPTY: Self = Self { x0: 0, y0: 0, x1: 0, y1: 0 };

    /// Columns `x0..x1`, rows `y0..y1`; inside out means empty.
    #[must_use]
    pub const fn new(x0: i64, y0: i64, x1: i64, y1: i64) -> Self {
        if x1 <= x0 || y1 <= y0 { Self::EMPTY } else { Self { x0, y0, x1, y1 } }
    }

    /// First column.
    #[must_use]
    pub const fn x0(self) -> i64 {
        self.x0
    }

    /// First row.
    #[must_use]
    pub const fn y0(self) -> i64 {
        self.y0
    }

    /// Column after the last.
    #[must_use]
    pub const fn x1(self) -> i64 {
        self.x1
    }

    /// Row after the last.
    #[must_use]
    pub const fn y1(self) -> i64 {
        self.y1
    }

    /// Number of columns.
    #[must_use]
    pub const fn width(self) -> usize {
        (self.x1 - self.x0) as usize
    }

    /// Number of rows.
    #[must_use]
    pub const fn height(self) -> usize {
        (self.y1 - self.y0) as usize
    }

    /// Number of pixels.
    #[must_use]
    pub const fn area(self) -> usize {
        self.width() * self.height()
    }

    /// Whether it holds no pixel.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.x1 <= self.x0
    }

    /// What both hold.
    #[must_use]
    pub fn intersect(self, other: Self) -> Self {
        Self::new(self.x0.max(other.x0), self.y0.max(other.y0), self.x1.min(other.x1), self.y1.min(other.y1))
    }

    /// The smallest rectangle that holds both.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        if self.is_empty() {
            other
        } else if other.is_empty() {
            self
        } else {
            Self::new(
                self.x0.min(other.x0),
                self.y0.min(other.y0),
                self.x1.max(other.x1),
                self.y1.max(other.y1),
            )
        }
    }

    /// Grown by `margin` pixels on each side (an empty one stays empty).
    #[must_use]
    pub const fn grow(self, margin: i64) -> Self {
        if self.is_empty() {
            self
        } else {
            Self::new(self.x0 - margin, self.y0 - margin, self.x1 + margin, self.y1 + margin)
        }
    }

    /// Moved by whole pixels.
    #[must_use]
    pub const fn shift(self, dx: i64, dy: i64) -> Self {
        if self.is_empty() { self } else { Self::new(self.x0 + dx, self.y0 + dy, self.x1 + dx, self.y1 + dy) }
    }

    /// Whether the pixel lies in it.
    #[must_use]
    pub const fn contains(self, x: i64, y: i64) -> bool {
        x >= self.x0 && x < self.x1 && y >= self.y0 && y < self.y1
    }

    /// It in slices of so many rows, from the top; the last may have fewer.
    pub fn slices(self, rows: usize) -> impl Iterator<Item = Self> {
        let step = i64::try_from(rows.max(1)).unwrap_or(i64::MAX);
        let end = if self.is_empty() { self.y0 } else { self.y1 };
        (self.y0..end)
            .step_by(rows.max(1))
            .map(move |y| Self::new(self.x0, y, self.x1, y.saturating_add(step).min(self.y1)))
    }

    /// The pixels of a grid `k` times coarser (anchored to the picture's origin) that this one touches.
    #[must_use]
    pub const fn coarser(self, k: i64) -> Self {
        if self.is_empty() {
            self
        } else {
            Self::new(
                self.x0.div_euclid(k),
                self.y0.div_euclid(k),
                -(-self.x1).div_euclid(k),
                -(-self.y1).div_euclid(k),
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inside_out_is_empty() {
        assert!(PxRect::new(3, 3, 2, 9).is_empty());
        assert_eq!(PxRect::new(3, 3, 2, 9).area(), 0);
        assert!(PxRect::new(0, 0, 4, 4).intersect(PxRect::new(4, 0, 8, 4)).is_empty());
    }

    #[test]
    fn coarse_grid_is_anchored_to_the_picture() {
        assert_eq!(PxRect::new(-1, -4, 5, 8).coarser(4), PxRect::new(-1, -1, 2, 2));
    }

    #[test]
    fn slices_make_up_the_whole() {
        let slices: Vec<_> = PxRect::new(1, -2, 4, 5).slices(3).collect();
        assert_eq!(slices, [PxRect::new(1, -2, 4, 1), PxRect::new(1, 1, 4, 4), PxRect::new(1, 4, 4, 5)]);
        assert_eq!(PxRect::new(0, 0, 0, 9).slices(3).count(), 0);
    }

    #[test]
    fn sizes_are_bounded() {
        assert!(PxSize::new(0, 5).is_none());
        assert!(PxSize::new(PxSize::LIMIT + 1, 5).is_none());
        assert_eq!(PxSize::new(100, 50).unwrap().scaled(0.25), PxSize::new(25, 13));
        assert!(PxSize::new(100, 50).unwrap().scaled(f64::NAN).is_none());
    }
}
