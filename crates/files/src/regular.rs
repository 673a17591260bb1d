//! Files and nothing else: a pipe would be waited for, a device read without end.

use crate::error::{Error, Fault};
use std::fs::File;
use std::path::Path;

/// Opens a file for reading; with its length in bytes.
///
/// # Errors
/// Where it is a folder, a pipe or a device, or the disk refuses.
pub fn open(path: &Path) -> Result<(File, u64), Error> {
    // Asked before it is opened: opening a pipe already waits for its other end.
    let found = std::fs::metadata(path).map_err(|e| Error::unread(path, &e))?;
    if !found.is_file() {
        let what = if found.is_dir() { "a folder, not a file" } else { "a pipe or a device, not a file" };
        return Err(Error::new(Fault::Disk, format!("this is {what}"), path.display().to_string())
            .with_remedy("name a JPEG, PNG, TIFF, WebP or OpenEXR file"));
    }
    Ok((File::open(path).map_err(|e| Error::unread(path, &e))?, found.len()))
}
