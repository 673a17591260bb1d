//! What can be said of cutting a shot out.

use super::render::Hands;
use clap::Args;
use std::path::PathBuf;

/// Cut a shot out: make its matte
///
/// Before paper of any one colour by itself; before anything else by a trimap, a picture of the shot's size that is black outside the thing,
/// white inside and grey between. The matte is white where the thing covers.
#[derive(Args)]
#[command(after_help = "\
setpiece cut heron.tif --matte heron-matte.png
setpiece cut heron.tif --matte heron-matte.png --foreground heron-colour.png
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
