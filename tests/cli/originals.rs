//! Originals that are not what they were, and files that are none.

use crate::support::{Room, names, samples8};
use std::fs;
use std::path::PathBuf;
use std::process::Command;

/// An original by a part of its name.
fn original(room: &Room, part: &str) -> PathBuf {
    let sources = room.join("marsh/sources");
    sources.join(names(&sources).iter().find(|n| n.contains(part)).unwrap())
}

#[test]
fn an_original_that_was_changed_is_said_with_a_cold_cache_and_a_warm_one() {
    let room = Room::with_post();
    room.run("render marsh -o right.png --depth 8").fine();
    let right = samples8(&room.join("right.png"));
    for part in ["post.png", "post-matte", "backdrop"] {
        let file = original(&room, part);
        let whole = fs::read(&file).unwrap();
        // A sound picture with other pixels, of the same length as far as the system tells: padded or cut short.
        let other =
            fs::read(room.join(if part == "backdrop" { "post.png" } else { "backdrop.png" })).unwrap();
        let mut same_length = other.clone();
        same_length.resize(whole.len(), 0);
        for (bytes, cold) in [(other, true), (same_length, false), (whole[..whole.len() / 2].to_vec(), false)]
        {
            if cold {
                fs::remove_dir_all(room.join("marsh/.cache")).unwrap();
            }
            fs::write(&file, &bytes).unwrap();
            let ran = room.run("render marsh -o wrong.png --depth 8 --over");
            assert_eq!(ran.code, 1, "{part}: {ran:?}");
            assert!(ran.err.contains("not what it was") && ran.err.contains(part), "{part}: {ran:?}");
            assert!(ran.err.contains("bring it back"), "{ran:?}");
            let listed = room.run("check marsh");
            assert!(listed.code == 1 && listed.out.contains("is not what it was"), "{listed:?}");
        }
        fs::remove_file(&file).unwrap();
        let ran = room.run("render marsh -o wrong.png --depth 8 --over");
        assert!(ran.code == 1 && ran.err.contains("missing") && ran.err.contains(part), "{ran:?}");
        fs::write(&file, &whole).unwrap();
        room.run("render marsh -o again.png --depth 8 --over").fine();
        assert_eq!(samples8(&room.join("again.png")), right, "{part}");
        assert!(room.run("check marsh").fine().out.contains("No snags"));
    }
}

#[test]
fn a_changed_original_is_mended_by_adding_the_file_again() {
    let room = Room::with_post();
    let file = original(&room, "post.png");
    let whole = fs::read(&file).unwrap();
    let mut changed = whole.clone();
    *changed.last_mut().unwrap() ^= 1;
    fs::write(&file, changed).unwrap();
    room.run("place marsh add second --shot post.png --matte post-matte.png --at 1,5").fine();
    assert_eq!(fs::read(&file).unwrap(), whole);
}

#[test]
fn a_rendering_does_not_take_the_place_of_the_pictures_own_files() {
    let room = Room::with_post();
    fs::create_dir(room.join("aside")).unwrap();
    let (file, name) = (original(&room, "post.png"), original(&room, "post.png"));
    let (name, whole) = (name.file_name().unwrap().to_str().unwrap(), fs::read(&file).unwrap());
    for to in [
        format!("marsh/sources/{name}"),
        format!("aside/../marsh/out/../sources/{name}"),
        "marsh/sources/new.png".to_owned(),
        "marsh/cutouts/a.tif".to_owned(),
        "marsh/rights/a.jpg".to_owned(),
        "marsh/.cache/a.exr".to_owned(),
    ] {
        for over in ["", "--over"] {
            room.refuses(&format!("render marsh -o {to} {over}"), 1, &["its own files", "out/"]);
        }
    }
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(room.join("marsh/sources"), room.join("way")).unwrap();
        room.refuses(&format!("render marsh -o way/{name} --over"), 1, &["its own files"]);
    }
    assert_eq!(fs::read(file).unwrap(), whole);
    room.run("render marsh -o marsh/out/a.png").fine();
}

/// The photographer's own files, outside the picture, are originals as well.
#[test]
fn a_rendering_does_not_take_the_place_of_a_file_that_came_in() {
    let room = Room::with_post();
    let before = fs::read(room.join("post.png")).unwrap();
    room.run("render marsh -o post.png --over").refused(1, &["post.png", "byte for byte"]);
    fs::copy(room.join("post.png"), room.join("copy.tif")).unwrap();
    room.run("touch-up marsh out Post copy.tif --over").refused(1, &["byte for byte"]);
    assert_eq!(fs::read(room.join("post.png")).unwrap(), before);
    // What is none of them is replaced, where that is said.
    fs::write(room.join("other.png"), &before[1..]).unwrap();
    room.run("render marsh -o other.png --over").fine();
}

#[test]
fn what_a_killed_rendering_left_is_removed() {
    let room = Room::with_post();
    let left = [".a.tif.4294967295-0.part", "marsh/out/.marsh.tif.4294967295-7.part"].map(|n| room.join(n));
    for file in &left {
        fs::write(file, "half").unwrap();
    }
    fs::write(room.join(".mine.part"), "precious").unwrap();
    room.run("render marsh -o a.png").fine();
    assert!(!left[0].exists() && left[1].exists() && room.join(".mine.part").exists());
    room.run("place marsh move post --at 0,5").fine();
    assert!(!left[1].exists());
}

