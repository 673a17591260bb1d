//! A whole job: from an empty folder to a print file, by hand; and the same decisions as a script.

use crate::browser::Browser;
use crate::stage::{Stage, part};
use crate::support::{Room, backdrop, form_of, names, picture, write};
use files::encode::Codes;
use files::{Channels, Samples};
use serde_json::Value;
use std::path::{Path, PathBuf};

/// What a person would do in the whole job, at most.
const MOST: u32 = 40;
const SHOTS: [&str; 5] = ["anna", "bench", "crane", "dog", "egret"];

/// Something dark of its own shape on cream paper that darkens to the right, with a soft shadow at its foot.
fn shot(path: &Path, number: u32) {
    const W: u32 = 120;
    const H: u32 = 180;
    let encoded = |light: f64| pixels::encode::Transfer::Srgb.encode(light);
    let half = 9 + 3 * number;
    let inside = |x: u32, y: u32| {
        let head = x.abs_diff(60).pow(2) + y.abs_diff(40).pow(2) < (10 + number).pow(2);
        head || (x.abs_diff(60) < half && (40..165).contains(&y))
    };
    let codes: Vec<u8> = (0..W * H)
        .flat_map(|i| {
            let (x, y) = (i % W, i / W);
            let far = units::math::hypot(f64::from(x) - 60.0, 2.0 * (f64::from(y) - 165.0));
            let light =
                (1.0 - 0.3 * f64::from(x) / f64::from(W)) * (1.0 - 0.4 * units::math::exp(-far / 25.0));
            let thing = 0.04 + 0.02 * f64::from(number);
            [(0.85, 1.0), (0.80, 0.7), (0.68, 0.5)].map(|(paper, own)| {
                let shows = if inside(x, y) { own * thing } else { paper * light };
                (255.0 * encoded(shows)).round() as u8
            })
        })
        .collect();
    write(path, (W, H), Channels::Rgb, form_of(path), Codes::U8(&codes));
}

/// What the artist comes with.
struct Brought {
    backdrop: PathBuf,
    shots: [PathBuf; 5],
}

impl Brought {
    fn laid_in(room: &Room) -> Self {
        let all =
            Self { backdrop: room.join("marsh.png"), shots: SHOTS.map(|s| room.join(&format!("{s}.png"))) };
        backdrop(&all.backdrop, 720, 480);
        all.shots.iter().zip(0..).for_each(|(path, number)| shot(path, number));
        all
    }
}

/// The treatments of the take.
fn toning(room: &Room) -> Value {
    room.run("tone marsh list --take dusk --json").fine().json()["treatments"].take()
}

/// A card of the take.
fn card_in_dusk(room: &Room, piece: &str) -> Value {
    let mut all = room.run("place marsh list --take dusk --json").json();
    let found = all["pieces"].as_array_mut().unwrap().iter_mut().find(|c| c["name"] == piece);
    found.unwrap_or_else(|| panic!("no {piece}")).take()
}

/// The decisions, in the numbers that the studio's picture has.
struct Decided {
    pitch: Value,
    roll: Value,
    stood: Vec<(Value, Value)>,
    dragged: (Value, Value),
    light: Value,
    warmth: Value,
    stops: Value,
}

