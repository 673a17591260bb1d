//! The page, as it is built. Made by `cargo xtask gen`.

/// Its files by name.
#[rustfmt::skip]
pub(crate) const FILES: &[(&str, &[u8])] = &[
    ("index.html", include_bytes!("../../../ui/index.html")),
    ("src/draw/lens.js", include_bytes!("../../../ui/built/draw/lens.js")),
    ("src/draw/lineup.js", include_bytes!("../../../ui/built/draw/lineup.js")),
    ("src/draw/places.js", include_bytes!("../../../ui/built/draw/places.js")),
    ("src/draw/plan.js", include_bytes!("../../../ui/built/draw/plan.js")),
    ("src/draw/section.js", include_bytes!("../../../ui/built/draw/section.js")),
    ("src/draw/threads.js", include_bytes!("../../../ui/built/draw/threads.js")),
    ("src/main.js", include_bytes!("../../../ui/built/main.js")),
    ("src/parts/card.js", include_bytes!("../../../ui/built/parts/card.js")),
    ("src/parts/pull.js", include_bytes!("../../../ui/built/parts/pull.js")),
    ("src/parts/title.js", include_bytes!("../../../ui/built/parts/title.js")),
    ("src/sheets/staging.js", include_bytes!("../../../ui/built/sheets/staging.js")),
    ("src/store/link.js", include_bytes!("../../../ui/built/store/link.js")),
    ("src/store/scene.js", include_bytes!("../../../ui/built/store/scene.js")),
    ("src/store/view.js", include_bytes!("../../../ui/built/store/view.js")),
    ("src/style/ground.css", include_bytes!("../../../ui/src/style/ground.css")),
    ("src/style/mark.svg", include_bytes!("../../../ui/src/style/mark.svg")),
    ("src/style/plex-condensed-400.woff2", include_bytes!("../../../ui/src/style/plex-condensed-400.woff2")),
    ("src/style/plex-condensed-600.woff2", include_bytes!("../../../ui/src/style/plex-condensed-600.woff2")),
    ("src/style/sheet.css", include_bytes!("../../../ui/src/style/sheet.css")),
    ("vendor/hooks.js", include_bytes!("../../../ui/vendor/hooks.js")),
    ("vendor/preact.js", include_bytes!("../../../ui/vendor/preact.js")),
    ("vendor/signals-core.js", include_bytes!("../../../ui/vendor/signals-core.js")),
    ("vendor/signals.js", include_bytes!("../../../ui/vendor/signals.js")),
];
