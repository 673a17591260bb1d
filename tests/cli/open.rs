//! `open`: who is let into the studio, and what it answers.

use crate::served::Studio;
use crate::support::{Room, picture, samples8};
use serde_json::{Value, json};
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
        json!({"deed": "card", "pieces": [1], "says": "q 4"}),
        json!({"deed": "card", "pieces": [1], "says": "d"}),
        json!({"deed": "undo", "times": 100_000}),
    ] {
        let n = line.send(&json!({"ask": "do", "deed": deed}));
        let told = line.told(if deed["deed"] == "undo" { "done" } else { "refused" });
        assert_eq!(told["n"], n, "{deed}: {told}");
    }
    for view in [
        json!({"scale": 0.0, "part": [0, 0, 9, 9]}),
        json!({"scale": -1.0, "part": [0, 0, 9, 9]}),
        json!({"scale": 1e300, "part": [0, 0, 9, 9]}),
        json!({"scale": 1.0, "part": [i32::MIN, i32::MIN, i32::MAX, i32::MIN]}),
    ] {
        line.send(&json!({"ask": "show", "view": view}));
    }
    line.send(&json!({"ask": "drag", "piece": 77, "to": {"on": "picture", "foot_px": [0, 0]}}));
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
    let view = json!({"scale": 1.0, "part": [0, 0, width, height]});
    line.send(&json!({"ask": "show", "view": view}));
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
    line.send(&json!({"ask": "drag", "piece": stand["piece"], "to": to}));
    let dragged = line.told("dragged");
    assert_eq!(dragged["card"]["z_m"], 6.5);
    line.screen(|head| head["is_drag"] == true);
    assert!(before == room.bytes());
    // Let go of there, it is on the disk when it is told.
    let n = line.send(&json!({"ask": "do", "deed": {"deed": "move", "piece": stand["piece"], "to": to}}));
    assert_eq!(line.told("done")["n"], n);
    let told = room.run("place marsh list --json").fine().json();
    assert_eq!(told["pieces"][0]["z_m"], 6.5);
    // A card is written as on the command line.
    line.send(&json!({"ask": "do", "deed": {"deed": "card", "pieces": [stand["piece"]], "says": "e +0.5"}}));
    line.told("done");
    let told = room.run("place marsh list --json").fine().json();
    assert_eq!(told["pieces"][0]["light"]["nudge_stops"], 0.5);
    // And what is done elsewhere meanwhile is told here.
    let before = line.told("sheet")["number"].as_u64().unwrap();
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
        line.send(&json!({"ask": "show", "view": {"scale": 0.5, "part": [0, 0, 300, 300]}}));
        line.send(&json!({"ask": "drag", "piece": piece, "to": {"on": "picture", "foot_px": [40, 150]}}));
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
