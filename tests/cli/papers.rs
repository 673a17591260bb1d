//! Papers kept with a picture.

use crate::support::{Room, names};
use std::fs;

#[test]
fn a_receipt_is_kept_byte_for_byte_and_can_be_taken_back() {
    let room = Room::with_post();
    let receipt = b"%PDF-1.7\nMarsh at dusk, one backdrop\n\0\xff";
    fs::write(room.join("receipt no. 7.pdf"), receipt).unwrap();
    fs::write(room.join("terms.txt"), "500 prints").unwrap();
    let keep = |words: &[&str]| {
        let all = ["rights", "marsh", "keep"].iter().chain(words).map(|w| (*w).to_owned());
        room.command(all)
    };
    let told = keep(&["receipt no. 7.pdf", "terms.txt", "--note", "backdrop, bought 3 May"]).fine();
    assert!(told.out.contains("Paper receipt no. 7.pdf kept") && told.out.contains("terms.txt"), "{told:?}");
    let listed = room.run("rights marsh --json").fine().json();
    let papers = listed["papers"].as_array().unwrap();
    assert_eq!(papers.len(), 2);
    assert_eq!(
        (&papers[0]["name"], &papers[0]["bytes"]),
        (&"receipt no. 7.pdf".into(), &receipt.len().into())
    );
    assert_eq!(papers[0]["note"], "backdrop, bought 3 May");
    let file = room.join("marsh/rights").join(papers[0]["file"].as_str().unwrap());
    assert_eq!(fs::read(&file).unwrap(), receipt);
    assert!(room.run("rights marsh").fine().out.contains("no legal advice"));
    // Kept once.
    let before = room.bytes();
    keep(&["terms.txt"]).fine();
    assert_eq!(before, room.bytes());
    // Taken out, and back again.
    room.run("rights marsh remove terms.txt").fine();
    assert_eq!(room.run("rights marsh --json").json()["papers"].as_array().unwrap().len(), 1);
    room.run("undo marsh").fine();
    assert_eq!(room.run("rights marsh --json").json()["papers"], listed["papers"]);
    // Damage is found.
    fs::write(&file, b"another").unwrap();
    let found = room.run("check marsh");
    assert!(found.code == 1 && found.out.contains("receipt no. 7.pdf is not what it was"), "{found:?}");
}

#[test]
fn what_is_no_paper_is_refused() {
    let room = Room::with_post();
    for (words, code, said) in [
        ("rights marsh keep none.pdf", 3, ["none.pdf", "no"]),
        ("rights marsh keep .", 3, [".", "not"]),
        ("rights marsh keep post.png", 1, ["post.png", "already"]),
        ("rights marsh remove none.pdf", 1, ["none.pdf", ""]),
        ("rights marsh keep", 2, ["FILE", ""]),
    ] {
        room.refuses(words, code, &said);
    }
    assert!(names(&room.join("marsh/rights")).is_empty());
}
