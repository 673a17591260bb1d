//! `cut` of several shots.

use crate::cut::shot;
use crate::support::{Room, names, picture};

#[test]
fn a_folder_of_shots_is_cut_out_and_what_cannot_be_does_not_keep_the_others() {
    let room = Room::new();
    std::fs::create_dir(room.join("shots")).unwrap();
    shot(&room, "shots/a.png");
    shot(&room, "shots/b.png");
    std::fs::write(room.join("shots/notes.txt"), "read me").unwrap();
    std::fs::write(room.join("shots/broken.jpg"), "no picture").unwrap();
    let ran = room.run("cut shots --mattes mattes --sheet sheet.html --quick");
    assert_eq!(ran.code, 1, "{ran:?}");
    assert!(ran.out.contains("broken.jpg not cut out") && ran.out.contains("2 of 3 shots"), "{ran:?}");
    assert_eq!(names(&room.join("mattes")), ["a-matte.png", "b-matte.png"]);
    let page = std::fs::read_to_string(room.join("sheet.html")).unwrap();
    assert_eq!(page.matches("data:image/png;base64,").count(), 6, "three pictures for each that was cut");
    assert!(page.contains("broken.jpg") && page.contains("3 shots, 1 to look at"));
    // What is there stays, unless it may go.
    let again = room.run("cut shots/a.png --mattes mattes --quick");
    assert!(again.code == 1 && again.out.contains("already"), "{again:?}");
    room.run("cut shots/a.png --mattes mattes --quick --over --sheet sheet.png").fine();
    assert_eq!(picture(&room.join("sheet.png")).size().width(), 3 * 420 + 4 * 12);
}

#[test]
fn what_is_asked_of_several_shots_is_asked_rightly() {
    let room = Room::new();
    shot(&room, "a.png");
    std::fs::create_dir(room.join("other")).unwrap();
    std::fs::create_dir(room.join("empty")).unwrap();
    shot(&room, "other/a.png");
    room.run("cut a.png other/a.png --matte m.png").refused(2, &["one matte", "--mattes"]);
    room.run("cut a.png other/a.png --mattes m").refused(2, &["one matte", "other/a.png"]);
    room.run("cut empty --mattes m").refused(3, &["no photograph"]);
    room.run("cut a.png --mattes m --sheet sheet.tif").refused(2, &[".html or .png"]);
    room.run("cut a.png --matte m.png --sheet sheet.html").refused(2, &["--mattes"]);
    room.run("cut a.png --matte m.png --laid look.exr").refused(2, &[".jpg"]);
}

#[test]
fn laid_on_velvet_and_paper_no_rim_is_left() {
    let room = Room::new();
    shot(&room, "a.png");
    for (on, ground) in [("velvet", 0.004), ("grey-card", 0.18), ("white-paper", 0.9)] {
        room.run(&format!("cut a.png --matte m.png --laid look.png --on {on} --over --quick")).fine();
        let codes = crate::support::samples8(&room.join("look.png"));
        let code = (255.0 * pixels::encode::Transfer::Srgb.encode(ground)).round() as u8;
        // Far from the thing there is the ground alone; within it, the thing alone.
        assert_eq!(codes[..3], [code; 3], "{on}");
        let middle = (120 * 240 + 110) * 3;
        assert!(codes[middle].abs_diff(89) < 3, "{on}: {}", codes[middle]);
    }
}
