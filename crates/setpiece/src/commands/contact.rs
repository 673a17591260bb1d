//! Contact sheets: each shot beside its cut-out on velvet and on white paper, with what is doubtful.

use super::laid::{self, Ground};
use super::{Error, Kind};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use files::encode::{self, Codes, Description, Form};
use files::{Channels, Depth, Format, Limits};
use pixels::encode::Transfer;
use pixels::{Budget, Image, Rgb, Rgba};
use std::io::Cursor;
use std::path::Path;
use units::{Primaries, PxRect, PxSize};

/// Longest side of each picture on a sheet.
const SIDE: u32 = 420;
/// Around each picture of a sheet without words.
const GAP: i64 = 12;

/// One strip of a sheet: a shot, and what became of it.
pub(crate) struct Strip {
    /// What the shot is called.
    pub(crate) name: String,
    /// What is said of it.
    pub(crate) words: Vec<String>,
    /// Whether that is in doubt.
    pub(crate) doubtful: bool,
    pictures: Vec<Image<Rgb>>,
}

impl Strip {
    /// A shot and its cut-out.
    ///
    /// # Errors
    /// Where one cannot be read, or the memory does not suffice.
    pub(crate) fn of(
        (shot, matte): (&Path, &Path),
        strokes: Option<&Path>,
        words: Vec<String>,
        budget: &Budget,
    ) -> Result<Self, Error> {
        let (size, cut_out) = laid::cut_out(shot, matte, strokes, budget)?;
        let step = size.width().max(size.height()).div_ceil(SIDE);
        let small = laid::reduced(&cut_out, size, step, budget)?;
        let mut pictures = vec![seen(shot, step, budget)?];
        for ground in [Ground::Velvet, Ground::WhitePaper] {
            pictures.push(laid::over(&small, ground, budget)?);
        }
        Ok(Self { name: name(shot), doubtful: !words.is_empty(), words, pictures })
    }

    /// A shot that was not cut out, and why.
    pub(crate) fn refused(shot: &Path, why: String, budget: &Budget) -> Self {
        let pictures = files::probe_file(shot, &Limits::default())
            .ok()
            .and_then(|p| seen(shot, p.size.width().max(p.size.height()).div_ceil(SIDE), budget).ok());
        Self { name: name(shot), words: vec![why], doubtful: true, pictures: pictures.into_iter().collect() }
    }
}

fn name(shot: &Path) -> String {
    shot.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
}

fn seen(shot: &Path, step: u32, budget: &Budget) -> Result<Image<Rgb>, Error> {
    let read = files::read(shot, &Limits::default(), budget)?;
    let whole = read.to_rgb(Primaries::Srgb, budget)?;
    let solid = Image::from_fn(whole.place(), budget, |x, y| {
        let Rgb([r, g, b]) = whole.at(x, y);
        Rgba([r, g, b, 1.0])
    })?;
    let small = laid::reduced(&solid, read.size(), step, budget)?;
    laid::over(&small, Ground::WhitePaper, budget)
}

/// Writes a sheet: a page with words (.html), which needs no other file, or the pictures alone (.png).
///
/// # Errors
/// Where its name promises neither, or it cannot be written.
pub(crate) fn write(strips: &[Strip], to: &Path, budget: &Budget) -> Result<(), Error> {
    if to.extension().is_some_and(|e| e.eq_ignore_ascii_case("html")) {
        let page = page(strips)?;
        files::atomic::write(to, |out| {
            std::io::Write::write_all(out, page.as_bytes()).map_err(|e| files::Error::unwritten(to, &e))
        })?;
        return Ok(());
    }
    if Format::promised_by(to) != Some(Format::Png) {
        return Err(unfit(to));
    }
    let picture = grid(strips, budget)?;
    let bytes = png(&picture)?;
    files::atomic::write(to, |out| {
        std::io::Write::write_all(out, &bytes).map_err(|e| files::Error::unwritten(to, &e))
    })?;
    Ok(())
}

/// Whether a sheet may have this name.
///
/// # Errors
/// Where it promises neither a page nor a picture.
pub(crate) fn may_be(to: &Path) -> Result<(), Error> {
    let is_page = to.extension().is_some_and(|e| e.eq_ignore_ascii_case("html"));
    if is_page || Format::promised_by(to) == Some(Format::Png) { Ok(()) } else { Err(unfit(to)) }
}

