//! `open`: who is let into the studio, and what it answers.

use crate::served::{Line, Studio};
use crate::support::{Room, names, picture, samples8};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tungstenite::Message;

fn room() -> Room {
    Room::with_post()
}

#[test]
fn nobody_is_let_in_without_the_key_or_from_elsewhere() {
    let room = room();
    let studio = Studio::open(&room.join("marsh"));
    let host = format!("Host: {}", studio.host());
    let cookie = format!("Cookie: {}", studio.cookie());
    let get = "GET / HTTP/1.1";
    // With the key, from its own page.
    let page = studio.get("/");
    assert!(page.status == 200 && page.body.contains("<title>Setpiece"), "{}", page.head);
    for part in ["content-security-policy: default-src 'none'", "nosniff", "no-store", "same-origin"] {
        assert!(page.head.contains(part), "{part}: {}", page.head);
    }
    // Without it, with another, with a part of it.
    assert_eq!(studio.ask(&[get, &host]).status, 401);
    let short = format!("Cookie: setpiece-{}={}", studio.port, &studio.key[..60]);
    assert_eq!(studio.ask(&[get, &host, &short]).status, 401);
    assert_eq!(studio.ask(&["GET /ui/src/main.js HTTP/1.1", &host]).status, 401);
    assert_eq!(studio.ask(&["GET /enter/1234 HTTP/1.1", &host]).status, 401);
    // By another name: one that was made to lead here.
    for other in ["Host: setpiece.example", "Host: 127.0.0.1", "Host: 127.0.0.1:1"] {
        assert_eq!(studio.ask(&[get, other, &cookie]).status, 421, "{other}");
        let enter = format!("GET /enter/{} HTTP/1.1", studio.key);
        let entered = studio.ask(&[&enter, other]);
        assert!(entered.status == 421 && !entered.head.contains("set-cookie"), "{other}");
    }
    // From another page.
    for other in ["Origin: http://a.example", "Origin: null", "Origin: http://localhost:1"] {
        assert_eq!(studio.ask(&[get, &host, &cookie, other]).status, 403, "{other}");
    }
    // The key gives the cookie, and the cookie leads on.
    let enter = format!("GET /enter/{} HTTP/1.1", studio.key);
    let entered = studio.ask(&[&enter, &host]);
    assert!(entered.status == 303 && entered.head.contains("httponly; samesite=strict"), "{}", entered.head);
    // A line is opened from its own page alone.
    let own = format!("http://{}", studio.host());
    assert_eq!(studio.line("http://a.example", &studio.cookie()).err(), Some(403));
    assert_eq!(studio.line(&own, "setpiece=1").err(), Some(401));
    assert!(studio.line(&own, &studio.cookie()).is_ok());
}

