//! Writes docs/formats/picture.schema.json anew.

fn main() -> std::io::Result<()> {
    std::fs::write(
        concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/formats/picture.schema.json"),
        scene::file::schema(),
    )
}
