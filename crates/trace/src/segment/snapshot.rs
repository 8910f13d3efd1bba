//! A segmenter's state as bytes, so that live work survives a restart.

use std::fmt;

use super::core::{Beyond, Bounds, Core, Crest};
use super::path::Path;
use super::piece::{Piece, Quadratic};
use super::plain::Plain;
use super::segmenter::Segmenter;
use super::sides::Side;

/// Marks the format and its version.
const MAGIC: [u8; 8] = *b"NDSEGM05";

/// Bytes that are not a segmenter's state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BadSnapshot;

impl fmt::Display for BadSnapshot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("these bytes are not a segmenter's saved state; start again from the samples")
    }
}

impl std::error::Error for BadSnapshot {}

impl Segmenter {
    /// The whole state; [`Segmenter::from_bytes`] goes on exactly where this stopped.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(4096);
        out.extend_from_slice(&MAGIC);
        put_floats(&mut out, &[self.penalty, self.cap, self.cost, self.outside]);
        put_words(&mut out, &[self.fresh, self.chosen, self.wait]);
        put_core(&mut out, &self.core);
        for side in [&self.left, &self.right] {
            put_floats(&mut out, &[side.end]);
            put_pieces(&mut out, &side.pieces);
        }
        put_floats(&mut out, &[self.plain.hi, self.plain.limit]);
        put_words(&mut out, &[self.plain.fresh]);
        put_pieces(&mut out, &self.plain.pieces());
        let (kept, base, recent) = self.path.parts();
        put_all(&mut out, kept, |out, node| {
            put_words(out, &[node.length, node.first]);
            put_floats(out, &[node.level]);
        });
        put_words(&mut out, &[base]);
        put_all(&mut out, recent, |out, (first, level)| {
            put_words(out, &[*first]);
            put_floats(out, &[*level]);
        });
        let sum = checksum(&out);
        out.extend_from_slice(&sum.to_le_bytes());
        out
    }

    /// Goes on from what [`Segmenter::to_bytes`] gave.
    ///
    /// # Errors
    /// When the bytes are not such a state, or of another version, or damaged.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, BadSnapshot> {
        let (bytes, sum) = bytes.split_last_chunk::<8>().ok_or(BadSnapshot)?;
        if u64::from_le_bytes(*sum) != checksum(bytes) {
            return Err(BadSnapshot);
        }
        let mut input = Input(bytes);
        if input.array::<8>()? != MAGIC {
            return Err(BadSnapshot);
        }
        let [penalty, cap, cost, outside] = input.floats()?;
        let (fresh, chosen, wait) = (input.word()?, input.word()?, input.word()?);
        let core = input.core()?;
        let (left, right) = (input.side()?, input.side()?);
        let [plain_hi, limit] = input.floats()?;
        let plain_fresh = input.word()?;
        let plain = Plain::of(&input.all(Input::piece)?, plain_hi, limit, plain_fresh);
        let kept = input.all(|input| Ok((input.word()?, input.word()?, input.float()?)))?;
        let base = input.word()?;
        let recent = input.all(|input| Ok((input.word()?, input.float()?)))?;
        let path = Path::of(kept, base, recent).ok_or(BadSnapshot)?;
        let sizes = chosen <= path.len();
        // Also false for what is not a number.
        if !(sizes && input.0.is_empty() && penalty > 0.0 && cap > 0.0) {
            return Err(BadSnapshot);
        }
        Ok(Self {
            penalty,
            cap,
            half_width: cap.sqrt(),
            path,
            cost,
            left,
            core,
            right,
            outside,
            fresh,
            scratch: Vec::new(),
            plain,
            chosen,
            wait,
        })
    }
}

fn put_core(out: &mut Vec<u8>, core: &Core) {
    for Quadratic { n, mean, floor } in [core.pending, core.crest.pending] {
        put_floats(out, &[n, mean, floor]);
    }
    put_floats(out, &[core.crest.cost, core.hi]);
    for value in [core.start, core.end, core.at] {
        out.extend_from_slice(&(value as u64).to_le_bytes());
    }
    put_pieces(out, &core.pieces);
    put_all(out, &core.bounds, |out, bounds| {
        for side in [bounds.right, bounds.left] {
            put_floats(out, &[side.slope, side.flat, side.valley]);
        }
    });
}

