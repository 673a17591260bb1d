//! Fresh folders, small photographs, and the binary.

use files::encode::{self, Codes, Description, Form, Packing, Sampling};
use files::{Channels, Depth};
use pixels::encode::Transfer;
use serde_json::Value;
use std::fs::{self, File};
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use units::{Primaries, PxSize};

/// The binary under test: what SETPIECE_BIN names, or else built anew from this tree.
pub(crate) fn binary() -> &'static Path {
    static BINARY: OnceLock<PathBuf> = OnceLock::new();
    BINARY.get_or_init(|| {
        if let Some(named) = std::env::var_os("SETPIECE_BIN") {
            return named.into();
        }
        // The test itself lies in PROFILE/deps.
        let test = std::env::current_exe().unwrap();
        let profile = test.ancestors().nth(2).unwrap();
        let mut build = Command::new(env!("CARGO"));
        build.args(["build", "--quiet", "--package", "setpiece-cli", "--target-dir"]);
        build.arg(profile.parent().unwrap()).current_dir(env!("CARGO_MANIFEST_DIR"));
        if profile.ends_with("release") {
            build.arg("--release");
        }
        assert!(build.status().unwrap().success(), "the binary does not build");
        profile.join(format!("setpiece{}", std::env::consts::EXE_SUFFIX))
    })
}

/// A fresh folder.
pub(crate) struct Room(tempfile::TempDir);

/// What came of a command.
#[derive(Debug)]
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Ran {
    /// Its answer in JSON.
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }

    /// That it was done.
    #[track_caller]
    pub(crate) fn fine(self) -> Self {
        assert_eq!(self.code, 0, "{self:?}");
        self
    }

    /// That it was refused with this code, in three lines that hold these words.
    #[track_caller]
    pub(crate) fn refused(&self, code: i32, words: &[&str]) {
        assert_eq!(self.code, code, "{self:?}");
        assert_eq!(self.out, "", "{self:?}");
        let lines: Vec<&str> = self.err.lines().filter(|l| !l.starts_with("Note: ")).collect();
        let heads = ["Not done: ", "Where:    ", "To do:    "];
        assert!(
            lines.len() == 3 && lines.iter().zip(heads).all(|(l, h)| l.starts_with(h) && l.len() > h.len()),
            "{self:?}"
        );
        for word in words {
            assert!(self.err.contains(word), "\"{word}\" is not said: {self:?}");
        }
    }
}

impl Room {
    pub(crate) fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    pub(crate) fn path(&self) -> &Path {
        self.0.path()
    }

