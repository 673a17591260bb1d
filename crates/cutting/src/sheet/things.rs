//! What stands before the paper and what is but the room beyond it.

use super::cells::{Cells, Patch};

/// How far apart parts of one thing are at most, in cells.
const TOGETHER: u32 = 4;
/// What is smaller than this, in cells, and by itself is dust.
const DUST: usize = 24;
/// Least share of the frame of a room that is told of.
const TOLD: f64 = 0.002;

/// Makes paper of what is parted from the thing and reaches the frame, and of dust; tells where the room was.
pub(super) fn rooms(grid: Cells, paper: &mut [bool]) -> Vec<Patch> {
    let near = grid.distances(|i| !paper[i]);
    let (numbers, patches) = grid.patches(|i| near[i] <= TOGETHER);
    let (w, h) = (grid.width, grid.height);
    let mut own = vec![0usize; patches.len()];
    let mut central = vec![0usize; patches.len()];
    for i in 0..grid.count() {
        if let (Some(n), false) = ((numbers[i] as usize).checked_sub(1), paper[i]) {
            let (x, y) = grid.at(i);
            own[n] += 1;
            if (w / 4..w - w / 4).contains(&x) && (h / 4..h - h / 4).contains(&y) {
                central[n] += 1;
            }
        }
    }
    let Some(main) = (0..patches.len()).max_by_key(|n| (central[*n], own[*n])) else { return Vec::new() };
    let at_frame = |p: &Patch| p.columns.0 == 0 || p.rows.0 == 0 || p.columns.1 + 1 == w || p.rows.1 + 1 == h;
    let is_room: Vec<bool> = (0..patches.len()).map(|n| n != main && at_frame(&patches[n])).collect();
    let is_dust: Vec<bool> = (0..patches.len()).map(|n| n != main && own[n] < DUST).collect();
    for i in 0..grid.count() {
        if let Some(n) = (numbers[i] as usize).checked_sub(1) {
            paper[i] |= is_room[n] || is_dust[n];
        }
    }
    (0..patches.len())
        .filter(|n| is_room[*n] && own[*n] as f64 >= TOLD * grid.count() as f64)
        .map(|n| patches[n])
        .collect()
}
