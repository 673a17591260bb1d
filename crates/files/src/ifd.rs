//! The directories of TIFF 6.0, which hold both TIFF pictures and EXIF. Every offset and count is checked against
//! the bytes that are there; nothing is allocated beyond what the caller allows.

use crate::error::Error;

/// A file of directories.
#[derive(Clone, Copy)]
pub(crate) struct Ifds<'a> {
    bytes: &'a [u8],
    big_endian: bool,
    wide: bool,
}

/// One directory: its entries by ascending place in the file.
pub(crate) struct Ifd<'a> {
    file: Ifds<'a>,
    entries: Vec<Entry>,
    next: u64,
}

#[derive(Clone, Copy)]
struct Entry {
    tag: u16,
    kind: u16,
    count: u64,
    /// Where the values are.
    at: usize,
}

/// Beyond this a directory is not one.
const MOST_ENTRIES: u64 = 4096;

impl<'a> Ifds<'a> {
    /// From a TIFF header; with the place of the first directory.
    pub(crate) fn open(bytes: &'a [u8]) -> Result<(Self, u64), Error> {
        let short = || Error::damaged("the file ends within its header", "first bytes of the file");
        let head = bytes.get(..8).ok_or_else(short)?;
        let big_endian = &head[..2] == b"MM";
        let mut file = Self { bytes, big_endian, wide: false };
        let first = match file.u16(2)? {
            42 => u64::from(file.u32(4)?),
            43 if file.u16(4)? == 8 => {
                file.wide = true;
                file.u64(8)?
            }
            _ => return Err(Error::damaged("not a TIFF header", "first bytes of the file")),
        };
        Ok((file, first))
    }

    /// Whether its numbers have their bytes in another order than this machine's.
    pub(crate) const fn swapped(&self) -> bool {
        self.big_endian != cfg!(target_endian = "big")
    }

    pub(crate) const fn bytes(&self) -> &'a [u8] {
        self.bytes
    }

    fn take<const N: usize>(&self, at: usize) -> Result<[u8; N], Error> {
        at.checked_add(N)
            .and_then(|end| self.bytes.get(at..end))
            .map(|b| b.try_into().expect("the slice has N bytes"))
            .ok_or_else(|| {
                Error::damaged("a directory reaches beyond the end of the file", format!("byte {at}"))
            })
    }

    fn u16(&self, at: usize) -> Result<u16, Error> {
        let b = self.take(at)?;
        Ok(if self.big_endian { u16::from_be_bytes(b) } else { u16::from_le_bytes(b) })
    }

    fn u32(&self, at: usize) -> Result<u32, Error> {
        let b = self.take(at)?;
        Ok(if self.big_endian { u32::from_be_bytes(b) } else { u32::from_le_bytes(b) })
    }

    fn u64(&self, at: usize) -> Result<u64, Error> {
        let b = self.take(at)?;
        Ok(if self.big_endian { u64::from_be_bytes(b) } else { u64::from_le_bytes(b) })
    }

    /// The directory at a byte.
    pub(crate) fn read(self, at: u64) -> Result<Ifd<'a>, Error> {
        let beyond = || Error::damaged("a directory lies beyond the end of the file", format!("byte {at}"));
        let start = usize::try_from(at).ok().filter(|&s| s > 0 && s < self.bytes.len()).ok_or_else(beyond)?;
        let (count, head, step, inline) =
            if self.wide { (self.u64(start)?, 8, 20, 8) } else { (u64::from(self.u16(start)?), 2, 12, 4) };
        if count > MOST_ENTRIES {
            return Err(Error::damaged(format!("a directory of {count} entries"), format!("byte {start}")));
        }
        let mut entries = Vec::with_capacity(count as usize);
        for i in 0..count as usize {
            let e = start + head + i * step;
            let (tag, kind) = (self.u16(e)?, self.u16(e + 2)?);
            let (count, value) =
                if self.wide { (self.u64(e + 4)?, e + 12) } else { (u64::from(self.u32(e + 4)?), e + 8) };
            let size = count.saturating_mul(size_of_kind(kind));
            let at = if size <= inline {
                value
            } else if self.wide {
                usize::try_from(self.u64(value)?).unwrap_or(usize::MAX)
            } else {
                self.u32(value)? as usize
            };
            entries.push(Entry { tag, kind, count, at });
        }
        let after = start + head + count as usize * step;
        let next = if self.wide { self.u64(after) } else { self.u32(after).map(u64::from) };
        // Many EXIF directories end without the place of a next one.
        Ok(Ifd { file: self, entries, next: next.unwrap_or(0) })
    }
}

