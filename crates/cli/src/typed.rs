//! What can be typed: the one table of commands and options. Parser, help, manual pages and completions come from it; what it means
//! is told in [`crate::run`].

pub(crate) mod cut;
pub(crate) mod dress;
pub(crate) mod edges;
pub(crate) mod place;
pub(crate) mod read;
pub(crate) mod render;
pub(crate) mod rights;
pub(crate) mod tone;
pub(crate) mod touch_up;

use clap::{Args, CommandFactory as _, FromArgMatches as _, Parser, Subcommand};
use clap_complete::Shell;
use setpiece::commands::quantity as q;
use setpiece::commands::scene::Factor;
use setpiece::commands::units::{Millimetres, PxSize};
use std::any::TypeId;
use std::ffi::OsString;
use std::path::PathBuf;

/// Composite pictures whose pieces stand on marks: size, defocus, light, haze and shadow follow from where a piece stands.
#[derive(Parser)]
#[command(
    name = "setpiece",
    version,
    disable_help_subcommand = true,
    subcommand_required = true,
    after_help = "Alone it opens the studio on the pictures of the folder that it is called in.\nBegin with:  setpiece demo\nExit codes:  setpiece help exit-codes"
)]
pub(crate) struct Typed {
    /// Report in JSON, with units in the fields' names
    #[arg(long, global = true)]
    pub(crate) json: bool,
    #[command(subcommand)]
    pub(crate) command: Command,
}

impl Typed {
    /// The table itself.
    pub(crate) fn table() -> clap::Command {
        numbers_may_be_negative(Self::command())
    }

    /// What a line of words says by the table.
    ///
    /// # Errors
    /// Where it says nothing.
    pub(crate) fn read(words: impl IntoIterator<Item = OsString>) -> Result<Self, clap::Error> {
        let mut table = Self::table();
        let matches = table.try_get_matches_from_mut(words)?;
        Self::from_arg_matches(&matches).map_err(|e| e.format(&mut table))
    }

    /// The commands whose changes can be laid into a take.
    pub(crate) const IN_LAYERS: [&str; 5] = ["place", "dress", "light", "tone", "read"];

    /// The same with its change in another layer, where the command has layers.
    pub(crate) fn in_layer(mut self, layer: &Layer) -> Self {
        let own = match &mut self.command {
            Command::Place(c) => Some(&mut c.layer),
            Command::Dress(c) => Some(&mut c.layer),
            Command::Light(c) => Some(&mut c.layer),
            Command::Tone(c) => Some(&mut c.layer),
            Command::Read(c) => Some(&mut c.layer),
            Command::TouchUp(c) => Some(&mut c.layer),
            _ => None,
        };
        if let Some(own) = own {
            own.take.clone_from(&layer.take);
        }
        self
    }
}

/// Lets each option of one number, or of one list of them, begin with a minus: whether it may be below 0 is for the number to say. Not so
/// for texts, and for lists of words, which would swallow the next option.
fn numbers_may_be_negative(table: clap::Command) -> clap::Command {
    let texts = [TypeId::of::<String>(), TypeId::of::<PathBuf>()];
    table
        .mut_args(|arg| {
            let is_one = arg.get_num_args().is_none_or(|n| n.max_values() == 1);
            let is_text = texts.iter().any(|t| arg.get_value_parser().type_id() == *t);
            let is_number = arg.get_action().takes_values() && !arg.is_positional() && is_one && !is_text;
            if is_number { arg.allow_hyphen_values(true) } else { arg }
        })
        .mut_subcommands(numbers_may_be_negative)
}

#[derive(Subcommand)]
pub(crate) enum Command {
    /// Begin a picture in a new folder
    New(New),
    /// Add the backdrop, or say what is known of its viewpoint, lens and light
    Read(Box<read::Read>),
    /// Cut a shot out: make its matte
    Cut(cut::Cut),
    /// Stand pieces on their marks, move them, nudge their rows
    Place(place::Place),
    /// Fill ground with pieces by a rule
    Dress(dress::Dress),
    /// Touch a cut-out up by hand: strokes, edge, shots that go out and come back
    TouchUp(Box<touch_up::TouchUp>),
    /// The lamps in the picture
    Light(Light),
    /// The treatments over the whole picture
    Tone(tone::Tone),
    /// Variants of the picture
    Take(Take),
    /// Receipts, licences and releases, kept with the picture byte for byte
    Rights(rights::Rights),
    /// Open the studio: the picture on a drafting table, in the browser
    Open(Open),
    /// Render the picture to a file
    Render(render::Render),
    /// Tell where the edge of a piece can be seen in the picture, worst first
    Edges(edges::Edges),
    /// Check files and pieces, and find snags
    Check(Folder),
    /// Take back what was done last
    Undo(Turn),
    /// Do again what was taken back
    Redo(Turn),
    /// Tell what was done, with its dates
    Log(Log),
    /// Put a finished picture together from the parts that come along
    Demo(Demo),
    /// Explain a command, or the exit codes
    Help(Help),
    /// Print what a shell needs to complete commands
    #[command(hide = true)]
    Completions {
        /// Which shell
        shell: Shell,
    },
    /// Write the manual pages into a folder
    #[command(hide = true)]
    Man {
        /// The folder, which must exist
        folder: PathBuf,
    },
}

