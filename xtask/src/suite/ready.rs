//! Gets what some tests need beyond the Rust toolchain, where it can be got; without it they are left out, and say so.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use xtask::tools;

/// A browser, and the compiler that checks the page's types.
pub(super) fn all(root: &Path) {
    browser();
    types(root);
}

/// Installs a browser where this is Debian and we may.
fn browser() {
    if tools::browser().is_some() || !is_debian() || !is_root() {
        return;
    }
    println!("installing chromium by apt-get: the studio is tested in it");
    let apt = |words: &[&str]| {
        let mut command = Command::new("apt-get");
        command.env("DEBIAN_FRONTEND", "noninteractive").arg("-qq").args(words);
        is_done(&mut command)
    };
    let install = ["install", "-y", "--no-install-recommends", "chromium"];
    // Its list of packages may be old, or not there.
    let is_there = apt(&install) || (apt(&["update"]) && apt(&install));
    if !is_there {
        println!("chromium cannot be installed");
    }
}

/// Lets npm install what checks the page's types, as its lock file says.
fn types(root: &Path) {
    let (Some(_), Some(npm)) = (tools::on_path("node"), tools::on_path("npm")) else { return };
    if tools::type_checker(root).is_some() {
        return;
    }
    println!("installing what checks the types of the studio's page by npm, into ui/node_modules");
    let mut command = Command::new(npm);
    command.args(["ci", "--silent", "--no-audit", "--no-fund"]).current_dir(root.join("ui"));
    if !is_done(&mut command) {
        println!("what checks the page's types cannot be installed");
    }
}

fn is_done(command: &mut Command) -> bool {
    command.stdin(Stdio::null()).stdout(Stdio::null()).status().is_ok_and(|s| s.success())
}

fn is_debian() -> bool {
    let about = fs::read_to_string("/etc/os-release").unwrap_or_default();
    about.lines().any(|line| line == "ID=debian") && tools::on_path("apt-get").is_some()
}

fn is_root() -> bool {
    let told = Command::new("id").arg("-u").output();
    told.is_ok_and(|told| told.stdout.trim_ascii() == b"0")
}
