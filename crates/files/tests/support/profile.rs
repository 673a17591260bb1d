//! Profiles made of tables, byte by byte (ICC.1:2022, 10.10 lut16Type).

/// A profile whose only description of its colours is a table: `space` is `RGB ` or `CMYK`, the connection space
/// is Lab. The table goes through `lab` at a regular grid; L in 0..100, a and b in -128..128.
pub(crate) fn table_profile(space: [u8; 4], grid: usize, lab: impl Fn(&[f64]) -> [f64; 3]) -> Vec<u8> {
    let inputs = if &space == b"CMYK" { 4 } else { 3 };
    let mut lut = b"mft2\0\0\0\0".to_vec();
    lut.extend([inputs as u8, 3, grid as u8, 0]);
    for v in [1, 0, 0, 0, 1, 0, 0, 0, 1i32] {
        lut.extend((v << 16).to_be_bytes());
    }
    lut.extend([0, 2, 0, 2]); // straight tables of two entries on both sides
    for _ in 0..inputs {
        lut.extend([0, 0, 0xff, 0xff]);
    }
    for i in 0..grid.pow(inputs) {
        let at: Vec<f64> =
            (0..inputs).map(|k| (i / grid.pow(inputs - 1 - k) % grid) as f64 / (grid - 1) as f64).collect();
        let [l, a, b] = lab(&at);
        // The 16-bit Lab of version 2: L 100 is 0xff00, a and b 0 is 0x8000.
        for v in [l * 652.8, (a + 128.0) * 256.0, (b + 128.0) * 256.0] {
            lut.extend((v.round().clamp(0.0, 65535.0) as u16).to_be_bytes());
        }
    }
    for _ in 0..3 {
        lut.extend([0, 0, 0xff, 0xff]);
    }
    let desc = b"desc\0\0\0\0\0\0\0\x05test\0\0\0\0\0\0\0\0\0\0\0\0".iter().copied().chain([0; 67]).collect();
    let wtpt = b"XYZ \0\0\0\0\0\0\xf6\xd6\0\x01\0\0\0\0\xd3\x2d".to_vec();
    let tags: [([u8; 4], Vec<u8>); 3] = [(*b"desc", desc), (*b"wtpt", wtpt), (*b"A2B0", lut)];
    let (mut table, mut data) = (Vec::new(), Vec::new());
    for (name, bytes) in &tags {
        table.extend(name);
        table.extend((128 + 4 + 12 * tags.len() as u32 + data.len() as u32).to_be_bytes());
        table.extend((bytes.len() as u32).to_be_bytes());
        data.extend_from_slice(bytes);
        data.resize(data.len().next_multiple_of(4), 0);
    }
    let mut out = vec![0; 128];
    out[0..4].copy_from_slice(&((132 + table.len() + data.len()) as u32).to_be_bytes());
    out[8..12].copy_from_slice(&[2, 0x40, 0, 0]);
    out[12..16].copy_from_slice(if inputs == 4 { b"prtr" } else { b"scnr" });
    out[16..20].copy_from_slice(&space);
    out[20..24].copy_from_slice(b"Lab ");
    out[24..36].copy_from_slice(&[7, 0xe8, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0]);
    out[36..40].copy_from_slice(b"acsp");
    out[68..80].copy_from_slice(&[0, 0, 0xf6, 0xd6, 0, 1, 0, 0, 0, 0, 0xd3, 0x2d]);
    out.extend((tags.len() as u32).to_be_bytes());
    out.extend(table);
    out.extend(data);
    out
}
