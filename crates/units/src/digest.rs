//! Content digests: files, pixels and cache entries are named by what they hold (SHA-256, FIPS 180-4).

use sha2::Digest as _;
use std::fmt;
use std::str::FromStr;

/// The SHA-256 of some content, written as 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// Of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(sha2::Sha256::digest(bytes).into())
    }

    /// The 32 bytes.
    #[must_use]
    pub const fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// The first 12 hexadecimal digits: enough to tell files apart in a message or a file name.
    #[must_use]
    pub fn short(&self) -> String {
        self.to_string()[..12].to_owned()
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|b| write!(f, "{b:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

/// The text is not 64 hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct NotADigest;

impl fmt::Display for NotADigest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a digest is written as 64 hexadecimal digits")
    }
}

impl std::error::Error for NotADigest {}

impl FromStr for Digest {
    type Err = NotADigest;

    fn from_str(text: &str) -> Result<Self, NotADigest> {
        let digits = text.as_bytes();
        if digits.len() != 64 || !digits.iter().all(u8::is_ascii_hexdigit) {
            return Err(NotADigest);
        }
        let mut out = [0; 32];
        for (byte, pair) in out.iter_mut().zip(digits.chunks_exact(2)) {
            let value = |d: u8| (d as char).to_digit(16).map_or(0, |v| v as u8);
            *byte = value(pair[0]) << 4 | value(pair[1]);
        }
        Ok(Self(out))
    }
}

/// A digest in the making, for content that comes in parts. Numbers go in as their bits, and each text
/// with its length before it, so that no two sequences of parts run together into the same content.
#[derive(Clone, Default)]
pub struct Digester(sha2::Sha256);

impl Digester {
    /// Nothing in it yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Bytes as they are, without a length.
    pub fn raw(&mut self, bytes: &[u8]) -> &mut Self {
        self.0.update(bytes);
        self
    }

    /// A text.
    pub fn text(&mut self, text: &str) -> &mut Self {
        self.number(text.len() as u64).raw(text.as_bytes())
    }

    /// A whole number.
    pub fn number(&mut self, n: u64) -> &mut Self {
        self.raw(&n.to_le_bytes())
    }

    /// A floating number, by its bits; both zeros are the same.
    pub fn float(&mut self, x: f64) -> &mut Self {
        self.number((x + 0.0).to_bits())
    }

    /// Another digest.
    pub fn digest(&mut self, d: &Digest) -> &mut Self {
        self.raw(&d.0)
    }

    /// The digest of all that went in.
    #[must_use]
    pub fn finish(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_standards_own_example() {
        // FIPS 180-2, appendix B.1: the message "abc".
        let d = Digest::of(b"abc");
        assert_eq!(d.to_string(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(d.to_string().parse(), Ok(d));
        assert_eq!("ba78".parse::<Digest>(), Err(NotADigest));
    }

    #[test]
    fn parts_do_not_run_together() {
        let two = |a: &str, b: &str| {
            let mut d = Digester::new();
            d.text(a).text(b);
            d.finish()
        };
        assert_ne!(two("ab", "c"), two("a", "bc"));
    }
}