fn put_pieces(out: &mut Vec<u8>, pieces: &[Piece]) {
    put_all(out, pieces, |out, piece| {
        put_floats(out, &[piece.lo, piece.n, piece.mean, piece.floor]);
        put_words(out, &[piece.first]);
    });
}

fn put_floats(out: &mut Vec<u8>, values: &[f64]) {
    out.extend(values.iter().flat_map(|value| value.to_le_bytes()));
}

fn put_words(out: &mut Vec<u8>, values: &[u32]) {
    out.extend(values.iter().flat_map(|value| value.to_le_bytes()));
}

/// FNV-1a of 64 bits (G. Fowler, L. Noll, K.-P. Vo, "The FNV Non-Cryptographic Hash Algorithm", IETF draft-eastlake-fnv): finds damage,
/// keeps nobody out.
fn checksum(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |sum, byte| {
        (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

fn put_all<T>(out: &mut Vec<u8>, items: &[T], put: impl Fn(&mut Vec<u8>, &T)) {
    out.extend_from_slice(&(items.len() as u64).to_le_bytes());
    for item in items {
        put(out, item);
    }
}

/// Bytes still to be read.
struct Input<'a>(&'a [u8]);

impl Input<'_> {
    fn array<const N: usize>(&mut self) -> Result<[u8; N], BadSnapshot> {
        let (head, tail) = self.0.split_first_chunk::<N>().ok_or(BadSnapshot)?;
        self.0 = tail;
        Ok(*head)
    }

    fn float(&mut self) -> Result<f64, BadSnapshot> {
        self.array().map(f64::from_le_bytes)
    }

    fn floats<const N: usize>(&mut self) -> Result<[f64; N], BadSnapshot> {
        let mut out = [0.0; N];
        for value in &mut out {
            *value = self.float()?;
        }
        Ok(out)
    }

    fn word(&mut self) -> Result<u32, BadSnapshot> {
        self.array().map(u32::from_le_bytes)
    }

    fn count(&mut self) -> Result<usize, BadSnapshot> {
        usize::try_from(self.array().map(u64::from_le_bytes)?).map_err(|_| BadSnapshot)
    }

    fn beyond(&mut self) -> Result<Beyond, BadSnapshot> {
        Ok(Beyond {
            slope: self.float()?,
            flat: self.float()?,
            valley: self.float()?,
        })
    }

    fn quadratic(&mut self) -> Result<Quadratic, BadSnapshot> {
        Ok(Quadratic {
            n: self.float()?,
            mean: self.float()?,
            floor: self.float()?,
        })
    }

    fn core(&mut self) -> Result<Core, BadSnapshot> {
        let pending = self.quadratic()?;
        let crest_pending = self.quadratic()?;
        let [cost, hi] = self.floats()?;
        let (start, end, at) = (self.count()?, self.count()?, self.count()?);
        let pieces = self.all(Self::piece)?;
        let bounds = self.all(|input| {
            Ok(Bounds {
                right: input.beyond()?,
                left: input.beyond()?,
            })
        })?;
        if start > end || end > pieces.len() || bounds.len() != pieces.len() {
            return Err(BadSnapshot);
        }
        Ok(Core {
            pieces,
            bounds,
            start,
            end,
            hi,
            pending,
            at,
            crest: Crest {
                cost,
                pending: crest_pending,
            },
        })
    }

    fn side(&mut self) -> Result<Side, BadSnapshot> {
        Ok(Side {
            end: self.float()?,
            pieces: self.all(Self::piece)?,
        })
    }

    fn piece(&mut self) -> Result<Piece, BadSnapshot> {
        Ok(Piece {
            lo: self.float()?,
            n: self.float()?,
            mean: self.float()?,
            floor: self.float()?,
            first: self.word()?,
        })
    }

    fn all<T>(
        &mut self,
        one: impl Fn(&mut Self) -> Result<T, BadSnapshot>,
    ) -> Result<Vec<T>, BadSnapshot> {
        let count = self.count()?;
        // Every item takes at least four bytes: a wrong count must not ask for memory.
        if count > self.0.len() / 4 {
            return Err(BadSnapshot);
        }
        (0..count).map(|_| one(self)).collect()
    }
}
