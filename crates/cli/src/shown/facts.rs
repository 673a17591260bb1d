//! What is known of a cut-out, as text.

use super::{plain, table};
use setpiece::commands::cutouts::FactsReport;

/// One line a fact; what is not stated with what is taken instead.
pub(crate) fn facts(f: &FactsReport) -> String {
    let mut out = format!("{} (#{}, {})\n", f.name, f.cutout, f.kind);
    let mut line = |what: &str, value: String| out += &format!("  {what:16}{value}\n");
    let pair = |p: Option<[f64; 2]>, otherwise: &str| {
        p.map_or_else(|| otherwise.to_owned(), |[u, v]| format!("{},{} px", plain(u, 1), plain(v, 1)))
    };
    let or = |v: Option<f64>, unit: &str, otherwise: &str| {
        v.map_or_else(|| otherwise.to_owned(), |v| format!("{}{unit}", plain(v, 3)))
    };
    line("shot", f.shot.clone());
    line("matte", f.matte.clone().unwrap_or_else(|| "the shot's own".to_owned()));
    line("prop", f.prop.clone().unwrap_or_else(|| "none".to_owned()));
    let set_up = f.set_up.clone().unwrap_or_default();
    match (f.foot_px, f.seen_foot_px, f.height_from) {
        (None, Some(_), "set-up") => {
            line("foot", format!("{}, by the set-up {set_up}", pair(f.seen_foot_px, "")));
        }
        _ => line("foot", pair(f.foot_px, "not stated: middle of the lowest solid row")),
    }
    match (f.height_m, f.per_metre_px) {
        (None, None) if f.height_from == "set-up" => {
            line(
                "height",
                or(
                    f.seen_height_m,
                    &format!(" m, by the set-up {set_up}"),
                    "not to be told: the top lies below the foot",
                ),
            );
        }
        (None, None) => line("height", "not stated: taken as 1.7 m".to_owned()),
        (height, scale) => {
            if height.is_some() {
                let scale = f.seen_per_metre_px.map(|v| format!(", {} px/m in its shot", plain(v, 1)));
                line("height", or(height, " m", "") + &scale.unwrap_or_default());
            }
            if scale.is_some() {
                line("scale", or(scale, " px/m", ""));
            }
        }
    }
    line("bearing", or(f.bearing_deg, "°", "not stated: looks at the camera"));
    line("eye height", or(f.eye_height_m, " m", "not stated: the picture's camera height"));
    line("camera distance", or(f.camera_distance_m, " m", "not stated: the set-up's"));
    line("camera pitch", or(f.pitch_deg, "°", "not stated: level"));
    line("optical axis", pair(f.principal_px, "not stated: middle of the shot"));
    line("focal length", or(f.focal_px, " px", "not stated: from scale and distance"));
    line(
        "set-up",
        f.set_up.clone().unwrap_or_else(|| "not stated: the subject anchors the exposure".to_owned()),
    );
    line("defocus", or(f.defocus_px, " px", "none"));
    line("noise", or(f.noise, "", "none"));
    line("mirror image", if f.may_mirror { "allowed" } else { "never" }.to_owned());
    line("pieces", if f.pieces.is_empty() { "none".to_owned() } else { f.pieces.join(", ") });
    out
}

/// The cut-outs, by number.
pub(crate) fn cutouts(all: &[FactsReport]) -> String {
    if all.is_empty() {
        return "There is no cut-out in the picture yet.\n".to_owned();
    }
    let rows: Vec<Vec<String>> = all
        .iter()
        .map(|f| {
            let size = match (f.height_m, f.per_metre_px) {
                (Some(m), _) => format!("{} m", plain(m, 2)),
                (None, Some(px)) => format!("{} px/m", plain(px, 1)),
                (None, None) if f.height_from == "set-up" => f
                    .seen_height_m
                    .map_or_else(|| "unclear".to_owned(), |m| format!("{} m (set-up)", plain(m, 2))),
                (None, None) => "1.7 m (assumed)".to_owned(),
            };
            let matte = match (&f.matte, f.kind) {
                (Some(matte), _) => matte.clone(),
                (None, "additive") => "none: light alone".to_owned(),
                (None, _) => "the shot's own".to_owned(),
            };
            vec![
                f.cutout.to_string(),
                f.name.clone(),
                f.prop.clone().unwrap_or_default(),
                f.shot.clone(),
                matte,
                size,
                f.pieces.join(", "),
            ]
        })
        .collect();
    table(&["#", "cut-out", "prop", "shot", "matte", "height", "pieces"], &rows)
}