#[test]
fn no_way_leads_out_of_the_page_and_what_is_malformed_is_refused() {
    let room = room();
    let studio = Studio::open(&room.join("marsh"));
    for path in [
        "/ui/../../etc/passwd",
        "/ui/%2e%2e/%2e%2e/etc/passwd",
        "/ui//etc/passwd",
        "/ui/..%2f..%2fpicture.json",
        "/ui/src/../../picture.json",
        "/picture.json",
        "/ui/src/nothing.js",
    ] {
        let answer = studio.get(path);
        assert!(answer.status == 404 || answer.status == 400, "{path}: {}", answer.status);
        assert!(!answer.body.contains("root:") && !answer.body.contains("sources"), "{path}");
    }
    let host = format!("Host: {}", studio.host());
    let cookie = format!("Cookie: {}", studio.cookie());
    let origin = format!("Origin: http://{}", studio.host());
    assert_eq!(studio.ask(&["DELETE / HTTP/1.1", &host, &cookie, &origin]).status, 405);
    let long = format!("Cookie: {}", "a".repeat(2 << 20));
    assert!(matches!(studio.ask(&["GET / HTTP/1.1", &host, &long]).status, 0 | 400 | 431));
    assert!(matches!(studio.ask(&["GET / nonsense"]).status, 0 | 400));
    // On the line: what is not understood is told, and the line stays; what is too long closes it.
    let mut line = studio.own_line();
    line.told("sheet");
    for text in
        ["", "{", "[]", "{\"n\": 1}", "{\"n\": 1, \"of\": {\"ask\": \"erase\"}}", "{\"n\": -1, \"of\": 2}"]
    {
        line.socket.send(Message::text(text)).unwrap();
        assert!(line.told("refused")["why"]["what"].as_str().unwrap().contains("not understood"), "{text}");
    }
    for deed in [
        json!({"deed": "move", "piece": 9999, "to": {"on": "ground", "x_m": 0, "z_m": 3, "lift_m": null}}),
        json!({"deed": "move", "piece": 1, "to": {"on": "picture", "foot_px": [10, -1e9]}}),
        json!({"deed": "say", "words": ["place", "nudge", "#1", "q 4"]}),
        json!({"deed": "say", "words": ["place", "nudge", "#1", "d"]}),
        json!({"deed": "say", "words": ["undo", "-1"]}),
    ] {
        let n = line.send(&json!({"ask": "do", "deed": deed}));
        assert_eq!(line.told("refused")["n"], n, "{deed}");
    }
    for view in [
        json!({"scale": 0.0, "part": [0, 0, 9, 9]}),
        json!({"scale": -1.0, "part": [0, 0, 9, 9]}),
        json!({"scale": 1e300, "part": [0, 0, 9, 9]}),
        json!({"scale": 1.0, "part": [i32::MIN, i32::MIN, i32::MAX, i32::MIN]}),
    ] {
        let mut view = view;
        view["of"] = json!({"what": "top"});
        view["is_wide"] = false.into();
        for glass in [0, 7, u32::MAX] {
            line.send(&json!({"ask": "show", "glass": glass, "view": view}));
        }
    }
    let nowhere = json!({"deed": "move", "piece": 77, "to": {"on": "picture", "foot_px": [0, 0]}});
    let n = line.send(&json!({"ask": "try", "deed": nowhere}));
    let tried = line.told("tried");
    assert!(tried["n"] == n && tried["projection"].is_null(), "{tried}");
    line.send(&json!({"ask": "let_go"}));
    line.send(&json!({"ask": "pick", "at_px": [1e300, -1e300]}));
    assert_eq!(line.told("picked")["piece"], Value::Null);
    let _ = line.socket.send(Message::text("a".repeat(9 << 20)));
    while line.socket.read().is_ok() {}
    // And the studio stands.
    assert_eq!(studio.get("/").status, 200);
}

