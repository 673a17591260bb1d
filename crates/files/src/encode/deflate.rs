//! Deflate (RFC 1951) and its zlib wrapping (RFC 1950), in pieces that can be joined.
//!
//! Made for differences between neighbouring samples: those hardly ever repeat in longer patterns, so the search for
//! such patterns, which takes nearly all of a general packer's time, finds nothing. What helps is a good prefix code
//! and runs of one byte (flat areas), and that is all there is here.

use super::huffman::Codebook;

/// Two bytes that begin a zlib stream: Deflate, a window of 32 KB, packed quickly.
pub(super) const ZLIB_HEAD: [u8; 2] = [0x78, 0x01];

/// An empty last block.
pub(super) const LAST_BLOCK: [u8; 2] = [0x03, 0x00];

/// Bytes that share a code: enough for its table not to matter, few enough to follow the picture.
const BLOCK: usize = 1 << 17;

/// Literals, end of block, lengths.
const SYMBOLS: usize = 286;
const END: usize = 256;

/// Packs bytes into blocks that end on a whole byte and refer to nothing outside, none of them the last. Appends.
pub(super) fn blocks(bytes: &[u8], out: &mut Vec<u8>) {
    for block in bytes.chunks(BLOCK) {
        let mut counts = Counts::default();
        walk(block, &mut counts);
        let book = counts.book();
        let mut bits = Bits::new(out, block.len() * 2 + 1024);
        bits.put(0b100, 3); // not the last, with its own code
        write_book(&book, &mut bits);
        let mut packed = Packed { book: &book, bits };
        walk(block, &mut packed);
        let Packed { mut bits, .. } = packed;
        bits.put(book.codes[END].into(), book.lengths[END].into());
        // An empty stored block ends on a whole byte.
        bits.put(0, 3);
        bits.align();
        bits.put(0xffff_0000, 32);
        bits.finish();
    }
}

