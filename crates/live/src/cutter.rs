//! Lines from chunks of bytes, wherever the chunks are cut.

/// Longest line that is kept; what is longer is no row of a log.
const LONGEST: usize = 1 << 16;

/// A line that ended, or the reason why it is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Cut<'a> {
    /// Without its end.
    Line(&'a [u8]),
    /// Longer than a row can be; its bytes are gone.
    TooLong,
}

/// Cuts lines at `\n`, `\r\n` and a lone `\r`.
#[derive(Debug, Clone, Default)]
pub(crate) struct Cutter {
    started: Vec<u8>,
    too_long: bool,
    /// The last byte was `\r`, whose line was given out already.
    after_return: bool,
}

impl Cutter {
    /// Gives each line that ends within `bytes` to `take`.
    pub(crate) fn feed(&mut self, mut bytes: &[u8], mut take: impl FnMut(Cut<'_>)) {
        if self.after_return && !bytes.is_empty() {
            self.after_return = false;
            bytes = bytes.strip_prefix(b"\n").unwrap_or(bytes);
        }
        while let Some(end) = memchr::memchr2(b'\n', b'\r', bytes) {
            if self.started.is_empty() && !self.too_long {
                take(Cut::Line(&bytes[..end]));
            } else {
                self.keep(&bytes[..end]);
                self.give(&mut take);
            }
            let after = if bytes[end] == b'\n' {
                1
            } else if let Some(next) = bytes.get(end + 1) {
                1 + usize::from(*next == b'\n')
            } else {
                self.after_return = true;
                1
            };
            bytes = &bytes[end + after..];
        }
        self.keep(bytes);
    }

    /// Gives the last line, if it lacks its end; says whether it did.
    pub(crate) fn finish(&mut self, take: impl FnMut(Cut<'_>)) -> bool {
        let cut = self.too_long || !self.started.is_empty();
        if cut {
            self.give(take);
        }
        cut
    }

    /// Bytes of the line that has begun.
    pub(crate) fn pending(&self) -> usize {
        self.started.len()
    }

    fn keep(&mut self, bytes: &[u8]) {
        if self.too_long || self.started.len() + bytes.len() > LONGEST {
            self.too_long = true;
            self.started.clear();
        } else {
            self.started.extend_from_slice(bytes);
        }
    }

    fn give(&mut self, mut take: impl FnMut(Cut<'_>)) {
        if self.too_long {
            take(Cut::TooLong);
        } else {
            take(Cut::Line(&self.started));
        }
        self.started.clear();
        self.too_long = false;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(chunks: &[&[u8]]) -> Vec<Option<String>> {
        let mut cutter = Cutter::default();
        let mut out = Vec::new();
        let mut take = |cut: Cut<'_>| {
            out.push(match cut {
                Cut::Line(line) => Some(String::from_utf8_lossy(line).into_owned()),
                Cut::TooLong => None,
            });
        };
        for chunk in chunks {
            cutter.feed(chunk, &mut take);
        }
        cutter.finish(&mut take);
        out
    }

    #[test]
    fn every_line_end_at_every_cut() {
        let text = b"a\nb\r\nc\rd\n\ne\r\n\r\nlast";
        let expected = ["a", "b", "c", "d", "", "e", "", "last"].map(|l| Some(l.to_owned()));
        for i in 0..=text.len() {
            for j in i..=text.len() {
                assert_eq!(
                    lines(&[&text[..i], &text[i..j], &text[j..]]),
                    expected,
                    "cut at {i} and {j}"
                );
            }
        }
    }

    #[test]
    fn a_line_without_end_takes_no_memory() {
        let mut cutter = Cutter::default();
        for _ in 0..100 {
            cutter.feed(&[b'7'; 10_000], |_| panic!("no line ended"));
        }
        assert!(cutter.pending() <= LONGEST);
        let mut seen = Vec::new();
        cutter.feed(b"7\n1\n", |cut| seen.push(cut == Cut::TooLong));
        assert_eq!(seen, [true, false]);
    }
}
