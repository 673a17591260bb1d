//! What can be said of looking along a piece's edge.

use super::render::Hands;
use clap::Args;
use std::path::PathBuf;

/// Tell where the edge of a piece can be seen in the picture, worst first
///
/// Stretch by stretch: what nearer pieces leave of it, what defocus leaves of its sharpness, how large it stands in the picture, and how far
/// it differs from what is behind it. Their product with its length is the attention it deserves: where a matte
/// wants care, and where none would be seen.
#[derive(Args)]
#[command(after_help = "\
setpiece edges marsh heron
setpiece edges marsh heron --map heron-edges.png
setpiece edges marsh heron --take dawn --json")]
pub(crate) struct Edges {
    #[command(flatten)]
    pub(crate) at: super::Folder,
    /// Which piece
    #[arg(value_name = "PIECE")]
    pub(crate) piece: String,
    /// Where a map goes: a PNG of the shot's size, the edge the lighter the more of it can be seen
    #[arg(long, value_name = "FILE")]
    pub(crate) map: Option<PathBuf>,
    /// The picture as this take shows it
    #[arg(long, value_name = "NAME")]
    pub(crate) take: Option<String>,
    /// How many stretches are listed; JSON has all
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = crate::words::count)]
    pub(crate) first: u32,
    /// Replace a map of the same name
    #[arg(long)]
    pub(crate) over: bool,
    #[command(flatten)]
    pub(crate) hands: Hands,
}
