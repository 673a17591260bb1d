//! What cargo tells of the packages.

use serde::Deserialize;
use std::path::Path;
use std::process::Command;

/// The packages of the repository, and all that they need, on every kind of machine.
#[derive(Clone, Debug, Deserialize)]
pub struct Metadata {
    /// In cargo's order.
    pub packages: Vec<Package>,
}

/// A package.
#[derive(Clone, Debug, Deserialize)]
pub struct Package {
    /// As others name it.
    pub name: String,
    /// Its version.
    pub version: String,
    /// An expression in SPDX's form.
    pub license: Option<String>,
    /// Where it comes from; nowhere: it is ours.
    pub source: Option<String>,
    /// What it names.
    pub dependencies: Vec<Dependency>,
    /// Its Cargo.toml.
    pub manifest_path: String,
}

/// One line under `[dependencies]` or its kin.
#[derive(Clone, Debug, Deserialize)]
pub struct Dependency {
    /// The package named.
    pub name: String,
    /// `dev` or `build`; nothing: an ordinary one.
    pub kind: Option<String>,
}

impl Metadata {
    /// Of a repository.
    ///
    /// # Errors
    /// Where cargo does not answer; also where Cargo.lock is out of date.
    pub fn of(root: &Path) -> Result<Self, String> {
        let told = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
            .args(["metadata", "--format-version", "1", "--locked"])
            .current_dir(root)
            .output()
            .map_err(|e| format!("cargo cannot be started: {e}"))?;
        if !told.status.success() {
            return Err(format!("cargo metadata: {}", String::from_utf8_lossy(&told.stderr).trim()));
        }
        serde_json::from_slice(&told.stdout).map_err(|e| format!("cargo metadata: {e}"))
    }

    /// Our own packages, each with the folder it lies in.
    pub fn ours(&self) -> impl Iterator<Item = (&str, &Package)> {
        self.packages.iter().filter(|p| p.source.is_none()).filter_map(|p| {
            let folder = Path::new(&p.manifest_path).parent()?.file_name()?.to_str()?;
            Some((folder, p))
        })
    }
}
