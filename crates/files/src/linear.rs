//! Encoded samples to linear light in the working primaries, row by row.

use crate::error::Error;
use crate::icc::{Kind, PCS_WHITE, Profile};
use crate::photograph::{Association, Channels, Colour, Photograph, Samples};
use pixels::encode::{Decoder, Transfer, between, bradford, convert_rgb, convert_rgba, narrow};
use pixels::{Budget, Image, Pixel, Rgb, Rgba};
use std::sync::Arc;
use units::primaries::xyz_of_xy;
use units::{Mat3, Primaries, PxRect};

/// A photograph seen as linear light in some primaries. Rows may be asked for from several threads at once.
pub struct Linear<'a> {
    photograph: &'a Photograph,
    way: Way,
    matrix: Option<[[f32; 3]; 3]>,
}

enum Way {
    Curves([Arc<Decoder>; 3]),
    /// 16-bit codes of all colour channels to 16-bit ROMM codes.
    Table(Arc<moxcms::Transform16BitExecutor>, Arc<Decoder>),
}

/// Pixels converted at a time: what fits the first cache.
const RUN: usize = 512;

impl Photograph {
    /// The photograph as linear light in the working primaries. White goes to white: where the whites differ,
    /// by Bradford adaptation (relative colorimetric).
    #[must_use]
    pub fn linear(&self, working: Primaries) -> Linear<'_> {
        let curve = |transfer| std::array::from_fn(|_| Decoder::of(transfer));
        let (way, matrix) = match &self.colour {
            Colour::Untagged => (Way::Curves(curve(Transfer::Srgb)), between(Primaries::Srgb, working)),
            Colour::Known(primaries, transfer) => {
                (Way::Curves(curve(*transfer)), between(*primaries, working))
            }
            Colour::Measured { primaries, white, transfer } => {
                let to_xyz = rgb_to_xyz(*primaries, *white).unwrap_or(Mat3::IDENTITY);
                let adapt = bradford(xyz_of_xy(*white), xyz_of_xy(working.white()));
                (Way::Curves(curve(*transfer)), working.from_xyz() * adapt * to_xyz)
            }
            Colour::Icc(profile) => of_profile(profile, working),
        };
        let neutral = self.channels.colours() == 1 && matches!(way, Way::Curves(_));
        let matrix = (!neutral && matrix != Mat3::IDENTITY).then(|| narrow(matrix));
        Linear { photograph: self, way, matrix }
    }

    /// All of it, coverage left out: colour as stored beside its coverage.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn to_rgb(&self, working: Primaries, budget: &Budget) -> Result<Image<Rgb>, Error> {
        self.linear(working).rgb_in(self.size.rect(), budget)
    }

    /// All of it, premultiplied; coverage 1 where the file has none.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn to_rgba(&self, working: Primaries, budget: &Budget) -> Result<Image<Rgba>, Error> {
        self.linear(working).rgba_in(self.size.rect(), budget)
    }
}

/// The matrix of primaries and white; `None` where they span nothing.
pub(crate) fn rgb_to_xyz(primaries: [(f64, f64); 3], white: (f64, f64)) -> Option<Mat3> {
    let all = [primaries[0], primaries[1], primaries[2], white];
    if all.iter().any(|&(x, y)| !(x.is_finite() && y.is_finite() && y > 1e-6)) {
        return None;
    }
    let [r, g, b] = primaries.map(xyz_of_xy);
    let columns = Mat3::columns(r, g, b);
    let m = columns * Mat3::diagonal(columns.inverse()? * xyz_of_xy(white));
    m.inverse().map(|_| m)
}

