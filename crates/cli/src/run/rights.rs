//! `setpiece rights`.

use super::edits::{edit, notices, one};
use crate::answer::{Answer, Trouble};
use crate::bench::Bench;
use crate::shown;
use crate::typed::rights::{Rights, What};
use serde_json::json;
use setpiece::Picture;
use setpiece::commands::papers;

pub(crate) fn rights(typed: Rights, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let folder = &typed.at.folder;
    match typed.what {
        Some(What::Keep { files, note }) => edit(bench, folder, |picture, at| {
            let mut done = Vec::new();
            for file in &files {
                done.extend(papers::keep(picture, file, note.as_deref().unwrap_or_default(), at)?);
            }
            Ok(done)
        }),
        Some(What::Remove { paper }) => {
            let layer = crate::typed::Layer { take: None };
            one(bench, folder, &layer, |scene| papers::remove(scene, &paper))
        }
        None => {
            let look = Picture::look(folder)?;
            let all = papers::list(look.scene());
            let mut answer = Answer::new(shown::papers(&all), &json!({ "papers": all }));
            answer.asides = notices(look.notices());
            Ok(answer)
        }
    }
}
