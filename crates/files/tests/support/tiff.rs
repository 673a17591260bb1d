//! TIFF files in every layout that TIFF 6.0 allows and our own writer never makes.

use std::io::Write as _;

#[derive(Clone, Copy, Debug)]
pub(crate) enum Layout {
    /// Rows of a strip.
    Strips(usize),
    /// Columns and rows of a tile.
    Tiles(usize, usize),
}

#[derive(Clone, Debug)]
pub(crate) struct Tiff {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) samples: usize,
    pub(crate) big_endian: bool,
    pub(crate) wide: bool,
    pub(crate) planar: bool,
    pub(crate) layout: Layout,
    pub(crate) packing: u16,
    pub(crate) declared_packing: Option<u16>,
    pub(crate) photometric: u16,
    pub(crate) extra: Vec<u16>,
    pub(crate) orientation: Option<u16>,
}

impl Tiff {
    pub(crate) fn of(width: usize, height: usize, samples: usize) -> Self {
        Self {
            width,
            height,
            samples,
            big_endian: false,
            wide: false,
            planar: false,
            layout: Layout::Strips(height),
            packing: 1,
            declared_packing: None,
            photometric: if samples >= 3 { 2 } else { 1 },
            extra: if samples.is_multiple_of(2) { vec![2] } else { vec![] },
            orientation: None,
        }
    }

    fn bytes<const N: usize>(&self, little: [u8; N]) -> [u8; N] {
        let mut b = little;
        if self.big_endian {
            b.reverse();
        }
        b
    }

    /// The packed strips or tiles of 16-bit samples.
    fn parts(&self, codes: &[u16]) -> Vec<Vec<u8>> {
        let (tw, th, whole) = match self.layout {
            Layout::Strips(rows) => (self.width, rows, false),
            Layout::Tiles(w, h) => (w, h, true),
        };
        let planes = if self.planar { self.samples } else { 1 };
        let step = if self.planar { 1 } else { self.samples };
        let mut parts = Vec::new();
        for plane in 0..planes {
            for y0 in (0..self.height).step_by(th) {
                for x0 in (0..self.width).step_by(tw) {
                    let rows = if whole { th } else { th.min(self.height - y0) };
                    let mut raw = Vec::new();
                    for y in y0..y0 + rows {
                        let mut before = vec![0u16; step];
                        for x in x0..x0 + tw {
                            for (s, before) in before.iter_mut().enumerate() {
                                let inside = x < self.width && y < self.height;
                                let at =
                                    (y * self.width + x) * self.samples + if self.planar { plane } else { s };
                                let code = if inside { codes[at] } else { 0xdead };
                                // Packed by prediction from the left; the others as they are.
                                let predicted = matches!(self.packing, 5 | 8 | 32946);
                                let v = if predicted { code.wrapping_sub(*before) } else { code };
                                *before = code;
                                raw.extend(self.bytes(v.to_le_bytes()));
                            }
                        }
                    }
                    parts.push(pack(self.packing, &raw));
                }
            }
        }
        parts
    }