/// Works in the studio as a person does, and gives back what was decided.
fn by_hand(stage: &mut Stage, brought: &Brought) -> Decided {
    stage.begin("720x480");
    // The backdrop, its horizon, and how high the camera stood.
    stage.browser.choose_files_by(".first", &[&brought.backdrop]);
    stage.until("the backdrop lies there", |stage| !stage.studio.sheet()["reading"]["backdrop"].is_null());
    stage.turn("1");
    stage.browser.wait("document.querySelector(\"[aria-label^='The horizon:']\")");
    let horizon = stage.browser.at("[aria-label^='The horizon:']");
    stage.decides(|stage| stage.browser.drag(horizon, horizon.by(0.0, 24.0)));
    stage.browser.click("[aria-label='camera height']");
    stage.browser.key("Enter");
    stage.browser.type_text("1.35");
    stage.decides(|stage| stage.browser.key("Enter"));
    // Five shots at once; each is cut out by itself, and they stand side by side from where they were dropped.
    stage.turn("4");
    let first = stage.in_picture([50.0, 420.0]);
    let shots: Vec<&Path> = brought.shots.iter().map(PathBuf::as_path).collect();
    stage.browser.drop_files(first, &shots);
    stage.until("all stand", |stage| stage.studio.sheet()["pieces"].as_array().unwrap().len() == 5);
    stage.browser.wait_for_text("[aria-keyshortcuts='4']", "Staging5");
    let at = |card: &Value| (card["x_m"].clone(), card["z_m"].clone());
    let stood = SHOTS.map(|piece| at(&stage.room.card(piece))).to_vec();
    // One is held by another, which is dragged along with it.
    stage.choose("crane");
    stage.decides(|stage| stage.browser.replace("[aria-label='What holds it']", "dog"));
    stage.decides(|stage| {
        stage.draw("dog", (21.0, -7.0));
        stage.browser.release();
    });
    let dragged = at(&stage.room.card("dog"));
    // One is nudged on its card; another line is written there, and taken back.
    stage.choose("anna");
    stage.decides(|stage| stage.pull("[aria-label='light, nudge']", 8.0));
    let light = stage.room.card("anna")["light"]["nudge_stops"].clone();
    stage.decides(|stage| stage.write_on_card("d 9"));
    stage.decides(|stage| stage.browser.click("[aria-keyshortcuts='Control+Z']"));
    // A take, and what differs in it.
    stage.browser.replace(part::TAKE, "begin another");
    stage.browser.type_text("dusk");
    stage.browser.key("Enter");
    stage.browser.wait(&format!(
        "document.querySelector(\"{}\")?.selectedOptions[0].textContent === 'dusk'",
        part::TAKE
    ));
    stage.decides(|stage| stage.pull("[aria-label='warmth, nudge']", -15.0));
    let warmth = card_in_dusk(&stage.room, "anna")["warmth"]["nudge_mired"].clone();
    assert_eq!(stage.room.card("anna")["warmth"]["nudge_mired"], 0.0, "the picture itself is changed");
    // A treatment, pulled.
    stage.turn("5");
    stage.decides(|stage| stage.browser.replace("[aria-label='Add a treatment in the print']", "edge burn"));
    stage.browser.wait("document.querySelector('.sentence .figure')");
    stage.decides(|stage| stage.pull(".sentence .figure", 9.0));
    let stops = toning(&stage.room)[0]["figures"][0]["value"].clone();
    // And out of the house.
    stage.turn("6");
    stage.browser.click(".docket .act");
    stage.browser.wait_for_text(part::SAID, "printed");
    let read = stage.room.run("read marsh --json").fine().json();
    let camera = |key: &str| read["camera"][key].clone();
    assert_eq!(camera("height_m"), 1.35, "{read}");
    Decided { pitch: camera("pitch_deg"), roll: camera("roll_deg"), stood, dragged, light, warmth, stops }
}