/// Packs bytes into a zlib stream of its own.
pub(super) fn zlib(bytes: &[u8]) -> Vec<u8> {
    let mut out = ZLIB_HEAD.to_vec();
    blocks(bytes, &mut out);
    out.extend(LAST_BLOCK);
    out.extend(simd_adler32::adler32(&bytes).to_be_bytes());
    out
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

/// Repeats of a byte that are written as a run: fewer take fewer bits as literals, if the byte is a common one.
const WORTH: usize = 8;

/// What is done with the pieces that a block falls into.
trait Take {
    fn eight(&mut self, literals: [u8; 8]);
    fn one(&mut self, literal: u8);
    /// The byte before, so many times again: 3 to 258.
    fn run(&mut self, length: usize);
}

/// Cuts a block into literals and runs: the same way whenever it is called.
#[inline(always)]
fn walk(block: &[u8], take: &mut impl Take) {
    let mut i = 0;
    while i < block.len() {
        if let Some(eight) = block.get(i..i + 8) {
            let eight: [u8; 8] = eight.try_into().expect("the slice has eight bytes");
            let word = u64::from_le_bytes(eight);
            let same = word ^ (word >> 8 | u64::from(block.get(i + 8).copied().unwrap_or(0)) << 56);
            // Whether any byte of it is zero (Mycroft 1987): then two neighbours are equal.
            if same.wrapping_sub(0x0101_0101_0101_0101) & !same & 0x8080_8080_8080_8080 == 0 {
                take.eight(eight);
                i += 8;
                continue;
            }
        }
        let literal = block[i];
        take.one(literal);
        i += 1;
        let mut run = block[i..].iter().take_while(|&&b| b == literal).count();
        if run >= WORTH {
            i += run;
            while run > 0 {
                // A rest of one or two would be no run: leave it three.
                let part = if run > 258 && run < 261 { 255 } else { run.min(258) };
                take.run(part);
                run -= part;
            }
        } else {
            // Short repeats: past them at once, so that no byte is looked at again and again.
            for _ in 0..run {
                take.one(literal);
            }
            i += run;
        }
    }
}

/// Symbol, number of further bits, their value, of a run's length (RFC 1951, 3.2.5).
#[inline(always)]
fn length_symbol(length: usize) -> (usize, u32, u64) {
    match length {
        3..=10 => (254 + length, 0, 0),
        258 => (285, 0, 0),
        _ => {
            let from = length - 3;
            let extra = from.ilog2() - 2;
            (257 + 4 * extra as usize + (from >> extra), extra, (from & ((1 << extra) - 1)) as u64)
        }
    }
}

struct Counts([[u32; SYMBOLS]; 4]);

impl Default for Counts {
    fn default() -> Self {
        Self([[0; SYMBOLS]; 4])
    }
}

impl Counts {
    fn book(&self) -> Codebook<SYMBOLS> {
        let mut sum: [u32; SYMBOLS] = std::array::from_fn(|i| self.0.iter().map(|t| t[i]).sum());
        sum[END] = 1;
        Codebook::new(&sum, 15)
    }
}

impl Take for Counts {
    #[inline(always)]
    fn eight(&mut self, literals: [u8; 8]) {
        // In turn into four tables: the same symbol twice in a row need not wait for itself.
        for (i, l) in literals.into_iter().enumerate() {
            self.0[i % 4][usize::from(l)] += 1;
        }
    }
    #[inline(always)]
    fn one(&mut self, literal: u8) {
        self.0[0][usize::from(literal)] += 1;
    }
    #[inline(always)]
    fn run(&mut self, length: usize) {
        self.0[0][length_symbol(length).0] += 1;
    }
}

struct Packed<'b, 'o> {
    book: &'b Codebook<SYMBOLS>,
    bits: Bits<'o>,
}

impl Take for Packed<'_, '_> {
    #[inline(always)]
    fn eight(&mut self, literals: [u8; 8]) {
        // Four codes have at most 60 bits, of which 56 fit beside the 7 that may wait: two and two.
        for two in literals.as_chunks::<2>().0 {
            let [a, b] = two.map(usize::from);
            let first = self.book.lengths[a];
            let code = u64::from(self.book.codes[a]) | u64::from(self.book.codes[b]) << first;
            self.bits.put(code, u32::from(first + self.book.lengths[b]));
        }
    }
    #[inline(always)]
    fn one(&mut self, literal: u8) {
        let l = usize::from(literal);
        self.bits.put(self.book.codes[l].into(), self.book.lengths[l].into());
    }
    #[inline(always)]
    fn run(&mut self, length: usize) {
        let (symbol, extra, value) = length_symbol(length);
        self.bits.put(self.book.codes[symbol].into(), self.book.lengths[symbol].into());
        self.bits.put(value, extra);
        // The only distance, 1, has a code of one bit: 0.
        self.bits.put(0, 1);
    }
}

/// The code of a block, itself coded (RFC 1951, 3.2.7).
fn write_book(book: &Codebook<SYMBOLS>, bits: &mut Bits<'_>) {
    const ORDER: [usize; 19] = [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15];
    let used = book.lengths.iter().rposition(|&l| l > 0).unwrap_or(0).max(END) + 1;
    // Two distances, of which the first is used: one code of one bit is all there is.
    let lengths: Vec<u8> = book.lengths[..used].iter().copied().chain([1]).collect();
    // Symbol, further bits, value: zeros in runs, everything else one by one.
    let mut list: Vec<(usize, u32, u64)> = Vec::new();
    let mut i = 0;
    while i < lengths.len() {
        let zeros = lengths[i..].iter().take_while(|&&l| l == 0).count().min(138);
        match zeros {
            0..=2 => list.push((lengths[i].into(), 0, 0)),
            3..=10 => list.push((17, 3, zeros as u64 - 3)),
            _ => list.push((18, 7, zeros as u64 - 11)),
        }
        i += if zeros < 3 { 1 } else { zeros };
    }
    let mut counts = [0; 19];
    list.iter().for_each(|l| counts[l.0] += 1);
    let code = Codebook::new(&counts, 7);
    let last = ORDER.iter().rposition(|&s| code.lengths[s] > 0).unwrap_or(3).max(3);
    bits.put(used as u64 - 257, 5);
    bits.put(0, 5);
    bits.put(last as u64 - 3, 4);
    ORDER[..=last].iter().for_each(|&s| bits.put(code.lengths[s].into(), 3));
    for (symbol, extra, value) in list {
        bits.put(code.codes[symbol].into(), code.lengths[symbol].into());
        bits.put(value, extra);
    }
}

/// Bits, the first lowest in each byte, eight bytes stored at a time.
struct Bits<'o> {
    out: &'o mut Vec<u8>,
    at: usize,
    waiting: u64,
    count: u32,
}

