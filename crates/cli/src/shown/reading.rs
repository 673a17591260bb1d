//! What is known of a backdrop, as text.

use super::plain;
use setpiece::commands::reading::Report;

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
        "Camera    {} m up, pitch {}°, roll {}° ({})\n",
        plain(c.height_m, 3),
        plain(c.pitch_deg, 2),
        plain(c.roll_deg, 2),
        c.viewpoint_from
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
        "          f/{}, focused at {focus} ({}){blades}{depth}\n",
        plain(c.f_number, 2),
        c.lens_from
    );
    if let Some(row) = c.horizon_px {
        out += &format!("          horizon at row {} of the picture\n", plain(row, 0));
    }
    let haze =
        r.visibility_m.map_or_else(|| "no haze".to_owned(), |v| format!("visibility {} m", plain(v, 0)));
    let sun = if r.has_sun { "sun" } else { "no sun" };
    out += &format!("Light     balanced for {} K, {sun}, {haze}\n", plain(c.white_balance_k, 0));
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
