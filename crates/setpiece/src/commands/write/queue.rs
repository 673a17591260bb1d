//! Bands in, in any order from any thread; strips out, in order.

use super::rows::{Coder, Rows};
use files::encode::{Encoder, Writer};
use pixels::budget::Receipt;
use pixels::{Image, Rgb};
use std::collections::BTreeMap;
use std::io::{Seek, Write};
use std::ops::Range;
use std::sync::{Mutex, MutexGuard, PoisonError};

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
    order: Mutex<Order<'e, W>>,
    failed: Mutex<Option<files::Error>>,
}

struct Order<'e, W: Write + Seek> {
    /// With the thread that writes, while one does.
    writer: Option<Writer<'e, W>>,
    next: u32,
    /// Codes of strips that have not been written, paid for.
    waiting: BTreeMap<u32, (Rows, Receipt)>,
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
            order: Mutex::new(Order { writer: Some(writer), next: 0, waiting: BTreeMap::new() }),
            failed: Mutex::new(None),
        }
    }

    /// The writer, and why it could not go on.
    pub(super) fn into_parts(self) -> (Writer<'e, W>, Option<files::Error>) {
        let order = self.order.into_inner().unwrap_or_else(PoisonError::into_inner);
        let failed = self.failed.into_inner().unwrap_or_else(PoisonError::into_inner);
        (order.writer.expect("whoever took the writer gave it back"), failed)
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
                self.strip(start, codes.part(range))?;
            } else if let Some(whole) = self.piece_together(start, end, from, &codes, range) {
                self.strip(start, whole)?;
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

    /// Hands a strip over. One thread at a time packs and writes all that can be written, without keeping the others from
    /// their rendering; it is one that would have to wait otherwise.
    fn strip(&self, start: u32, codes: Rows) -> Result<(), render::Error> {
        let receipt = self.coder.budget.take(codes.bytes())?;
        let mut order = self.lock();
        order.waiting.insert(start, (codes, receipt));
        let Some(mut writer) = order.writer.take() else { return Ok(()) };
        while let Some((codes, _receipt)) = {
            let next = order.next;
            order.waiting.remove(&next)
        } {
            let next = order.next;
            drop(order);
            let packed = self.encoder.strip(next, codes.codes());
            let put = packed.and_then(|strip| writer.put(&strip));
            order = self.lock();
            if let Err(e) = put {
                order.writer = Some(writer);
                return Err(self.fail(e));
            }
            order.next = self.after(next);
        }
        order.writer = Some(writer);
        Ok(())
    }

    fn lock(&self) -> MutexGuard<'_, Order<'e, W>> {
        self.order.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn after(&self, start: u32) -> u32 {
        (start + self.encoder.strip_rows()).min(self.height)
    }

    /// Keeps what the file said, and stops the rendering.
    fn fail(&self, e: files::Error) -> render::Error {
        let mut failed = self.failed.lock().unwrap_or_else(PoisonError::into_inner);
        failed.get_or_insert(e);
        render::Error::Cancelled
    }
}
