//! OpenEXR 2: scene-linear RGB, RGBA or grey of 16 or 32-bit floats, in scan lines or tiles.

use super::head::Head;
use crate::error::Error;
use crate::limits::Limits;
use crate::photograph::{Association, Channels, Colour, Depth, Samples, measured};
use ::exr::block;
use ::exr::block::reader::ChunksReader as _;
use ::exr::math::Vec2;
use ::exr::meta::MetaData;
use ::exr::meta::attribute::SampleType;
use ::exr::meta::header::Header;
use half::f16;
use pixels::Budget;
use pixels::encode::Transfer;
use std::io::Cursor;
use units::Primaries;

/// Which layer to read, and where each of its channels goes.
struct Plan {
    layer: usize,
    channels: Channels,
    /// For each channel of the layer: its place in a pixel.
    places: Vec<Option<usize>>,
    /// Where the layer's first pixel lies in the picture.
    offset: (i64, i64),
    size: (u64, u64),
    note: Option<String>,
}

fn damaged(e: ::exr::error::Error) -> Error {
    use ::exr::error::Error as E;
    match e {
        E::NotSupported(what) => Error::unsupported(format!("OpenEXR: {what}"), "OpenEXR data"),
        E::Io(_) => Error::damaged("the file ends before its picture does", "OpenEXR data"),
        other => Error::damaged(format!("it cannot be decoded: {other}"), "OpenEXR data"),
    }
}

fn plan(headers: &[Header], file_length: usize, limits: &Limits) -> Result<Plan, Error> {
    let (layer, header, prefix) = headers
        .iter()
        .enumerate()
        .filter(|(_, header)| !header.deep)
        .find_map(|(i, header)| Some((i, header, prefix(header)?)))
        .ok_or_else(|| Error::unsupported("no layer with red, green and blue or grey", "OpenEXR header"))?;
    for header in headers {
        // Each block has a place in a table of the file: more blocks than bytes cannot be.
        if header.chunk_count > file_length / 8 {
            return Err(Error::damaged("the file is too short for its table of blocks", "OpenEXR header"));
        }
    }
    let name = |c: &::exr::meta::attribute::ChannelDescription| c.name.to_string();
    let list = &header.channels.list;
    let has = |short: &str| list.iter().any(|c| name(c) == format!("{prefix}{short}"));
    let (wanted, channels): (&[&str], Channels) = match (has("R"), has("A"), has("Y")) {
        (true, true, _) => (&["R", "G", "B", "A"], Channels::Rgba),
        (true, false, _) => (&["R", "G", "B"], Channels::Rgb),
        (false, true, true) => (&["Y", "A"], Channels::GreyAlpha),
        (false, false, true) => (&["Y"], Channels::Grey),
        _ => (&[""], Channels::Grey),
    };
    let place = |c: &_| {
        let full = name(c);
        if wanted == [""] { Some(0) } else { wanted.iter().position(|w| full == format!("{prefix}{w}")) }
    };
    let places: Vec<_> = list.iter().map(place).collect();
    let sampled = list.iter().zip(&places).any(|(c, p)| p.is_some() && c.sampling != Vec2(1, 1));
    if sampled || has("RY") || has("BY") {
        return Err(Error::unsupported("channels of reduced resolution", "OpenEXR header"));
    }
    let window = header.shared_attributes.display_window;
    let at = header.own_attributes.layer_position;
    let offset =
        (i64::from(at.0) - i64::from(window.position.0), i64::from(at.1) - i64::from(window.position.1));
    let size = (window.size.0 as u64, window.size.1 as u64);
    let layer_size = (header.layer_size.0 as u64, header.layer_size.1 as u64);
    limits.size(layer_size.0, layer_size.1)?;
    let mut notes = Vec::new();
    if offset != (0, 0) || size != layer_size {
        notes.push("the stored part is not the whole picture; the rest is empty".to_owned());
    }
    if !prefix.is_empty() || layer > 0 {
        notes.push(format!("read from the layer '{}'", prefix.trim_end_matches('.')));
    }
    let note = (!notes.is_empty()).then(|| notes.join("; "));
    Ok(Plan { layer, channels, places, offset, size, note })
}

