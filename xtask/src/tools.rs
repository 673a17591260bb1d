//! What some tests need beyond the Rust toolchain, and where it is.

use std::path::{Path, PathBuf};

/// Names the browser that the studio is tested in, where it is not on the path by an ordinary name.
pub const BROWSER: &str = "SETPIECE_BROWSER";

/// Names what must not be left out, parted by blanks: `browser`, `types`.
pub const NO_SKIP: &str = "SETPIECE_NO_SKIP";

const BROWSERS: [&str; 5] =
    ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"];

/// The browser: what `SETPIECE_BROWSER` names, or else one on the path.
#[must_use]
pub fn browser() -> Option<PathBuf> {
    match std::env::var_os(BROWSER) {
        Some(named) => Some(named.into()),
        None => BROWSERS.iter().find_map(|name| on_path(name)),
    }
}

/// A program on the path.
#[must_use]
pub fn on_path(name: &str) -> Option<PathBuf> {
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    let folders = std::env::var_os("PATH")?;
    std::env::split_paths(&folders).map(|folder| folder.join(&file)).find(|path| path.is_file())
}

/// The compiler that checks the types of the studio's page, where npm has installed it as `ui/package-lock.json` says.
#[must_use]
pub fn type_checker(root: &Path) -> Option<PathBuf> {
    let changed = |path: &str| root.join(path).metadata().and_then(|m| m.modified()).ok();
    let installed = changed("ui/node_modules/.package-lock.json")?;
    let checker = root.join("ui/node_modules/typescript/bin/tsc");
    (installed >= changed("ui/package-lock.json")? && checker.is_file()).then_some(checker)
}

/// Whether tests that need this must fail where it is missing, instead of being left out.
#[must_use]
pub fn must_not_be_left_out(what: &str) -> bool {
    std::env::var(NO_SKIP).is_ok_and(|all| all.split_whitespace().any(|one| one == what))
}