fn of_profile(profile: &Profile, working: Primaries) -> (Way, Mat3) {
    let decoder = |curve: &crate::icc::Curve| {
        let curve = curve.clone();
        Arc::new(Decoder::from_fn(move |e| curve.decode(e)))
    };
    let from_pcs = || working.from_xyz() * bradford(PCS_WHITE, xyz_of_xy(working.white()));
    match profile.kind() {
        Kind::Matrix { to_pcs, curves } => {
            let [r, g, b] = curves.as_ref();
            // Most profiles say the same curve three times.
            let decoders = if r == g && g == b {
                let one = decoder(r);
                [Arc::clone(&one), Arc::clone(&one), one]
            } else {
                [decoder(r), decoder(g), decoder(b)]
            };
            (Way::Curves(decoders), from_pcs() * *to_pcs)
        }
        Kind::Grey(curve) => {
            let one = decoder(curve);
            (Way::Curves([Arc::clone(&one), Arc::clone(&one), one]), Mat3::IDENTITY)
        }
        Kind::Table { transform, .. } => (
            Way::Table(Arc::clone(transform), Decoder::of(Transfer::Romm)),
            between(Primaries::Romm, working),
        ),
    }
}

impl Linear<'_> {
    /// A rectangle of the photograph, coverage left out; what lies beyond the photograph is zero.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn rgb_in(&self, rect: PxRect, budget: &Budget) -> Result<Image<Rgb>, Error> {
        self.image(rect, budget, Self::rgb)
    }

    /// A rectangle of the photograph, premultiplied; what lies beyond the photograph is zero.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn rgba_in(&self, rect: PxRect, budget: &Budget) -> Result<Image<Rgba>, Error> {
        self.image(rect, budget, Self::rgba)
    }

    fn image<P: Pixel>(
        &self,
        rect: PxRect,
        budget: &Budget,
        fill: impl Fn(&Self, u32, u32, &mut [P]),
    ) -> Result<Image<P>, Error> {
        let both = rect.intersect(self.photograph.size.rect());
        let room = if both == rect { Image::unset } else { Image::new };
        let mut image =
            room(rect, budget).map_err(|e| Error::over_budget(e, "the picture in linear light"))?;
        let (from, n) = ((both.x0() - rect.x0()) as usize, both.width());
        for y in both.y0()..both.y1() {
            fill(self, both.x0() as u32, y as u32, &mut image.row_mut(y)[from..from + n]);
        }
        Ok(image)
    }

    /// Pixels of row `y` from column `x` on, as many as `out` has, coverage left out.
    ///
    /// # Panics
    /// Where they are not all in the photograph.
    pub fn rgb(&self, x: u32, y: u32, out: &mut [Rgb]) {
        let place = self.place(x, y, out.len());
        for (i, run) in out.chunks_mut(RUN).enumerate() {
            self.run(place + i * RUN, run.len(), |i, colour, _| run[i] = Rgb(colour));
            if let Some(m) = &self.matrix {
                convert_rgb(m, run);
            }
        }
    }

    /// Pixels of row `y` from column `x` on, as many as `out` has, premultiplied.
    ///
    /// # Panics
    /// Where they are not all in the photograph.
    pub fn rgba(&self, x: u32, y: u32, out: &mut [Rgba]) {
        let place = self.place(x, y, out.len());
        for (i, run) in out.chunks_mut(RUN).enumerate() {
            if !self.as_it_stands(place + i * RUN, run) {
                self.run(place + i * RUN, run.len(), |i, [r, g, b], a| {
                    run[i] = Rgba([r * a, g * a, b * a, a])
                });
            }
            if let Some(m) = &self.matrix {
                convert_rgba(m, run);
            }
        }
    }

    /// Index of a pixel.
    fn place(&self, x: u32, y: u32, n: usize) -> usize {
        let size = self.photograph.size;
        let (x, width) = (x as usize, size.width() as usize);
        assert!(y < size.height() && x <= width && n <= width - x, "{n} pixels from {x}, {y} leave {size:?}");
        y as usize * width + x
    }

    /// Linear colour that is already multiplied by its coverage needs no more: light where there is no
    /// coverage (sparks, smoke) is kept. Whether that was so.
    fn as_it_stands(&self, place: usize, out: &mut [Rgba]) -> bool {
        let p = self.photograph;
        match (&p.samples, &self.way) {
            (Samples::F32(v), Way::Curves(d))
                if p.channels == Channels::Rgba
                    && p.association == Association::Associated
                    && d.iter().all(|d| d.is_straight()) =>
            {
                let from = &v[place * 4..(place + out.len()) * 4];
                for (o, p) in out.iter_mut().zip(from.chunks_exact(4)) {
                    *o = Rgba([p[0], p[1], p[2], p[3].clamp(0.0, 1.0)]);
                }
                true
            }
            _ => false,
        }
    }

    /// Calls `emit` with index, straight linear colour and coverage of each of `n` pixels.
    #[inline(always)]
    fn run(&self, place: usize, n: usize, emit: impl FnMut(usize, [f32; 3], f32)) {
        let c = self.photograph.channels.count();
        let part = place * c..(place + n) * c;
        match &self.photograph.samples {
            Samples::U8(v) => self.samples(&v[part], emit),
            Samples::U16(v) => self.samples(&v[part], emit),
            Samples::F32(v) => self.samples(&v[part], emit),
        }
    }

    #[inline(always)]
    fn samples<S: Sample>(&self, row: &[S], mut emit: impl FnMut(usize, [f32; 3], f32)) {
        let p = self.photograph;
        let [r, g, b] = match &self.way {
            Way::Curves(decoders) => decoders.each_ref().map(|d| S::table(d)),
            Way::Table(transform, romm) => return self.through_table(row, transform, romm, emit),
        };
        match (p.channels, p.association) {
            (Channels::Rgb, _) => {
                for (i, p) in row.as_chunks::<3>().0.iter().enumerate() {
                    emit(i, [S::look(r, p[0]), S::look(g, p[1]), S::look(b, p[2])], 1.0);
                }
            }
            (Channels::Rgba, Association::Straight) => {
                for (i, p) in row.as_chunks::<4>().0.iter().enumerate() {
                    emit(i, [S::look(r, p[0]), S::look(g, p[1]), S::look(b, p[2])], p[3].coverage());
                }
            }
            (Channels::Rgba, Association::Associated) => {
                let d = match &self.way {
                    Way::Curves(d) => d,
                    Way::Table(..) => return,
                };
                for (i, p) in row.as_chunks::<4>().0.iter().enumerate() {
                    let a = p[3];
                    emit(i, [p[0].freed(a, &d[0]), p[1].freed(a, &d[1]), p[2].freed(a, &d[2])], a.coverage());
                }
            }
            (Channels::Grey, _) => {
                for (i, &p) in row.iter().enumerate() {
                    emit(i, [S::look(g, p); 3], 1.0);
                }
            }
            (Channels::GreyAlpha, association) => {
                for (i, p) in row.as_chunks::<2>().0.iter().enumerate() {
                    let y = match (association, &self.way) {
                        (Association::Associated, Way::Curves(d)) => p[0].freed(p[1], &d[1]),
                        _ => S::look(g, p[0]),
                    };
                    emit(i, [y; 3], p[1].coverage());
                }
            }
            // Ink has no meaning without a profile: such pictures are refused when they are decoded.
            (Channels::Cmyk, _) => {}
        }
    }

    /// Colour by the tables of a profile: codes in, ROMM codes out, then light.
    fn through_table<S: Sample>(
        &self,
        row: &[S],
        transform: &Arc<moxcms::Transform16BitExecutor>,
        romm: &Decoder,
        mut emit: impl FnMut(usize, [f32; 3], f32),
    ) {
        let p = self.photograph;
        let (all, colours) = (p.channels.count(), p.channels.colours());
        let n = row.len() / all;
        let (mut codes, mut out) = ([0u16; RUN * 4], [0u16; RUN * 3]);
        let codes = &mut codes[..n * colours];
        let out = &mut out[..n * 3];
        for (to, from) in codes.chunks_exact_mut(colours).zip(row.chunks_exact(all)) {
            let alpha = if p.association == Association::Associated { from.last() } else { None };
            for (to, from) in to.iter_mut().zip(from) {
                *to = alpha.map_or_else(|| from.code(), |&a| from.freed_code(a));
            }
        }
        transform.transform(codes, out).expect("the library was asked for exactly these channels");
        let table = romm.of_u16();
        for (i, (o, from)) in out.as_chunks::<3>().0.iter().zip(row.chunks_exact(all)).enumerate() {
            let a = if p.channels.has_alpha() { from[all - 1].coverage() } else { 1.0 };
            emit(i, o.map(|c| table[usize::from(c)]), a);
        }
    }
}

