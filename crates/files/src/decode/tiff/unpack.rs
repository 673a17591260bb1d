//! The bytes of one strip or tile.

use crate::error::Error;
use flate2::{Decompress, FlushDecompress};

/// How strips and tiles are stored (tag 259).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Packing {
    None,
    Lzw,
    Deflate,
    PackBits,
}

impl Packing {
    pub(super) fn of_number(n: u64) -> Result<Self, Error> {
        let place = format!("compression {n}");
        Ok(match n {
            1 => Self::None,
            5 => Self::Lzw,
            8 | 32946 => Self::Deflate,
            32773 => Self::PackBits,
            2..=4 => return Err(Error::unsupported("fax compression", place)),
            6 | 7 => return Err(Error::unsupported("JPEG within TIFF", place)),
            50000 => return Err(Error::unsupported("Zstandard compression", place)),
            34925 => return Err(Error::unsupported("LZMA compression", place)),
            _ => return Err(Error::unsupported("a compression that is not known", place)),
        })
    }

    /// Unpacks into `out`, which must become full.
    pub(super) fn unpack(
        self,
        packed: &[u8],
        out: &mut [u8],
        place: &dyn Fn() -> String,
    ) -> Result<(), Error> {
        let damaged = |what: &str| Error::damaged(what, place());
        let filled = match self {
            Self::None => {
                let n = packed.len().min(out.len());
                out[..n].copy_from_slice(&packed[..n]);
                n
            }
            Self::Lzw => {
                let mut decoder =
                    weezl::decode::Configuration::with_tiff_size_switch(weezl::BitOrder::Msb, 8).build();
                let mut filled = 0;
                let mut read = 0;
                // The decoder stops at the end of either side; a few turns empty its inner buffer.
                while filled < out.len() {
                    let r = decoder.decode_bytes(&packed[read..], &mut out[filled..]);
                    read += r.consumed_in;
                    filled += r.consumed_out;
                    match r.status {
                        Ok(weezl::LzwStatus::Ok) if r.consumed_in + r.consumed_out > 0 => {}
                        Ok(_) => break,
                        Err(e) => return Err(damaged(&format!("its LZW data is broken: {e}"))),
                    }
                }
                filled
            }
            Self::Deflate => {
                let mut inflate = Decompress::new(true);
                inflate
                    .decompress(packed, out, FlushDecompress::Finish)
                    .map_err(|e| damaged(&format!("its Deflate data is broken: {e}")))?;
                inflate.total_out() as usize
            }
            Self::PackBits => pack_bits(packed, out),
        };
        if filled < out.len() {
            return Err(damaged(&format!("it ends after {filled} of {} bytes", out.len())));
        }
        Ok(())
    }
}

/// TIFF 6.0 section 9. Returns how many bytes came out.
fn pack_bits(mut packed: &[u8], out: &mut [u8]) -> usize {
    let mut filled = 0;
    while filled < out.len() {
        let Some((&n, rest)) = packed.split_first() else { break };
        packed = rest;
        let room = out.len() - filled;
        match n as i8 {
            -128 => {}
            n if n >= 0 => {
                let run = (n as usize + 1).min(room).min(packed.len());
                out[filled..filled + run].copy_from_slice(&packed[..run]);
                filled += run;
                packed = packed.get(n as usize + 1..).unwrap_or_default();
            }
            n => {
                let Some((&byte, rest)) = packed.split_first() else { break };
                packed = rest;
                let run = (1 - isize::from(n)) as usize;
                let run = run.min(room);
                out[filled..filled + run].fill(byte);
                filled += run;
            }
        }
    }
    filled
}
