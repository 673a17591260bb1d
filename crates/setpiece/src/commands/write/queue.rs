//! Bands in, in any order from any thread; strips out.

use super::rows::{Coder, Rows};
use files::encode::{self, Encoder, Writer};
use pixels::{Image, Rgb};
use std::collections::BTreeMap;
use std::io::{Seek, Write};
use std::ops::Range;
use std::sync::{Mutex, PoisonError};

/// A file that grows as bands come.
pub(super) struct Queue<'e, W: Write + Seek> {
    encoder: &'e Encoder,
    coder: &'e Coder<'e>,
    /// Row of the picture that is the file's first.
    first: i64,
    /// Rows of the file.
    height: u32,
    /// Strips that await rows of another band, by their first row: how many rows they have, and their codes.
    parts: Mutex<BTreeMap<u32, (u32, Rows)>>,
    strips: encode::Queue<'e, W>,
    failed: Mutex<Option<files::Error>>,
}

impl<'e, W: Write + Seek + Send> Queue<'e, W> {
    /// A file of so many rows, whose first is this row of the picture.
    pub(super) fn new(
        encoder: &'e Encoder,
        writer: Writer<'e, W>,
        coder: &'e Coder<'e>,
        (first, height): (i64, u32),
    ) -> Self {
        Self {
            encoder,
            coder,
            first,
            height,
            parts: Mutex::default(),
            strips: encode::Queue::new(writer),
            failed: Mutex::new(None),
        }
    }

    /// The writer, and why it could not go on.
    pub(super) fn into_parts(self) -> (Writer<'e, W>, Option<files::Error>) {
        (self.strips.into_writer(), self.failed.into_inner().unwrap_or_else(PoisonError::into_inner))
    }

    /// Takes a band.
    pub(super) fn take(&self, band: &Image<Rgb>) -> Result<(), render::Error> {
        let codes = self.coder.rows(band)?;
        let samples = self.encoder.row_samples();
        let first = (band.place().y0() - self.first) as u32;
        let past = (band.place().y1() - self.first) as u32;
        let height = self.height;
        let rows = self.encoder.strip_rows();
        let mut start = first / rows * rows;
        while start < past {
            let end = (start + rows).min(height);
            let (from, to) = (start.max(first), end.min(past));
            let range = (from - first) as usize * samples..(to - first) as usize * samples;
            if from == start && to == end {
                self.strip(start, codes.codes().part(range))?;
            } else if let Some(whole) = self.piece_together(start, end, from, &codes, range) {
                self.strip(start, whole.codes())?;
            }
            start = end;
        }
        Ok(())
    }

    /// Puts rows of a band to those of the strip that are there; the strip, where it is whole now.
    fn piece_together(
        &self,
        start: u32,
        end: u32,
        from: u32,
        codes: &Rows,
        range: Range<usize>,
    ) -> Option<Rows> {
        let samples = self.encoder.row_samples();
        let mut parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
        let entry = parts
            .entry(start)
            .or_insert_with(|| (0, Rows::new(self.coder.depth, (end - start) as usize * samples)));
        entry.0 += (range.len() / samples) as u32;
        entry.1.put((from - start) as usize * samples, codes, range);
        if entry.0 == end - start { parts.remove(&start).map(|(_, whole)| whole) } else { None }
    }

    /// Packs a strip, on the thread that made it, and hands it over. Keeps what the file said, and stops the rendering, where
    /// it cannot be written.
    fn strip(&self, start: u32, codes: encode::Codes<'_>) -> Result<(), render::Error> {
        let put = |strip: encode::Strip<'_>| self.strips.put(strip.into_owned(), self.coder.budget);
        self.encoder.strip(start, codes).and_then(put).map_err(|e| {
            self.failed.lock().unwrap_or_else(PoisonError::into_inner).get_or_insert(e);
            render::Error::Cancelled
        })
    }
}
