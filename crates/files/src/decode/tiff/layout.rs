//! Where the samples of a TIFF picture lie, and how they come from there into one array.

use super::super::head::Head;
use super::main_directory;
use super::unpack::Packing;
use crate::error::Error;
use crate::ifd::Ifds;
use crate::limits::Limits;
use bytemuck::cast_slice_mut;
use pixels::{Budget, budget};

/// Strips are tiles as wide as the picture.
pub(super) struct Layout<'a> {
    bytes: &'a [u8],
    swap: bool,
    packing: Packing,
    predictor: Predictor,
    /// One array of offsets and sizes a plane where channels lie apart.
    parts: Vec<(u64, u64)>,
    tile_width: usize,
    tile_height: usize,
    tiles: bool,
    planar: bool,
    width: usize,
    height: usize,
    /// Samples a pixel in the file; the ones beyond those that are kept are skipped.
    stored: usize,
    kept: usize,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Predictor {
    None,
    /// Each sample less the one of the pixel before it.
    Difference,
    /// Bytes of floats, most significant first, in planes, each less the one before it.
    FloatPlanes,
}

impl<'a> Layout<'a> {
    /// Of the main picture in the bytes of a file.
    pub(super) fn of(bytes: &'a [u8], head: &Head, limits: &Limits) -> Result<Self, Error> {
        let (file, first) = Ifds::open(bytes)?;
        let ifd = main_directory(file, first)?;
        let (width, height) = (head.size.width() as usize, head.size.height() as usize);
        let stored = ifd.number(277)?.unwrap_or(1) as usize;
        let planar = stored > 1 && ifd.number(284)?.unwrap_or(1) == 2;
        let tiles = ifd.has(322);
        let side = |tag, most: usize| -> Result<usize, Error> {
            let n = ifd.number(tag)?.unwrap_or(most as u64);
            match usize::try_from(n) {
                Ok(n) if n > 0 && n <= (limits.side as usize) => Ok(n),
                _ => Err(Error::damaged(
                    format!("a tile or strip of {n} rows or columns"),
                    format!("tag {tag}"),
                )),
            }
        };
        let (tile_width, tile_height) = if tiles {
            (side(322, width)?, side(323, height)?)
        } else {
            // Files with one strip write any large number of rows.
            (width, ifd.number(278)?.filter(|&n| n > 0).map_or(height, |n| n.min(height as u64) as usize))
        };
        let across = width.div_ceil(tile_width);
        let down = height.div_ceil(tile_height);
        let planes = if planar { stored } else { 1 };
        let count = across * down * planes;
        let list = |tags: [u16; 2], name: &str| -> Result<Vec<u64>, Error> {
            let tag = tags[usize::from(tiles)];
            let list = ifd.numbers(tag, file.bytes().len() as u64)?.unwrap_or_default();
            if list.len() < count {
                let what = format!("{} {name} where {count} strips or tiles are needed", list.len());
                return Err(Error::damaged(what, format!("tag {tag}")));
            }
            Ok(list)
        };
        let packing = Packing::of_number(ifd.number(259)?.unwrap_or(1))?;
        let offsets = list([273, 324], "offsets")?;
        let sizes = if ifd.has([279, 325][usize::from(tiles)]) || packing != Packing::None {
            list([279, 325], "sizes")?
        } else {
            vec![u64::MAX; count]
        };
        if ifd.number(266)?.unwrap_or(1) != 1 {
            return Err(Error::unsupported("bytes with their bits reversed", "tag 266"));
        }
        let predictor = match ifd.number(317)?.unwrap_or(1) {
            _ if packing == Packing::None => Predictor::None,
            1 => Predictor::None,
            2 => Predictor::Difference,
            3 => Predictor::FloatPlanes,
            n => return Err(Error::unsupported(format!("predictor {n}"), "tag 317")),
        };
        let parts = offsets.into_iter().zip(sizes).take(count).collect();
        let swap = file.swapped();
        let kept = head.channels.count();
        Ok(Self {
            bytes: file.bytes(),
            swap,
            packing,
            predictor,
            parts,
            tile_width,
            tile_height,
            tiles,
            planar,
            width,
            height,
            stored,
            kept,
        })
    }

