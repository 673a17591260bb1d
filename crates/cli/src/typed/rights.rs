//! What can be said of papers.

use clap::{Args, Subcommand};
use std::path::PathBuf;

/// Receipts, licences and releases, kept with the picture byte for byte
///
/// With nothing said, lists them. This helps to keep records; it is no legal advice, and what the papers allow is for you to read.
#[derive(Args)]
#[command(after_help = "\
setpiece rights marsh keep receipt.pdf licence.txt --note \"backdrop, bought 3 May\"
setpiece rights marsh
setpiece rights marsh remove receipt.pdf")]
pub(crate) struct Rights {
    #[command(flatten)]
    pub(crate) at: super::Folder,
    #[command(subcommand)]
    pub(crate) what: Option<What>,
}

#[derive(Subcommand)]
pub(crate) enum What {
    /// Keep files with the picture
    Keep {
        /// Which
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
        /// What is to be remembered of them
        #[arg(long, value_name = "TEXT")]
        note: Option<String>,
    },
    /// Take a paper out of the picture; its file stays in the folder
    Remove {
        /// By its name
        paper: String,
    },
}
