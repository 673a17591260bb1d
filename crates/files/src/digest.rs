//! What a file is called by: the digest of its content.

use crate::error::Error;
use crate::regular::open;
use std::io::Read;
use std::path::Path;
use units::{Digest, Digester};

/// The digest and the length in bytes of a file, read piece by piece.
///
/// # Errors
/// Where it is no file, or the disk refuses.
pub fn digest(path: &Path) -> Result<(Digest, u64), Error> {
    let (mut file, _) = open(path)?;
    let mut digester = Digester::new();
    let mut piece = vec![0; 1 << 20];
    let mut length = 0;
    loop {
        match file.read(&mut piece) {
            Ok(0) => return Ok((digester.finish(), length)),
            Ok(n) => {
                digester.raw(&piece[..n]);
                length += n as u64;
            }
            Err(e) if e.kind() == std::io::ErrorKind::Interrupted => {}
            Err(e) => return Err(Error::unread(path, &e)),
        }
    }
}