fn unfit(to: &Path) -> Error {
    Error::new(
        Kind::Wording,
        "a contact sheet is a page or a picture, and this name promises neither",
        to.display().to_string(),
        "give a name that ends in .html or .png",
    )
}

fn png(picture: &Image<Rgb>) -> Result<Vec<u8>, Error> {
    let side = |n: usize| u32::try_from(n).unwrap_or(PxSize::LIMIT);
    let Some(size) = PxSize::new(side(picture.width()), side(picture.height())) else {
        return Err(Error::refused("the sheet has nothing on it", "contact sheet", "give it shots"));
    };
    let colour = Some((Primaries::Srgb, Transfer::Srgb));
    let description = Description { size, channels: Channels::Rgb, colour, ppi: None };
    let form = Form::Png { depth: Depth::U8 };
    let codes = laid::codes(picture);
    Ok(encode::whole(Cursor::new(Vec::new()), description, form, Codes::U8(&codes))?.into_inner())
}

/// One strip below the other on a grey card; a doubtful one with a bar at its left.
fn grid(strips: &[Strip], budget: &Budget) -> Result<Image<Rgb>, Error> {
    let side = i64::from(SIDE);
    let heights: Vec<i64> =
        strips.iter().map(|s| s.pictures.iter().map(|p| p.height() as i64).max().unwrap_or(GAP)).collect();
    let height = GAP + heights.iter().map(|h| h + GAP).sum::<i64>();
    let mut sheet =
        Image::from_fn(PxRect::new(0, 0, 3 * side + 4 * GAP, height), budget, |_, _| Rgb([0.18; 3]))?;
    let mut top = GAP;
    for (strip, height) in strips.iter().zip(heights) {
        if strip.doubtful {
            for y in top..top + height {
                sheet.row_mut(y)[2..(GAP - 3) as usize].fill(Rgb([0.8, 0.45, 0.05]));
            }
        }
        for (left, picture) in (0..).map(|i| GAP + i * (side + GAP)).zip(&strip.pictures) {
            for y in 0..picture.height() as i64 {
                let row = &mut sheet.row_mut(top + y)[left as usize..];
                row[..picture.width()].copy_from_slice(picture.row(picture.place().y0() + y));
            }
        }
        top += height + GAP;
    }
    Ok(sheet)
}

/// A page of its own: its pictures are within it.
fn page(strips: &[Strip]) -> Result<String, Error> {
    let mut rows = String::new();
    for strip in strips {
        let class = if strip.doubtful { " class=\"doubtful\"" } else { "" };
        rows += &format!("<section{class}>\n<h2>{}</h2>\n<div>\n", plain(&strip.name));
        for (picture, what) in strip.pictures.iter().zip(["as shot", "on velvet", "on white paper"]) {
            let code = STANDARD.encode(png(picture)?);
            let alt = format!("{}, {what}", plain(&strip.name));
            rows += &format!(
                "<figure><img alt=\"{alt}\" src=\"data:image/png;base64,{code}\"><figcaption>{what}</figcaption></figure>\n"
            );
        }
        rows += "</div>\n";
        strip.words.iter().for_each(|words| rows += &format!("<p>{}</p>\n", plain(words)));
        rows += "</section>\n";
    }
    let doubtful = strips.iter().filter(|s| s.doubtful).count();
    Ok(format!(
        "<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n<title>Contact sheet</title>\n<style>\n{STYLE}</style>\n\
         <h1>Contact sheet</h1>\n<p>{} shots, {doubtful} to look at</p>\n{rows}</html>\n",
        strips.len()
    ))
}

const STYLE: &str = "\
body, html { background: #777; color: #111; font: 15px/1.45 Georgia, serif; margin: 1.5rem; }
h1 { font-size: 1.3rem; font-weight: normal; }
h2 { font-size: 1rem; margin: 0 0 .4rem; }
section { border-top: 1px solid #555; padding: .8rem 0 .8rem .9rem; border-left: 6px solid transparent; }
section.doubtful { border-left-color: #e0a030; }
section div { display: flex; flex-wrap: wrap; gap: 12px; }
figure { margin: 0; }
img { display: block; max-width: 100%; }
figcaption { font-size: .85rem; }
p { margin: .4rem 0 0; }
";

fn plain(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
