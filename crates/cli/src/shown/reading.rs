//! What is known of a backdrop, as text.

use super::plain;
use setpiece::commands::reading::{GlowReport, Report};

/// The backdrop, the camera with where each number is from, and what is missing.
pub(crate) fn reading(r: &Report) -> String {
    let mut out = format!("{}: {} x {} px, worked in {}\n", r.picture, r.width_px, r.height_px, r.primaries);
    if let Some(b) = &r.backdrop {
        out += &format!(
            "Backdrop  {}: {} x {} px, {} {} bit, {}\n",
            b.name, b.width_px, b.height_px, b.format, b.bits, b.profile
        );
        let by: Vec<&str> =
            [&b.camera, &b.lens, &b.taken].into_iter().flatten().map(String::as_str).collect();
        if !by.is_empty() {
            out += &format!("          {}\n", by.join(", "));
        }
        let [left, top, width, height] = b.window_px.map(|v| plain(v, 1));
        let mirrored = if b.mirrored { ", mirrored" } else { "" };
        out += &format!("          shown: {width} x {height} px from {left},{top}{mirrored}\n");
        for warning in &b.warnings {
            out += &format!("          note: {warning}\n");
        }
    }
    let c = &r.camera;
    out += &format!(
        "Camera    {} m up ({}), pitch {}°, roll {}° ({})\n",
        plain(c.height_m, 3),
        c.height_from,
        plain(c.pitch_deg, 2),
        plain(c.roll_deg, 2),
        c.attitude_from
    );
    out += &format!(
        "          {} mm ({}) on {} mm ({})\n",
        plain(c.focal_mm, 2),
        c.focal_from,
        plain(c.sensor_width_mm, 2),
        c.sensor_from
    );
    let focus = c.focus_m.map_or_else(|| "infinity".to_owned(), |f| format!("{} m", plain(f, 2)));
    let blades = c.blades.map_or_else(String::new, |n| format!(", {n} blades"));
    let depth = if c.depth_factor == 1.0 {
        String::new()
    } else {
        format!(", defocus x{}", plain(c.depth_factor, 3))
    };
    out += &format!(
        "          f/{} ({}), focused at {focus} ({}){blades}{depth}\n",
        plain(c.f_number, 2),
        c.f_number_from,
        c.focus_from
    );
    if let Some(row) = c.horizon_px {
        out += &format!("          horizon at row {} of the picture\n", plain(row, 0));
    }
    out += &light(r);
    for l in &r.levels {
        out += &format!("Level     {} at {} m, {}\n", l.name, plain(l.height_m, 2), l.surface);
    }
    for (needed, head) in [(true, "Missing before pieces can stand rightly:\n"), (false, "Not said yet:\n")] {
        let lines: Vec<String> = r
            .missing
            .iter()
            .filter(|m| m.needed == needed)
            .map(|m| format!("  {} (assumed: {}): {}\n", m.what, m.assumed, m.option))
            .collect();
        if !lines.is_empty() {
            out += head;
            out.extend(lines);
        }
    }
    out
}

/// Sky, sun, ground and air.
fn light(r: &Report) -> String {
    let mut out = format!("Light     balanced for {} K\n", plain(r.camera.white_balance_k, 0));
    let mut line = |text: String| out += &format!("          {text}\n");
    let (level, upright) = (glow(&r.sky_level), glow(&r.sky_upright));
    if let [down, cooler] = r.dusk
        && r.dusk != [0.0; 2]
    {
        line(format!("dusk: daylight {} stops down, {} mired cooler", plain(down, 2), plain(cooler, 0)));
    }
    line(format!("sky: {level} on a level card, {upright} on an upright one ({})", r.sky_from));
    line(r.sun.as_ref().map_or_else(
        || "no sun".to_owned(),
        |sun| {
            let way = match plain(sun.bearing_deg.abs(), 1) {
                none if none == "0" => "straight ahead".to_owned(),
                by if sun.bearing_deg < 0.0 => format!("{by}° to the left"),
                by => format!("{by}° to the right"),
            };
            format!("sun: {way}, {}° high, {}", plain(sun.height_deg, 1), glow(&sun.light))
        },
    ));
    line(format!("the ground returns {}", rgb(&r.ground_rgb)));
    line(match (r.visibility_m, &r.haze_rgb) {
        (Some(v), Some(colour)) => format!("haze: visibility {} m, colour {}", plain(v, 0), rgb(colour)),
        _ => "no haze".to_owned(),
    });
    out
}

fn rgb(colour: &[f64; 3]) -> String {
    colour.map(|v| plain(v, 3)).join(",")
}

/// A light in the words in which it is given.
fn glow(light: &GlowReport) -> String {
    match (light.cct_k, light.tint, &light.rgb) {
        (Some(k), tint, _) => {
            let tint = tint.filter(|t| *t != 0.0).map_or_else(String::new, |t| format!("/{}", plain(t, 1)));
            format!("{}@{}K{tint}", plain(light.strength, 3), plain(k, 0))
        }
        (None, _, Some(colour)) => rgb(&colour.map(|v| v * light.strength)),
        (None, _, None) => plain(light.strength, 3),
    }
}
