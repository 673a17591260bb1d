//! Puts path-traced scenes together again from backdrop, shots, mattes and facts, and measures them against the truth.
//!
//! A scene folder holds scene.json (camera, light, air, studio, shots, marks), the backdrop, shots and mattes; nothing else
//! is read for rendering. The result is OUT/NAME.png, 16 bit, sRGB. Where the folder also holds the truth and the answers, the
//! result is scored: OUT/table.md has the figures of all scenes, beside those of ../results.md, where that is there.

mod card;
mod fit;
mod fourier;
mod metrics;
mod references;
mod score;
mod table;

use crate::error::Error;
use crate::{option, switch};
use files::encode::{self, Codes, Description, Form};
use pixels::Budget;
use pixels::encode::{Encoder, Transfer};
use references::References;
use render::Job;
use render::keep::Nothing;
use scene::{Edit, Put, Scene, Source, SourceKind};
use setpiece::facts::Written;
use setpiece::parts::Parts;
use staging::measured::Measured;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use units::{Digest, Primaries};

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let scenes = option(&mut args, "--scenes")?.ok_or_else(|| Error::new("--scenes DIR is needed"))?;
    let out = option(&mut args, "--out")?.ok_or_else(|| Error::new("--out DIR is needed"))?;
    let only = option(&mut args, "--only")?;
    let plain = switch(&mut args, "--plain");
    let scored = !switch(&mut args, "--no-score");
    if let Some(left) = args.first() {
        return Err(Error::new(format!("{left} is not understood")));
    }
    std::fs::create_dir_all(&out)?;
    let mut folders: Vec<_> = std::fs::read_dir(&scenes)?.collect::<Result<_, _>>()?;
    folders.sort_by_key(std::fs::DirEntry::file_name);
    let mut scores = Vec::new();
    for folder in folders {
        let name = folder.file_name().to_string_lossy().into_owned();
        if !folder.path().join("scene.json").is_file() || only.as_ref().is_some_and(|o| *o != name) {
            continue;
        }
        let to = Path::new(&out).join(format!("{name}.png"));
        let started = std::time::Instant::now();
        reassemble(&folder.path(), &to, plain)
            .map_err(|e| Error::new(format!("{}: {e}", folder.path().display())))?;
        println!("{} {:.2} s", to.display(), started.elapsed().as_secs_f64());
        let score = if scored { score::score(&folder.path(), &to)? } else { None };
        scores.push((name, score));
    }
    if scores.is_empty() {
        return Err(Error::new(format!("{scenes}: no scene folder to render")));
    }
    if scored {
        let page = std::fs::read_to_string(Path::new(&scenes).join("../results.md")).unwrap_or_default();
        let table = table::table(&scores, &References::read(&page));
        std::fs::write(Path::new(&out).join("table.md"), &table)?;
        print!("\n{table}");
    }
    Ok(())
}

fn reassemble(folder: &Path, to: &Path, plain: bool) -> Result<(), Error> {
    let budget = Budget::of_bytes(4 << 30);
    let mut parts = Parts::new(Primaries::Srgb);
    let scene = stage(folder, &mut parts)?;
    let mut measured = Measured::default();
    if let Some(backdrop) = scene.backdrop() {
        measured.backdrop = Some(parts.size(backdrop.source)?);
    }
    for (id, cut) in scene.cutouts() {
        let cut = staging::layout::Cut::of(cut.shot, cut.matte, staging::layout::Mixing::Over);
        measured.cuts.insert(*id, parts.measure(cut, &budget)?);
    }
    let resolved = staging::resolve(&scene, &measured);
    for snag in &resolved.snags {
        eprintln!("{}: {} ({})", snag.place, snag.what, snag.remedy);
    }
    let layout = &resolved.layout;
    let want = layout.size.rect();
    let picture = if plain {
        render::plain::render(layout, want, &parts, &budget)?
    } else {
        let job = Job {
            layout,
            sources: &parts,
            keep: &Nothing,
            budget: &budget,
            threads: std::thread::available_parallelism()?,
            cancel: &AtomicBool::new(false),
            progress: &|_| {},
        };
        job.picture(want)?
    };
    let mut codes = vec![0u16; picture.samples().len()];
    Encoder::of(Transfer::Srgb).u16s(picture.samples(), &mut codes);
    let description = Description {
        size: layout.size,
        channels: files::Channels::Rgb,
        colour: Some((Primaries::Srgb, Transfer::Srgb)),
        ppi: None,
    };
    let file = std::io::BufWriter::new(std::fs::File::create(to)?);
    encode::whole(file, description, Form::Png { depth: files::Depth::U16 }, Codes::U16(&codes))?;
    Ok(())
}

/// The scene of a folder, made by the edits that an artist would make.
fn stage(folder: &Path, parts: &mut Parts) -> Result<Scene, Error> {
    let written = Written::read(&std::fs::read_to_string(folder.join("scene.json"))?)?;
    let mut scene = Scene::new("reassembly", written.format(Primaries::Srgb)?)?;
    let mut digests = BTreeMap::new();
    let mattes = written.mattes().into_keys().map(|matte| (matte, SourceKind::Matte));
    for (file, kind) in written.files().into_iter().chain(mattes) {
        let path = folder.join(&file);
        let bytes = std::fs::read(&path).map_err(|e| Error::new(format!("{}: {e}", path.display())))?;
        let digest = Digest::of(&bytes);
        parts.add(digest, path);
        let name = file.replace('/', "-");
        let source = Source {
            file: format!("{}-{name}", digest.short()),
            name,
            kind,
            bytes: bytes.len() as u64,
            size: None,
            note: String::new(),
        };
        if !scene.sources().contains_key(&digest) {
            scene.apply(Edit::Source { digest, put: Put::Add(Box::new(source)) })?;
        }
        digests.insert(file, digest);
    }
    let staged = written.staged(&mut scene.fresh(), &digests, Primaries::Srgb)?;
    scene.apply(Edit::Group(staged.edits))?;
    Ok(scene)
}
