//! Bytes in bounded blocks of whole lines, unpacked and in UTF-8.

use std::io::{self, Cursor, ErrorKind, Read};

use tongue::say;

use super::ReadError;

/// Size of a block, and so the longest line there may be. Two halves of it fit the caches of two cores.
const BLOCK: usize = 1 << 20;

/// Lines of a log, a block at a time.
pub(super) struct Blocks<'r> {
    reader: Box<dyn Read + 'r>,
    buffer: Vec<u8>,
    from: usize,
    to: usize,
    end: bool,
    packed: bool,
    lone_cr: bool,
    pub(super) notes: Vec<String>,
}

impl<'r> Blocks<'r> {
    /// Looks at the first bytes: see [`unpack`].
    pub(super) fn open(input: impl Read + 'r) -> Result<Self, ReadError> {
        let Unpacked {
            reader,
            packed,
            notes,
        } = unpack(input)?;
        Ok(Self {
            reader,
            buffer: vec![0; BLOCK],
            from: 0,
            to: 0,
            end: false,
            packed,
            lone_cr: false,
            notes,
        })
    }

    /// The bytes that come next, at least a block's worth if there are as many; none are used up.
    pub(super) fn peek(&mut self) -> Result<&[u8], ReadError> {
        self.fill()?;
        let seen = &mut self.buffer[self.from..self.to];
        self.lone_cr = seen
            .windows(2)
            .any(|w| w[0] == b'\r' && w[1] != b'\n' && w[1] != b'\r');
        if self.lone_cr {
            unify(seen);
        }
        Ok(&self.buffer[self.from..self.to])
    }

    /// Passes over bytes that `peek` showed.
    pub(super) fn skip(&mut self, bytes: usize) {
        self.from = (self.from + bytes).min(self.to);
    }

    /// The next whole lines; only at the end may the last lack its line end. `line` is where they start.
    pub(super) fn next(&mut self, line: u64) -> Result<Option<&[u8]>, ReadError> {
        let mut stop = memchr::memrchr(b'\n', &self.buffer[self.from..self.to]);
        if stop.is_none() && !self.end {
            self.fill()?;
            stop = memchr::memrchr(b'\n', &self.buffer[self.from..self.to]);
        }
        if self.from == self.to {
            return Ok(None);
        }
        let to = match stop {
            Some(n) => self.from + n + 1,
            None if self.end => self.to,
            None if memchr::memchr(0, &self.buffer[self.from..self.to]).is_some() => {
                return Err(ReadError::Binary { line });
            }
            None => return Err(ReadError::LineTooLong { line }),
        };
        let block = &self.buffer[self.from..to];
        self.from = to;
        if let Some(at) = memchr::memchr(0, block) {
            return Err(ReadError::Binary {
                line: line + memchr::memchr_iter(b'\n', &block[..at]).count() as u64,
            });
        }
        Ok(Some(block))
    }

    fn fill(&mut self) -> Result<(), ReadError> {
        self.buffer.copy_within(self.from..self.to, 0);
        self.to -= self.from;
        self.from = 0;
        let kept = self.to;
        while self.to < BLOCK && !self.end {
            match self.reader.read(&mut self.buffer[self.to..]) {
                Ok(0) => self.end = true,
                Ok(n) => self.to += n,
                Err(e) if e.kind() == ErrorKind::Interrupted => {}
                Err(e) if self.packed && e.kind() == ErrorKind::UnexpectedEof => {
                    self.notes
                        .push("the packed file is cut short; what it holds was read".to_owned());
                    self.end = true;
                }
                Err(e) => return Err(failed(&e, self.packed)),
            }
        }
        if self.lone_cr {
            unify(&mut self.buffer[kept.saturating_sub(1)..self.to]);
        }
        Ok(())
    }
}

impl std::fmt::Debug for Blocks<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Blocks")
            .field("from", &self.from)
            .field("to", &self.to)
            .field("end", &self.end)
            .finish_non_exhaustive()
    }
}

/// Text as it comes out of its wrapping.
pub struct Unpacked<'r> {
    /// Delivers UTF-8 (or what was taken for it).
    pub reader: Box<dyn Read + 'r>,
    /// Whether it was compressed.
    pub packed: bool,
    /// What was found, one sentence each.
    pub notes: Vec<String>,
}

impl std::fmt::Debug for Unpacked<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Unpacked")
            .field("packed", &self.packed)
            .field("notes", &self.notes)
            .finish_non_exhaustive()
    }
}

/// Looks at the first bytes: unpacks gzip and zstd, turns UTF-16 into UTF-8, drops a byte order mark.
/// Waits for four bytes of `input`, no more.
///
/// # Errors
/// When they cannot be read, or are those of a kind of file that is not read here.
pub fn unpack<'r>(input: impl Read + 'r) -> Result<Unpacked<'r>, ReadError> {
    let mut notes = Vec::new();
    let (head, rest) = head(Box::new(input), 4)?;
    let packed = head.starts_with(&[0x1f, 0x8b]) || head.starts_with(&[0x28, 0xb5, 0x2f, 0xfd]);
    let joined = Cursor::new(head.clone()).chain(rest);
    let mut reader: Box<dyn Read + 'r> = if !packed {
        Box::new(joined)
    } else if head[0] == 0x1f {
        notes.push("the file is packed with gzip".to_owned());
        Box::new(flate2::read::MultiGzDecoder::new(joined))
    } else {
        notes.push("the file is packed with zstd".to_owned());
        Box::new(
            zstd::stream::read::Decoder::new(joined).map_err(|e| ReadError::Compressed {
                message: e.to_string(),
            })?,
        )
    };
    if packed {
        let (inner, rest) = head_of(reader, 4, true)?;
        reader = Box::new(Cursor::new(inner.clone()).chain(rest));
        reader = decode(inner, reader)?;
    } else {
        reader = decode(head, reader)?;
    }
    Ok(Unpacked {
        reader,
        packed,
        notes,
    })
}

