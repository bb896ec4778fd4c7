//! What an entry can cover: something that the plan prints, by its name, with its words.

use crate::record::Digest;

const LINE: &str = "line ";
const JOINT: &str = "joint ";
const TEST: &str = "test ";

/// Something that is printed and signed, and the words that are printed for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Subject {
    /// Its name in the field `covers` of an entry: `line F1`, `joint TANK.OUT`, `test ...`.
    pub key: String,
    /// The words, one statement each.
    pub said: Vec<String>,
}

impl Subject {
    /// The card of a line.
    pub fn line(id: &str, said: Vec<String>) -> Self {
        Self { key: Self::line_key(id), said }
    }

    /// What is told of a joint, named by its port.
    pub fn joint(port: &str, said: Vec<String>) -> Self {
        Self { key: Self::joint_key(port), said }
    }

    /// What is told of a test.
    pub fn test(name: &str, said: Vec<String>) -> Self {
        Self { key: Self::test_key(name), said }
    }

    /// The name of a line's card.
    pub fn line_key(id: &str) -> String {
        format!("{LINE}{id}")
    }

    /// The name of a joint.
    pub fn joint_key(port: &str) -> String {
        format!("{JOINT}{port}")
    }

    /// The name of a test.
    pub fn test_key(name: &str) -> String {
        format!("{TEST}{name}")
    }

    /// The test that it is, if it is one.
    pub fn test_name(&self) -> Option<&str> {
        self.key.strip_prefix(TEST)
    }

    /// The digest of its words, as one text with a statement a line.
    pub fn digest(&self) -> Digest {
        Self::digest_of(&self.said)
    }

    /// The digest of words.
    pub fn digest_of(said: &[String]) -> Digest {
        Digest::of(said.join("\n").as_bytes())
    }
}
