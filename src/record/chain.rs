//! The chain of digests: what each line claims, and where that does not hold.

use super::digest::{CardHead, DIGITS, Digest};

/// Bytes of an entry without its line end; a note of a builder is some hundred.
pub const LONGEST_LINE: usize = 64 * 1024;
/// So many faults are kept; a file that is no record has one in every line.
const MOST_KEPT: usize = 1000;

const START: &[u8] = br#"{"number":"#;
const BEFORE: &[u8] = br#","before":""#;
const DIGEST: &[u8] = br#"","digest":""#;
const END: &[u8] = br#""}"#;
/// Bytes from the comma before `before` to the closing brace.
const TAIL: usize = BEFORE.len() + DIGITS + DIGEST.len() + DIGITS + END.len();
/// Bytes from the comma before `digest` to the closing brace.
const OWN: usize = DIGEST.len() - 1 + DIGITS + END.len();

/// Something in a record that does not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Line of the file, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What does not hold.
    pub what: Broken,
}

/// What does not hold.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Broken {
    /// A line that is not UTF-8.
    #[error("the line is not UTF-8 text")]
    NotText,
    /// A line that ends as some editors end it.
    #[error("the line ends with a carriage return: an editor has changed the line ends")]
    CarriageReturn,
    /// A line that is longer than an entry can be.
    #[error("the line has {0} bytes, more than an entry can have")]
    TooLong(usize),
    /// A line that does not begin or end as every entry does.
    #[error("this is no entry: it does not {0}")]
    NoEntry(Part),
    /// An entry of which the text is not what the digest was taken of.
    #[error("the entry was changed after it was written: its digest is not that of its text")]
    Changed,
    /// An entry of which the digest was changed, by what the next one says.
    #[error("the digest of the entry was changed; its text is what the entry after it follows on")]
    DigestChanged,
    /// Entries that should stand before this one.
    #[error("{} should stand before this one: lost, or moved", entries(*.from, *.to))]
    Missing {
        /// The first.
        from: u64,
        /// The last.
        to: u64,
    },
    /// An entry that belongs farther up.
    #[error("entry {number} stands where entry {wanted} should: moved, or twice in the file")]
    Misplaced {
        /// Its number.
        number: u64,
        /// The number that should stand there.
        wanted: u64,
    },
    /// An entry that names another entry as the one before it.
    #[error("entry {0} does not follow on the entry before it: one of them was exchanged")]
    NotFollowing(u64),
    /// An entry with a wrong number.
    #[error("the entry is numbered {number}, but it follows on entry {}", .wanted.saturating_sub(1))]
    Misnumbered {
        /// Its number.
        number: u64,
        /// The number that it should have.
        wanted: u64,
    },
    /// A line that was not written to its end.
    #[error("the line breaks off after {0} bytes; the next `log add` sets it aside")]
    Torn(usize),
    /// A whole entry without the end of its line.
    #[error("the entry is whole, but its line has no end; the next `log add` completes it")]
    NoLineEnd,
    /// The entry on the card is not in the record.
    #[error(
        "no entry has the digest {0}: entries are cut off at the end, or the record was \
         written anew"
    )]
    NoHead(CardHead),
}

/// A part of an entry that all entries have in common.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Part {
    /// Its number.
    #[error("begin with {{\"number\":")]
    Start,
    /// The two digests.
    #[error("end with \"before\" and \"digest\"")]
    End,
}

fn entries(from: u64, to: u64) -> String {
    if from == to { format!("entry {from}") } else { format!("entries {from} to {to}") }
}

/// What the common form of a line says, without reading what stands between.
pub(super) struct Claims {
    pub number: u64,
    before: Digest,
    /// The digest that stands in the line.
    pub stated: Digest,
    /// The digest of the line's text.
    counted: Digest,
}

