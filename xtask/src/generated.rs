//! Files that are made from one definition in the code, and committed.

use crate::page;
use std::io;
use std::path::Path;

/// Every made file, from the repository's root, and what it should hold.
fn all(root: &Path) -> io::Result<Vec<(String, String)>> {
    let mut all = vec![("docs/formats/picture.schema.json".to_owned(), scene::file::schema())];
    all.extend(page::made(root)?);
    Ok(all)
}

/// Those that are not what the code makes today.
///
/// # Errors
/// Where what they are made from cannot be read.
pub fn stale(root: &Path) -> io::Result<Vec<String>> {
    let all = all(root)?.into_iter();
    let stale =
        all.filter(|(path, text)| std::fs::read_to_string(root.join(path)).ok().as_ref() != Some(text));
    Ok(stale.map(|(path, _)| path).collect())
}

/// Writes the stale ones and names them.
///
/// # Errors
/// Where the disk refuses, or what they are made from cannot be read.
pub fn write(root: &Path) -> io::Result<Vec<String>> {
    let stale = stale(root)?;
    for (path, text) in all(root)?.into_iter().filter(|(path, _)| stale.contains(path)) {
        let path = root.join(path);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder)?;
        }
        std::fs::write(path, text)?;
    }
    Ok(stale)
}