#[derive(Args)]
pub(crate) struct Folder {
    /// The picture's folder
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
}

/// Begin a picture in a new folder
#[derive(Args)]
#[command(
    after_help = "setpiece new marsh --size 6000x4000\nsetpiece new marsh --print 60x40cm --ppi 300 --name \"Lantern marsh\""
)]
#[group(id = "extent", required = true, multiple = true, args = ["size", "print"])]
pub(crate) struct New {
    #[command(flatten)]
    pub(crate) at: Folder,
    #[command(flatten)]
    pub(crate) extent: Extent,
    /// What the picture is called [default: as its folder]
    #[arg(long, value_parser = crate::words::name)]
    pub(crate) name: Option<String>,
    /// The colours it is worked in
    #[arg(long, value_enum, default_value_t = render::Colours::Rec2020)]
    pub(crate) primaries: render::Colours,
}

/// How large a picture is.
#[derive(Args)]
pub(crate) struct Extent {
    /// Width and height in pixels, as 6000x4000
    #[arg(long, value_name = "WxH", value_parser = q::size)]
    pub(crate) size: Option<PxSize>,
    /// Size of the print, as 60x40cm; with --size, in its shape
    #[arg(long, value_name = "WxH", value_parser = q::print_size)]
    pub(crate) print: Option<(Millimetres, Millimetres)>,
    /// Pixels per inch of the print [default: 300; with --size and --print, what the two give]
    #[arg(long, value_name = "N", value_parser = q::ppi)]
    pub(crate) ppi: Option<f64>,
}

impl Extent {
    /// What is said; none where nothing is.
    pub(crate) fn said(&self) -> Result<Option<setpiece::commands::new::Extent>, setpiece::commands::Error> {
        let is_said = self.size.is_some() || self.print.is_some() || self.ppi.is_some();
        is_said.then(|| setpiece::commands::new::extent(self.size, self.print, self.ppi)).transpose()
    }
}

/// The lamps in the picture, and the daylight beside them
#[derive(Args)]
pub(crate) struct Light {
    #[command(flatten)]
    pub(crate) at: Folder,
    #[command(flatten)]
    pub(crate) layer: Layer,
    #[command(subcommand)]
    pub(crate) what: LightWhat,
}

/// Where a change goes.
#[derive(Args)]
pub(crate) struct Layer {
    /// Lay the change into this take, over the picture
    #[arg(long, value_name = "NAME", global = true)]
    pub(crate) take: Option<String>,
}

#[derive(Subcommand)]
pub(crate) enum LightWhat {
    /// Add a lamp
    #[command(
        after_help = "setpiece light marsh add lantern --at 0.4,1.6,7.2 --strength 0.6@2400K --on sitter"
    )]
    Add {
        /// What it is called
        #[arg(value_parser = crate::words::name)]
        name: String,
        #[command(flatten)]
        lamp: Lamp,
    },
    /// Move a lamp, or change its light
    #[command(alias = "move")]
    Change {
        /// Which lamp
        lamp_name: String,
        #[command(flatten)]
        lamp: Lamp,
    },
    /// Take a lamp away
    Remove {
        /// Which lamp
        lamp_name: String,
    },
    /// Take the daylight down and cooler, so that the lamps have the picture
    ///
    /// Sky, sun, haze and the backdrop that they lit, and with them the pieces, become so many stops darker and so many mired cooler; no
    /// lamp does.
    #[command(after_help = "setpiece light marsh dusk 1.5,40\nsetpiece light marsh dusk none")]
    Dusk {
        /// Stops down, and mired cooler: 1.5,40; or none
        #[arg(value_name = "STOPS[,MIRED]", allow_hyphen_values = true, value_parser = crate::words::dusk)]
        dusk: crate::words::SaidDusk,
    },
    /// List the lamps
    List,
}

