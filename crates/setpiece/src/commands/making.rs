//! What is made of a shot for a picture: its matte, as a file that is still to come in.

use super::cut::not_found;
use super::incoming::Incoming;
use super::{Error, Kind};
use crate::parts::measured;
use cutting::matting::{self, Effort};
use cutting::sheet;
use files::encode::{self, Codes, Description, Form};
use files::{Channels, Depth, Photograph};
use pixels::{Budget, Coverage, Image};
use scene::SourceKind;
use staging::measured::MeasuredCut;
use std::io::Cursor;
use std::path::PathBuf;
use units::{Digest, Primaries};

/// The matte of a shot before paper, cut out by itself.
///
/// # Errors
/// Where no paper is found behind the thing, or the memory does not suffice.
pub(crate) fn matte(
    shot: &Incoming,
    read: Photograph,
    budget: &Budget,
) -> Result<(Incoming, MeasuredCut), Error> {
    let picture = read.to_rgb(Primaries::Rec2020, budget)?;
    drop(read);
    let trimap = sheet::trimap(&picture, budget)?.map_err(|e| not_found(e, &shot.path))?;
    let matte = matting::matte(&picture, &trimap, Effort::Best, budget)?;
    let measured = measured(shot.size, &matte);
    if measured.covered.is_empty() {
        return Err(Error::new(
            Kind::Refused,
            "cut out by itself, nothing of the shot is left",
            shot.path.display().to_string(),
            "give it a matte, or cut it out by a trimap: setpiece cut SHOT --trimap FILE",
        ));
    }
    Ok((incoming(shot, &matte)?, measured))
}

/// A matte as a file that comes in beside its shot.
fn incoming(shot: &Incoming, matte: &Image<Coverage>) -> Result<Incoming, Error> {
    let grey = Description { size: shot.size, channels: Channels::Grey, colour: None, ppi: None };
    let codes: Vec<u16> = matte.samples().iter().map(|v| (v * 65535.0).round() as u16).collect();
    let bytes =
        encode::whole(Cursor::new(Vec::new()), grey, Form::Png { depth: Depth::U16 }, Codes::U16(&codes))?
            .into_inner();
    Ok(Incoming {
        path: PathBuf::from(format!("{}-matte.png", shot.stem())),
        digest: Digest::of(&bytes),
        kind: SourceKind::Cutting,
        size: shot.size,
        bytes: bytes.len() as u64,
        warnings: Vec::new(),
        made: Some(bytes.into()),
    })
}
