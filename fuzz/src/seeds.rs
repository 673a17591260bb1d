//! Where fuzzing begins: small sound files, made by the program's own writers and so never out of date. What those do not
//! write lies in `seeds/`.

use exr::compression::Compression;
use exr::prelude::{Encoding, Image, Layer, LayerAttributes, SpecificChannels, WritableImage as _};
use files::encode::{Codes, Description, Form, Packing, Sampling, whole};
use files::{Channels, Depth};
use pixels::encode::Transfer;
use std::io::Cursor;
use std::path::Path;
use units::{Primaries, PxSize};

const WIDTH: u32 = 13;
const HEIGHT: u32 = 9;

/// Called before the first run: where the variable names a folder, the seeds are laid there and the process ends.
///
/// # Panics
/// Where the folder cannot be written.
pub fn lay(seeds: fn() -> Vec<(&'static str, Vec<u8>)>) {
    let Some(folder) = std::env::var_os("FUZZ_SEEDS") else { return };
    for (name, bytes) in seeds() {
        let (target, file) = name.split_once('/').expect("a target and a name");
        let folder = Path::new(&folder).join(target);
        std::fs::create_dir_all(&folder).expect("the folder of seeds can be made");
        std::fs::write(folder.join(file), bytes).expect("a seed can be written");
    }
    std::process::exit(0);
}

/// Pictures of every form that is written.
#[must_use]
pub fn pictures() -> Vec<(&'static str, Vec<u8>)> {
    let deep: Vec<u16> = (0..WIDTH * HEIGHT * 4).map(|i| (i * 1213 % 65_536) as u16).collect();
    let shallow: Vec<u8> = deep.iter().map(|c| (c >> 8) as u8).collect();
    let floats: Vec<f32> = deep.iter().map(|c| f32::from(*c) / 30_000.0).collect();
    let coded = Some((Primaries::DisplayP3, Transfer::Srgb));
    let linear = Some((Primaries::Rec2020, Transfer::Linear));
    let file = |channels: Channels, colour, form, depth| {
        let size = PxSize::new(WIDTH, HEIGHT).expect("a small size");
        let count = (WIDTH * HEIGHT) as usize * channels.count();
        let codes = match depth {
            Depth::U8 => Codes::U8(&shallow[..count]),
            Depth::U16 => Codes::U16(&deep[..count]),
            Depth::F16 | Depth::F32 => Codes::F32(&floats[..count]),
        };
        let description = Description { size, channels, colour, ppi: Some(300.0) };
        whole(Cursor::new(Vec::new()), description, form, codes).expect("a seed is written").into_inner()
    };
    let (grey, rgb, rgba) = (Channels::Grey, Channels::Rgb, Channels::Rgba);
    let (u8, u16, f16, f32) = (Depth::U8, Depth::U16, Depth::F16, Depth::F32);
    let jpeg = |sampling| file(rgb, coded, Form::Jpeg { quality: 85, sampling }, u8);
    let png = |channels, colour, depth| file(channels, colour, Form::Png { depth }, depth);
    let tiff =
        |channels, colour, depth, packing| file(channels, colour, Form::Tiff { depth, packing }, depth);
    let mut all = vec![
        ("jpeg/full", jpeg(Sampling::Full)),
        ("jpeg/half-across", jpeg(Sampling::HalfAcross)),
        ("jpeg/half", jpeg(Sampling::Half)),
        ("png/rgb-8", png(rgb, coded, u8)),
        ("png/rgba-16", png(rgba, linear, u16)),
        ("png/matte-16", png(grey, None, u16)),
        ("tiff/plain-8", tiff(rgb, coded, u8, Packing::None)),
        ("tiff/lzw-16", tiff(rgba, coded, u16, Packing::Lzw)),
        ("tiff/deflate-16", tiff(rgb, linear, u16, Packing::Deflate)),
        ("tiff/float", tiff(rgba, linear, f32, Packing::Deflate)),
        ("tiff/matte", tiff(grey, None, u8, Packing::Lzw)),
        ("exr/half", file(rgb, linear, Form::Exr { depth: f16 }, f16)),
        ("exr/float", file(rgba, linear, Form::Exr { depth: f32 }, f32)),
    ];
    all.extend(
        [
            ("exr/small-fast", Encoding::SMALL_FAST_LOSSLESS),
            ("exr/blocks", Encoding { compression: Compression::B44, ..Encoding::SMALL_LOSSLESS }),
            ("exr/rounded", Encoding { compression: Compression::PXR24, ..Encoding::SMALL_LOSSLESS }),
            ("exr/small", Encoding::SMALL_LOSSLESS),
            ("exr/runs", Encoding::FAST_LOSSLESS),
            ("exr/plain", Encoding::UNCOMPRESSED),
        ]
        .map(|(name, encoding)| (name, foreign_exr(encoding))),
    );
    all
}

/// In ways of packing that are read but not written.
fn foreign_exr(encoding: Encoding) -> Vec<u8> {
    let colour = |at: exr::math::Vec2<usize>| (at.x() as f32 / 7.0, at.y() as f32 / 5.0, 0.25f32);
    let size = (WIDTH as usize, HEIGHT as usize);
    let layer = Layer::new(size, LayerAttributes::default(), encoding, SpecificChannels::rgb(colour));
    let mut out = Cursor::new(Vec::new());
    Image::from_layer(layer).write().non_parallel().to_buffered(&mut out).expect("a seed is written");
    out.into_inner()
}

/// A whole picture, and edits one a line.
#[must_use]
pub fn scenes() -> Vec<(&'static str, Vec<u8>)> {
    const EXAMPLE: &str = include_str!("../../crates/scene/tests/data/example.json");
    let scene = scene::file::from_file(EXAMPLE).expect("the example is a picture");
    let compact: Vec<&str> = EXAMPLE.lines().map(str::trim).collect();
    let mut edits: Vec<String> = [
        scene::Edit::Name("dusk".to_owned()),
        scene::Edit::Format(scene.format().clone()),
        scene::Edit::Lens(*scene.lens()),
        scene::Edit::Stage(scene.stage().clone()),
    ]
    .iter()
    .map(scene::file::to_line)
    .collect();
    edits.extend(lines(&scene));
    let group = format!("{{\"group\":[{}]}}", edits.join(","));
    vec![
        ("scene/example", EXAMPLE.as_bytes().to_vec()),
        ("scene/compact", compact.concat().into_bytes()),
        ("scene/edits", edits.join("\n").into_bytes()),
        ("scene/group", group.into_bytes()),
        (
            "scene/new",
            scene::file::to_file(&scene::Scene::new("a", scene.format().clone()).expect("a name"))
                .into_bytes(),
        ),
    ]
}

/// Everything in a picture, added as an edit adds it.
fn lines(scene: &scene::Scene) -> Vec<String> {
    use scene::{Edit, Put};
    let mut edits = Vec::new();
    for (digest, source) in scene.sources() {
        edits.push(Edit::Source { digest: *digest, put: Put::Add(Box::new(source.clone())) });
    }
    for (id, cutout) in scene.cutouts() {
        edits.push(Edit::CutOut { id: *id, put: Put::Add(Box::new(cutout.clone())) });
    }
    for (id, piece) in scene.pieces() {
        edits.push(Edit::Piece { id: *id, put: Put::Add(Box::new(piece.clone())) });
    }
    for (id, take) in scene.takes() {
        edits.push(Edit::Take { id: *id, put: Put::Add(Box::new(take.clone())) });
    }
    edits.iter().map(scene::file::to_line).collect()
}
