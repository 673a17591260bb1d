//! Where a rendering may go: nowhere that a picture keeps what it is made of.

use super::render::Existing;
use super::{Error, Kind};
use crate::Folder;
use scene::Scene;
use std::path::{Path, PathBuf};

/// That a rendering may become this file.
///
/// # Errors
/// Where it is a folder, one of the picture's own files, among its originals or the file that one came from, or there already and to be kept.
pub(crate) fn allowed(
    path: &Path,
    (scene, folder): (&Scene, &Folder),
    existing: Existing,
) -> Result<(), Error> {
    let place = path.display().to_string();
    if path.is_dir() {
        return Err(Error::new(
            Kind::Files,
            "this is a folder, not a file",
            place,
            "name a file in it, ending in .tif, .png, .jpg or .exr",
        ));
    }
    if is_own(path, folder) {
        return Err(Error::refused(
            "the picture keeps its own files there, and a rendering must not take the place of one",
            place,
            "name another place: out/ in the picture's folder is for deliveries",
        ));
    }
    if existing == Existing::Keep && path.exists() {
        return Err(super::write::taken(path));
    }
    if let Some(name) = original(path, scene) {
        return Err(Error::refused(
            format!(
                "this is the file that {name} came from, byte for byte, and originals are never written to"
            ),
            place,
            "name another file",
        ));
    }
    Ok(())
}

/// The name of the picture's original that a file is, byte for byte, wherever it lies.
fn original<'s>(path: &Path, scene: &'s Scene) -> Option<&'s str> {
    let length = std::fs::metadata(path).ok().filter(std::fs::Metadata::is_file)?.len();
    if !scene.sources().values().any(|s| s.bytes == length) {
        return None;
    }
    let (digest, _) = files::digest(path).ok()?;
    Some(&scene.sources().get(&digest)?.name)
}

/// The folder that a file is in, as a path that leads somewhere.
pub(crate) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Whether a file is, or would be, one of those that a picture consists of, by whatever way the path leads there.
fn is_own(path: &Path, folder: &Folder) -> bool {
    let real =
        |paths: &[PathBuf]| -> Vec<PathBuf> { paths.iter().filter_map(|p| p.canonicalize().ok()).collect() };
    let mut folders = real(&[folder.sources(), folder.cutouts(), folder.rights()]);
    folders.extend(folder.cache().and_then(|p| p.canonicalize().ok()));
    let files = real(&[folder.picture(), folder.journal(), folder.lock()]);
    // The name itself, in the folder that it really is in; and what it leads to, where it is a link.
    let above = folder_of(path).canonicalize().ok();
    let named = above.zip(path.file_name()).map(|(above, name)| above.join(name));
    [named, path.canonicalize().ok()]
        .into_iter()
        .flatten()
        .any(|p| files.contains(&p) || folders.iter().any(|folder| p.starts_with(folder)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_way_leads_to_the_pictures_own_files() {
        let room = tempfile::tempdir().unwrap();
        let at = |name: &str| room.path().join(name);
        for inner in ["p/sources/deep", "p/cutouts", "p/rights", "p/out", "p/.cache", "elsewhere"] {
            std::fs::create_dir_all(at(inner)).unwrap();
        }
        for file in ["p/picture.json", "p/journal.ndjson", "p/.lock", "p/sources/crane.png"] {
            std::fs::write(at(file), "").unwrap();
        }
        let folder = Folder::at(&at("p"));
        let refused = |name: &str| is_own(&at(name), &folder);
        for own in [
            "p/sources/crane.png",
            "p/sources/new.png",
            "p/sources/deep/a.png",
            "p/out/../sources/crane.png",
            "p/cutouts/a.png",
            "p/rights/a.png",
            "p/.cache/a.png",
            "p/picture.json",
            "p/journal.ndjson",
            "p/.lock",
        ] {
            assert!(refused(own), "{own}");
        }
        for free in ["p/out/a.png", "p/a.png", "elsewhere/a.png", "sources.png", "p/sources.png"] {
            assert!(!refused(free), "{free}");
        }
        #[cfg(unix)]
        {
            use std::os::unix::fs::symlink;
            symlink(at("p/sources"), at("way")).unwrap();
            symlink(at("p/sources/crane.png"), at("elsewhere/link.png")).unwrap();
            assert!(refused("way/a.png") && refused("elsewhere/link.png"));
        }
    }
}
