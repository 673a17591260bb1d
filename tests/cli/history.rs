//! `undo`, `redo`, `log`.

use crate::support::Room;

#[test]
fn undo_and_redo_last_over_every_start() {
    let room = Room::with_post();
    let depth = || room.card("post")["depth_m"].as_f64().unwrap();
    room.run("place marsh move post --at 0,6").fine();
    room.run("place marsh move post --at 0,8").fine();
    let said = room.run("undo marsh").fine().out;
    assert!(said.starts_with("Taken back: "), "{said}");
    assert_eq!(depth(), 6.0);
    room.run("redo marsh").fine();
    assert_eq!(depth(), 8.0);
    room.run("undo marsh 2").fine();
    assert_eq!(depth(), 4.0);
    let log = room.run("log marsh --json").fine().json();
    let last = log.as_array().unwrap().last().unwrap();
    assert_eq!((last["turn"].as_str(), last["stands"].as_bool()), (Some("undo"), Some(false)));
    assert!(room.run("log marsh").fine().out.contains("(taken back)"));
    assert_eq!(room.run("log marsh --last 2 --json").fine().json().as_array().unwrap().len(), 2);
    // One step took the piece out with its files' names.
    room.run("undo marsh").fine();
    assert_eq!(room.run("place marsh list --json").fine().json()["pieces"].as_array().unwrap().len(), 0);
    room.run("redo marsh").fine();
    assert_eq!(depth(), 4.0);
    room.run("undo marsh 99").fine();
    room.refuses("undo marsh", 1, &["nothing to undo"]);
    room.run("redo marsh 99").fine();
    room.refuses("redo marsh", 1, &["nothing to do again"]);
    assert_eq!(depth(), 8.0);
}

#[test]
fn what_was_taken_back_is_kept_aside_as_a_take() {
    let room = Room::with_post();
    room.refuses("take marsh aside later", 1, &["nothing was taken back"]);
    room.run("place marsh move post --at 0,6").fine();
    room.run("place marsh nudge post light=+0.5").fine();
    room.run("undo marsh 2").fine();
    room.run("take marsh aside later").fine();
    // The picture is as it was; the take has what was taken back, in its order.
    assert_eq!(room.card("post")["depth_m"].as_f64(), Some(4.0));
    let list = room.run("place marsh list --take later --json").fine().json();
    assert_eq!(list["pieces"][0]["depth_m"].as_f64(), Some(6.0));
    assert_eq!(list["pieces"][0]["light"]["nudge_stops"].as_f64(), Some(0.5));
    let takes = room.run("take marsh list --json").fine().json();
    assert_eq!(takes["takes"][0]["changes"].as_array().unwrap().len(), 2);
    room.run("place marsh move post --at 0,9").fine();
    room.refuses("take marsh aside again", 1, &["nothing was taken back"]);
}
