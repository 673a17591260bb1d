//! One writer at a time. The lock is the system's own and goes with the process, however that ends; the file
//! stays, and means nothing by itself.

use crate::{Error, Folder};
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read as _, Write as _};
use std::path::PathBuf;
use std::time::Duration;

/// The right to write to a picture, until it is dropped.
#[derive(Debug)]
pub(crate) struct Lock {
    _held: File,
}

/// How often it is tried before another writer is said to be there, and how long is waited between: edits follow one another in
/// milliseconds, and scripts start many at once.
const TRIES: u32 = 250;
const PAUSE: Duration = Duration::from_millis(10);

impl Lock {
    /// The right to edit a picture.
    pub(crate) fn take(folder: &Folder) -> Result<Self, Error> {
        Self::take_file(folder.lock(), folder)
    }

    /// The right to have a picture on a desk. It keeps no command from editing it.
    pub(crate) fn of_desk(folder: &Folder) -> Result<Self, Error> {
        Self::take_file(folder.desk(), folder).map_err(|e| match e {
            Error::Locked { path, by } => Error::OnDesk { path, by },
            other => other,
        })
    }

    fn take_file(path: PathBuf, folder: &Folder) -> Result<Self, Error> {
        let open = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path);
        let mut file = open.map_err(Error::disk("lock the picture", &path))?;
        let mut tried = file.try_lock();
        for _ in 1..TRIES {
            if !matches!(tried, Err(TryLockError::WouldBlock)) {
                break;
            }
            std::thread::sleep(PAUSE);
            tried = file.try_lock();
        }
        match tried {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                // Who holds it is said as a help alone: where it cannot be read, the lock still holds.
                let mut said = String::new();
                let _ = file.read_to_string(&mut said);
                return Err(Error::Locked { path: folder.path().to_owned(), by: said.trim().parse().ok() });
            }
            Err(TryLockError::Error(error)) => {
                return Err(Error::Disk { doing: "lock the picture", path, error });
            }
        }
        let _ = file.set_len(0).and_then(|()| writeln!(file, "{}", std::process::id()));
        Ok(Self { _held: file })
    }
}
