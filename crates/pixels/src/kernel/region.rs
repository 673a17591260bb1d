//! Coverage of a region drawn as polygons, with a soft edge.

/// Coverage (0..1) of the region at a point (picture pixels). Inside is what an odd number of polygons
/// surrounds; the edge is a straight ramp of `softness` pixels (at least 1) across the outline.
#[must_use]
pub fn coverage(polygons: &[Vec<[f64; 2]>], softness: f64, x: f64, y: f64) -> f32 {
    let mut inside = false;
    let mut nearest = f64::INFINITY;
    for polygon in polygons {
        for (a, b) in polygon.iter().zip(polygon.iter().cycle().skip(1)) {
            if (a[1] > y) != (b[1] > y) && x < (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]) + a[0] {
                inside = !inside;
            }
            nearest = nearest.min(square_to_segment(*a, *b, x, y));
        }
    }
    let distance = if inside { nearest.sqrt() } else { -nearest.sqrt() };
    (0.5 + distance / softness.max(1.0)).clamp(0.0, 1.0) as f32
}

/// Square of the distance from a point to the segment a b.
fn square_to_segment(a: [f64; 2], b: [f64; 2], x: f64, y: f64) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length = dx * dx + dy * dy;
    let t = if length > 0.0 { (((x - a[0]) * dx + (y - a[1]) * dy) / length).clamp(0.0, 1.0) } else { 0.0 };
    let (ex, ey) = (a[0] + t * dx - x, a[1] + t * dy - y);
    ex * ex + ey * ey
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inside_outside_edge_and_hole() {
        let square = |lo: f64, hi: f64| vec![[lo, lo], [hi, lo], [hi, hi], [lo, hi]];
        let ring = [square(0.0, 20.0), square(5.0, 15.0)];
        assert_eq!(coverage(&ring, 2.0, 2.5, 10.0), 1.0);
        assert_eq!(coverage(&ring, 2.0, 10.0, 10.0), 0.0);
        assert_eq!(coverage(&ring, 2.0, 0.0, 10.0), 0.5);
        assert_eq!(coverage(&ring, 2.0, -0.5, 10.0), 0.25);
        assert_eq!(coverage(&[], 2.0, 1.0, 1.0), 0.0);
        assert_eq!(coverage(&[vec![]], 2.0, 1.0, 1.0), 0.0);
    }
}
