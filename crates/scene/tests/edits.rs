//! What holds for any sequence of edits.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod random;

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use scene::file::{from_file, from_line, to_file, to_line};
use scene::{
    CutOut, CutOutId, Edit, Format, Mark, Piece, PieceId, Put, Says, Scene, Source, SourceKind, Stroke,
    StrokeForm,
};
use std::collections::BTreeSet;
use units::{Digest, Metres, Pixels, PxSize};

/// A picture with three of the four files that random edits name, two cut-outs and two pieces.
fn picture() -> Scene {
    let mut scene = Scene::new("Marsh", Format::of_size(PxSize::new(1200, 800).unwrap())).unwrap();
    for n in 0..3 {
        let source = Source {
            file: format!("{n}.png"),
            name: format!("DSC{n}.png"),
            kind: SourceKind::Shot,
            bytes: 1,
            size: None,
            note: String::new(),
        };
        scene.apply(Edit::Source { digest: Digest::of(&[n]), put: Put::Add(Box::new(source)) }).unwrap();
    }
    for n in 1..3 {
        let stroke = Stroke {
            says: Says::Add,
            form: StrokeForm::Line,
            dots: vec![(Pixels::ZERO, Pixels::ZERO, Pixels::of(3.0))],
            soft: 0.0,
            strength: 1.0,
        };
        let strokes = vec![stroke; 3];
        let cutout = CutOut { strokes, ..CutOut::of(format!("Crane {n}"), Digest::of(&[0]), None) };
        let cutout_id = CutOutId::from_number(n);
        scene.apply(Edit::CutOut { id: cutout_id, put: Put::Add(Box::new(cutout)) }).unwrap();
        let piece = Piece::standing("", cutout_id, Mark::on_ground(Metres::ZERO, Metres::of(4.0)));
        scene.apply(Edit::Piece { id: PieceId::from_number(n), put: Put::Add(Box::new(piece)) }).unwrap();
    }
    scene
}

/// All of a picture, bit by bit, but for the next id, which never goes back.
fn all_of(scene: &Scene) -> String {
    let text = to_file(scene);
    text.lines().filter(|line| !line.starts_with("  \"next_id\":")).collect::<Vec<_>>().join("\n")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn undone_edits_leave_no_trace(edits in proptest::collection::vec(random::edit(), 1..60)) {
        let mut scene = picture();
        let mut done = Vec::new();
        for edit in edits {
            let before = to_file(&scene);
            let all_before = all_of(&scene);
            let next_before = scene.fresh().piece();
            match scene.apply(edit) {
                Ok(back) => done.push((all_before, back)),
                Err(refused) => {
                    prop_assert_eq!(to_file(&scene), before, "refused: {}", refused);
                    prop_assert!(!refused.what().is_empty() && !refused.remedy().is_empty());
                }
            }
            prop_assert!(scene.fresh().piece() >= next_before);
        }
        while let Some((before, back)) = done.pop() {
            let said = format!("{back:?}");
            scene.apply(back).unwrap();
            prop_assert_eq!(all_of(&scene), before, "undone by {}", said);
        }
    }

    #[test]
    fn the_journal_gives_the_same_picture(edits in proptest::collection::vec(random::edit(), 1..60)) {
        let mut scene = picture();
        let mut journal = Vec::new();
        let mut undone = None;
        for (n, edit) in edits.into_iter().enumerate() {
            // Now and then the last one is undone, as a line of its own.
            let edit = if n % 5 == 4 { undone.take().unwrap_or(edit) } else { edit };
            let line = edit.clone();
            if let Ok(back) = scene.apply(edit) {
                journal.push(to_line(&line));
                undone = Some(back);
            }
        }
        let mut again = picture();
        for line in &journal {
            let edit = from_line(line).unwrap();
            prop_assert_eq!(&to_line(&edit), line);
            again.apply(edit).unwrap();
        }
        prop_assert_eq!(to_file(&again), to_file(&scene));
    }

    #[test]
    fn a_picture_reads_back_to_the_bit(edits in proptest::collection::vec(random::edit(), 1..60)) {
        let mut scene = picture();
        edits.into_iter().for_each(|edit| drop(scene.apply(edit)));
        let text = to_file(&scene);
        let again = from_file(&text).unwrap();
        prop_assert_eq!(&again, &scene);
        prop_assert_eq!(to_file(&again), text);
        scene.takes().keys().for_each(|take| drop(scene.seen_as(*take)));
    }

    #[test]
    fn sentences_can_be_made_of_anything(edit in random::edit(), first in random::edit()) {
        let mut scene = picture();
        let _ = scene.apply(first);
        prop_assert!(!edit.sentence(&scene).is_empty());
    }
}

/// Guards the tests above: they say nothing about an edit that is always refused, or never.
#[test]
fn random_edits_of_every_kind_are_accepted_and_refused() {
    let mut runner = TestRunner::deterministic();
    let (mut accepted, mut refused, mut sorts) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    for _ in 0..60 {
        let mut scene = picture();
        for _ in 0..200 {
            let edit = random::edit().new_tree(&mut runner).unwrap().current();
            let sort = sort(&edit);
            sorts.insert(sort.clone());
            match scene.apply(edit) {
                Ok(_) => accepted.insert(sort),
                Err(_) => refused.insert(sort),
            };
        }
    }
    assert_eq!(sorts.difference(&accepted).collect::<Vec<_>>(), Vec::<&String>::new());
    // What these hold is checked when it is made.
    let never = ["Haze", "Lens", "Stated"];
    let unrefused: Vec<_> = sorts.difference(&refused).collect();
    assert!(unrefused.iter().all(|s| never.contains(&s.as_str())), "{unrefused:?}");
}

/// The variant of an edit, and of what it puts.
fn sort(edit: &Edit) -> String {
    let text = format!("{edit:?}");
    let head: String = text.chars().take_while(char::is_ascii_alphanumeric).collect();
    if head == "Group" {
        return head;
    }
    let inner = ["put: ", "change: "].iter().find_map(|key| text.split(key).nth(1)).unwrap_or_default();
    let inner: String = inner.chars().take_while(char::is_ascii_alphanumeric).collect();
    format!("{head} {inner}").trim().to_owned()
}