    pub(crate) fn join(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// The binary with these words, in the room. Words are parted by blanks; `_` within one stands for a blank.
    pub(crate) fn run(&self, words: &str) -> Ran {
        self.command(words.split_whitespace().map(|w| w.replace('_', " ")))
    }

    pub(crate) fn command(&self, words: impl IntoIterator<Item = String>) -> Ran {
        let done = Command::new(binary())
            .args(words)
            .current_dir(self.path())
            .stdin(Stdio::null())
            .output()
            .unwrap();
        Ran {
            code: done.status.code().unwrap_or(-1),
            out: String::from_utf8(done.stdout).unwrap(),
            err: String::from_utf8(done.stderr).unwrap(),
        }
    }

    /// picture.json and the journal, to the byte.
    pub(crate) fn bytes(&self) -> (Vec<u8>, Vec<u8>) {
        let marsh = self.join("marsh");
        (fs::read(marsh.join("picture.json")).unwrap(), fs::read(marsh.join("journal.ndjson")).unwrap())
    }

    /// That a command is refused so, and leaves the picture to the byte as it was, without strays among the originals.
    #[track_caller]
    pub(crate) fn refuses(&self, words: &str, code: i32, said: &[&str]) {
        let (before, sources) = (self.bytes(), names(&self.join("marsh/sources")));
        self.run(words).refused(code, said);
        assert_eq!(before, self.bytes(), "{words}");
        assert_eq!(sources, names(&self.join("marsh/sources")), "{words}");
    }

    /// A picture of 120 x 80 pixels called marsh, with backdrop and camera, and the parts of a post of 1 m: post.png with post-matte.png.
    pub(crate) fn with_marsh() -> Self {
        let room = Self::new();
        room.run("new marsh --size 120x80").fine();
        backdrop(&room.join("backdrop.png"), 240, 160);
        post(&room);
        room.run("read marsh backdrop.png --camera-height 1 --pitch 0 --focal 36 --sensor 36 --f-number 2 --focus 4").fine();
        room
    }

    /// That, with the post standing 4 m away.
    pub(crate) fn with_post() -> Self {
        let room = Self::with_marsh();
        room.run("place marsh add post --shot post.png --matte post-matte.png --at 0,4 --height 1m").fine();
        room
    }

    /// The card of a piece.
    #[track_caller]
    pub(crate) fn card(&self, piece: &str) -> Value {
        let listed = self.run("place marsh list --json");
        assert!(listed.code == 0 || listed.code == 1, "{listed:?}");
        let all = listed.json();
        let found = all["pieces"].as_array().unwrap().iter().find(|c| c["name"] == piece);
        found.unwrap_or_else(|| panic!("no {piece} in {all}")).clone()
    }
}

/// The files of a folder.
pub(crate) fn names(folder: &Path) -> Vec<String> {
    let Ok(listed) = fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<_> = listed.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

pub(crate) fn write(path: &Path, (w, h): (u32, u32), channels: Channels, form: Form, codes: Codes<'_>) {
    let description = Description {
        size: PxSize::new(w, h).unwrap(),
        channels,
        colour: (channels != Channels::Grey).then_some((Primaries::Srgb, Transfer::Srgb)),
        ppi: None,
    };
    encode::whole(BufWriter::new(File::create(path).unwrap()), description, form, codes).unwrap();
}

pub(crate) fn form_of(path: &Path) -> Form {
    match path.extension().unwrap().to_str().unwrap() {
        "jpg" => Form::Jpeg { quality: 95, sampling: Sampling::Full },
        "tif" => Form::Tiff { depth: Depth::U8, packing: Packing::Lzw },
        _ => Form::Png { depth: Depth::U8 },
    }
}

/// A sky over a ground, lighter towards the right.
pub(crate) fn backdrop(path: &Path, w: u32, h: u32) {
    let pixel = |x: u32, y: u32| {
        let right = (x * 40 / w) as u8;
        if y < h / 2 { [120 + right, 140 + right, 190] } else { [70 + right, 80, 60] }
    };
    let codes: Vec<u8> = (0..h).flat_map(|y| (0..w).flat_map(move |x| pixel(x, y))).collect();
    write(path, (w, h), Channels::Rgb, form_of(path), Codes::U8(&codes));
}

/// A grey post of 20 x 100 pixels on white paper of 60 x 120, and its matte.
pub(crate) fn post(room: &Room) {
    let inside = |x: u32, y: u32| (20..40).contains(&x) && (10..110).contains(&y);
    let shot: Vec<u8> = (0..120)
        .flat_map(|y| (0..60).flat_map(move |x| if inside(x, y) { [110, 100, 90] } else { [240, 240, 236] }))
        .collect();
    write(&room.join("post.png"), (60, 120), Channels::Rgb, form_of(Path::new("a.png")), Codes::U8(&shot));
    matte(&room.join("post-matte.png"), 60, 120, inside);
}

/// A matte: white where the thing is.
pub(crate) fn matte(path: &Path, w: u32, h: u32, inside: impl Fn(u32, u32) -> bool) {
    let codes: Vec<u16> = (0..h)
        .flat_map(|y| (0..w).map(move |x| (x, y)))
        .map(|(x, y)| if inside(x, y) { u16::MAX } else { 0 })
        .collect();
    write(path, (w, h), Channels::Grey, Form::Png { depth: Depth::U16 }, Codes::U16(&codes));
}

/// A cut-out with its own alpha, and sparks on black.
pub(crate) fn extras(room: &Room) {
    let inside = |x: u32, y: u32| (10..30).contains(&x) && (5..35).contains(&y);
    let cut: Vec<u8> = (0..40)
        .flat_map(|y| (0..40).flat_map(move |x| if inside(x, y) { [200, 60, 40, 255] } else { [0; 4] }))
        .collect();
    write(&room.join("cut.png"), (40, 40), Channels::Rgba, form_of(Path::new("a.png")), Codes::U8(&cut));
    let sparks: Vec<u8> =
        (0..40 * 40).flat_map(|i| if i % 97 == 0 { [250, 180, 60] } else { [0; 3] }).collect();
    write(&room.join("sparks.png"), (40, 40), Channels::Rgb, form_of(Path::new("a.png")), Codes::U8(&sparks));
}

/// A JPEG whose camera wrote a focal length of 50 mm (75 mm on 36 x 24 mm), f/2.8, focused at 5.5 m.
pub(crate) fn with_exif(path: &Path, w: u32, h: u32) {
    backdrop(path, w, h);
    let jpeg = fs::read(path).unwrap();
    // A big-endian TIFF block: IFD0 with make, model and the EXIF directory (EXIF 2.32, 4.6).
    let mut block = b"Exif\0\0MM\0\x2a\0\0\0\x08".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        let mut e = Vec::new();
        e.extend(tag.to_be_bytes());
        e.extend(kind.to_be_bytes());
        e.extend(count.to_be_bytes());
        e.extend(value);
        e
    };
    // IFD0 at 8: 2 entries, 30 bytes, to 38; the EXIF directory at 38: 4 entries, 54 bytes, to 92; its numbers from 92.
    let model = *b"Box\0";
    block.extend(2u16.to_be_bytes());
    block.extend(entry(0x0110, 2, 4, model));
    block.extend(entry(0x8769, 4, 1, 38u32.to_be_bytes()));
    block.extend(0u32.to_be_bytes());
    block.extend(4u16.to_be_bytes());
    block.extend(entry(0x829d, 5, 1, 92u32.to_be_bytes()));
    block.extend(entry(0x9206, 5, 1, 100u32.to_be_bytes()));
    block.extend(entry(0x920a, 5, 1, 108u32.to_be_bytes()));
    block.extend(entry(0xa405, 3, 1, [0, 75, 0, 0]));
    block.extend(0u32.to_be_bytes());
    for (a, b) in [(28u32, 10u32), (55, 10), (50, 1)] {
        block.extend(a.to_be_bytes());
        block.extend(b.to_be_bytes());
    }
    let mut out = jpeg[..2].to_vec();
    out.extend([0xff, 0xe1]);
    out.extend(u16::try_from(block.len() + 2).unwrap().to_be_bytes());
    out.extend(block);
    out.extend(&jpeg[2..]);
    fs::write(path, out).unwrap();
}

/// The picture in a file.
pub(crate) fn picture(path: &Path) -> files::Photograph {
    files::read(path, &files::Limits::default(), &pixels::Budget::of_bytes(1 << 28)).unwrap()
}

/// Its 8-bit samples.
pub(crate) fn samples8(path: &Path) -> Vec<u8> {
    match picture(path).samples() {
        files::Samples::U8(v) => v.to_vec(),
        other => panic!("{other:?}"),
    }
}

/// Its samples of 16 bits, from 0 to 1.
pub(crate) fn levels(path: &Path) -> Vec<f64> {
    match picture(path).samples() {
        files::Samples::U16(v) => v.iter().map(|c| f64::from(*c) / 65535.0).collect(),
        _ => panic!("{} has not 16 bits", path.display()),
    }
}

/// Its samples of 32 bits.
pub(crate) fn floats(path: &Path) -> Vec<f32> {
    match picture(path).samples() {
        files::Samples::F32(v) => v.to_vec(),
        _ => panic!("{} has no floats", path.display()),
    }
}
