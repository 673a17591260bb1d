//! `setpiece render` and `setpiece demo`.

use super::edits::notices;
use crate::answer::{Answer, Has, Trouble};
use crate::hands::{CALLED_OFF, Progress};
use crate::shown::typeable;
use crate::typed::Demo;
use crate::typed::render::{Hands as TypedHands, Render, Size};
use crate::{exit, hands, shown};
use setpiece::Picture;
use setpiece::commands::demo;
use setpiece::commands::pixels::Budget;
use setpiece::commands::render::{self, Existing, FinishTold, Rendered, Scale, Wanted};
use setpiece::commands::rendering::{Keep, Nothing};
use setpiece::commands::scene::Scene;
use setpiece::commands::write::Hands;
use setpiece::rasters::{Kept, Worth};

pub(crate) fn render(typed: Render) -> Result<Answer, Trouble> {
    let wanted = Wanted {
        to: typed.out,
        region: typed.region,
        scale: scale(&typed.size),
        take: typed.take,
        told: FinishTold {
            depth: typed.depth.map(Into::into),
            quality: typed.quality,
            sampling: typed.chroma.map(Into::into),
            packing: typed.packing.map(Into::into),
            colours: typed.colours.map(Into::into),
            ppi: typed.ppi,
        },
        existing: if typed.over { Existing::Replace } else { Existing::Keep },
    };
    let look = Picture::look(&typed.at.folder)?;
    let mut answer = rendered(look.scene(), look.folder(), &wanted, &typed.hands)?;
    answer.asides.extend(notices(look.notices()));
    Ok(answer)
}

fn scale(size: &Size) -> Scale {
    match (size.scale, size.width) {
        (Some(factor), _) => Scale::Times(factor),
        (None, Some(width)) => Scale::Width(width),
        (None, None) => Scale::Whole,
    }
}

fn rendered(
    scene: &Scene,
    folder: &setpiece::Folder,
    wanted: &Wanted,
    typed: &TypedHands,
) -> Result<Answer, Trouble> {
    let done: Rendered =
        with_hands("Rendering", folder, typed, &|hands| Ok(render::render(scene, folder, wanted, hands)?))?;
    let mut answer = Answer::new(shown::rendered(&done), &done);
    answer.asides = shown::snags(&done.snags, Has::Memory);
    if !done.snags.is_empty() {
        answer.exit = exit::SNAGS;
    }
    Ok(answer)
}

/// Does some work with the memory and threads that were typed, its progress told, to be called off.
pub(super) fn with_hands<R>(
    what: &'static str,
    folder: &setpiece::Folder,
    typed: &TypedHands,
    work: &dyn Fn(&Hands<'_>) -> Result<R, Trouble>,
) -> Result<R, Trouble> {
    hands::listen();
    let progress = Progress::new(what);
    let budget = Budget::of_bytes(typed.memory);
    let kept = folder.cache().map(|cache| Kept::at(&cache, Worth::Pieces, &budget));
    work(&Hands {
        threads: typed.threads.unwrap_or_else(hands::threads),
        budget: &budget,
        keep: kept.as_ref().map_or(&Nothing as &dyn Keep, |kept| kept),
        cancel: &CALLED_OFF,
        progress: &|share| progress.tell(share),
    })
}

/// The parts of the demo picture: name and content of each file.
const PARTS: demo::Parts<'static> = demo::Parts(include!(concat!(env!("OUT_DIR"), "/demo_parts.rs")));

pub(crate) fn demo(typed: &Demo) -> Result<Answer, Trouble> {
    let progress = Progress::new("Cutting out");
    let picture = demo::demo(&typed.folder, &PARTS, hands::now(), &|share| progress.tell(share))?;
    drop(progress);
    let folder = typed.folder.display();
    let told = format!(
        "{} put together in {folder}: {} pieces\n",
        picture.scene().name(),
        picture.scene().pieces().len()
    );
    if typed.no_render {
        let report = serde_json::json!({ "folder": typed.folder, "pieces": picture.scene().pieces().len() });
        return Ok(Answer::new(told, &report));
    }
    let wanted = Wanted { scale: scale(&typed.size), ..Wanted::default() };
    let hands = TypedHands { memory: 4_000_000_000, threads: None };
    let mut answer = rendered(picture.scene(), picture.folder(), &wanted, &hands)?;
    answer.text = format!("{told}{}Next: setpiece place {} list\n", answer.text, typeable(&typed.folder));
    Ok(answer)
}