/// What stands before the names of a layer's colour channels: nothing where there are plain ones.
fn prefix(header: &Header) -> Option<String> {
    let names: Vec<String> = header.channels.list.iter().map(|c| c.name.to_string()).collect();
    let has = |name: String| names.contains(&name);
    let complete = |p: &str| has(format!("{p}R")) && has(format!("{p}G")) && has(format!("{p}B"));
    if complete("") || has("Y".to_owned()) || names.len() == 1 {
        return Some(String::new());
    }
    let mut prefixes = names.iter().filter_map(|n| n.strip_suffix('R')).filter(|p| p.ends_with('.'));
    prefixes.find(|p| complete(p)).map(str::to_owned)
}

pub(super) fn head(bytes: &[u8], limits: &Limits) -> Result<Head, Error> {
    let meta = MetaData::read_from_buffered(Cursor::new(bytes), false).map_err(damaged)?;
    let plan = plan(&meta.headers, bytes.len(), limits)?;
    let header = &meta.headers[plan.layer];
    let size = limits.size(plan.size.0, plan.size.1)?;
    let halves = header
        .channels
        .list
        .iter()
        .zip(&plan.places)
        .all(|(c, place)| place.is_none() || c.sample_type == SampleType::F16);
    let mut head = Head::new(size, plan.channels, if halves { Depth::F16 } else { Depth::F32 });
    head.association = Association::Associated;
    head.colour = Colour::Known(Primaries::Srgb, Transfer::Linear);
    if let Some(c) = header.shared_attributes.chromaticities {
        let xy = |v: Vec2<f32>| (f64::from(v.0), f64::from(v.1));
        head.colour = measured([xy(c.red), xy(c.green), xy(c.blue)], xy(c.white), Transfer::Linear);
    }
    head.warnings.extend(plan.note);
    Ok(head)
}

pub(super) fn pixels(bytes: &[u8], head: &Head, limits: &Limits, budget: &Budget) -> Result<Samples, Error> {
    let reader = block::read(Cursor::new(bytes), false).map_err(damaged)?;
    let plan = plan(reader.headers(), bytes.len(), limits)?;
    let header = &reader.headers()[plan.layer];
    // One block packed, unpacked and in between; the table of blocks.
    let tables: usize = reader.headers().iter().map(|h| h.chunk_count * 8).sum();
    let scratch = header.max_block_byte_size() as u64 * 4 + tables as u64 * 4;
    let _scratch = budget.take(scratch).map_err(|e| Error::over_budget(e, "decoding an OpenEXR picture"))?;
    let n = plan.channels.count();
    let (width, height) = (i64::from(head.size.width()), i64::from(head.size.height()));
    let mut samples = head.samples::<f32>(budget)?;
    let layer = plan.layer;
    let chunks = reader
        .filter_chunks(false, |_, tile, block| block.layer == layer && tile.is_largest_resolution_level())
        .map_err(damaged)?;
    let mut missing = (plan.channels.count() as u64) * header_area(&chunks, layer);
    chunks
        .decompress_sequential(false, |meta, block| {
            let channels = &meta.headers[layer].channels;
            for line in block.lines(channels) {
                let Some(place) = plan.places[line.location.channel] else { continue };
                missing = missing.saturating_sub(line.location.sample_count as u64);
                let y = line.location.position.1 as i64 + plan.offset.1;
                if !(0..height).contains(&y) {
                    continue;
                }
                let x0 = line.location.position.0 as i64 + plan.offset.0;
                let row = &mut samples[(y * width) as usize * n..((y + 1) * width) as usize * n];
                let kind = channels.list[line.location.channel].sample_type;
                let mut put = |i: usize, v: f32| {
                    let x = x0 + i as i64;
                    if (0..width).contains(&x) {
                        row[x as usize * n + place] = v;
                    }
                };
                match kind {
                    SampleType::F16 => each(line.value, |i, b| put(i, f16::from_ne_bytes(b).to_f32())),
                    SampleType::F32 => each(line.value, |i, b| put(i, f32::from_ne_bytes(b))),
                    SampleType::U32 => each(line.value, |i, b| put(i, u32::from_ne_bytes(b) as f32)),
                }
            }
            Ok(())
        })
        .map_err(damaged)?;
    if missing > 0 {
        return Err(Error::damaged("parts of the picture are missing", "OpenEXR data"));
    }
    Ok(Samples::F32(samples))
}

fn header_area(chunks: &impl block::reader::ChunksReader, layer: usize) -> u64 {
    let size = chunks.meta_data().headers[layer].layer_size;
    size.0 as u64 * size.1 as u64
}

fn each<const N: usize>(bytes: &[u8], mut put: impl FnMut(usize, [u8; N])) {
    bytes.as_chunks::<N>().0.iter().enumerate().for_each(|(i, &b)| put(i, b));
}
