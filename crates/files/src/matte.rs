//! A photograph read as a matte: coverage as the file holds it, whatever profile it carries.

use crate::error::{Error, Fault};
use crate::photograph::{Channels, Photograph, Samples};
use pixels::{Budget, Coverage, Image};
use units::PxRect;

/// A photograph seen as coverage. Codes are linear: 0 is none, the highest code is all. Rows may be asked for from
/// several threads at once.
pub struct Matte<'a> {
    photograph: &'a Photograph,
    /// Which sample of a pixel.
    channel: usize,
}

impl Photograph {
    /// The photograph as a matte: its alpha channel, or the grey itself (also grey that was stored as RGB).
    ///
    /// # Errors
    /// Where it is coloured and has no alpha channel.
    pub fn matte(&self) -> Result<Matte<'_>, Error> {
        let channel = match self.channels {
            Channels::Grey | Channels::Cmyk => 0,
            Channels::GreyAlpha => 1,
            Channels::Rgba => 3,
            Channels::Rgb => 0,
        };
        let grey = match (&self.channels, &self.samples) {
            (Channels::Rgb, Samples::U8(v)) => all_grey(v),
            (Channels::Rgb, Samples::U16(v)) => all_grey(v),
            (Channels::Rgb, Samples::F32(v)) => all_grey(v),
            (Channels::Cmyk, _) => false,
            _ => true,
        };
        if grey {
            return Ok(Matte { photograph: self, channel });
        }
        Err(Error::new(
            Fault::Unsupported,
            "the picture is coloured and has no alpha channel",
            "its channels",
        )
        .with_remedy("save the matte as a grey picture, or as the alpha channel of a PNG or TIFF"))
    }

    /// All of it as coverage.
    ///
    /// # Errors
    /// As [`Photograph::matte`], and where the budget does not hold it.
    pub fn to_coverage(&self, budget: &Budget) -> Result<Image<Coverage>, Error> {
        let matte = self.matte()?;
        let mut image = Image::whole(self.size, budget).map_err(|e| Error::over_budget(e, "the matte"))?;
        for y in 0..self.size.height() {
            matte.row(0, y, image.row_mut(i64::from(y)));
        }
        Ok(image)
    }
}

fn all_grey<S: Copy + PartialEq>(samples: &[S]) -> bool {
    samples.as_chunks::<3>().0.iter().all(|[r, g, b]| r == g && g == b)
}

impl Matte<'_> {
    /// The smallest rectangle beyond which there is no coverage.
    #[must_use]
    pub fn covered(&self) -> PxRect {
        match &self.photograph.samples {
            Samples::U8(v) => self.not_clear(v, |s| s != 0),
            Samples::U16(v) => self.not_clear(v, |s| s != 0),
            Samples::F32(v) => self.not_clear(v, |s| s > 0.0),
        }
    }

    fn not_clear<S: Copy>(&self, samples: &[S], covers: impl Fn(S) -> bool) -> PxRect {
        let p = self.photograph;
        let c = p.channels.count();
        let covers = |pixel: &[S]| covers(pixel[self.channel]);
        let mut rect = PxRect::EMPTY;
        for (y, row) in (0..).zip(samples.chunks_exact(p.size.width() as usize * c)) {
            let Some(first) = row.chunks_exact(c).position(covers) else { continue };
            let past = row.chunks_exact(c).rposition(covers).map_or(first, |last| last + 1);
            rect = rect.union(PxRect::new(first as i64, y, past as i64, y + 1));
        }
        rect
    }

    /// Pixels of row `y` from column `x` on, as many as `out` has.
    ///
    /// # Panics
    /// Where they are not all in the photograph.
    pub fn row(&self, x: u32, y: u32, out: &mut [Coverage]) {
        let p = self.photograph;
        let (x, width, c) = (x as usize, p.size.width() as usize, p.channels.count());
        assert!(y < p.size.height() && x <= width && out.len() <= width - x, "the row leaves the matte");
        let place = y as usize * width + x;
        let part = place * c..(place + out.len()) * c;
        match &p.samples {
            Samples::U8(v) => self.fill(&v[part], out, |s| f32::from(s) / 255.0),
            Samples::U16(v) => self.fill(&v[part], out, |s| f32::from(s) / 65535.0),
            Samples::F32(v) => self.fill(&v[part], out, |s| s.clamp(0.0, 1.0)),
        }
    }

    fn fill<S: Copy>(&self, row: &[S], out: &mut [Coverage], coverage: impl Fn(S) -> f32) {
        for (o, p) in out.iter_mut().zip(row.chunks_exact(self.photograph.channels.count())) {
            o.0 = coverage(p[self.channel]);
        }
    }
}