#[derive(Args)]
pub(crate) struct Lamp {
    /// Metres right, up and away; with --on, from that piece's foot
    #[arg(long, value_name = "X,Y,Z", value_parser = q::place)]
    pub(crate) at: Option<setpiece::commands::optics::Point>,
    /// The piece it is fixed to; none lets it go
    #[arg(long, value_name = "PIECE")]
    pub(crate) on: Option<String>,
    /// What a card reads at 1 m, as 0.6@2400K
    #[arg(long, value_name = "LIGHT", value_parser = q::glow)]
    pub(crate) strength: Option<setpiece::commands::scene::Glow>,
    /// Radius of the lamp
    #[arg(long, value_name = "LENGTH", value_parser = q::distance)]
    pub(crate) radius: Option<setpiece::commands::units::Metres>,
    /// Where it is one stop brighter than inverse square
    #[arg(long, value_name = "LENGTH", value_parser = q::distance, conflicts_with = "no_reach")]
    pub(crate) reach: Option<setpiece::commands::units::Metres>,
    /// Pure inverse square
    #[arg(long)]
    pub(crate) no_reach: bool,
    /// Share of its reading at 1 m below which it does not fall
    #[arg(long, value_name = "SHARE", value_parser = q::share)]
    pub(crate) floor: Option<f64>,
    /// Share of its light that falls on the backdrop's ground; 0 where the backdrop was taken with it lit
    #[arg(long, value_name = "SHARE", value_parser = q::share)]
    pub(crate) spill: Option<f64>,
}

/// Variants of the picture
#[derive(Args)]
pub(crate) struct Take {
    #[command(flatten)]
    pub(crate) at: Folder,
    #[command(subcommand)]
    pub(crate) what: TakeWhat,
}

#[derive(Subcommand)]
pub(crate) enum TakeWhat {
    /// Begin a take
    Add {
        /// What it is called
        #[arg(value_parser = crate::words::name)]
        name: String,
        /// What its blur discs are multiplied by, as x1.5
        #[arg(long, value_name = "FACTOR", value_parser = q::factor)]
        depth: Option<Factor>,
    },
    /// Keep what was taken back as a take
    Aside {
        /// What it is called
        #[arg(value_parser = crate::words::name)]
        name: String,
    },
    /// Lay a change into a take, worded as its command without the folder
    #[command(
        after_help = "setpiece take marsh lay dawn place move crane --at -1,4\nsetpiece take marsh lay dawn tone add exposure --stops +0.3"
    )]
    Lay {
        /// Which take
        name: String,
        /// place, light, tone or read, and what follows the folder there
        #[arg(value_name = "CHANGE", required = true, trailing_var_arg = true, allow_hyphen_values = true)]
        change: Vec<String>,
    },
    /// Scale the defocus of a take
    Depth {
        /// Which take
        name: String,
        /// What its blur discs are multiplied by, as x1.5
        #[arg(value_name = "FACTOR", value_parser = q::factor)]
        depth: Factor,
    },
    /// Take one change of a take back
    Lift {
        /// Which take
        name: String,
        /// Number of the change, as the list gives it
        #[arg(value_parser = crate::words::place)]
        change: usize,
    },
    /// Drop a take
    Remove {
        /// Which take
        name: String,
    },
    /// List the takes with their changes
    List,
}

#[derive(Args)]
pub(crate) struct Turn {
    #[command(flatten)]
    pub(crate) at: Folder,
    /// How many edits
    #[arg(default_value_t = 1, value_parser = crate::words::count)]
    pub(crate) times: u32,
}

#[derive(Args)]
pub(crate) struct Open {
    /// The picture's folder, or one that pictures lie in
    #[arg(value_name = "FOLDER", default_value = ".")]
    pub(crate) folder: PathBuf,
    /// The port it is served on, on this machine alone [default: a free one]
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub(crate) port: u16,
    /// Print the address and leave the browser alone
    #[arg(long)]
    pub(crate) no_open: bool,
}

#[derive(Args)]
pub(crate) struct Log {
    #[command(flatten)]
    pub(crate) at: Folder,
    /// The last so many lines alone
    #[arg(long, value_name = "N", value_parser = crate::words::place)]
    pub(crate) last: Option<usize>,
}

#[derive(Args)]
pub(crate) struct Demo {
    /// The folder to make
    #[arg(default_value = "lantern-marsh")]
    pub(crate) folder: PathBuf,
    /// Put it together without rendering it
    #[arg(long)]
    pub(crate) no_render: bool,
    #[command(flatten)]
    pub(crate) size: render::Size,
}

#[derive(Args)]
pub(crate) struct Help {
    /// A command, or exit-codes
    pub(crate) topic: Vec<String>,
}
