//! Deflate (RFC 1951) and its zlib wrapping (RFC 1950), in pieces that can be joined.

use crate::error::Error;
use flate2::{Compress, Compression, FlushCompress, Status};

/// Two bytes that begin a zlib stream: Deflate, a window of 32 KB, packed quickly.
pub(super) const ZLIB_HEAD: [u8; 2] = [0x78, 0x01];

/// An empty last block.
pub(super) const LAST_BLOCK: [u8; 2] = [0x03, 0x00];

/// Packs bytes into blocks that end on a whole byte and refer to nothing outside, none of them the last. Appends.
pub(super) fn blocks(bytes: &[u8], out: &mut Vec<u8>) -> Result<(), Error> {
    let broken = || Error::new(crate::Fault::Refused, "the data could not be packed", "Deflate");
    let mut compress = Compress::new(Compression::new(2), false);
    out.reserve(bytes.len() / 2 + 64);
    loop {
        let read = compress.total_in() as usize;
        let before = out.len();
        match compress.compress_vec(&bytes[read..], out, FlushCompress::Sync).map_err(|_| broken())? {
            Status::Ok | Status::BufError if out.len() == out.capacity() => out.reserve(out.len() / 2 + 4096),
            Status::StreamEnd => return Err(broken()),
            _ if compress.total_in() as usize == bytes.len() => return Ok(()),
            _ if out.len() == before => return Err(broken()),
            _ => {}
        }
    }
}

/// Packs bytes into a zlib stream of its own.
pub(super) fn zlib(bytes: &[u8]) -> Result<Vec<u8>, Error> {
    let mut out = ZLIB_HEAD.to_vec();
    blocks(bytes, &mut out)?;
    out.extend(LAST_BLOCK);
    out.extend(simd_adler32::adler32(&bytes).to_be_bytes());
    Ok(out)
}

/// Adler-32 of two pieces joined, from that of each (RFC 1950, section 8.2: sums modulo 65521).
pub(super) fn joined_adler(first: u32, second: u32, second_length: u64) -> u32 {
    const BASE: u64 = 65521;
    let (a1, b1) = (u64::from(first & 0xffff), u64::from(first >> 16));
    let (a2, b2) = (u64::from(second & 0xffff), u64::from(second >> 16));
    let n = second_length % BASE;
    let a = (a1 + a2 + BASE - 1) % BASE;
    let b = (b1 + b2 + n * ((a1 + BASE - 1) % BASE)) % BASE;
    (b << 16 | a) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read;

    #[test]
    fn pieces_make_one_stream_that_another_reader_understands() {
        let whole: Vec<u8> = (0..200_000u32).map(|i| (i.wrapping_mul(i) >> 11) as u8).collect();
        let mut stream = ZLIB_HEAD.to_vec();
        let mut adler = 1;
        for piece in whole.chunks(33_333) {
            blocks(piece, &mut stream).unwrap();
            adler = joined_adler(adler, simd_adler32::adler32(&piece), piece.len() as u64);
        }
        stream.extend(LAST_BLOCK);
        stream.extend(adler.to_be_bytes());
        assert_eq!(adler, simd_adler32::adler32(&whole.as_slice()));
        let mut back = Vec::new();
        flate2::read::ZlibDecoder::new(&stream[..]).read_to_end(&mut back).unwrap();
        assert_eq!(back, whole);
    }
}