/// A sample as files hold it.
trait Sample: Copy {
    type Table<'a>: Copy;

    fn table(decoder: &Decoder) -> Self::Table<'_>;
    fn look(table: Self::Table<'_>, sample: Self) -> f32;
    fn coverage(self) -> f32;
    /// The nearest 16-bit code.
    fn code(self) -> u16;
    /// The nearest 16-bit code of encoded colour, freed from the coverage it was multiplied by.
    fn freed_code(self, alpha: Self) -> u16;

    /// Light of encoded colour, freed from the coverage it was multiplied by.
    #[inline(always)]
    fn freed(self, alpha: Self, decoder: &Decoder) -> f32 {
        decoder.of_u16()[usize::from(self.freed_code(alpha))]
    }
}

impl Sample for u8 {
    type Table<'a> = &'a [f32; 256];

    fn table(decoder: &Decoder) -> &[f32; 256] {
        decoder.of_u8()
    }

    #[inline(always)]
    fn look(table: &[f32; 256], sample: Self) -> f32 {
        table[usize::from(sample)]
    }

    #[inline(always)]
    fn coverage(self) -> f32 {
        f32::from(self) / 255.0
    }

    fn code(self) -> u16 {
        u16::from(self) * 257
    }

    fn freed_code(self, alpha: Self) -> u16 {
        u16::from(self).saturating_mul(257).freed_code(u16::from(alpha) * 257)
    }
}

impl Sample for u16 {
    type Table<'a> = &'a [f32; 65536];

