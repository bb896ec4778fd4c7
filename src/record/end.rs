//! The end of a record by its last bytes: the last entry, and what an interrupted writer left behind it.

use super::chain::{Broken, Claims, begins_entry, column};
use super::digest::Digest;

/// The end of a record.
#[derive(Debug, PartialEq)]
pub(super) struct End {
    /// Number of the last entry; zero where there is none.
    pub number: u64,
    /// Its digest.
    pub digest: Digest,
    /// What stands behind its line.
    pub tail: Tail,
}

/// What stands behind the last line end.
#[derive(Debug, PartialEq)]
pub(super) enum Tail {
    Nothing,
    /// The last entry, which lacks only its line end.
    Whole,
    /// So many bytes of an entry that was not written to its end.
    Torn(usize),
}

/// Why an end cannot be added to.
#[derive(Debug, PartialEq)]
pub(super) enum NoEnd {
    /// The last line begins before the bytes.
    TooFewBytes,
    /// The last line is no entry.
    Last { from_end: usize, column: usize, what: Broken },
    /// What stands behind the last line is not the beginning of an entry.
    Foreign { from_end: usize },
}

impl End {
    /// The end of a file by its last bytes, which may be all of it.
    pub fn of(bytes: &[u8], all: bool) -> Result<Self, NoEnd> {
        let lines = bytes.iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
        let (lines, tail) = bytes.split_at(lines);
        let (number, digest) = match lines.strip_suffix(b"\n") {
            None if all => (0, Digest::NONE),
            None => return Err(NoEnd::TooFewBytes),
            Some(lines) => {
                let start = match lines.iter().rposition(|b| *b == b'\n') {
                    Some(at) => at + 1,
                    None if all => 0,
                    None => return Err(NoEnd::TooFewBytes),
                };
                last(&lines[start..], bytes.len() - start)?
            }
        };
        let claims = Claims::read(tail).ok().filter(|c| c.holds() && c.follows(number, digest));
        if let Some(whole) = claims {
            return Ok(Self { number: whole.number, digest: whole.stated, tail: Tail::Whole });
        }
        let tail = match tail.len() {
            0 => Tail::Nothing,
            bytes if begins_entry(tail, number.saturating_add(1)) => Tail::Torn(bytes),
            from_end => return Err(NoEnd::Foreign { from_end }),
        };
        Ok(Self { number, digest, tail })
    }
}

/// Number and digest of the last line.
fn last(line: &[u8], from_end: usize) -> Result<(u64, Digest), NoEnd> {
    match Claims::read(line) {
        Ok(claims) if claims.holds() => Ok((claims.number, claims.stated)),
        Ok(_) => Err(NoEnd::Last { from_end, column: 1, what: Broken::Changed }),
        Err((at, what)) => Err(NoEnd::Last { from_end, column: column(line, at), what }),
    }
}
