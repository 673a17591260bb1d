//! The scores of all scenes as one Markdown table, beside what other methods reached.

use super::metrics::Figures;
use super::references::References;
use super::score::{Found, Score};
use crate::markdown;

const HEAD: &str = "\
Each cell of a region: PSNR (dB) / SSIM / mean CIEDE2000, of the encoded pictures. Each cell of a card: errors of its place (px), size (px)
and turn (degrees) / blur disc of what it should be (px) / root mean square of what the fit leaves (8-bit steps).
";

/// The table. A scene without a score holds no truth.
pub(super) fn table(scores: &[(String, Option<Score>)], references: &References) -> String {
    let mut rows = vec![vec!["scene".to_owned(), "where".into(), "pixels".into(), "setpiece".into()]];
    match references.methods.as_slice() {
        [] => rows[0].push("no reference".into()),
        methods => rows[0].extend(methods.iter().cloned()),
    }
    for (scene, score) in scores {
        for (place, pixels, ours) in lines(score.as_ref()) {
            let theirs = references.methods.iter().map(|m| references.cell(m, scene, &place).unwrap_or(""));
            let theirs: Vec<String> = theirs.map(str::to_owned).collect();
            rows.push([vec![scene.clone(), place, pixels, ours], theirs].concat());
        }
    }
    format!("{HEAD}\n{}", markdown::table(&rows))
}

/// Place, number of pixels, figures.
fn lines(score: Option<&Score>) -> Vec<(String, String, String)> {
    let region = |place: &str, figures: &Figures| {
        let Figures { psnr, ssim, ciede2000, pixels } = figures;
        (place.to_owned(), pixels.to_string(), format!("{psnr:.2} / {ssim:.4} / {ciede2000:.3}"))
    };
    match score {
        None => vec![(String::new(), String::new(), "no truth here".into())],
        Some(Score::Natural { whole, pieces, ground }) => {
            let regions = [("whole", &Some(*whole)), ("pieces", pieces), ("ground", ground)];
            regions.into_iter().filter_map(|(place, f)| Some(region(place, f.as_ref()?))).collect()
        }
        Some(Score::Cards { whole, cards }) => {
            let mut lines = vec![region("whole", whole), ("cards".into(), String::new(), passes(cards))];
            lines.extend(cards.iter().map(|c| (c.name.clone(), String::new(), found(c))));
            lines
        }
    }
}

fn passes(cards: &[Found]) -> String {
    let of = |passes: fn(&Found) -> bool| {
        format!("{}/{}", cards.iter().filter(|c| passes(c)).count(), cards.len())
    };
    let worst = cards.iter().map(|c| c.place_error).fold(0.0, f64::max);
    format!(
        "place and size {}, blur {}, worst place {worst:.2} px",
        of(Found::in_place),
        of(Found::blur_fits)
    )
}

fn found(card: &Found) -> String {
    let cell = card_cell(
        [card.place_error, card.size_error, card.turn_error],
        [card.disc, card.expected_disc],
        card.rms,
    );
    let place = if card.in_place() { "" } else { ", fails in place" };
    let blur = if card.blur_fits() { "" } else { ", fails in blur" };
    format!("{cell}{place}{blur}")
}

/// A card's figures: errors of place, size, turn; blur disc and what it should be; what the fit leaves.
pub(super) fn card_cell([place, size, turn]: [f64; 3], [disc, expected]: [f64; 2], rms: f64) -> String {
    format!("{place:.3} / {size:.3} / {turn:.3} / {disc:.2} of {expected:.2} / {rms:.2}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scenes_with_and_without_truth_and_references() {
        let figures = Figures { psnr: 30.126, ssim: 0.91, ciede2000: 1.5, pixels: 12 };
        let card = Found {
            name: "near".into(),
            place_error: 0.6,
            size_error: -0.1,
            turn_error: 0.0,
            disc: 4.0,
            expected_disc: 4.2,
            rms: 0.5,
        };
        let scores = [
            ("a".to_owned(), Some(Score::Natural { whole: figures, pieces: None, ground: None })),
            ("b".to_owned(), None),
            ("c".to_owned(), Some(Score::Cards { whole: figures, cards: vec![card] })),
        ];
        let made = table(&scores, &References::default());
        assert_eq!(
            markdown::rows_of(&made),
            [
                "|scene|where|pixels|setpiece|no reference|",
                "|a|whole|12|30.13 / 0.9100 / 1.500||",
                "|b|||no truth here||",
                "|c|whole|12|30.13 / 0.9100 / 1.500||",
                "|c|cards||place and size 0/1, blur 1/1, worst place 0.60 px||",
                "|c|near||0.600 / -0.100 / 0.000 / 4.00 of 4.20 / 0.50, fails in place||",
            ]
        );
        let page = "| scene | where | plain |\n| --- | --- | --- |\n| a | whole | 1 / 2 / 3 |\n";
        assert!(table(&scores, &References::read(page)).contains("| 1 / 2 / 3"));
    }
}