#[test]
#[cfg(unix)]
fn pipes_and_devices_are_not_read() {
    let room = Room::with_post();
    assert!(Command::new("mkfifo").arg(room.join("pipe.png")).status().unwrap().success());
    for file in ["pipe.png", "/dev/zero"] {
        room.refuses(&format!("read marsh {file}"), 3, &["not a file"]);
        let words = format!("place marsh add a --shot {file} --matte post-matte.png --at 0,5");
        room.refuses(&words, 3, &["not a file"]);
    }
    let file = original(&room, "post.png");
    fs::remove_file(&file).unwrap();
    assert!(Command::new("mkfifo").arg(&file).status().unwrap().success());
    for words in ["check marsh", "place marsh list", "render marsh -o a.png"] {
        let ran = room.run(words);
        let told = format!("{}{}", ran.out, ran.err);
        assert!(ran.code == 1 && told.contains("not a file"), "{words}: {told}");
    }
}

#[test]
fn what_changes_nothing_is_no_edit_and_keeps_redo() {
    let room = Room::with_post();
    room.run("place marsh hide post").fine();
    room.run("place marsh move post --at 0,6").fine();
    room.run("undo marsh").fine();
    let before = room.bytes();
    for words in [
        "place marsh hide post",
        "place marsh stand post --stance upright",
        "place marsh move post --at 0,4",
        "place marsh nudge post size=+0%",
        "read marsh --camera-height 1",
    ] {
        let ran = room.run(words);
        assert!(ran.out.starts_with("Nothing changed"), "{words}: {ran:?}");
        assert_eq!(room.bytes(), before, "{words}");
    }
    room.run("redo marsh").fine();
    assert_eq!(
        room.run("place marsh hide post --json").fine().json()["done"][0]["number"],
        serde_json::Value::Null
    );
}

#[test]
fn undo_goes_all_the_way_or_not_at_all() {
    let room = Room::with_post();
    room.run("place marsh move post --at 0,6").fine();
    room.run("place marsh move post --at 0,7").fine();
    room.run("place marsh add second --cut-out post --at 1,5").fine();
    room.run("place marsh remove post").fine();
    room.run("undo marsh").fine();
    // A hand takes the post out.
    let file = room.join("marsh/picture.json");
    let mut json: serde_json::Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
    json["pieces"].as_object_mut().unwrap().retain(|_, piece| piece["name"] != "post");
    fs::write(&file, json.to_string()).unwrap();
    room.refuses("undo marsh 9", 1, &["edited by hand", "1 can be taken back", "move it out of the folder"]);
    room.run("undo marsh").fine();
    room.refuses("undo marsh", 1, &["edited by hand", "bring back picture.json"]);
}

#[test]
fn many_edits_at_once_wait_for_one_another() {
    let room = Room::with_post();
    let edits: Vec<_> = (0..24)
        .map(|n| {
            let words = ["place", "marsh", "move", "post", "--at"].map(String::from);
            Command::new(crate::support::binary())
                .args(words)
                .arg(format!("0,{}", 5 + n))
                .current_dir(room.path())
                .stdout(std::process::Stdio::null())
                .spawn()
                .unwrap()
        })
        .collect();
    for mut edit in edits {
        assert_eq!(edit.wait().unwrap().code(), Some(0));
    }
    assert_eq!(room.run("log marsh --json").fine().json().as_array().unwrap().len(), 2 + 24);
}

#[test]
fn a_file_is_not_a_picture() {
    let room = Room::with_post();
    for words in ["check backdrop.png", "place backdrop.png list", "undo backdrop.png", "render backdrop.png"]
    {
        room.run(words).refused(3, &["not the folder of a picture", "backdrop.png"]);
    }
}

#[test]
fn a_coloured_matte_is_named() {
    let room = Room::with_post();
    let ran = room.run("place marsh add a --shot post.png --matte post.png --at 0,5");
    ran.refused(3, &["coloured", "post.png"]);
}

/// The cache holds what can be computed again: what somebody wrote there changes no pixel.
#[test]
fn what_was_changed_in_the_cache_is_measured_anew() {
    let room = Room::with_post();
    room.run("render marsh -o a.png").fine();
    let kept = room.join("marsh/.cache/measured");
    let text = fs::read_to_string(&kept).unwrap();
    fs::write(&kept, text.replace("[200,", "[100,").replace(",200]", ",90]")).unwrap();
    room.run("render marsh -o b.png").fine();
    assert_eq!(fs::read(room.join("a.png")).unwrap(), fs::read(room.join("b.png")).unwrap());
    assert_eq!(fs::read_to_string(&kept).unwrap(), text);
}

/// Whoever looks at a picture that came from others writes nowhere outside it.
#[cfg(unix)]
#[test]
fn a_cache_that_leads_elsewhere_is_none() {
    let room = Room::with_post();
    fs::remove_dir_all(room.join("marsh/.cache")).unwrap();
    fs::create_dir(room.join("elsewhere")).unwrap();
    std::os::unix::fs::symlink(room.join("elsewhere"), room.join("marsh/.cache")).unwrap();
    room.run("place marsh list").fine();
    room.run("render marsh -o a.png").fine();
    assert!(names(&room.join("elsewhere")).is_empty());
}
