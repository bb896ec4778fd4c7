//! A SHA-256 digest, and the beginning of one as it is copied onto a card.

use core::fmt;
use core::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use sha2::{Digest as _, Sha256};

/// Hexadecimal digits of a digest.
pub(super) const DIGITS: usize = 64;
/// Digits in a group where people read them.
const GROUP: usize = 4;
/// Fewer digits than these could belong to another entry by chance.
const LEAST_DIGITS: usize = 16;

/// The value of each small hexadecimal digit; 255 for every other byte.
const VALUES: [u8; 256] = values();

const fn values() -> [u8; 256] {
    let digits = b"0123456789abcdef";
    let mut values = [255; 256];
    let mut value = 0;
    while value < 16 {
        values[digits[value as usize] as usize] = value;
        value += 1;
    }
    values
}

/// The SHA-256 digest of some bytes, written as 64 small hexadecimal digits.
///
/// # Source
/// NIST FIPS 180-4 (2015), section 6.2; the test vector below is the "one block" example that NIST
/// publishes beside it.
///
/// ```
/// use hosewright::record::Digest;
/// let digest = Digest::of(b"abc");
/// let text = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
/// assert_eq!(digest.to_string(), text);
/// assert_eq!(text.parse(), Ok(digest));
/// assert!(text.to_uppercase().parse::<Digest>().is_err());
/// ```
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// What stands for the digest of the entry before where there is none.
    pub const NONE: Self = Self([0; 32]);

    /// The digest of some bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self::of_parts(&[bytes])
    }

    /// The digest of parts as if they were one text.
    pub(super) fn of_parts(parts: &[&[u8]]) -> Self {
        let mut sum = Summing::new();
        for part in parts {
            sum.add(part);
        }
        sum.digest()
    }

    /// Reads 64 small hexadecimal digits.
    pub(super) fn from_digits(digits: &[u8]) -> Option<Self> {
        let (pairs, []) = digits.as_chunks::<2>() else { return None };
        let mut bytes = [0; 32];
        if pairs.len() != bytes.len() {
            return None;
        }
        // One look at the end whether all were digits: a record has two digests a line.
        let mut wrong = 0;
        for (byte, [high, low]) in bytes.iter_mut().zip(pairs) {
            let (high, low) = (VALUES[usize::from(*high)], VALUES[usize::from(*low)]);
            wrong |= high | low;
            *byte = high << 4 | low & 15;
        }
        (wrong < 16).then_some(Self(bytes))
    }

    /// The first 16 digits in groups of four: enough for a card.
    ///
    /// ```
    /// use hosewright::record::Digest;
    /// assert_eq!(Digest::of(b"abc").for_card(), "ba78 16bf 8f01 cfea");
    /// ```
    pub fn for_card(&self) -> String {
        let digits = self.to_string();
        let starts = (0..LEAST_DIGITS).step_by(GROUP);
        let groups: Vec<&str> = starts.filter_map(|at| digits.get(at..at + GROUP)).collect();
        groups.join(" ")
    }
}

/// A digest of bytes that come piece by piece, such as those of a large file.
///
/// ```
/// use hosewright::record::{Digest, Summing};
/// let mut sum = Summing::new();
/// sum.add(b"a");
/// sum.add(b"bc");
/// assert_eq!(sum.digest(), Digest::of(b"abc"));
/// ```
#[derive(Clone, Debug, Default)]
pub struct Summing(Sha256);

impl Summing {
    /// Nothing added yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds the next bytes.
    pub fn add(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// The digest of all that was added.
    pub fn digest(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{self}")
    }
}

/// A text that is no digest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a digest is 64 digits from 0 to 9 and a to f")]
pub struct NoDigest;

impl FromStr for Digest {
    type Err = NoDigest;

    fn from_str(text: &str) -> Result<Self, NoDigest> {
        Self::from_digits(text.as_bytes()).ok_or(NoDigest)
    }
}

impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Digest {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = String::deserialize(from)?;
        text.parse().map_err(de::Error::custom)
    }
}

/// The beginning of a digest, as it stands on a card.
///
/// # Notes
/// 16 digits are 64 bits. No other entry begins with them by accident; whoever sets out to make one that
/// does needs some 10^19 attempts. All 64 digits put that out of reach.
///
/// ```
/// use hosewright::record::{CardHead, Digest};
/// let card: CardHead = "BA78 16bf-8f01 cfea".parse()?;
/// assert!(card.begins(&Digest::of(b"abc")) && !card.begins(&Digest::of(b"abd")));
/// assert!("ba78 16bf".parse::<CardHead>().is_err());
/// # Ok::<(), hosewright::record::NoCardHead>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardHead(String);

impl CardHead {
    /// Whether a digest begins so.
    pub fn begins(&self, digest: &Digest) -> bool {
        digest.to_string().starts_with(&self.0)
    }
}

impl fmt::Display for CardHead {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

/// A text that is no beginning of a digest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("write 16 to 64 digits from 0 to 9 and a to f; blanks between them do not matter")]
pub struct NoCardHead;

impl FromStr for CardHead {
    type Err = NoCardHead;

    fn from_str(text: &str) -> Result<Self, NoCardHead> {
        let kept = text.chars().filter(|c| !matches!(c, ' ' | '-'));
        let digits: String = kept.map(|c| c.to_ascii_lowercase()).take(DIGITS + 1).collect();
        let fits = (LEAST_DIGITS..=DIGITS).contains(&digits.len());
        let right = fits && digits.bytes().all(|b| b.is_ascii_hexdigit());
        if right { Ok(Self(digits)) } else { Err(NoCardHead) }
    }
}
