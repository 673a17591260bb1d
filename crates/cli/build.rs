//! Lists the demo's parts, so that the program carries them along wherever it is copied to.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let parts = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/parts");
    println!("cargo::rerun-if-changed={}", parts.display());
    let mut files = Vec::new();
    if parts.is_dir() {
        list(&parts, &mut files)?;
    }
    files.sort();
    let mut code = String::from("&[\n");
    for file in files {
        let name = file.strip_prefix(&parts).map_err(io::Error::other)?;
        let name = name.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
        println!("cargo::rerun-if-changed={}", file.display());
        writeln!(code, "    ({name:?}, include_bytes!({:?}) as &[u8]),", file.canonicalize()?)
            .map_err(io::Error::other)?;
    }
    code.push_str("]\n");
    let out =
        env::var_os("OUT_DIR").map(PathBuf::from).ok_or_else(|| io::Error::other("cargo sets OUT_DIR"))?;
    fs::write(out.join("demo_parts.rs"), code)
}

fn list(folder: &Path, files: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            list(&path, files)?;
        } else {
            files.push(path);
        }
    }
    Ok(())
}
