//! Original files come into the picture byte for byte, and are on the disk before the edit that names them.

use crate::disk::{Disk, beside};
use crate::folder::source_file_name;
use crate::{Error, Folder};
use scene::{Source, SourceKind};
use std::io::Read;
use units::{Digest, Digester, PxSize};

/// A file that is to come into the picture.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct NewSource {
    /// What it is called where it comes from: a path or bare name.
    pub name: String,
    /// What it is for.
    pub kind: SourceKind,
    /// The picture in it, where it is known.
    pub size: Option<PxSize>,
    /// The artist's remark; may be empty.
    pub note: String,
}

/// How much is copied at a time.
const PART: usize = 1 << 20;
/// Of the name that is kept, in characters.
const LONGEST_NAME: usize = 1000;

/// Copies a file into the picture's folder and returns how the picture describes it. When this returns, the copy outlasts a
/// power failure.
pub(crate) fn bring_in(
    disk: &dyn Disk,
    folder: &Folder,
    mut from: impl Read,
    new: NewSource,
) -> Result<(Digest, Source), Error> {
    let doing = "copy the file into the picture";
    let sources = folder.keeps(new.kind);
    disk.make_folder(&sources).map_err(Error::disk(doing, &sources))?;
    let incoming = sources.join("incoming");
    let (_, temporary) = beside(&incoming).map_err(Error::disk(doing, &incoming))?;
    let copied = (|| {
        let mut file = disk.create(&temporary)?;
        let mut digester = Digester::new();
        let mut part = vec![0; PART];
        let mut bytes = 0;
        loop {
            let n = match from.read(&mut part) {
                Ok(0) => break,
                Ok(n) => n,
                Err(e) if e.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(e) => return Err(e),
            };
            digester.raw(&part[..n]);
            file.write(&part[..n])?;
            bytes += n as u64;
        }
        file.sync()?;
        drop(file);
        let digest = digester.finish();
        let name = source_file_name(&digest.short(), &new.name);
        disk.rename(&temporary, &sources.join(&name))?;
        disk.sync_folder(&sources)?;
        Ok((digest, name, bytes))
    })();
    let (digest, file, bytes) = copied.map_err(|error| {
        let _ = disk.remove(&temporary);
        Error::disk(doing, &sources)(error)
    })?;
    // What a system allows in a file's name, a picture may not hold: the name is for reading alone.
    let plain = |c: char| if c.is_control() { char::REPLACEMENT_CHARACTER } else { c };
    let name = new.name.chars().take(LONGEST_NAME).map(plain).collect();
    let source = Source { file, name, kind: new.kind, bytes, size: new.size, note: new.note };
    Ok((digest, source))
}