    fn table(decoder: &Decoder) -> &[f32; 65536] {
        decoder.of_u16()
    }

    #[inline(always)]
    fn look(table: &[f32; 65536], sample: Self) -> f32 {
        table[usize::from(sample)]
    }

    #[inline(always)]
    fn coverage(self) -> f32 {
        f32::from(self) / 65535.0
    }

    fn code(self) -> u16 {
        self
    }

    fn freed_code(self, alpha: Self) -> u16 {
        match u32::from(alpha) {
            0 => 0,
            a => ((u32::from(self) * 65535 + a / 2) / a).min(65535) as u16,
        }
    }
}

impl Sample for f32 {
    type Table<'a> = &'a Decoder;

    fn table(decoder: &Decoder) -> &Decoder {
        decoder
    }

    #[inline(always)]
    fn look(table: &Decoder, sample: Self) -> f32 {
        table.of_f32(sample)
    }

    #[inline(always)]
    fn coverage(self) -> f32 {
        self.clamp(0.0, 1.0)
    }

    fn code(self) -> u16 {
        (self.clamp(0.0, 1.0) * 65535.0 + 0.5) as u16
    }

    fn freed_code(self, alpha: Self) -> u16 {
        if alpha > 0.0 { (self / alpha).code() } else { 0 }
    }

    #[inline(always)]
    fn freed(self, alpha: Self, decoder: &Decoder) -> f32 {
        decoder.of_f32(if alpha > 0.0 { self / alpha } else { self })
    }
}
