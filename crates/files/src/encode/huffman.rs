//! Prefix codes of least length (Huffman 1952), as Deflate wants them.

/// Code and number of bits of each symbol. Codes are stored with their first bit lowest, as Deflate writes them.
pub(super) struct Codebook<const N: usize> {
    pub(super) codes: [u16; N],
    pub(super) lengths: [u8; N],
}

impl<const N: usize> Codebook<N> {
    /// For symbols that occur so often; none longer than `most` bits. At least two symbols get a code, since a code
    /// of one symbol alone is not understood everywhere.
    pub(super) fn new(counts: &[u32; N], most: u8) -> Self {
        let mut counts = *counts;
        for spare in 0..2 {
            if counts.iter().filter(|&&c| c > 0).count() < 2 && counts[spare] == 0 {
                counts[spare] = 1;
            }
        }
        let mut lengths = lengths(&counts);
        // Too long a code comes from counts that are too far apart: bring them together.
        while lengths.iter().any(|&l| l > most) {
            counts.iter_mut().filter(|c| **c > 0).for_each(|c| *c = (*c >> 1).max(1));
            lengths = self::lengths(&counts);
        }
        Self { codes: codes(&lengths), lengths }
    }
}

/// Depths of the tree that joins the two rarest again and again.
fn lengths<const N: usize>(counts: &[u32; N]) -> [u8; N] {
    let mut leaves: Vec<(u32, usize)> = (0..N).filter(|&i| counts[i] > 0).map(|i| (counts[i], i)).collect();
    leaves.sort_unstable();
    let n = leaves.len();
    // Nodes 0..n are the leaves in ascending order, the rest the joints as they are made: also ascending.
    let mut weight: Vec<u64> = leaves.iter().map(|l| u64::from(l.0)).collect();
    let mut parent = vec![0; 2 * n];
    let (mut leaf, mut joint) = (0, n);
    for made in n..(2 * n).saturating_sub(1) {
        let mut sum = 0;
        for _ in 0..2 {
            let take_leaf = leaf < n && (joint >= made || weight[leaf] <= weight[joint]);
            let node = if take_leaf { &mut leaf } else { &mut joint };
            parent[*node] = made;
            sum += weight[*node];
            *node += 1;
        }
        weight.push(sum);
    }
    let mut depth = vec![0u8; (2 * n).saturating_sub(1)];
    for node in (0..depth.len().saturating_sub(1)).rev() {
        depth[node] = depth[parent[node]].saturating_add(1);
    }
    let mut lengths = [0; N];
    leaves.iter().zip(&depth).for_each(|(&(_, symbol), &d)| lengths[symbol] = d);
    lengths
}

/// Canonical codes of these lengths (RFC 1951, 3.2.2), first bit lowest.
fn codes<const N: usize>(lengths: &[u8; N]) -> [u16; N] {
    let mut of_length = [0u16; 17];
    lengths.iter().filter(|&&l| l > 0).for_each(|&l| of_length[usize::from(l)] += 1);
    let mut next = [0u16; 17];
    for bits in 1..16 {
        next[bits + 1] = (next[bits] + of_length[bits]) << 1;
    }
    std::array::from_fn(|symbol| match lengths[symbol] {
        0 => 0,
        l => {
            let code = next[usize::from(l)];
            next[usize::from(l)] += 1;
            code.reverse_bits() >> (16 - l)
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rarer_symbols_have_longer_codes_and_all_fit() {
        // The numbers of Fibonacci make the deepest tree.
        let mut counts = [0u32; 30];
        let (mut a, mut b) = (1, 1);
        for c in &mut counts {
            *c = a;
            (a, b) = (b, a + b);
        }
        for most in [7, 15] {
            let book = Codebook::new(&counts, most);
            assert!(book.lengths.iter().all(|&l| l > 0 && l <= most));
            assert!(book.lengths.is_sorted_by(|a, b| a >= b));
            // Kraft 1949: a complete code has exactly this sum.
            let sum: f64 = book.lengths.iter().map(|&l| 0.5f64.powi(i32::from(l))).sum();
            assert_eq!(sum, 1.0);
        }
    }

    #[test]
    fn none_and_one_symbol_have_codes_too() {
        assert_eq!(Codebook::new(&[0; 4], 15).lengths, [1, 1, 0, 0]);
        assert_eq!(Codebook::new(&[0, 0, 5, 0], 15).lengths, [1, 0, 1, 0]);
    }
}
