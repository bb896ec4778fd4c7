//! What two plans say otherwise, in the builder's words.

use toml::Table;

use super::names::Renames;
use super::walk::Walk;
use super::{Part, Side, differ};
use crate::diagnostic::visible;
use crate::plan::{Clip, Plan};

/// Places that moved by less are in the same place, mm.
const MOVED_MM: f64 = 1e-6;

/// What became of something in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// It is no longer there.
    Removed,
    /// It was not there.
    Added,
    /// It bears another name.
    Renamed,
    /// It is in another place.
    Moved,
    /// It has another value.
    Changed,
}

impl Kind {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Removed => "removed",
            Self::Added => "added",
            Self::Renamed => "renamed",
            Self::Moved => "moved",
            Self::Changed => "changed",
        }
    }
}

/// One thing that two plans say otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What became of it.
    pub kind: Kind,
    /// What it is, such as `line F1`.
    pub of: String,
    /// The key of the plan; empty where all of it is meant.
    pub what: String,
    /// As the old plan has it.
    pub old: Option<String>,
    /// As the new plan has it.
    pub new: Option<String>,
    /// By how much it moved along x, y and z, mm.
    pub moved_mm: Option<[f64; 3]>,
}

impl Change {
    /// In words.
    pub fn says(&self) -> String {
        let Self { of, what, old, new, .. } = self;
        if let Some(by) = self.moved_mm {
            let [x, y, z] = by.map(coordinate);
            return format!("{of} moved {:.1} mm by ({x}, {y}, {z})", distance(by));
        }
        let both = (old.as_deref(), new.as_deref());
        match (self.kind, both) {
            (Kind::Renamed, (Some(old), _)) => format!("{of} was {old}"),
            (_, (Some(old), Some(new))) => format!("{of}: {what} {old} -> {new}"),
            (_, (Some(old), None)) => format!("{of}: {what} removed ({old})"),
            (_, (None, Some(new))) => format!("{of}: {what} added ({new})"),
            (kind, (None, None)) if what.is_empty() => format!("{of} {}", kind.word()),
            (kind, (None, None)) => format!("{of}: {what} {}", kind.word()),
        }
    }
}