    /// Fills the picture's samples, in this machine's order of bytes.
    pub(super) fn fill<S: Sample>(&self, out: &mut [S], budget: &Budget) -> Result<(), Error> {
        if !self.tiles && !self.planar && self.stored == self.kept {
            self.strips(out)
        } else {
            self.tiles(out, budget)
        }
    }

    /// Whether samples have their bytes in another order than this machine's.
    pub(super) const fn swapped(&self) -> bool {
        self.swap
    }

    /// The byte from which all samples lie one after the other, unpacked, with nothing between them.
    pub(super) fn in_a_row<S: Sample>(&self) -> Option<usize> {
        let plain = !self.tiles && !self.planar && self.stored == self.kept && self.packing == Packing::None;
        if !plain {
            return None;
        }
        let row = (self.width * self.stored * size_of::<S>()) as u64;
        let first = self.parts.first()?.0;
        let mut next = first;
        let follows = self.parts.iter().enumerate().all(|(i, &(offset, size))| {
            let rows = self.tile_height.min(self.height - i * self.tile_height) as u64;
            let follows = offset == next && size >= rows * row;
            next = next.saturating_add(rows * row);
            follows
        });
        usize::try_from(first).ok().filter(|_| follows)
    }

    fn name(&self, i: usize) -> String {
        format!("{} {} of {}", if self.tiles { "tile" } else { "strip" }, i + 1, self.parts.len())
    }

    fn packed(&self, i: usize) -> Result<&'a [u8], Error> {
        let (offset, size) = self.parts[i];
        let beyond = || Error::damaged("it lies beyond the end of the file", self.name(i));
        let start = usize::try_from(offset).ok().filter(|&o| o <= self.bytes.len()).ok_or_else(beyond)?;
        let size = usize::try_from(size).unwrap_or(usize::MAX);
        match start.checked_add(size) {
            Some(end) if end <= self.bytes.len() => Ok(&self.bytes[start..end]),
            // Without a size, or as some writers do with one too large: what is there may be enough.
            _ => Ok(&self.bytes[start..]),
        }
    }

    /// The quick way: strips go straight to where they belong.
    fn strips<S: Sample>(&self, out: &mut [S]) -> Result<(), Error> {
        let row = self.width * self.stored;
        for (i, strip) in out.chunks_mut(row * self.tile_height).enumerate() {
            self.packing.unpack(self.packed(i)?, cast_slice_mut(strip), &|| self.name(i))?;
            self.order(strip, row, self.stored)?;
        }
        Ok(())
    }

    fn tiles<S: Sample>(&self, out: &mut [S], budget: &Budget) -> Result<(), Error> {
        let interleaved = if self.planar { 1 } else { self.stored };
        let row = self.tile_width * interleaved;
        let bytes = row.checked_mul(self.tile_height).and_then(|n| n.checked_mul(size_of::<S>()));
        let bytes = bytes.ok_or_else(|| Error::damaged("a tile larger than any memory", self.name(0)))?;
        let _scratch = budget.take(bytes as u64).map_err(|e| Error::over_budget(e, self.name(0)))?;
        let mut tile = vec![S::zeroed(); row * self.tile_height];
        let across = self.width.div_ceil(self.tile_width);
        let down = self.height.div_ceil(self.tile_height);
        for i in 0..self.parts.len() {
            let (plane, at) = (i / (across * down), i % (across * down));
            if plane >= self.kept {
                break;
            }
            let (x0, y0) = (at % across * self.tile_width, at / across * self.tile_height);
            let (w, h) = (self.tile_width.min(self.width - x0), self.tile_height.min(self.height - y0));
            // A last strip holds only the rows that are left; a tile is always whole.
            let rows = if self.tiles { self.tile_height } else { h };
            let part = &mut tile[..row * rows];
            self.packing.unpack(self.packed(i)?, cast_slice_mut(part), &|| self.name(i))?;
            self.order(part, row, interleaved)?;
            for (y, from) in part.chunks_exact(row).take(h).enumerate() {
                let start = ((y0 + y) * self.width + x0) * self.kept;
                let to = &mut out[start..start + w * self.kept];
                if self.planar {
                    to.iter_mut().skip(plane).step_by(self.kept).zip(from).for_each(|(t, &f)| *t = f);
                } else if self.stored == self.kept {
                    to.copy_from_slice(&from[..w * self.kept]);
                } else {
                    let pixels = from.chunks_exact(self.stored);
                    to.chunks_exact_mut(self.kept)
                        .zip(pixels)
                        .for_each(|(t, f)| t.copy_from_slice(&f[..self.kept]));
                }
            }
        }
        Ok(())
    }

    /// Byte order, then the predictor, row by row.
    fn order<S: Sample>(&self, samples: &mut [S], row: usize, step: usize) -> Result<(), Error> {
        if self.predictor == Predictor::FloatPlanes {
            let mut scratch = vec![0u8; row * size_of::<S>()];
            samples.chunks_exact_mut(row).for_each(|r| float_planes(r, step, &mut scratch));
            return Ok(());
        }
        if self.swap && size_of::<S>() > 1 {
            samples.iter_mut().for_each(|s| *s = s.swapped());
        }
        if self.predictor == Predictor::Difference {
            for r in samples.chunks_exact_mut(row) {
                for i in step..r.len() {
                    r[i] = r[i].plus(r[i - step]);
                }
            }
        }
        Ok(())
    }
}

