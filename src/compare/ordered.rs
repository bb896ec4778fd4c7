//! The order list, before and after.

use super::{Part, differ};
use crate::solve::order::OrderItem;

/// One thing to order of which another number is needed.
#[derive(Clone, Debug, PartialEq)]
pub struct Ordered {
    /// What kind of thing.
    pub kind: &'static str,
    /// What it is.
    pub what: String,
    /// Unit of the counts.
    pub unit: &'static str,
    /// How many before.
    pub old: f64,
    /// How many after.
    pub new: f64,
}

/// What has to be ordered otherwise: what more is needed of first.
pub fn changes(old: &[OrderItem], new: &[OrderItem]) -> Part<Ordered> {
    let mut part = Part::default();
    let same =
        |a: &OrderItem, b: &OrderItem| a.kind == b.kind && a.what == b.what && a.unit == b.unit;
    let ordered = |item: &OrderItem, old: f64, new: f64| Ordered {
        kind: item.kind,
        what: item.what.clone(),
        unit: item.unit,
        old,
        new,
    };
    for item in new {
        let before = old.iter().find(|o| same(o, item)).map_or(0.0, |o| o.count);
        if differ(before, item.count, 1e-9) {
            part.changes.push(ordered(item, before, item.count));
        } else {
            part.same += 1;
        }
    }
    let gone = old.iter().filter(|o| !new.iter().any(|n| same(o, n)));
    part.changes.extend(gone.map(|item| ordered(item, item.count, 0.0)));
    part.changes.sort_by_key(|o| o.new < o.old);
    part
}