/// What is seen is what is rendered; what is decided is in the journal, as by the command line, and what that does is seen.
#[test]
fn a_piece_is_picked_dragged_and_stands_where_it_was_left() {
    let room = room();
    let marsh = room.join("marsh");
    let studio = Studio::open(&marsh);
    let mut line = studio.own_line();
    let sheet = line.told("sheet");
    let stand = sheet["projection"]["pieces"][0].clone();
    let (width, height) = (sheet["projection"]["width_px"].clone(), sheet["projection"]["height_px"].clone());
    let view = json!({"of": {"what": "top"}, "is_wide": false, "scale": 1.0, "part": [0, 0, width, height]});
    line.send(&json!({"ask": "show", "glass": 0, "view": view}));
    let (_, codes) = line.screen(|head| head["coarse"] == 1);
    room.run("render marsh -o seen.png --depth 8").fine();
    let rendered = samples8(&room.join("seen.png"));
    assert_eq!(picture(&room.join("seen.png")).size().width(), width.as_u64().unwrap() as u32);
    let shown: Vec<u8> = codes.chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
    assert_eq!(shown, rendered);
    // In the middle of its staff, the piece is seen.
    let middle = |k: usize| {
        let of = |key: &str| stand[key][k].as_f64().unwrap();
        f64::midpoint(of("foot_px"), of("top_px"))
    };
    line.send(&json!({"ask": "pick", "at_px": [middle(0), middle(1)]}));
    assert_eq!(line.told("picked")["piece"], stand["piece"]);
    // Dragged, nothing is decided.
    let before = room.bytes();
    let to = json!({"on": "ground", "x_m": 0.25, "z_m": 6.5, "lift_m": null});
    let deed = json!({"deed": "move", "piece": stand["piece"], "to": to});
    let n = line.send(&json!({"ask": "try", "deed": deed}));
    // The picture comes first; what is told then lets the page try the next.
    line.screen(|head| head["is_tried"] == true);
    let tried = line.told("tried");
    assert!(tried["n"] == n && tried["cards"][0]["z_m"] == 6.5, "{tried}");
    assert!(before == room.bytes());
    // Let go of there, it is on the disk when it is told.
    let n = line.send(&json!({"ask": "do", "deed": deed}));
    assert_eq!(line.told("done")["n"], n);
    let told = room.run("place marsh list --json").fine().json();
    assert_eq!(told["pieces"][0]["z_m"], 6.5);
    // A card is written as on the command line.
    let words = ["place", "nudge", &format!("#{}", stand["piece"]), "e +0.5"];
    line.send(&json!({"ask": "do", "deed": {"deed": "say", "words": words}}));
    line.told("done");
    let told = room.run("place marsh list --json").fine().json();
    assert_eq!(told["pieces"][0]["light"]["nudge_stops"], 0.5);
    // And what is done elsewhere meanwhile is told here.
    let before = studio.own_line().told("sheet")["number"].as_u64().unwrap();
    room.run("undo marsh").fine();
    let since = Instant::now();
    while line.told("sheet")["number"].as_u64().unwrap() <= before {
        assert!(since.elapsed() < Duration::from_secs(30));
    }
}

/// Killed at any moment, the studio has lost nothing that it acknowledged.
#[test]
fn a_killed_studio_has_lost_nothing() {
    let room = room();
    let marsh = room.join("marsh");
    for turn in 0..6u32 {
        let mut studio = Studio::open(&marsh);
        let mut line = studio.own_line();
        let piece = line.told("sheet")["projection"]["pieces"][0]["piece"].clone();
        let z = 4.0 + f64::from(turn) / 8.0;
        let to = json!({"on": "ground", "x_m": 0.1, "z_m": z, "lift_m": null});
        line.send(&json!({"ask": "do", "deed": {"deed": "move", "piece": piece, "to": to}}));
        line.told("done");
        // In the middle of a drag.
        let view = json!({"of": {"what": "top"}, "is_wide": false, "scale": 0.5, "part": [0, 0, 300, 300]});
        line.send(&json!({"ask": "show", "glass": 0, "view": view}));
        let deed = json!({"deed": "move", "piece": piece, "to": {"on": "picture", "foot_px": [40, 150]}});
        line.send(&json!({"ask": "try", "deed": deed}));
        std::thread::sleep(Duration::from_millis(20 * u64::from(turn)));
        studio.kill();
        let told = room.run("place marsh list --json").fine().json();
        assert_eq!(told["pieces"][0]["z_m"], z);
    }
}

#[test]
fn what_is_no_picture_and_a_port_that_is_taken_are_refused() {
    let room = room();
    room.run("open nowhere --no-open").refused(3, &["nowhere"]);
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port();
    room.run(&format!("open marsh --no-open --port {port}")).refused(2, &["port", "leave --port out"]);
}

/// All files and folders below one, with what is in them; but for what can be computed again, and the locks.
fn all(folder: &Path) -> Vec<(PathBuf, Option<Vec<u8>>)> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_owned()];
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap()) {
            let (path, kind) = (entry.path(), entry.file_type().unwrap());
            if [".cache", ".lock", ".desk"].iter().any(|kept| path.ends_with(kept)) {
                continue;
            }
            if kind.is_dir() {
                open.push(path.clone());
            }
            let bytes = kind.is_file().then(|| std::fs::read(&path).unwrap());
            found.push((path, bytes));
        }
    }
    found.sort();
    found
}