/// Line ends of old: a lone carriage return ends a line too.
fn unify(bytes: &mut [u8]) {
    for i in 0..bytes.len() {
        if bytes[i] == b'\r' && bytes.get(i + 1).is_some_and(|b| *b != b'\n') {
            bytes[i] = b'\n';
        }
    }
}

fn failed(e: &io::Error, packed: bool) -> ReadError {
    if packed {
        ReadError::Compressed {
            message: e.to_string(),
        }
    } else {
        ReadError::Io {
            message: e.to_string(),
        }
    }
}

type Opened<'r> = (Vec<u8>, Box<dyn Read + 'r>);

/// Up to `n` bytes from the start, and the reader of the rest.
pub(super) fn head<'r>(reader: Box<dyn Read + 'r>, n: usize) -> Result<Opened<'r>, ReadError> {
    head_of(reader, n, false)
}

fn head_of<'r>(
    mut reader: Box<dyn Read + 'r>,
    n: usize,
    packed: bool,
) -> Result<Opened<'r>, ReadError> {
    let mut head = Vec::with_capacity(n);
    match reader.by_ref().take(n as u64).read_to_end(&mut head) {
        Ok(_) => {}
        Err(e) if packed && e.kind() == ErrorKind::UnexpectedEof => {}
        Err(e) => return Err(failed(&e, packed)),
    }
    Ok((head, reader))
}

/// Removes a byte order mark and decodes UTF-16. `reader` still starts with `head`.
fn decode<'r>(
    head: Vec<u8>,
    mut reader: Box<dyn Read + 'r>,
) -> Result<Box<dyn Read + 'r>, ReadError> {
    match head.as_slice() {
        [0xef, 0xbb, 0xbf, ..] => {
            let mut mark = [0; 3];
            reader
                .read_exact(&mut mark)
                .map_err(|e| failed(&e, false))?;
            Ok(reader)
        }
        [0xff, 0xfe, ..] => Ok(Box::new(Utf16::new(reader, u16::from_le_bytes))),
        [0xfe, 0xff, ..] => Ok(Box::new(Utf16::new(reader, u16::from_be_bytes))),
        b"PAR1" => Err(ReadError::Unsupported {
            what: say::trace::what_parquet(),
        }),
        [b'P', b'K', 3, 4] => Err(ReadError::Unsupported {
            what: say::trace::what_zip(),
        }),
        [0xd0, 0xcf, 0x11, 0xe0] => Err(ReadError::Unsupported {
            what: say::trace::what_old_spreadsheet(),
        }),
        b"%PDF" => Err(ReadError::Unsupported {
            what: say::trace::what_pdf(),
        }),
        [0x89, b'H', b'D', b'F'] => Err(ReadError::Unsupported {
            what: say::trace::what_hdf5(),
        }),
        _ => Ok(reader),
    }
}

/// UTF-16 as UTF-8, a piece at a time.
struct Utf16<'r> {
    inner: Box<dyn Read + 'r>,
    join: fn([u8; 2]) -> u16,
    odd: Option<u8>,
    high: Option<u16>,
    ready: Vec<u8>,
    at: usize,
}

impl<'r> Utf16<'r> {
    fn new(inner: Box<dyn Read + 'r>, join: fn([u8; 2]) -> u16) -> Self {
        Self {
            inner,
            join,
            odd: None,
            high: None,
            ready: Vec::new(),
            at: 0,
        }
    }

    fn refill(&mut self) -> io::Result<()> {
        let mut raw = [0; 8192];
        let n = self.inner.read(&mut raw)?;
        self.ready.clear();
        self.at = 0;
        let mut units: Vec<u16> = self.high.take().into_iter().collect();
        for byte in &raw[..n] {
            match self.odd.take() {
                Some(first) => units.push((self.join)([first, *byte])),
                None => self.odd = Some(*byte),
            }
        }
        // Half a surrogate pair waits for the next piece.
        if n > 0 && units.last().is_some_and(|u| (0xd800..0xdc00).contains(u)) {
            self.high = units.pop();
        }
        let mut utf8 = [0; 4];
        for c in char::decode_utf16(units) {
            let c = c.unwrap_or(char::REPLACEMENT_CHARACTER);
            if c != '\u{feff}' {
                self.ready
                    .extend_from_slice(c.encode_utf8(&mut utf8).as_bytes());
            }
        }
        if n > 0 && self.ready.is_empty() {
            return self.refill();
        }
        Ok(())
    }
}

impl Read for Utf16<'_> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        if self.at == self.ready.len() {
            self.refill()?;
        }
        let n = out.len().min(self.ready.len() - self.at);
        out[..n].copy_from_slice(&self.ready[self.at..self.at + n]);
        self.at += n;
        Ok(n)
    }
}
