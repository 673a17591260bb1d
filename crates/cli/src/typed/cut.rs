//! What can be said of cutting a shot out.

use super::render::Hands;
use clap::Args;
use std::path::PathBuf;

/// Cut a shot out: make its matte
///
/// Before paper of any one colour by itself. Before anything else by strokes: a few lines drawn over the shot that say what is inside
/// the thing, what is outside, and where one goes over into the other (docs/formats/strokes.md); or by a trimap, a picture of the shot's
/// size that is black outside the thing, white inside and grey between. Strokes that only say what is outside, or between, are laid
/// over what was found from the paper, and all strokes over a trimap. The matte is white where the thing covers.
#[derive(Args)]
#[command(after_help = "\
setpiece cut heron.tif --matte heron-matte.png
setpiece cut heron.tif --matte heron-matte.png --foreground heron-colour.png
setpiece cut heron.tif --matte heron-matte.png --strokes heron-strokes.json
setpiece cut heron.tif --matte heron-matte.png --trimap heron-trimap.png --quick")]
pub(crate) struct Cut {
    /// The shot
    #[arg(value_name = "SHOT")]
    pub(crate) shot: PathBuf,
    /// Where the matte goes: .png or .tif, 16 bits
    #[arg(long, value_name = "FILE")]
    pub(crate) matte: PathBuf,
    /// What is sure of the shot
    #[arg(long, value_name = "FILE")]
    pub(crate) trimap: Option<PathBuf>,
    /// What was drawn over the shot: a strokes file
    #[arg(long, value_name = "FILE")]
    pub(crate) strokes: Option<PathBuf>,
    /// Where the thing's own colour goes, without the paper's: .png or .tif
    #[arg(long, value_name = "FILE")]
    pub(crate) foreground: Option<PathBuf>,
    /// In a fraction of the time, a little less exact
    #[arg(long)]
    pub(crate) quick: bool,
    /// Replace files of the same names
    #[arg(long)]
    pub(crate) over: bool,
    #[command(flatten)]
    pub(crate) hands: Hands,
}