/// Asks for what must be refused, and gives back why it was.
#[track_caller]
fn refused(line: &mut Line, ask: &Value) -> String {
    let n = line.send(ask);
    let told = line.answer(n);
    assert_eq!(told["tell"], "refused", "{ask}: {told}");
    let why = &told["why"];
    for part in ["what", "place", "remedy"] {
        assert!(why[part].as_str().is_some_and(|text| !text.is_empty()), "{ask}: {told}");
    }
    why["what"].as_str().unwrap().to_owned()
}

fn say(words: &[&str]) -> Value {
    json!({"ask": "do", "deed": {"deed": "say", "words": words}})
}

#[test]
fn files_are_handed_in_by_plain_names_from_the_studios_own_page() {
    let room = room();
    let studio = Studio::open(&room.join("marsh"));
    let before = all(room.path());
    let inbox = room.join("marsh/.cache/handed-in");
    let host = format!("Host: {}", studio.host());
    let cookie = format!("Cookie: {}", studio.cookie());
    let origin = format!("Origin: http://{}", studio.host());
    let post = "POST /hand-in/shot.png HTTP/1.1";
    let hand = |lines: &[&str]| studio.ask_with(lines, b"shot").status;
    // Without the key, with another's, from another page, from none, by another name.
    assert_eq!(hand(&[post, &host, &origin]), 401);
    assert_eq!(hand(&[post, &host, &origin, "Cookie: setpiece-1=1"]), 401);
    for other in ["Origin: http://a.example", "Origin: null", "Origin: http://127.0.0.1:1", "X: 1"] {
        assert_eq!(hand(&[post, &host, &cookie, other]), 403, "{other}");
    }
    for other in ["Host: setpiece.example", "Host: 127.0.0.1:1"] {
        assert_eq!(hand(&[post, other, &cookie, &origin]), 421, "{other}");
    }
    assert_eq!(hand(&["GET /hand-in/shot.png HTTP/1.1", &host, &cookie]), 405);
    // Names that lead elsewhere, hide, or cannot be told.
    let long = "x".repeat(300);
    for name in [
        "..",
        ".",
        "%2e%2e",
        "a%2fb.png",
        "..%2f..%2fpicture.json",
        "%2fetc%2fpasswd",
        "a%5cb.png",
        ".hidden",
        "%2ehidden.png",
        "a%0ab.png",
        "a%00.png",
        "a%7f.png",
        "%ff.png",
        "",
        &long,
    ] {
        let post = format!("POST /hand-in/{name} HTTP/1.1");
        let status = hand(&[&post, &host, &cookie, &origin]);
        assert!(status == 400 || status == 404, "{name}: {status}");
    }
    assert_eq!(names(&inbox), [""; 0]);
    // What breaks off on its way leaves nothing.
    let broken = studio.ask_with(&[post, &host, &cookie, &origin, "Content-Length: 100"], b"shot");
    assert!(broken.status != 200, "{}", broken.status);
    let since = Instant::now();
    while !names(&inbox).is_empty() {
        assert!(since.elapsed() < Duration::from_secs(30), "{:?}", names(&inbox));
        std::thread::sleep(Duration::from_millis(20));
    }
    // A good one is told by its number.
    let good = studio.ask_with(&[post, &host, &cookie, &origin], b"shot");
    assert!(good.status == 200 && good.body.contains("\"file\":"), "{}", good.body);
    assert_eq!(names(&inbox).len(), 1);
    assert!(before == all(room.path()));
}