impl Claims {
    /// Reads a line without its end; the column counts bytes, since all before it is plain.
    pub fn read(line: &[u8]) -> Result<Self, (usize, Broken)> {
        if line.last() == Some(&b'\r') {
            return Err((line.len() - 1, Broken::CarriageReturn));
        }
        if line.len() > LONGEST_LINE {
            return Err((LONGEST_LINE, Broken::TooLong(line.len())));
        }
        if let Err(error) = core::str::from_utf8(line) {
            return Err((error.valid_up_to(), Broken::NotText));
        }
        let number = number(line).ok_or((0, Broken::NoEntry(Part::Start)))?;
        let start = line.len().saturating_sub(TAIL);
        let digests = digests(&line[start..]);
        let (before, stated) = digests.ok_or((start, Broken::NoEntry(Part::End)))?;
        let counted = Digest::of_parts(&[&line[..line.len() - OWN], b"}"]);
        Ok(Self { number, before, stated, counted })
    }

    /// Whether it is the entry behind another.
    pub fn follows(&self, number: u64, digest: Digest) -> bool {
        self.number == number.saturating_add(1) && self.before == digest
    }

    /// Whether the digest is that of the text.
    pub fn holds(&self) -> bool {
        self.stated == self.counted
    }
}

/// The number of a line that begins as an entry does.
fn number(line: &[u8]) -> Option<u64> {
    let rest = line.strip_prefix(START)?;
    let digits = rest.iter().take_while(|b| b.is_ascii_digit()).count();
    let (digits, rest) = rest.split_at(digits);
    let plain = rest.first() == Some(&b',') && digits.first() != Some(&b'0');
    core::str::from_utf8(digits).ok().filter(|_| plain)?.parse().ok()
}

/// The two digests at the end of a line.
fn digests(tail: &[u8]) -> Option<(Digest, Digest)> {
    let (before, rest) = tail.strip_prefix(BEFORE)?.split_at_checked(DIGITS)?;
    let (stated, end) = rest.strip_prefix(DIGEST)?.split_at_checked(DIGITS)?;
    let digests = Some((Digest::from_digits(before)?, Digest::from_digits(stated)?));
    digests.filter(|_| end == END)
}

/// Whether bytes can be what was written first of an entry with this number. Zeros behind them are
/// what some file systems leave of a block that a power cut kept from being written.
pub(super) fn begins_entry(bytes: &[u8], number: u64) -> bool {
    let zeros = bytes.iter().rev().take_while(|b| **b == 0).count();
    let written = &bytes[..bytes.len() - zeros];
    let start = format!("{}{number},\"time\":\"", String::from_utf8_lossy(START));
    let shared = written.len().min(start.len());
    written[..shared] == start.as_bytes()[..shared]
}

/// What the next line must name as the one before it.
#[derive(Clone, Copy, Debug)]
enum Link {
    /// This digest.
    One(Digest),
    /// One of these, since the line before contradicts itself: as stated, as counted.
    Either(Digest, Digest),
    /// It cannot be told, since the line before could not be read.
    Unknown,
}

/// The chain as far as it was followed.
#[derive(Clone, Debug)]
pub struct Chain {
    line: usize,
    next: u64,
    link: Link,
    entries: u64,
    faults: Vec<Fault>,
    more: usize,
    sought: Option<CardHead>,
    found: Option<u64>,
}

impl Chain {
    /// The chain before its first line, and the digest on the card, if it is to be found.
    pub fn new(sought: Option<CardHead>) -> Self {
        Self {
            line: 0,
            next: 1,
            link: Link::One(Digest::NONE),
            entries: 0,
            faults: Vec::new(),
            more: 0,
            sought,
            found: None,
        }
    }

    /// What has been found so far.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// Follows a line, given without its end.
    pub fn follow(&mut self, line: &[u8]) {
        self.line += 1;
        match Claims::read(line) {
            Ok(claims) => self.accept(&claims),
            Err((at, what)) => {
                self.add(column(line, at), what);
                self.link = Link::Unknown;
            }
        }
    }

    /// Follows what stands behind the last line end.
    pub fn follow_tail(&mut self, tail: &[u8]) {
        if tail.is_empty() {
            return;
        }
        self.line += 1;
        match Claims::read(tail) {
            Ok(claims) if claims.holds() => {
                self.accept(&claims);
                self.add(column(tail, tail.len()), Broken::NoLineEnd);
            }
            _ => self.add(1, Broken::Torn(tail.len())),
        }
    }

