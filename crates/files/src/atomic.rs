//! Files that are either whole or not there: written beside their place, synced, then put into it by renaming.

use crate::error::Error;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, Seek, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// What writing a file asks of a disk. The real one is [`TheDisk`]; tests have others, that fill up.
pub trait Disk {
    /// A file open for writing.
    type File: Write + Seek;

    /// Makes a new file; an error where there is one of that name.
    ///
    /// # Errors
    /// Where the disk refuses.
    fn create(&self, path: &Path) -> io::Result<Self::File>;

    /// Returns when the file's content is safe on the disk.
    ///
    /// # Errors
    /// Where the disk refuses.
    fn sync(&self, file: &mut Self::File) -> io::Result<()>;

    /// Puts a file in the place of another.
    ///
    /// # Errors
    /// Where the disk refuses.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Returns when the names in a folder are safe on the disk.
    ///
    /// # Errors
    /// Where the disk refuses.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// Where the disk refuses.
    fn remove(&self, path: &Path) -> io::Result<()>;
}

/// The disk of this machine.
#[derive(Clone, Copy, Debug, Default)]
pub struct TheDisk;

impl Disk for TheDisk {
    type File = File;

    fn create(&self, path: &Path) -> io::Result<File> {
        let file = OpenOptions::new().read(true).write(true).create_new(true).open(path)?;
        // Held while it is written, for [`sweep`]; where the system has no locks, the process's number tells as well.
        let _held = file.try_lock();
        Ok(file)
    }

    fn sync(&self, file: &mut File) -> io::Result<()> {
        file.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        // Elsewhere a folder cannot be opened; the rename is then as safe as the system makes it.
        if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }
}

/// Writes a file through the caller's function, whole or not at all. What stood there before stays until the new
/// file is safe, and stays for good where anything fails; nothing else is left behind.
///
/// # Errors
/// Where the caller's function fails, or the disk refuses.
pub fn write<T>(
    path: &Path,
    fill: impl FnOnce(&mut BufWriter<File>) -> Result<T, Error>,
) -> Result<T, Error> {
    write_on(&TheDisk, path, fill)
}

/// As [`write()`], on any disk.
///
/// # Errors
/// As [`write()`].
pub fn write_on<D: Disk, T>(
    disk: &D,
    path: &Path,
    fill: impl FnOnce(&mut BufWriter<D::File>) -> Result<T, Error>,
) -> Result<T, Error> {
    let (beside, file) = begin(disk, path)?;
    let made = complete(disk, path, file, fill).and_then(|(value, _held)| {
        disk.rename(&beside, path).map_err(|e| Error::disk("cannot be put into its place", path, &e))?;
        Ok(value)
    });
    let value = made.inspect_err(|_| {
        // The first error is the one to tell; what is left over after a second one is removed by hand.
        let _left = disk.remove(&beside);
    })?;
    disk.sync_folder(folder_of(path)).map_err(|e| Error::disk("its folder cannot be synced", path, &e))?;
    Ok(value)
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."))
}

/// A new file in the same folder, so that renaming does not copy.
fn begin<D: Disk>(disk: &D, path: &Path) -> Result<(PathBuf, D::File), Error> {
    static NEXT: AtomicU64 = AtomicU64::new(0);
    let refused = |e: &io::Error| Error::disk("cannot be written", path, e);
    let name = path.file_name().ok_or_else(|| refused(&io::ErrorKind::InvalidFilename.into()))?;
    loop {
        let mut hidden = std::ffi::OsString::from(".");
        hidden.push(name);
        hidden.push(format!(".{}-{}.part", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed)));
        let beside = folder_of(path).join(hidden);
        match disk.create(&beside) {
            Ok(file) => return Ok((beside, file)),
            // Left over from a process of the same number that was killed.
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
            Err(e) => return Err(refused(&e)),
        }
    }
}

fn complete<D: Disk, T>(
    disk: &D,
    path: &Path,
    file: D::File,
    fill: impl FnOnce(&mut BufWriter<D::File>) -> Result<T, Error>,
) -> Result<(T, D::File), Error> {
    let refused = |e: &io::Error| Error::disk("cannot be written", path, e);
    let mut out = BufWriter::with_capacity(1 << 18, file);
    let value = match fill(&mut out) {
        Ok(value) => value,
        Err(e) => {
            // What waits in the buffer is of no use any more.
            drop(out.into_parts());
            return Err(e.in_file(path));
        }
    };
    let mut file = out.into_inner().map_err(|e| refused(e.error()))?;
    disk.sync(&mut file).map_err(|e| refused(&e))?;
    Ok((value, file))
}

/// Removes from a folder what writers that were killed left behind: files of the names given here, whose process is gone. Whatever
/// cannot be told or removed stays.
pub fn sweep(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.filter_map(Result::ok) {
        let left = entry.file_name().to_str().and_then(process_of).is_some_and(|process| !is_alive(process));
        if left && entry.file_type().is_ok_and(|t| t.is_file()) {
            let path = entry.path();
            // The lock goes with its process, also with one of another machine.
            if File::open(&path).is_ok_and(|file| file.try_lock().is_ok()) {
                let _stays = fs::remove_file(&path);
            }
        }
    }
}

/// The process in a name that [`begin`] gives: `.NAME.PROCESS-COUNT.part`.
fn process_of(name: &str) -> Option<u32> {
    let inner = name.strip_prefix('.')?.strip_suffix(".part")?;
    let (process, count) = inner.rsplit_once('.')?.1.split_once('-')?;
    count.parse::<u64>().ok()?;
    process.parse().ok()
}

fn is_alive(process: u32) -> bool {
    // Elsewhere than on Linux the lock alone tells, and this process knows itself.
    process == std::process::id()
        || cfg!(target_os = "linux") && Path::new("/proc").join(process.to_string()).exists()
}

#[cfg(test)]
mod tests {
    use super::process_of;

    #[test]
    fn a_part_names_its_process() {
        assert_eq!(process_of(".dusk.v2.tif.4711-3.part"), Some(4711));
        for other in
            ["dusk.tif", ".dusk.tif.part", "dusk.4711-3.part", ".dusk.4711.part", ".4711-3.part", ".part"]
        {
            assert_eq!(process_of(other), None, "{other}");
        }
    }
}