impl<'o> Bits<'o> {
    /// Appends to `out` at most `most` bytes.
    fn new(out: &'o mut Vec<u8>, most: usize) -> Self {
        let at = out.len();
        out.resize(at + most, 0);
        Self { out, at, waiting: 0, count: 0 }
    }

    /// At most 32 bits.
    #[inline(always)]
    fn put(&mut self, bits: u64, count: u32) {
        self.waiting |= bits << self.count;
        self.count += count;
        self.out[self.at..self.at + 8].copy_from_slice(&self.waiting.to_le_bytes());
        let whole = self.count & !7;
        self.at += (whole >> 3) as usize;
        self.waiting >>= whole;
        self.count -= whole;
    }

    fn align(&mut self) {
        if self.count > 0 {
            self.put(0, 8 - self.count);
        }
    }

    fn finish(self) {
        self.out.truncate(self.at);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::io::Read;

    fn unpacked(stream: &[u8]) -> Vec<u8> {
        let mut back = Vec::new();
        flate2::read::ZlibDecoder::new(stream).read_to_end(&mut back).unwrap();
        back
    }

    #[test]
    fn pieces_make_one_stream_that_another_reader_understands() {
        let whole: Vec<u8> =
            (0..700_000u32).map(|i| (i.wrapping_mul(i) >> 11) as u8 & (i >> 12) as u8).collect();
        let mut stream = ZLIB_HEAD.to_vec();
        let mut adler = 1;
        for piece in whole.chunks(333_333) {
            blocks(piece, &mut stream);
            adler = joined_adler(adler, simd_adler32::adler32(&piece), piece.len() as u64);
        }
        stream.extend(LAST_BLOCK);
        stream.extend(adler.to_be_bytes());
        assert_eq!(adler, simd_adler32::adler32(&whole.as_slice()));
        assert_eq!(unpacked(&stream), whole);
    }

    #[test]
    fn runs_of_every_length_come_back_and_are_short() {
        for length in (0..600).chain([5000, 131_071, 131_072, 131_073, 400_000]) {
            let bytes = vec![7; length];
            let packed = zlib(&bytes);
            assert_eq!(unpacked(&packed), bytes, "{length}");
            assert!(packed.len() < 120 + length / 300, "{length}: {}", packed.len());
        }
    }

    #[test]
    fn noise_of_few_values_needs_few_bits() {
        // 0 half of the time, 1 and 2 a quarter each: 1, 2 and 3 bits, since the end and the runs need codes too.
        let mut state = 1u64;
        let bytes: Vec<u8> = (0..100_000)
            .map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                [0, 0, 1, 2][(state >> 62) as usize]
            })
            .collect();
        let packed = zlib(&bytes);
        assert_eq!(unpacked(&packed), bytes);
        assert!(packed.len() < 100_000 / 8 * 7 / 4 + 500, "{}", packed.len());
    }

    proptest! {
        #[test]
        fn anything_comes_back(runs in prop::collection::vec((any::<u8>(), 1usize..300), 0..200)) {
            let bytes: Vec<u8> = runs.iter().flat_map(|&(b, n)| std::iter::repeat_n(b, n)).collect();
            prop_assert_eq!(unpacked(&zlib(&bytes)), bytes);
        }

        #[test]
        fn any_bytes_come_back(bytes in prop::collection::vec(0u8..4, 0..2000)) {
            prop_assert_eq!(unpacked(&zlib(&bytes)), bytes);
        }
    }
}
