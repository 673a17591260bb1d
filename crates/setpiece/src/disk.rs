//! The one door to the disk, so that tests can put a failing one in its place.

use std::fs::{File, OpenOptions};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

/// What a picture asks of the disk.
pub trait Disk: Send + Sync {
    /// All bytes of a file.
    ///
    /// # Errors
    /// As the system says.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;

    /// Some bytes of a file.
    ///
    /// # Errors
    /// As the system says, and where the file is shorter.
    fn read_part(&self, path: &Path, from: u64, length: usize) -> io::Result<Vec<u8>>;

    /// An empty file to write to, in place of any that was there.
    ///
    /// # Errors
    /// As the system says.
    fn create(&self, path: &Path) -> io::Result<Box<dyn Writing>>;

    /// A file to write to at its end; it is made where there is none.
    ///
    /// # Errors
    /// As the system says.
    fn append(&self, path: &Path) -> io::Result<Box<dyn Writing>>;

    /// Gives a file another name, in place of any that had it, at once.
    ///
    /// # Errors
    /// As the system says.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Deletes a file.
    ///
    /// # Errors
    /// As the system says.
    fn remove(&self, path: &Path) -> io::Result<()>;

    /// Makes a folder, with those above it; one that is there is left as it is.
    ///
    /// # Errors
    /// As the system says.
    fn make_folder(&self, path: &Path) -> io::Result<()>;

    /// Returns when the names in a folder will outlast a power failure.
    ///
    /// # Errors
    /// As the system says.
    fn sync_folder(&self, path: &Path) -> io::Result<()>;
}

/// A file that is being written.
pub trait Writing: Send {
    /// All of the bytes; after an error some of them may be in the file.
    ///
    /// # Errors
    /// As the system says.
    fn write(&mut self, bytes: &[u8]) -> io::Result<()>;

    /// Returns when what was written will outlast a power failure.
    ///
    /// # Errors
    /// As the system says.
    fn sync(&mut self) -> io::Result<()>;

    /// Cuts the file off at a length.
    ///
    /// # Errors
    /// As the system says.
    fn cut(&mut self, length: u64) -> io::Result<()>;
}

/// The disk of this machine.
#[derive(Clone, Copy, Debug)]
pub struct Local;

struct LocalFile(File);

/// A file and nothing else: a pipe would be waited for, a device read without end.
fn open(path: &Path) -> io::Result<File> {
    if std::fs::metadata(path)?.is_file() {
        File::open(path)
    } else {
        Err(io::Error::new(io::ErrorKind::InvalidInput, "this is not a file"))
    }
}

impl Disk for Local {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        open(path)?.read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn read_part(&self, path: &Path, from: u64, length: usize) -> io::Result<Vec<u8>> {
        let mut file = open(path)?;
        file.seek(SeekFrom::Start(from))?;
        let mut bytes = vec![0; length];
        file.read_exact(&mut bytes)?;
        Ok(bytes)
    }

    fn create(&self, path: &Path) -> io::Result<Box<dyn Writing>> {
        Ok(Box::new(LocalFile(File::create(path)?)))
    }

    fn append(&self, path: &Path) -> io::Result<Box<dyn Writing>> {
        Ok(Box::new(LocalFile(OpenOptions::new().append(true).create(true).open(path)?)))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        std::fs::rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        std::fs::remove_file(path)
    }

    fn make_folder(&self, path: &Path) -> io::Result<()> {
        std::fs::create_dir_all(path)
    }

    #[cfg(unix)]
    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        File::open(path)?.sync_all()
    }

    // Elsewhere folders cannot be opened as files; the system orders a rename after the file's own sync.
    #[cfg(not(unix))]
    fn sync_folder(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }
}

impl Writing for LocalFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.write_all(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.0.sync_all()
    }

    fn cut(&mut self, length: u64) -> io::Result<()> {
        self.0.set_len(length)
    }
}

/// No disk: nothing is there, and what is written is gone.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Nowhere;

impl Disk for Nowhere {
    fn read(&self, _: &Path) -> io::Result<Vec<u8>> {
        Err(io::ErrorKind::NotFound.into())
    }

    fn read_part(&self, _: &Path, _: u64, _: usize) -> io::Result<Vec<u8>> {
        Err(io::ErrorKind::NotFound.into())
    }

    fn create(&self, _: &Path) -> io::Result<Box<dyn Writing>> {
        Ok(Box::new(Self))
    }

    fn append(&self, _: &Path) -> io::Result<Box<dyn Writing>> {
        Ok(Box::new(Self))
    }

    fn rename(&self, _: &Path, _: &Path) -> io::Result<()> {
        Ok(())
    }

    fn remove(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }

    fn make_folder(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }

    fn sync_folder(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }
}

impl Writing for Nowhere {
    fn write(&mut self, _: &[u8]) -> io::Result<()> {
        Ok(())
    }

    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn cut(&mut self, _: u64) -> io::Result<()> {
        Ok(())
    }
}

/// Puts bytes into a file so that at any moment, even after a power failure, the name leads to the whole old
/// file or the whole new one.
pub(crate) fn write_whole(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> io::Result<()> {
    let (folder, temporary) = beside(path)?;
    let written = (|| {
        let mut file = disk.create(&temporary)?;
        file.write(bytes)?;
        file.sync()?;
        // Closed before it is renamed: not every system renames an open file.
        drop(file);
        disk.rename(&temporary, path)
    })();
    if written.is_err() {
        // The first error is the one to tell; a temporary file left behind is removed at the next opening.
        let _ = disk.remove(&temporary);
    }
    written?;
    disk.sync_folder(folder)
}

/// The folder of a file, and the name that its next content has while it is being written.
pub(crate) fn beside(path: &Path) -> io::Result<(&Path, PathBuf)> {
    match (path.parent(), path.file_name()) {
        (Some(folder), Some(name)) => {
            let mut temporary = std::ffi::OsString::from(".");
            temporary.push(name);
            temporary.push(".part");
            Ok((folder, folder.join(temporary)))
        }
        _ => Err(io::Error::new(io::ErrorKind::InvalidInput, "the path names no file")),
    }
}
