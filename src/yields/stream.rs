//! Random numbers: xoshiro256++ (Blackman, Vigna, "Scrambled linear pseudorandom number generators",
//! ACM Trans. Math. Software 47, 2021), sixteen generators side by side.
use crate::network::LANES;
use std::borrow::BorrowMut;

/// Generators that step together.
pub const STREAMS: usize = 16;

/// The increment of `SplitMix64` (Steele, Lea, Flood, OOPSLA 2014).
const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// One step of `SplitMix64`: advances `state` and returns the next number.
pub const fn splitmix64(state: &mut u64) -> u64 {
    *state = state.wrapping_add(GOLDEN);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// Sixteen interleaved xoshiro256++ generators of one chunk of boards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stream {
    state: [[u64; STREAMS]; 4],
}

impl Stream {
    /// For a chunk of a seed. The states are successive numbers of a `SplitMix64` that starts from a
    /// hash of both, so that no chunk runs into its neighbour.
    #[must_use]
    pub fn new(seed: u64, chunk: u64) -> Self {
        let mut hash = seed;
        let mut start = splitmix64(&mut hash).wrapping_add(chunk);
        let mut words = splitmix64(&mut start);
        let mut state = [[0; STREAMS]; 4];
        for lane in 0..STREAMS {
            for word in &mut state {
                word[lane] = splitmix64(&mut words);
            }
        }
        Self { state }
    }

    /// The state of one of the generators.
    #[must_use]
    pub fn state(&self, lane: usize) -> [u64; 4] {
        self.state.map(|word| word[lane])
    }

    /// The next number of each generator.
    #[inline(always)]
    pub fn step(&mut self) -> [u64; STREAMS] {
        let mut out = [0; STREAMS];
        let [s0, s1, s2, s3] = &mut self.state;
        for lane in 0..STREAMS {
            let sum = s0[lane].wrapping_add(s3[lane]);
            out[lane] = sum.rotate_left(23).wrapping_add(s0[lane]);
            let t = s1[lane] << 17;
            s2[lane] ^= s0[lane];
            s3[lane] ^= s1[lane];
            s1[lane] ^= s2[lane];
            s0[lane] ^= s3[lane];
            s2[lane] ^= t;
            s3[lane] = s3[lane].rotate_left(45);
        }
        out
    }

    /// Fills blocks with numbers spread evenly over (-1, 1), two from each 64 bits, symmetric about 0.
    #[inline(always)]
    pub fn fill<B: BorrowMut<[f64; LANES]>>(&mut self, blocks: &mut [B]) {
        let mut pairs = blocks.chunks_exact_mut(2);
        for pair in &mut pairs {
            let [one, other] = pair else { continue };
            for at in (0..LANES).step_by(STREAMS) {
                let words = self.step();
                let (a, b) = (&mut one.borrow_mut()[at..at + STREAMS], &mut other.borrow_mut()[at..at + STREAMS]);
                for lane in 0..STREAMS {
                    a[lane] = even(words[lane] as i32);
                    b[lane] = even((words[lane] >> 32) as i32);
                }
            }
        }
        if let [last] = pairs.into_remainder() {
            for at in (0..LANES).step_by(STREAMS) {
                let words = self.step();
                let a = &mut last.borrow_mut()[at..at + STREAMS];
                for lane in 0..STREAMS {
                    a[lane] = even(words[lane] as i32);
                }
            }
        }
    }

    /// One number spread evenly over (0, 1) with 53 bits, from each generator.
    pub fn unit(&mut self) -> [f64; STREAMS] {
        self.step().map(|word| ((word >> 11) as f64 + 0.5) * (1.0 / (1_u64 << 53) as f64))
    }
}

#[inline(always)]
fn even(word: i32) -> f64 {
    (f64::from(word) + 0.5) * (1.0 / 2_147_483_648.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_xoshiro::rand_core::{RngCore, SeedableRng};
    use rand_xoshiro::{SplitMix64, Xoshiro256PlusPlus};

    /// Against the generators of the `rand_xoshiro` crate.
    #[test]
    fn every_stream_is_xoshiro256_plus_plus() {
        for (seed, chunk) in [(1, 0), (1, 1), (0, 0), (u64::MAX, 12_345)] {
            let mut ours = Stream::new(seed, chunk);
            let mut witnesses: Vec<Xoshiro256PlusPlus> = (0..STREAMS)
                .map(|lane| {
                    let mut bytes = [0; 32];
                    for (word, place) in ours.state(lane).into_iter().zip(bytes.chunks_exact_mut(8)) {
                        place.copy_from_slice(&word.to_le_bytes());
                    }
                    Xoshiro256PlusPlus::from_seed(bytes)
                })
                .collect();
            for _ in 0..1000 {
                let theirs: Vec<u64> = witnesses.iter_mut().map(RngCore::next_u64).collect();
                assert_eq!(ours.step().to_vec(), theirs);
            }
        }
    }

    #[test]
    fn seeds_come_from_split_mix_64() {
        let mut theirs = SplitMix64::from_seed(42_u64.to_le_bytes());
        let mut state = 42;
        for _ in 0..100 {
            assert_eq!(splitmix64(&mut state), theirs.next_u64());
        }
        // Published with the generator: the first number from state 1234567.
        assert_eq!(splitmix64(&mut 1_234_567_u64.clone()), 6_457_827_717_110_365_317);
    }

    #[test]
    fn no_two_chunks_share_a_state() {
        let mut seen = std::collections::BTreeSet::new();
        for seed in 0..20 {
            for chunk in 0..200 {
                let stream = Stream::new(seed, chunk);
                for lane in 0..STREAMS {
                    assert!(seen.insert(stream.state(lane)), "seed {seed}, chunk {chunk}");
                }
            }
        }
    }

    /// Mean and variance of an even spread on (-1, 1) are 0 and 1/3, its correlations 0; five standard errors.
    #[test]
    fn numbers_are_spread_evenly() {
        let mut stream = Stream::new(7, 3);
        let mut blocks = [[0.0; LANES]; 3];
        let (mut sums, mut squares, mut cross, mut count) = ([0.0; 3], [0.0; 3], 0.0, 0.0);
        for _ in 0..4000 {
            stream.fill(&mut blocks);
            for (k, block) in blocks.iter().enumerate() {
                assert!(block.iter().all(|u| u.abs() < 1.0));
                sums[k] += block.iter().sum::<f64>();
                squares[k] += block.iter().map(|u| u * u).sum::<f64>();
            }
            cross += blocks[0].iter().zip(&blocks[1]).map(|(a, b)| a * b).sum::<f64>();
            count += LANES as f64;
        }
        let error = 5.0 / f64::sqrt(3.0 * count);
        for k in 0..3 {
            assert!((sums[k] / count).abs() < error, "mean {k}");
            assert!((squares[k] / count - 1.0 / 3.0).abs() < error, "variance {k}");
        }
        assert!((cross / count).abs() < error);
    }
}