    fn accept(&mut self, claims: &Claims) {
        self.entries += 1;
        let holds = claims.holds();
        if self.sought.as_ref().is_some_and(|s| holds && s.begins(&claims.stated)) {
            self.found = self.found.or(Some(claims.number));
        }
        let follows = match self.link {
            Link::One(digest) => claims.before == digest,
            Link::Either(stated, counted) => [stated, counted].contains(&claims.before),
            Link::Unknown => claims.number >= self.next,
        };
        if !holds {
            self.add(1, Broken::Changed);
            self.link = Link::Either(claims.stated, claims.counted);
            self.next += 1;
            return;
        }
        if let Link::Either(stated, counted) = self.link
            && claims.before == counted
            && counted != stated
        {
            self.blame_digest();
        }
        // Behind a line with a fault the count may be off for the same reason.
        let counted_on = matches!(self.link, Link::One(_));
        match claims.number {
            number if follows && (number == self.next || !counted_on) => {}
            number if follows => self.add(1, Broken::Misnumbered { number, wanted: self.next }),
            number if number > self.next => {
                self.add(1, Broken::Missing { from: self.next, to: number - 1 });
            }
            number if number < self.next => {
                self.add(1, Broken::Misplaced { number, wanted: self.next });
            }
            number => self.add(1, Broken::NotFollowing(number)),
        }
        self.next = claims.number.saturating_add(1);
        self.link = Link::One(claims.stated);
    }

    /// The line before was right but for its digest.
    fn blame_digest(&mut self) {
        let before = self.line - 1;
        if let Some(last) = self.faults.last_mut().filter(|f| f.line == before) {
            last.what = Broken::DigestChanged;
        }
    }

    fn add(&mut self, column: usize, what: Broken) {
        if self.faults.len() < MOST_KEPT {
            self.faults.push(Fault { line: self.line, column, what });
        } else {
            self.more += 1;
        }
    }

    /// What there is to say at the end of the file.
    pub fn finish(mut self) -> Verified {
        let sought = self.sought.take();
        if let Some(card) = sought.filter(|_| self.found.is_none()) {
            self.line += 1;
            self.add(1, Broken::NoHead(card));
        }
        let head = match self.link {
            Link::One(digest) if self.entries > 0 => Some(digest),
            _ => None,
        };
        Verified {
            entries: self.entries,
            head,
            found: self.found,
            faults: self.faults,
            more: self.more,
        }
    }
}

pub(super) fn column(line: &[u8], at: usize) -> usize {
    String::from_utf8_lossy(&line[..at.min(line.len())]).chars().count() + 1
}

/// What became of a record when its chain was followed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verified {
    /// Lines that have the form of an entry.
    pub entries: u64,
    /// Digest of the last entry; none in an empty record, or where the last entry does not hold.
    pub head: Option<Digest>,
    /// Number of the entry that is on the card.
    pub found: Option<u64>,
    /// What does not hold, in the order of the lines.
    pub faults: Vec<Fault>,
    /// Faults beyond those that are kept.
    pub more: usize,
}

/// Follows the chain through the bytes of a record.
///
/// # Gives
/// Every change, loss, exchange and reordering of entries with its line, in one pass. What an entry says
/// is not read: its digest speaks for it.
///
/// # Notes
/// Whole entries cut off at the end leave a chain that holds. Only a digest that is remembered elsewhere
/// tells: `sought`, the last one that was copied onto a card. The same goes for a record that somebody
/// wrote anew from the first entry on. Digests are no signature.
///
/// ```
/// use hosewright::record::{Digest, verify};
/// let empty = verify(b"", None);
/// assert!(empty.faults.is_empty() && empty.head.is_none());
/// let card = Digest::of(b"an entry that was there").to_string().parse().ok();
/// assert_eq!(verify(b"", card).faults.len(), 1);
/// ```
pub fn verify(bytes: &[u8], sought: Option<CardHead>) -> Verified {
    let mut chain = Chain::new(sought);
    let mut rest = bytes;
    while let Some(end) = rest.iter().position(|b| *b == b'\n') {
        chain.follow(&rest[..end]);
        rest = &rest[end + 1..];
    }
    chain.follow_tail(rest);
    chain.finish()
}
