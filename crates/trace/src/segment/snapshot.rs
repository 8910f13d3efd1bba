//! A segmenter's state as bytes, so that live work survives a restart.

use std::fmt;

use super::core::{Beyond, Bounds, Core, Crest};
use super::piece::{Piece, Quadratic};
use super::plain::Plain;
use super::segmenter::Segmenter;
use super::sides::Side;

/// Marks the format and its version.
const MAGIC: [u8; 8] = *b"NDSEGM04";

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
        let mut out = Vec::with_capacity(256 + 12 * self.firsts.len());
        out.extend_from_slice(&MAGIC);
        for value in [
            self.penalty,
            self.cap,
            self.cost,
            self.core.hi,
            self.plain.hi,
            self.plain.limit,
            self.left.end,
            self.right.end,
            self.outside,
        ] {
            out.extend_from_slice(&value.to_le_bytes());
        }
        let crest = self.core.crest;
        for Quadratic { n, mean, floor } in [self.core.pending, crest.pending] {
            for value in [n, mean, floor] {
                out.extend_from_slice(&value.to_le_bytes());
            }
        }
        out.extend_from_slice(&crest.cost.to_le_bytes());
        for value in [self.core.start, self.core.end, self.core.at] {
            out.extend_from_slice(&(value as u64).to_le_bytes());
        }
        out.extend_from_slice(&self.chosen.to_le_bytes());
        out.extend_from_slice(&self.wait.to_le_bytes());
        out.extend_from_slice(&self.plain.fresh.to_le_bytes());
        out.extend_from_slice(&self.fresh.to_le_bytes());
        for pieces in [
            self.left.pieces.as_slice(),
            &self.core.pieces,
            &self.right.pieces,
            &self.plain.pieces(),
        ] {
            put_all(&mut out, pieces, |out, piece| {
                for value in [piece.lo, piece.n, piece.mean, piece.floor] {
                    out.extend_from_slice(&value.to_le_bytes());
                }
                out.extend_from_slice(&piece.first.to_le_bytes());
            });
        }
        put_all(&mut out, &self.core.bounds, |out, bounds| {
            for side in [bounds.right, bounds.left] {
                for value in [side.slope, side.flat, side.valley] {
                    out.extend_from_slice(&value.to_le_bytes());
                }
            }
        });
        put_all(&mut out, &self.levels, |out, value| {
            out.extend_from_slice(&value.to_le_bytes());
        });
        put_all(&mut out, &self.firsts, |out, value| {
            out.extend_from_slice(&value.to_le_bytes())
        });
        out
    }

    /// Goes on from what [`Segmenter::to_bytes`] gave.
    ///
    /// # Errors
    /// When the bytes are not such a state, or of another version.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, BadSnapshot> {
        let mut input = Input(bytes);
        if input.array::<8>()? != MAGIC {
            return Err(BadSnapshot);
        }
        let [
            penalty,
            cap,
            cost,
            hi,
            plain_hi,
            limit,
            left_end,
            right_end,
            outside,
        ] = input.floats()?;
        let pending = input.quadratic()?;
        let crest = Crest {
            pending: input.quadratic()?,
            cost: input.float()?,
        };
        let (start, end, at) = (input.count()?, input.count()?, input.count()?);
        let (chosen, wait) = (input.word()?, input.word()?);
        let (plain_fresh, fresh) = (input.word()?, input.word()?);
        let left = input.all(Input::piece)?;
        let pieces = input.all(Input::piece)?;
        let right = input.all(Input::piece)?;
        let plain = input.all(Input::piece)?;
        let bounds = input.all(|input| {
            Ok(Bounds {
                right: input.beyond()?,
                left: input.beyond()?,
            })
        })?;
        let levels = input.all(Input::float)?;
        let firsts = input.all(Input::word)?;
        let sizes = start <= end
            && end <= pieces.len()
            && bounds.len() == pieces.len()
            && levels.len() == firsts.len()
            && firsts
                .iter()
                .zip(0u32..)
                .all(|(first, index)| *first <= index)
            && chosen as usize <= firsts.len();
        if !sizes
            || !input.0.is_empty()
            || penalty.is_nan()
            || penalty <= 0.0
            || cap.is_nan()
            || cap <= 0.0
        {
            return Err(BadSnapshot);
        }
        let core = Core {
            pieces,
            bounds,
            start,
            end,
            hi,
            pending,
            at,
            crest,
        };
        let half_width = cap.sqrt();
        Ok(Self {
            penalty,
            cap,
            half_width,
            firsts,
            levels,
            cost,
            left: Side {
                pieces: left,
                end: left_end,
            },
            core,
            right: Side {
                pieces: right,
                end: right_end,
            },
            outside,
            fresh,
            scratch: Vec::new(),
            plain: Plain::of(&plain, plain_hi, limit, plain_fresh),
            chosen,
            wait,
        })
    }
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
