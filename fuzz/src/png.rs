//! PNG guards each chunk by a checksum; without mending it, most changes would be turned away at the door.

/// The checksums of all chunks made right, as far as their lengths hold.
pub fn mend(bytes: &mut [u8]) {
    let mut at = 8;
    while let Some(head) = bytes.get(at..at + 4) {
        let length = u32::from_be_bytes([head[0], head[1], head[2], head[3]]) as usize;
        let Some(end) = at.checked_add(8).and_then(|a| a.checked_add(length)) else { return };
        if bytes.len() < end + 4 {
            return;
        }
        let sum = crc32fast::hash(&bytes[at + 4..end]);
        bytes[end..end + 4].copy_from_slice(&sum.to_be_bytes());
        at = end + 4;
    }
}