/// A sample that a TIFF file may hold.
pub(super) trait Sample: budget::Sample {
    /// With its bytes in the other order.
    fn swapped(self) -> Self;
    /// The wrapping sum of the bits.
    fn plus(self, other: Self) -> Self;
    /// From bytes, most significant first.
    fn of_high_first(bytes: &[u8]) -> Self;
}

impl Sample for u8 {
    fn swapped(self) -> Self {
        self
    }
    fn plus(self, other: Self) -> Self {
        self.wrapping_add(other)
    }
    fn of_high_first(bytes: &[u8]) -> Self {
        bytes[0]
    }
}

impl Sample for u16 {
    fn swapped(self) -> Self {
        self.swap_bytes()
    }
    fn plus(self, other: Self) -> Self {
        self.wrapping_add(other)
    }
    fn of_high_first(bytes: &[u8]) -> Self {
        Self::from_be_bytes([bytes[0], bytes[1]])
    }
}

impl Sample for f32 {
    fn swapped(self) -> Self {
        Self::from_bits(self.to_bits().swap_bytes())
    }
    fn plus(self, other: Self) -> Self {
        Self::from_bits(self.to_bits().wrapping_add(other.to_bits()))
    }
    fn of_high_first(bytes: &[u8]) -> Self {
        Self::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])
    }
}

/// TIFF technical note 3 (2005): differences over the whole row of bytes, then planes back to numbers.
fn float_planes<S: Sample>(row: &mut [S], step: usize, scratch: &mut [u8]) {
    let size = size_of::<S>();
    let n = row.len();
    scratch.copy_from_slice(bytemuck::cast_slice(row));
    for i in step..scratch.len() {
        scratch[i] = scratch[i].wrapping_add(scratch[i - step]);
    }
    let mut number = [0u8; 8];
    for (i, s) in row.iter_mut().enumerate() {
        for (k, b) in number[..size].iter_mut().enumerate() {
            *b = scratch[k * n + i];
        }
        *s = S::of_high_first(&number[..size]);
    }
}
