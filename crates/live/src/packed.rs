//! Numbers of a log in little memory, to the last bit.
//!
//! What a logger writes has few decimals, and neighbours differ little. A block of numbers is kept as
//! whole multiples of a power of ten, each as its difference from the one before in as few bytes as it needs
//! (seven bits a byte, sign in the lowest bit); for stamps, that of the difference. A block that such a form does not
//! reproduce exactly is kept as it is, at eight bytes a number.

/// Numbers in a block.
const BLOCK: usize = 1024;
/// Most decimals that are tried; a power of ten up to 10^22 is exact in binary, more than nine is no reading.
const MOST_DECIMALS: i32 = 9;
/// Whole numbers up to here are exact in an `f64`.
const LARGEST: u64 = 1 << 53;

/// A column of numbers that only grows.
#[derive(Debug, Clone, Default)]
pub struct Packed {
    blocks: Vec<Block>,
    open: Vec<f64>,
    decimals: i32,
    bytes: usize,
}

#[derive(Debug, Clone)]
enum Block {
    /// `decimals`, and whether differences of differences are kept.
    Whole(i32, bool, Box<[u8]>),
    Plain(Box<[f64]>),
}

impl Packed {
    /// Appends a number.
    pub fn push(&mut self, value: f64) {
        if self.open.capacity() == 0 {
            self.open.reserve_exact(BLOCK);
        }
        self.open.push(value);
        if self.open.len() == BLOCK {
            let block = self.pack();
            self.bytes += match &block {
                Block::Whole(_, _, bytes) => bytes.len(),
                Block::Plain(values) => 8 * values.len(),
            };
            self.blocks.push(block);
            self.open.clear();
        }
    }

    /// How many numbers.
    pub fn len(&self) -> usize {
        self.blocks.len() * BLOCK + self.open.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Bytes of memory in use, about.
    pub fn bytes(&self) -> usize {
        self.bytes + self.blocks.len() * size_of::<Block>() + 8 * self.open.capacity()
    }

    /// Gives back the room for numbers to come.
    pub(crate) fn shrink(&mut self) {
        self.open.shrink_to_fit();
        self.blocks.shrink_to_fit();
    }

    /// All numbers, as they came.
    pub fn to_vec(&self) -> Vec<f64> {
        let mut out = Vec::with_capacity(self.len());
        self.each_block(|values| out.extend_from_slice(values));
        out
    }

    /// Gives all numbers, in order, some at a time.
    pub(crate) fn each_block(&self, mut take: impl FnMut(&[f64])) {
        let mut open = Vec::with_capacity(BLOCK);
        for block in &self.blocks {
            match block {
                Block::Plain(values) => take(values),
                Block::Whole(decimals, twice, bytes) => {
                    open.clear();
                    unpack(*decimals, *twice, bytes, &mut open);
                    take(&open);
                }
            }
        }
        take(&self.open);
    }

    fn pack(&mut self) -> Block {
        // The decimals of the block before are most likely those of this one.
        let tries = std::iter::once(self.decimals).chain(0..=MOST_DECIMALS);
        for decimals in tries {
            if let Some(whole) = whole_numbers(&self.open, decimals) {
                self.decimals = decimals;
                let (once, twice) = (differences(&whole, false), differences(&whole, true));
                return if twice.len() < once.len() {
                    Block::Whole(decimals, true, twice.into())
                } else {
                    Block::Whole(decimals, false, once.into())
                };
            }
        }
        Block::Plain(self.open.as_slice().into())
    }
}

/// The numbers as multiples of a power of ten, if that gives back each of them.
fn whole_numbers(values: &[f64], decimals: i32) -> Option<Vec<i64>> {
    let power = 10f64.powi(decimals);
    values
        .iter()
        .map(|value| {
            // Through the whole number and back: it has no −0, no infinity, and ends somewhere.
            let whole = (value * power).round() as i64;
            let same = (whole as f64 / power).to_bits() == value.to_bits();
            (same && whole.unsigned_abs() <= LARGEST).then_some(whole)
        })
        .collect()
}

fn differences(whole: &[i64], twice: bool) -> Vec<u8> {
    let mut out = Vec::with_capacity(whole.len() * 2);
    let (mut before, mut step) = (0, 0);
    for &value in whole {
        let difference = value - before;
        let kept = if twice { difference - step } else { difference };
        let mut bits = ((kept << 1) ^ (kept >> 63)) as u64;
        while bits >= 0x80 {
            out.push(bits as u8 | 0x80);
            bits >>= 7;
        }
        out.push(bits as u8);
        (before, step) = (value, difference);
    }
    out
}

fn unpack(decimals: i32, twice: bool, bytes: &[u8], out: &mut Vec<f64>) {
    let power = 10f64.powi(decimals);
    let (mut before, mut step) = (0i64, 0i64);
    let (mut bits, mut shift) = (0u64, 0);
    for byte in bytes {
        bits |= u64::from(byte & 0x7f) << shift;
        shift += 7;
        if byte & 0x80 == 0 {
            let kept = (bits >> 1) as i64 ^ -((bits & 1) as i64);
            step = if twice { step + kept } else { kept };
            before += step;
            out.push(before as f64 / power);
            (bits, shift) = (0, 0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check(values: &[f64]) -> Packed {
        let mut packed = Packed::default();
        values.iter().for_each(|v| packed.push(*v));
        let back: Vec<u64> = packed.to_vec().iter().map(|v| v.to_bits()).collect();
        let there: Vec<u64> = values.iter().map(|v| v.to_bits()).collect();
        assert!(back == there, "other numbers came back");
        assert_eq!(packed.len(), values.len());
        packed
    }

    #[test]
    fn readings_take_two_bytes_and_stamps_one() {
        let stamps: Vec<f64> = (0..100_000).map(|i| f64::from(i) / 100.0).collect();
        assert!(check(&stamps).bytes() < 150_000);
        let readings: Vec<f64> = (0..100_000)
            .map(|i| f64::from(2300 + i * 7919 % 61) / 100.0)
            .collect();
        assert!(check(&readings).bytes() < 200_000);
    }

    #[test]
    fn odd_numbers_come_back_too() {
        check(&vec![-0.0; 2000]);
        check(&vec![f64::MAX; 2000]);
        check(&(0..3000).map(|i| f64::from(i).sqrt()).collect::<Vec<_>>());
    }

    proptest! {
        #[test]
        fn whatever_comes_comes_back(
            values in prop::collection::vec(prop_oneof![any::<f64>(), (-1e9f64..1e9).prop_map(|v| (v * 1e3).round() / 1e3)], 0..50),
            often in 1usize..80,
        ) {
            check(&values.iter().copied().cycle().take(values.len() * often).collect::<Vec<_>>());
        }
    }
}
