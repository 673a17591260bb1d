//! Files that are made from one definition in the code, and committed.

use std::io;
use std::path::Path;

/// A file and what makes it.
type Made = (&'static str, fn() -> String);

const ALL: [Made; 1] = [("docs/formats/picture.schema.json", scene::file::schema)];

/// Those that are not what the code makes today.
#[must_use]
pub fn stale(root: &Path) -> Vec<&'static str> {
    let fresh = |made: &Made| std::fs::read_to_string(root.join(made.0)).is_ok_and(|there| there == made.1());
    ALL.iter().filter(|made| !fresh(made)).map(|made| made.0).collect()
}

/// Writes the stale ones and names them.
///
/// # Errors
/// Where the disk refuses.
pub fn write(root: &Path) -> io::Result<Vec<&'static str>> {
    let stale = stale(root);
    for (path, make) in ALL.iter().filter(|made| stale.contains(&made.0)) {
        std::fs::write(root.join(path), make())?;
    }
    Ok(stale)
}