#[test]
fn words_reach_nothing_but_the_picture_and_what_was_handed_in() {
    let room = room();
    let marsh = room.join("marsh");
    let studio = Studio::open(&marsh);
    let mut line = studio.own_line();
    line.told("sheet");
    let handed: Value = serde_json::from_str(&studio.hand_in("post.png", b"no picture").body).unwrap();
    let before = all(room.path());
    let [post, strokes, outside, waiting] = [
        room.join("post.png"),
        room.join("strokes.json"),
        room.join("outside.png"),
        marsh.join(format!(".cache/handed-in/{}/post.png", handed["file"])),
    ]
    .map(|path| path.to_str().unwrap().to_owned());
    assert!(Path::new(&waiting).is_file());
    // Files that nobody handed in; also one that waits, but that these words do not name as a file.
    for words in [
        vec!["read", "/etc/passwd"],
        vec!["read", &post],
        vec!["read", "sources/../../post.png"],
        vec!["place", "add", "x", "--shot", "/etc/passwd"],
        vec!["place", "add", "x", "--shot", &post],
        vec!["place", "add", "x", "--shot", &waiting],
        vec!["place", "add", "x", "--shot", &waiting, "--matte", &post],
        vec!["place", "view", "--shot", &post],
        vec!["place", "recast", "post", "--shot", &post],
        vec!["touch-up", "out", "post", "/tmp/x"],
        vec!["touch-up", "out", "post", &outside],
        vec!["touch-up", "back", "post", &post],
        vec!["touch-up", "strokes", "post", &strokes],
        vec!["touch-up", "join", "post", "--from", &post, "--strokes", &strokes],
        vec!["tone", "paint", "exposure", &strokes],
    ] {
        let what = refused(&mut line, &say(&words));
        assert!(what.contains("files alone that were laid on its sheet"), "{words:?}: {what}");
        // Nor are they read to be tried.
        line.send(&json!({"ask": "try", "deed": {"deed": "say", "words": words}}));
        assert_eq!(line.told("tried")["projection"], Value::Null, "{words:?}");
    }
    // Commands that are about other things than this picture.
    for command in [
        "new",
        "render",
        "demo",
        "open",
        "completions",
        "cut",
        "check",
        "edges",
        "log",
        "help",
        "--help",
        "-h",
        "--version",
        "",
        "/bin/sh",
        "Place",
    ] {
        let what = refused(&mut line, &say(&[command, "x"]));
        assert!(what.contains("is not said of an open picture"), "{command}: {what}");
    }
    refused(&mut line, &say(&[]));
    // Another picture's folder is a word too many, or none that is known.
    let other = room.join("other").to_str().unwrap().to_owned();
    for words in [
        vec!["undo", &other],
        vec!["read", "--window"],
        vec!["tone", &other, "add", "edge-burn"],
        vec!["place", &other, "list"],
        vec!["place", "rename", "post", "a\0b"],
        vec!["place", "add", "../../x", "--stand-in", "figure"],
    ] {
        refused(&mut line, &say(&words));
    }
    // Files by numbers that are none.
    for file in [json!({"file": 0}), json!({"file": 77}), json!({"file": u64::MAX})] {
        let what =
            refused(&mut line, &json!({"ask": "do", "deed": {"deed": "say", "words": ["read", file]}}));
        assert!(what.contains("not there"), "{what}");
    }
    // What was handed in and is no picture is refused as such.
    refused(&mut line, &json!({"ask": "do", "deed": {"deed": "say", "words": ["read", handed]}}));
    assert!(before == all(room.path()), "something was written");
}

