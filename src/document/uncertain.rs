//! Quantities that say how well they are known, and the same text read with some of them moved.

use core::ops::Range;
use std::collections::BTreeMap;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::{Placed, Reader, Section, shorten};
use crate::diagnostic::SourceText;
use crate::units::Quantity;

/// A quantity of the text that is known within an amount only.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertain {
    /// Where it stands, in words: `line F3 losses filter drop`.
    pub what: String,
    /// Its place in the text, with its quotes; shifts are given by the first byte.
    pub span: Range<usize>,
    /// The value as written, in SI.
    pub nominal: f64,
    /// How far it may be off to either side, in SI; 0 or more.
    pub amount: f64,
}

/// Multiples of their amounts by which uncertain quantities are moved, by the first byte of each.
pub type Shifts = BTreeMap<usize, f64>;

impl Reader {
    /// A reader for a text of which some uncertain quantities are moved.
    pub fn shifted(file: Arc<SourceText>, shifts: Shifts) -> Self {
        Self { shifts, ..Self::new(file) }
    }

    /// The uncertain quantities that were read so far, in the order of the text.
    pub fn uncertain(&self) -> Vec<Uncertain> {
        self.uncertain.borrow().values().cloned().collect()
    }

    /// Notes an uncertain quantity and gives its value, moved if that is asked for.
    pub(super) fn uncertain_value<Q: Quantity>(
        &self,
        name: &str,
        what: impl FnOnce() -> String,
        quantity: &Placed<Q>,
        amount: Q::Difference,
    ) -> Option<Q> {
        let (nominal, amount) = (quantity.value.si(), amount.si());
        let start = quantity.span.start;
        let span = quantity.span.clone();
        self.uncertain.borrow_mut().entry(start).or_insert_with(|| Uncertain {
            what: what(),
            span,
            nominal,
            amount,
        });
        let Some(shift) = self.shifts.get(&start) else {
            return Some(quantity.value);
        };
        let moved = nominal + shift * amount;
        if moved.is_finite() && moved >= Q::LEAST {
            return Some(Q::from_si(moved));
        }
        self.problem(
            &quantity.span,
            format!("{name} cannot be moved that far: no {} is there", Q::NAME),
            "moved by its uncertainty",
            vec!["a smaller uncertainty, or one that is no larger than the value".into()],
        );
        None
    }
}

impl<'a> Section<'a> {
    /// A section inside this one; `item` counts from 1 where it is one of several without a name.
    #[must_use]
    pub fn inner(
        &self,
        name: &str,
        shape: &'static super::Shape,
        table: &'a DeTable<'a>,
        span: Range<usize>,
        item: Option<usize>,
    ) -> Self {
        let mut section = Self::new(self.reader, shape, table, span);
        let label = own_name(table).or_else(|| item.map(|i| i.to_string()));
        section.trail = self.words_to(name);
        if let Some(label) = label {
            section.trail = format!("{} {label}", section.trail);
        }
        section
    }

    /// The way to a key in words.
    pub(super) fn words_to(&self, key: &str) -> String {
        if self.trail.is_empty() { key.to_owned() } else { format!("{} {key}", self.trail) }
    }
}

/// What a table is called by what stands in it.
fn own_name(table: &DeTable<'_>) -> Option<String> {
    let text = |key: &str| {
        let value: &Spanned<DeValue<'_>> = table.get(key)?;
        value.get_ref().as_str().filter(|t| !t.trim().is_empty()).map(shorten)
    };
    let name = ["id", "name", "what", "case", "of"].into_iter().find_map(text);
    name.or_else(|| Some(format!("{}-{}", text("from")?, text("to")?)))
}