    pub(crate) fn write16(&self, codes: &[u16]) -> Vec<u8> {
        let parts = self.parts(codes);
        let mut out = if self.big_endian { b"MM".to_vec() } else { b"II".to_vec() };
        if self.wide {
            out.extend(self.bytes(43u16.to_le_bytes()));
            out.extend(self.bytes(8u16.to_le_bytes()));
            out.extend([0; 10]);
        } else {
            out.extend(self.bytes(42u16.to_le_bytes()));
            out.extend([0; 4]);
        }
        let mut places = Vec::new();
        for part in &parts {
            places.push((out.len(), part.len()));
            out.extend(part);
        }
        let n = self.samples;
        let mut list: Vec<(u16, Vec<u64>)> = vec![
            (256, vec![self.width as u64]),
            (257, vec![self.height as u64]),
            (258, vec![16; n]),
            (259, vec![self.declared_packing.unwrap_or(self.packing).into()]),
            (262, vec![self.photometric.into()]),
            (277, vec![n as u64]),
            (284, vec![if self.planar { 2 } else { 1 }]),
        ];
        let (offsets, sizes) = match self.layout {
            Layout::Strips(rows) => {
                list.push((278, vec![rows as u64]));
                (273, 279)
            }
            Layout::Tiles(w, h) => {
                list.push((322, vec![w as u64]));
                list.push((323, vec![h as u64]));
                (324, 325)
            }
        };
        list.push((offsets, places.iter().map(|p| p.0 as u64).collect()));
        list.push((sizes, places.iter().map(|p| p.1 as u64).collect()));
        if matches!(self.packing, 5 | 8 | 32946) {
            list.push((317, vec![2]));
        }
        if !self.extra.is_empty() {
            list.push((338, self.extra.iter().map(|&e| e.into()).collect()));
        }
        if let Some(o) = self.orientation {
            list.push((274, vec![o.into()]));
        }
        list.sort_by_key(|e| e.0);
        self.directory(out, &list)
    }

    fn directory(&self, mut out: Vec<u8>, list: &[(u16, Vec<u64>)]) -> Vec<u8> {
        let start = out.len();
        let (head, step, inline) = if self.wide { (8, 20, 8) } else { (2, 12, 4) };
        let at = if self.wide { 8 } else { 4 };
        if self.wide {
            out[at..at + 8].copy_from_slice(&self.bytes((start as u64).to_le_bytes()));
            out.extend(self.bytes((list.len() as u64).to_le_bytes()));
        } else {
            out[at..at + 4].copy_from_slice(&self.bytes((start as u32).to_le_bytes()));
            out.extend(self.bytes((list.len() as u16).to_le_bytes()));
        }
        let mut beyond = start + head + list.len() * step + inline;
        let mut values = Vec::new();
        for (tag, numbers) in list {
            out.extend(self.bytes(tag.to_le_bytes()));
            // Long numbers for places, short ones for the rest.
            let long = matches!(tag, 256 | 257 | 273 | 278 | 279 | 322 | 323 | 324 | 325);
            out.extend(self.bytes((if long { 4u16 } else { 3 }).to_le_bytes()));
            if self.wide {
                out.extend(self.bytes((numbers.len() as u64).to_le_bytes()));
            } else {
                out.extend(self.bytes((numbers.len() as u32).to_le_bytes()));
            }
            let mut bytes: Vec<u8> = Vec::new();
            for &v in numbers {
                if long {
                    bytes.extend(self.bytes((v as u32).to_le_bytes()));
                } else {
                    bytes.extend(self.bytes((v as u16).to_le_bytes()));
                }
            }
            if bytes.len() > inline {
                if self.wide {
                    out.extend(self.bytes((beyond as u64).to_le_bytes()));
                } else {
                    out.extend(self.bytes((beyond as u32).to_le_bytes()));
                }
                beyond += bytes.len();
                values.extend(bytes);
            } else {
                bytes.resize(inline, 0);
                out.extend(bytes);
            }
        }
        out.extend(vec![0; inline]);
        out.extend(values);
        out
    }
}

fn pack(packing: u16, raw: &[u8]) -> Vec<u8> {
    match packing {
        5 => weezl::encode::Encoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8).encode(raw).unwrap(),
        8 | 32946 => {
            let mut z = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::default());
            z.write_all(raw).unwrap();
            z.finish().unwrap()
        }
        // Runs where there are any, else literals.
        32773 => {
            let mut out = Vec::new();
            let mut i = 0;
            while i < raw.len() {
                let run = raw[i..].iter().take_while(|&&b| b == raw[i]).count().min(128);
                if run >= 3 {
                    out.extend([(1 - run as i16) as i8 as u8, raw[i]]);
                    i += run;
                } else {
                    let n = 7.min(raw.len() - i);
                    out.push(n as u8 - 1);
                    out.extend(&raw[i..i + n]);
                    i += n;
                }
            }
            out
        }
        _ => raw.to_vec(),
    }
}