#[test]
fn a_print_goes_into_the_pictures_own_folder_alone() {
    let room = room();
    let marsh = room.join("marsh");
    let studio = Studio::open(&marsh);
    let mut line = studio.own_line();
    line.told("sheet");
    let print = |to: &str| json!({"ask": "print", "to": to, "width": 30, "over": true});
    let long = format!("{}.png", "x".repeat(300));
    let before = all(room.path());
    for to in [
        "../x.png",
        "/tmp/x.png",
        "a/b.png",
        "..\\x.png",
        "..",
        ".x.png",
        "",
        "x",
        "x.sh",
        "x.png/",
        "x\0.png",
        "x\n.png",
        "../sources/x.png",
        "picture.json",
        &long,
    ] {
        refused(&mut line, &print(to));
    }
    assert!(before == all(room.path()), "something was written");
    // One that is there is not replaced unasked.
    let n = line.send(&print("x.png"));
    assert_eq!(line.answer(n)["tell"], "done");
    assert_eq!(names(&marsh.join("out")), ["x.png"]);
    let before = all(room.path());
    refused(&mut line, &json!({"ask": "print", "to": "x.png", "width": 30, "over": false}));
    refused(&mut line, &json!({"ask": "print", "to": "y.png", "width": 0, "over": false}));
    assert!(before == all(room.path()), "something was written");
    // Nor where the folder for what leaves the house leads elsewhere.
    #[cfg(unix)]
    {
        std::fs::remove_dir_all(marsh.join("out")).unwrap();
        std::fs::create_dir(room.join("elsewhere")).unwrap();
        std::os::unix::fs::symlink(room.join("elsewhere"), marsh.join("out")).unwrap();
        refused(&mut line, &print("x.png"));
        assert_eq!(names(&room.join("elsewhere")), [""; 0]);
    }
}

#[test]
fn no_name_leads_out_of_the_rack() {
    let room = room();
    std::fs::create_dir(room.join("rack")).unwrap();
    room.run("new rack/heron --size 60x40").fine();
    let studio = Studio::open(&room.join("rack"));
    let mut line = studio.own_line();
    let racked = line.told("rack");
    assert_eq!(racked["pictures"][0]["folder"], "heron");
    assert_eq!(racked["pictures"].as_array().unwrap().len(), 1, "{racked}");
    let before = all(room.path());
    let marsh = room.join("marsh").to_str().unwrap().to_owned();
    let long = "x".repeat(300);
    for name in [
        "..", ".", "", "../marsh", &marsh, "heron/..", "heron/", "a/b", "a\\b", ".hidden", "a\nb", "a\0b",
        &long,
    ] {
        refused(&mut line, &json!({"ask": "open", "folder": name}));
        refused(&mut line, &json!({"ask": "begin", "folder": name, "extent": "60x40"}));
    }
    refused(&mut line, &json!({"ask": "open", "folder": "nothing"}));
    // What is there is not begun anew, and no size is too odd to be refused.
    refused(&mut line, &json!({"ask": "begin", "folder": "heron", "extent": "60x40"}));
    for extent in
        ["", "0x0", "60", "-60x40", "60x40x", "nanxnan", "1e9x1e9", "99999999999x2", "1e300x1e300cm", "../x"]
    {
        refused(&mut line, &json!({"ask": "begin", "folder": "fresh", "extent": extent}));
    }
    // What is asked of a picture is not done where none lies open.
    for ask in [
        say(&["undo"]),
        json!({"ask": "print", "to": "x.png", "width": null, "over": true}),
        json!({"ask": "wedge"}),
    ] {
        assert!(refused(&mut line, &ask).contains("no picture lies open"));
    }
    assert_eq!(studio.hand_in("shot.png", b"shot").status, 404);
    assert!(before == all(room.path()), "something was written");
    // By its name it is opened; and with it open no other is.
    let n = line.send(&json!({"ask": "open", "folder": "heron"}));
    assert_eq!(line.answer(n)["tell"], "done");
    line.told("sheet");
    assert!(
        refused(&mut line, &json!({"ask": "open", "folder": "heron"})).contains("another picture lies open")
    );
}

