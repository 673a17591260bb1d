//! Strips in, in any order from any thread; a file out, in order.

use super::{Strip, Writer};
use crate::error::Error;
use pixels::Budget;
use pixels::budget::Receipt;
use std::collections::BTreeMap;
use std::io::{Seek, Write};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A file that grows as its strips come.
pub struct Queue<'e, W: Write + Seek> {
    order: Mutex<Order<'e, W>>,
}

struct Order<'e, W: Write + Seek> {
    /// With the thread that writes, while one does.
    writer: Option<Writer<'e, W>>,
    /// Strips that have not been written, paid for.
    waiting: BTreeMap<u32, (Strip<'static>, Receipt)>,
}

impl<'e, W: Write + Seek> Queue<'e, W> {
    /// Of a file in the making.
    #[must_use]
    pub const fn new(writer: Writer<'e, W>) -> Self {
        Self { order: Mutex::new(Order { writer: Some(writer), waiting: BTreeMap::new() }) }
    }

    /// Hands a strip over. One thread at a time writes all that can be written, and keeps none of the others waiting.
    ///
    /// # Errors
    /// Where the budget does not hold the strip until its turn, or the place to write to fails.
    pub fn put(&self, strip: Strip<'static>, budget: &Budget) -> Result<(), Error> {
        let receipt = budget
            .take(strip.bytes.len() as u64)
            .map_err(|e| Error::over_budget(e, "rows that wait to be written"))?;
        let mut order = self.lock();
        order.waiting.insert(strip.first_row, (strip, receipt));
        let Some(mut writer) = order.writer.take() else { return Ok(()) };
        while let Some((strip, _receipt)) = order.waiting.remove(&writer.next_row) {
            drop(order);
            let put = writer.put(&strip);
            order = self.lock();
            if let Err(e) = put {
                order.writer = Some(writer);
                return Err(e);
            }
        }
        order.writer = Some(writer);
        Ok(())
    }

    /// The writer again, to be finished.
    ///
    /// # Panics
    /// Never: whoever takes the writer gives it back.
    #[must_use]
    pub fn into_writer(self) -> Writer<'e, W> {
        let order = self.order.into_inner().unwrap_or_else(PoisonError::into_inner);
        order.writer.expect("whoever took the writer gave it back")
    }

    fn lock(&self) -> MutexGuard<'_, Order<'e, W>> {
        self.order.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Codes, Description, Encoder, Form, Packing};
    use super::*;
    use crate::{Channels, Depth};
    use std::io::Cursor;
    use units::PxSize;

    #[test]
    fn any_order_from_any_thread_makes_the_same_file() {
        let size = PxSize::new(5, 150).unwrap();
        let description = Description { size, channels: Channels::Grey, colour: None, ppi: None };
        let form = Form::Tiff { depth: Depth::U8, packing: Packing::Deflate };
        let codes: Vec<u8> = (0..5 * 150u32).map(|i| (i * 7 % 251) as u8).collect();
        let encoder = Encoder::new(description, form).unwrap();
        let whole =
            super::super::whole(Cursor::new(Vec::new()), description, form, Codes::U8(&codes)).unwrap();
        let queue = Queue::new(Writer::new(&encoder, Cursor::new(Vec::new())).unwrap());
        let budget = Budget::of_bytes(1 << 20);
        let rows = encoder.strip_rows() as usize;
        let strips: Vec<_> = codes.chunks(5 * rows).enumerate().collect();
        std::thread::scope(|scope| {
            for (i, part) in strips.into_iter().rev() {
                let (queue, encoder, budget) = (&queue, &encoder, &budget);
                scope.spawn(move || {
                    let strip = encoder.strip((i * rows) as u32, Codes::U8(part)).unwrap().into_owned();
                    queue.put(strip, budget).unwrap();
                });
            }
        });
        assert_eq!(budget.taken(), 0);
        assert_eq!(queue.into_writer().finish().unwrap().into_inner(), whole.into_inner());
    }
}