/// A coordinate to a tenth of a millimetre, without the tenths of a whole one.
fn coordinate(mm: f64) -> String {
    let text = format!("{:.1}", mm + 0.0);
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn distance([x, y, z]: [f64; 3]) -> f64 {
    (x * x + y * y + z * z).sqrt()
}

/// Everything that the plans say otherwise: what came, went and was renamed, then places, then values.
pub fn changes(old: &Side<'_>, new: &Side<'_>, renames: &Renames) -> Part<Change> {
    let places = [("ports", "at"), ("line", "clips")];
    let found = Part::default();
    let mut walk = Walk { renames, places: &places, found };
    // Both texts were read as plans before.
    let read = |text: &str| text.parse::<Table>().unwrap_or_default();
    if old.text != new.text {
        walk.whole(&read(old.text), &read(new.text));
    }
    let mut found = walk.found;
    ports(&mut found, &old.assessment.plan, &new.assessment.plan, renames);
    clips(&mut found, &old.assessment.plan, &new.assessment.plan, renames);
    tables(&mut found, old, new);
    for change in &mut found.changes {
        change.of = visible(&change.of);
        change.what = visible(&change.what);
    }
    found.changes.sort_by_key(|c| c.kind);
    found
}

/// Tables that results rest on and that hold other figures.
fn tables(found: &mut Part<Change>, old: &Side<'_>, new: &Side<'_>) {
    for table in &new.assessment.tables {
        match old.assessment.tables.iter().find(|t| t.id == table.id) {
            Some(other) if other.checksum != table.checksum => found.changes.push(Change {
                kind: Kind::Changed,
                of: format!("table {}", table.id),
                what: "checksum".into(),
                old: Some(other.checksum.clone()),
                new: Some(table.checksum.clone()),
                moved_mm: None,
            }),
            Some(_) => found.same += 1,
            None => {}
        }
    }
}

fn moved(of: String, from: [f64; 3], to: [f64; 3]) -> Option<Change> {
    let by = [0, 1, 2].map(|axis| to[axis] - from[axis]);
    differ(0.0, distance(by), MOVED_MM).then_some(Change {
        kind: Kind::Moved,
        of,
        what: "at".into(),
        old: None,
        new: None,
        moved_mm: Some(by),
    })
}

/// Ports that moved; a component that moved as a whole is told once.
fn ports(found: &mut Part<Change>, old: &Plan, new: &Plan, renames: &Renames) {
    for component in &old.components {
        let id = renames.components.get(&component.id).unwrap_or(&component.id);
        let Some(other) = new.components.iter().find(|c| c.id == *id) else { continue };
        let pairs = component
            .ports
            .iter()
            .filter_map(|p| Some((p, other.ports.iter().find(|o| o.name == p.name)?)));
        let pairs: Vec<_> = pairs.collect();
        let name = |port: &str| format!("port {id}.{port}");
        let moves: Vec<Change> =
            pairs.iter().filter_map(|(p, o)| moved(name(&p.name), p.at_mm, o.at_mm)).collect();
        found.same += pairs.len() - moves.len();
        let all = moves.len() == pairs.len() && moves.len() > 1;
        let first = moves.first().and_then(|m| m.moved_mm);
        let together = |change: &Change| {
            let both = change.moved_mm.zip(first);
            both.is_some_and(|(a, b)| a.iter().zip(b).all(|(a, b)| !differ(*a, b, MOVED_MM)))
        };
        if all && moves.iter().all(together) {
            let of = format!("component {id} with its {} ports", moves.len());
            found.changes.extend(moves.into_iter().next().map(|m| Change { of, ..m }));
        } else {
            found.changes.extend(moves);
        }
    }
}

fn clips(found: &mut Part<Change>, old: &Plan, new: &Plan, renames: &Renames) {
    for line in &old.lines {
        let id = renames.lines.get(&line.id).unwrap_or(&line.id);
        if let Some(other) = new.lines.iter().find(|l| l.id == *id) {
            clips_of(found, id, &line.clips, &other.clips);
        }
    }
}

/// Clips of one line: those at both ends that stay are left out, the others are held against each other in order.
fn clips_of(found: &mut Part<Change>, id: &str, old: &[Clip], new: &[Clip]) {
    let stays = |(a, b): &(&Clip, &Clip)| {
        a.at_mm.iter().zip(b.at_mm).all(|(a, b)| !differ(*a, b, MOVED_MM))
    };
    let start = old.iter().zip(new).take_while(stays).count();
    let (rest_old, rest_new) = (&old[start..], &new[start..]);
    let end = rest_old.iter().rev().zip(rest_new.iter().rev()).take_while(stays).count();
    let (between_old, between_new) =
        (&rest_old[..rest_old.len() - end], &rest_new[..rest_new.len() - end]);
    let before = found.changes.len();
    for (index, (a, b)) in between_old.iter().zip(between_new).enumerate() {
        found.changes.extend(moved(clip(id, start + index), a.at_mm, b.at_mm));
    }
    let shared = between_old.len().min(between_new.len());
    let whole = |kind, index: usize, at: [f64; 3]| {
        let text = Some(format!("at ({})", at.map(coordinate).join(", ")));
        let (old, new) = if kind == Kind::Added { (None, text) } else { (text, None) };
        let of = format!("line {id}");
        Change { kind, of, what: format!("clip {}", index + 1), old, new, moved_mm: None }
    };
    for (index, gone) in between_old.iter().enumerate().skip(shared) {
        found.changes.push(whole(Kind::Removed, start + index, gone.at_mm));
    }
    for (index, come) in between_new.iter().enumerate().skip(shared) {
        found.changes.push(whole(Kind::Added, start + index, come.at_mm));
    }
    let pairs = old[..start].iter().zip(new).chain(between_old.iter().zip(between_new));
    let tail = old[old.len() - end..].iter().zip(&new[new.len() - end..]);
    for (index, (a, b)) in pairs.chain(tail).enumerate() {
        flags(found, &clip(id, index), a, b);
    }
    if found.changes.len() == before {
        found.same += 1;
    }
}

fn clip(id: &str, index: usize) -> String {
    format!("line {id}, clip {}", index + 1)
}

/// Whether a clip holds, bleeds and drains, how far it may be off, and whether it was taped.
fn flags(found: &mut Part<Change>, of: &str, old: &Clip, new: &Clip) {
    let words = |clip: &Clip| {
        let tolerance = clip.tolerance.map_or("none".to_owned(), |t| t.to_string());
        [
            ("held", clip.held.to_string()),
            ("bleed", clip.bleed.to_string()),
            ("drain", clip.drain.to_string()),
            ("tolerance", tolerance),
            ("tapes", tapes(clip)),
        ]
    };
    for ((what, a), (_, b)) in words(old).into_iter().zip(words(new)) {
        if a != b {
            found.changes.push(Change {
                kind: Kind::Changed,
                of: of.to_owned(),
                what: what.to_owned(),
                old: Some(a),
                new: Some(b),
                moved_mm: None,
            });
        }
    }
}

fn tapes(clip: &Clip) -> String {
    if clip.measured.is_empty() {
        return "none".to_owned();
    }
    let list: Vec<String> = clip.measured.iter().map(|t| t.distance.to_string()).collect();
    list.join(", ")
}

/// Both ends of a line of a plan, as `A -> B`.
pub fn ends(plan: &Plan, line: usize) -> Option<String> {
    let line = plan.lines.get(line)?;
    Some(format!("{} -> {}", plan.port_name(&line.from), plan.port_name(&line.to)))
}