#[test]
fn odd_messages_are_refused_and_the_studio_stands() {
    let room = room();
    let studio = Studio::open(&room.join("marsh"));
    let before = all(room.path());
    let mut line = studio.own_line();
    line.told("sheet");
    let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
    for text in [
        deep.as_str(),
        "null",
        "{\"n\": 1, \"of\": {\"ask\": \"do\"}}",
        "{\"n\": 1, \"of\": {\"ask\": \"do\", \"deed\": {\"deed\": \"say\", \"words\": \"undo\"}}}",
        "{\"n\": 1, \"of\": {\"ask\": \"do\", \"deed\": {\"deed\": \"say\", \"words\": [1]}}}",
        "{\"n\": 1, \"of\": {\"ask\": \"do\", \"deed\": {\"deed\": \"say\", \"words\": [{\"path\": \"/etc/passwd\"}]}}}",
        "{\"n\": 1, \"of\": {\"ask\": \"leave\"}, \"more\": 1}",
        "{\"n\": 4294967296, \"of\": {\"ask\": \"leave\"}}",
        "{\"n\": 1, \"of\": {\"ask\": \"pick\", \"at_px\": [1e999, 0]}}",
    ] {
        line.socket.send(Message::text(text)).unwrap();
        let told = line.told("refused");
        assert!(told["why"]["what"].as_str().unwrap().contains("not understood"), "{told}");
    }
    // Bytes are no message, and many words are as few.
    line.socket.send(Message::binary(vec![0xff; 1000])).unwrap();
    let many: Vec<&str> = std::iter::once("undo").chain(std::iter::repeat_n("1", 100_000)).collect();
    refused(&mut line, &say(&many));
    let long = "x".repeat(900_000);
    refused(&mut line, &say(&["place", "rename", "post", &long]));
    // What is longer than a message may be closes the line, and no other.
    let mut other = studio.own_line();
    other.told("sheet");
    let _ = line.socket.send(Message::text("a".repeat(3 << 20)));
    while line.socket.read().is_ok() {}
    let n = other.send(&say(&["place", "nudge", "post", "e=+0.1"]));
    assert_eq!(other.answer(n)["tell"], "done");
    let n = other.send(&say(&["undo"]));
    assert_eq!(other.answer(n)["tell"], "done");
    // But for the journal, which has grown, all is as it was.
    let rest = |all: Vec<(PathBuf, Option<Vec<u8>>)>| {
        let kept =
            |(path, _): &(PathBuf, _)| !path.ends_with("journal.ndjson") && !path.ends_with("picture.json");
        all.into_iter().filter(kept).collect::<Vec<_>>()
    };
    assert!(rest(before) == rest(all(room.path())));
}

#[test]
fn a_picture_lies_in_one_studio_at_a_time() {
    let room = room();
    std::fs::create_dir(room.join("rack")).unwrap();
    std::fs::rename(room.join("marsh"), room.join("rack/marsh")).unwrap();
    let first = Studio::open(&room.join("rack/marsh"));
    // Another on the same picture.
    room.run("open rack/marsh --no-open").refused(4, &["lies open in another studio", "close it there"]);
    // One with a rack in which the picture is.
    let rack = Studio::open(&room.join("rack"));
    let mut line = rack.own_line();
    assert_eq!(line.told("rack")["pictures"][0]["folder"], "marsh");
    let open = json!({"ask": "open", "folder": "marsh"});
    assert!(refused(&mut line, &open).contains("lies open in another studio"));
    // Commands may work on it meanwhile.
    room.run("place rack/marsh nudge post e=+0.25").fine();
    // Where the first has gone, the other may have it; then a third may not.
    drop(first);
    let n = line.send(&open);
    assert_eq!(line.answer(n)["tell"], "done");
    room.run("open rack/marsh --no-open").refused(4, &["lies open in another studio"]);
    // Laid back into the rack it is free.
    line.send(&json!({"ask": "leave"}));
    line.told("rack");
    let since = Instant::now();
    let mut again = rack.own_line();
    while again.told("rack")["pictures"][0]["pieces"] != 1 {
        assert!(since.elapsed() < Duration::from_secs(30));
    }
    drop(Studio::open(&room.join("rack/marsh")));
}
