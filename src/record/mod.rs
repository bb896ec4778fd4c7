//! The record: what was really done to the machine, one entry a line, each bound to the one before it.
//!
//! # The file
//!
//! JSON Lines in UTF-8, beside the plan. A line is one object, written without blanks, in this order; what
//! an entry does not say is left out:
//!
//! | key | holds |
//! |---|---|
//! | `number` | 1, 2, 3 ... |
//! | `time` | UTC, `2026-05-01T14:03:22Z` |
//! | `by` | who |
//! | `what` | the word of a [`Kind`] |
//! | `line`, `clip`, `joint`, `component` | what it was done to; a clip counts from 1 along its line, a joint is a port, `COMPONENT.PORT` |
//! | `test` | the name of a test |
//! | `values` | names, each with a text that bears its unit |
//! | `note` | free text |
//! | `photos` | names of pictures, each with the digest of its file |
//! | `covers` | names of content of the plan, each with its digest |
//! | `said` | the words that it covers, one statement each |
//! | `before` | digest of the entry before; 64 zeros in the first |
//! | `digest` | digest of this entry |
//!
//! # The digest
//!
//! SHA-256 over the bytes of the line as it stands, without the line end and without the field `digest`:
//! all before `,"digest":"`, and the closing brace behind it. Anybody can count it again:
//!
//! ```text
//! sed -n 7p plan.log | sed 's/,"digest":"[0-9a-f]*"}$/}/' | tr -d '\n' | sha256sum
//! ```
//!
//! # What the chain can tell, and what not
//!
//! A change in any byte, a lost entry, one that was put in or moved: all break the chain, and [`verify`]
//! says where. Whole entries cut off at the end leave a chain that holds, and so does a record that was
//! written anew from some entry on; both are found only by a digest that is kept elsewhere. That is why
//! the digest of the last entry goes onto a card.
//!
//! ```
//! use hosewright::record::{Draft, Kind, add, entries, load, verify};
//! # let folder = tempfile::tempdir()?;
//! # let path = folder.path().join("plan.log");
//! let mut draft = Draft::new(Kind::Made, "2026-05-01T14:03:22Z".parse()?, "A. Builder");
//! draft.line = Some("F1".into());
//! draft.values.insert("cut".into(), "462 mm".into());
//! let card = add(&path, &draft)?.entry.digest.to_string();
//! add(&path, &draft)?;
//!
//! let bytes = load(&path)?;
//! let verified = verify(&bytes, Some(card.parse()?));
//! assert!(verified.faults.is_empty());
//! assert_eq!((verified.entries, verified.found), (2, Some(1)));
//! assert_eq!(entries(&bytes).0[1].values["cut"], "462 mm");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod chain;
mod date;
mod digest;
mod end;
mod entry;
mod file;
mod moment;
mod read;

pub use chain::{Broken, Chain, Fault, LONGEST_LINE, Part, Verified, verify};
pub use date::{Date, NoDate};
pub use digest::{CardHead, Digest, NoCardHead, NoDigest, Summing};
pub use entry::{Draft, Entry, Kind, Unfit};
pub use file::{Added, LARGEST_BYTES, Refusal, Repair, add, load};
pub use moment::{Moment, NoMoment};
pub use read::{Unread, entries};