/// The same by the command line.
fn scripted(room: &Room, brought: &Brought, decided: &Decided) {
    let say = |words: &[&str]| room.command(words.iter().map(|w| (*w).to_owned())).fine();
    let number = |value: &Value| value.as_f64().unwrap().to_string();
    let mark = |(x, z): &(Value, Value)| format!("{},{}", number(x), number(z));
    say(&["new", "marsh", "--size", "720x480"]);
    say(&["read", "marsh", brought.backdrop.to_str().unwrap()]);
    let (pitch, roll) = (number(&decided.pitch), number(&decided.roll));
    say(&["read", "marsh", "--pitch", &pitch, "--roll", &roll]);
    say(&["read", "marsh", "--camera-height", "1.35m"]);
    for ((name, shot), stood) in SHOTS.iter().zip(&brought.shots).zip(&decided.stood) {
        say(&["place", "marsh", "add", name, "--shot", shot.to_str().unwrap(), "--at", &mark(stood)]);
    }
    say(&["place", "marsh", "attach", "crane", "dog"]);
    say(&["place", "marsh", "move", "dog", "--at", &mark(&decided.dragged)]);
    say(&["place", "marsh", "nudge", "anna", &format!("light={:+}", decided.light.as_f64().unwrap())]);
    say(&["place", "marsh", "nudge", "anna", "d=9"]);
    say(&["undo", "marsh"]);
    say(&["take", "marsh", "add", "dusk"]);
    let warmth = format!("warmth={:+}", decided.warmth.as_f64().unwrap());
    say(&["place", "marsh", "nudge", "anna", &warmth, "--take", "dusk"]);
    say(&["tone", "marsh", "add", "edge-burn", "--take", "dusk"]);
    say(&["tone", "marsh", "change", "edge-burn", "--stops", &number(&decided.stops), "--take", "dusk"]);
    say(&["render", "marsh", "--take", "dusk", "-o", "dusk.tif"]);
}

/// Width, height and codes of a file with 16 bits.
fn codes(file: &Path) -> (u32, u32, Vec<u16>) {
    let picture = picture(file);
    let Samples::U16(codes) = picture.samples() else { panic!("{} has not 16 bits", file.display()) };
    (picture.size().width(), picture.size().height(), codes.to_vec())
}

#[test]
fn a_whole_job_by_hand_prints_what_the_same_decisions_as_a_script_print() {
    let Some(mut stage) = Stage::at_rack() else { return };
    let desk = Room::new();
    let brought = Brought::laid_in(&desk);
    let decided = by_hand(&mut stage, &brought);
    let actions = stage.browser.actions();
    println!("a whole job: {actions} actions");
    assert!(actions < MOST, "{actions} actions");
    assert_eq!(names(&stage.room.join("marsh/out")), ["marsh-dusk.tif"]);
    let twin = Room::new();
    scripted(&twin, &brought, &decided);
    // Every card is the same to the last digit, in the picture and in the take.
    for listed in [
        "place marsh list --json",
        "place marsh list --take dusk --json",
        "tone marsh list --take dusk --json",
    ] {
        let [hand, script] = [&stage.room, &twin].map(|room| room.run(listed).out);
        assert_eq!(hand, script, "{listed}");
    }
    let printed = codes(&stage.room.join("marsh/out/marsh-dusk.tif"));
    assert_eq!((printed.0, printed.1), (720, 480));
    assert!(printed == codes(&twin.join("dusk.tif")), "the take's print differs");
    // And the picture that the take is of.
    let [hand, script] = [&stage.room, &twin].map(|room| {
        room.run("render marsh -o whole.png").fine();
        codes(&room.join("whole.png"))
    });
    assert!(hand == script && hand != printed, "the picture differs, or the take does not");
}

/// A file that is chosen and one that is dropped come in the same way; what is no photograph is told of.
#[test]
fn what_is_no_photograph_is_not_taken() {
    let Some(mut stage) = Stage::at_rack() else { return };
    stage.begin("60x40");
    let desk = Room::new();
    let (text, broken) = (desk.join("notes.mov"), desk.join("broken.png"));
    std::fs::write(&text, "notes").unwrap();
    std::fs::write(&broken, "no picture").unwrap();
    let number = stage.number();
    let drop = |browser: &mut Browser, file: &Path| browser.drop_files(".first", &[file]);
    drop(&mut stage.browser, &text);
    stage.browser.wait_for_text(part::SAID, "no photograph");
    drop(&mut stage.browser, &broken);
    stage.browser.wait("!/no photograph|comes in|becomes/.test(document.querySelector('.said').textContent)");
    assert_eq!(stage.number(), number);
}