const fn size_of_kind(kind: u16) -> u64 {
    match kind {
        1 | 2 | 6 | 7 => 1,
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 | 16 | 17 | 18 => 8,
        _ => 0,
    }
}

impl<'a> Ifd<'a> {
    pub(crate) const fn next(&self) -> u64 {
        self.next
    }

    pub(crate) fn has(&self, tag: u16) -> bool {
        self.entries.iter().any(|e| e.tag == tag)
    }

    fn entry(&self, tag: u16) -> Option<Entry> {
        self.entries.iter().copied().find(|e| e.tag == tag)
    }

    /// The raw bytes of a tag's values.
    pub(crate) fn raw(&self, tag: u16) -> Option<&'a [u8]> {
        let e = self.entry(tag)?;
        let size = usize::try_from(e.count.checked_mul(size_of_kind(e.kind))?).ok()?;
        self.file.bytes.get(e.at..e.at.checked_add(size)?)
    }

    /// All whole numbers of a tag, at most `most` of them; none where the tag is missing.
    pub(crate) fn numbers(&self, tag: u16, most: u64) -> Result<Option<Vec<u64>>, Error> {
        let Some(e) = self.entry(tag) else { return Ok(None) };
        let place = || format!("tag {tag}");
        if e.count > most {
            return Err(Error::damaged(format!("{} values where at most {most} belong", e.count), place()));
        }
        let step = size_of_kind(e.kind) as usize;
        let bytes = self
            .raw(tag)
            .ok_or_else(|| Error::damaged("its values lie beyond the end of the file", place()))?;
        let number = |i: usize| {
            let at = e.at + i * step;
            Ok(match e.kind {
                1 | 7 => u64::from(bytes[i]),
                3 => u64::from(self.file.u16(at)?),
                4 | 13 => u64::from(self.file.u32(at)?),
                16 | 18 => self.file.u64(at)?,
                _ => return Err(Error::damaged("not whole numbers", place())),
            })
        };
        (0..e.count as usize).map(number).collect::<Result<_, _>>().map(Some)
    }

    /// The one whole number of a tag.
    pub(crate) fn number(&self, tag: u16) -> Result<Option<u64>, Error> {
        Ok(self.numbers(tag, 64)?.and_then(|v| v.first().copied()))
    }

    /// The `index`th number of a tag that holds rationals or floats (or whole numbers): finite ones only.
    pub(crate) fn real(&self, tag: u16, index: usize) -> Option<f64> {
        let e = self.entry(tag).filter(|e| (index as u64) < e.count)?;
        let at = e.at.checked_add(index.checked_mul(size_of_kind(e.kind) as usize)?)?;
        let f = &self.file;
        let ratio = |a: f64, b: f64| if b == 0.0 { f64::INFINITY } else { a / b };
        let value = match e.kind {
            1 => f64::from(*f.bytes.get(at)?),
            3 => f64::from(f.u16(at).ok()?),
            4 => f64::from(f.u32(at).ok()?),
            5 => ratio(f64::from(f.u32(at).ok()?), f64::from(f.u32(at + 4).ok()?)),
            9 => f64::from(f.u32(at).ok()? as i32),
            10 => ratio(f64::from(f.u32(at).ok()? as i32), f64::from(f.u32(at + 4).ok()? as i32)),
            11 => f64::from(f32::from_bits(f.u32(at).ok()?)),
            12 => f64::from_bits(f.u64(at).ok()?),
            _ => return None,
        };
        value.is_finite().then_some(value)
    }

    /// A text, without what follows its first zero and without surrounding blanks; none where nothing is left.
    pub(crate) fn text(&self, tag: u16) -> Option<String> {
        let raw = self.raw(tag)?;
        let raw = &raw[..raw.len().min(1024)];
        let end = raw.iter().position(|&b| b == 0).unwrap_or(raw.len());
        let text: String = String::from_utf8_lossy(&raw[..end]).chars().filter(|c| !c.is_control()).collect();
        let text = text.trim();
        (!text.is_empty()).then(|| text.to_owned())
    }
}
