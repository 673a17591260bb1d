//! The types of the page's own scripts.

use std::process::Command;
use xtask::tools;

#[test]
fn the_types_of_the_page_hold() {
    let root = xtask::root();
    let (Some(node), Some(checker)) = (tools::on_path("node"), tools::type_checker(&root)) else {
        let hint = "node is not there, or npm ci was not run in ui/";
        assert!(!tools::must_not_be_left_out("types"), "{hint}");
        println!("skipped: the types of the studio's page ({hint})");
        return;
    };
    let checked =
        Command::new(node).arg(checker).args(["--pretty", "false", "-p", "ui"]).current_dir(&root).output();
    let checked = checked.unwrap();
    assert!(checked.status.success(), "{}", String::from_utf8_lossy(&checked.stdout));
}
