//! What can be said of cutting a shot out.

use super::render::Hands;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// What a cut-out is laid on.
#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum On {
    /// Black velvet: what is left of light paper shows
    Velvet,
    /// A grey card
    GreyCard,
    /// White paper: what is left of dark paper shows
    WhitePaper,
}

/// Cut shots out: make their mattes
///
/// Before paper of any one colour by itself. Before anything else by strokes: a few lines drawn over the shot that say what is inside
/// the thing, what is outside, and where one goes over into the other (docs/formats/strokes.md); or by a trimap, a picture of the shot's
/// size that is black outside the thing, white inside and grey between. Before paper strokes put right what was found from it, where they
/// contradict it, and over a trimap they are laid. The matte is white where the thing covers.
#[derive(Args)]
#[command(after_help = "\
setpiece cut heron.tif --matte heron-matte.png
setpiece cut heron.tif --matte heron-matte.png --foreground heron-colour.png
setpiece cut heron.tif --matte heron-matte.png --strokes heron-strokes.json
setpiece cut heron.tif --matte heron-matte.png --trimap heron-trimap.png --quick
setpiece cut heron.tif --matte heron-matte.png --laid look.png --on white-paper
setpiece cut shots/reeds --mattes mattes/reeds --sheet reeds.html")]
pub(crate) struct Cut {
    /// The shot; with --mattes several, and folders of shots
    #[arg(value_name = "SHOT", required = true)]
    pub(crate) shots: Vec<PathBuf>,
    /// Where the matte goes: .png or .tif, 16 bits
    #[arg(long, value_name = "FILE", required_unless_present = "mattes")]
    pub(crate) matte: Option<PathBuf>,
    /// The folder that the mattes of several shots go to
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["matte", "trimap", "foreground", "laid"])]
    pub(crate) mattes: Option<PathBuf>,
    /// A contact sheet to look them over: a page (.html), or the pictures alone (.png)
    #[arg(long, value_name = "FILE")]
    pub(crate) sheet: Option<PathBuf>,
    /// The cut-out on an even ground, to be looked at: .png, .tif or .jpg
    #[arg(long, value_name = "FILE")]
    pub(crate) laid: Option<PathBuf>,
    /// What it is laid on
    #[arg(long, value_enum, default_value_t = On::Velvet, requires = "laid")]
    pub(crate) on: On,
    /// What is sure of the shot, as a picture of its size: black outside, white inside, grey between
    #[arg(long, value_name = "FILE")]
    pub(crate) trimap: Option<PathBuf>,
    /// What was drawn over the shot: a strokes file (.json; docs/formats/strokes.md)
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
