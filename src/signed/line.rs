//! How far a line is, by the entries that hold.

use std::collections::{BTreeMap, BTreeSet};

use super::bond::Bond;
use super::people::same_person;
use super::reading::{Reading, Right, rights};
use crate::plan::{Line, Plan};
use crate::record::{Entry, Kind};
use crate::solve::LineFacts;
use crate::source::Sourced;
use crate::table::Tables;
use crate::table::limit::{self, Purpose};

/// A step of the work on a line, in its order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// The piece was sawn and its length read.
    Cut,
    /// It was bent and put together.
    Made,
    /// It was tested, under pressure or by blowing through, whatever the machine asks for.
    Tested,
    /// It is in its place.
    Fitted,
    /// Both its joints are tight.
    Tightened,
    /// It was looked at as it is now; a line that two look at, by another than who worked on it.
    Inspected,
}

impl Stage {
    /// All of them, in the order of the work.
    pub const ALL: [Self; 6] =
        [Self::Cut, Self::Made, Self::Tested, Self::Fitted, Self::Tightened, Self::Inspected];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Made => "made",
            Self::Tested => "tested",
            Self::Fitted => "fitted",
            Self::Tightened => "tightened",
            Self::Inspected => "inspected",
        }
    }
}

/// Why a line is to be looked at again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Recheck {
    /// These entries lapsed: void, and nobody has signed the same again; by their numbers.
    Lapsed(Vec<u64>),
    /// This entry is of work done after the line was inspected.
    WorkedOn(u64),
}

/// How far a line is.
#[derive(Clone, Debug)]
pub struct LineState {
    /// Short name.
    pub id: String,
    /// Why two people look at it, if they do.
    pub double: Option<Sourced<String>>,
    /// The entry of each step, by its place among the entries; none where the step is not done.
    pub done: BTreeMap<Stage, usize>,
    /// Why it is to be looked at again, if it is.
    pub recheck: Option<Recheck>,
    /// What its card asks to be measured.
    pub rights: Vec<Right>,
    /// What was measured last, by the place of its entry, with its text.
    pub readings: BTreeMap<Reading, (usize, String)>,
    /// Its tests since it was made as it is now, by the places of their entries.
    pub tests: Vec<usize>,
    /// Who worked on it, each once.
    pub workers: Vec<String>,
    /// Who inspected it as it is now, each once.
    pub inspectors: Vec<String>,
}

impl LineState {
    /// The first step that is not done.
    pub fn next(&self) -> Option<Stage> {
        Stage::ALL.into_iter().find(|s| !self.done.contains_key(s))
    }

    /// The word of its state: the last step that is done, or that it is due again.
    pub fn word(&self) -> &'static str {
        if self.recheck.is_some() {
            return "re-check due";
        }
        self.done.last_key_value().map_or("planned", |(stage, _)| stage.word())
    }

    /// Readings that its card asks for and nobody has written down.
    pub fn blank(&self) -> impl Iterator<Item = Reading> {
        self.rights.iter().map(|r| r.reading).filter(|r| !self.readings.contains_key(r))
    }

    /// Whether one of its inspectors did not work on it.
    pub fn has_second_person(&self) -> bool {
        let worked = |name: &String| self.workers.iter().any(|w| same_person(w, name));
        self.inspectors.iter().any(|name| !worked(name))
    }
}

/// The entries and their bonds.
#[derive(Clone, Copy)]
pub(super) struct Look<'l> {
    pub entries: &'l [Entry],
    pub bonds: &'l [Bond],
    /// The line that ends at each port.
    pub ends: &'l BTreeMap<String, String>,
}

impl<'l> Look<'l> {
    /// The entries that hold, with their places.
    fn holding(self) -> impl Iterator<Item = (usize, &'l Entry)> {
        let all = self.entries.iter().zip(self.bonds).enumerate();
        all.filter(|(_, (_, bond))| **bond == Bond::Holds).map(|(at, (entry, _))| (at, entry))
    }

    /// The place of the last entry that holds and of which something is true.
    pub fn last(self, is: impl Fn(&Entry) -> bool) -> Option<usize> {
        self.holding().filter(|(_, e)| is(e)).map(|(at, _)| at).last()
    }
}

/// Places of the entries that are void while no later one of the same kind on the same thing holds, nor one that says
/// that the line was made anew or replaced: what was done to the piece before it needs nobody any more.
pub(super) fn lapsed(look: Look<'_>) -> Vec<usize> {
    // A joint is the same by its line or by its port.
    let thing = |e: &Entry| {
        let line = e.line.clone().filter(|_| e.joint.is_none());
        (e.what, line, e.clip, e.joint.clone(), e.test.clone())
    };
    let line_of = |e: &Entry| {
        let at_joint = || look.ends.get(e.joint.as_ref()?).cloned();
        e.line.clone().or_else(at_joint)
    };
    let mut again = BTreeSet::new();
    let mut anew = BTreeSet::new();
    let mut lapsed = Vec::new();
    for (at, (entry, bond)) in look.entries.iter().zip(look.bonds).enumerate().rev() {
        match bond {
            Bond::Holds => {
                again.insert(thing(entry));
                if matches!(entry.what, Kind::Made | Kind::Replaced) {
                    anew.extend(entry.whole_line().map(str::to_owned));
                }
            }
            Bond::Void(_) if line_of(entry).is_some_and(|line| anew.contains(&line)) => {}
            Bond::Void(_) if !again.contains(&thing(entry)) => lapsed.push(at),
            Bond::Void(_) | Bond::Free => {}
        }
    }
    lapsed.reverse();
    lapsed
}

/// Why a second person inspects a line, by the table of these; none where one is enough.
pub fn second_person(plan: &Plan, tables: &Tables, line: &Line) -> Option<Sourced<String>> {
    let purpose = Purpose {
        uses: &[plan.fluids[line.fluid].fluid.used_as()],
        services: &[line.service.word()],
        systems: &[&line.system],
    };
    limit::second_person(tables, purpose)
}

/// How far a line is; `ends` are the ports of its ends.
pub(super) fn state(
    look: &Look<'_>,
    (plan, tables): (&Plan, &Tables),
    (line, own): (&Line, &LineFacts),
    ends: &[String; 2],
) -> LineState {
    let concerns = |e: &Entry| {
        e.line.as_deref() == Some(&line.id) || e.joint.as_ref().is_some_and(|j| ends.contains(j))
    };
    let entries: Vec<(usize, &Entry)> = look.holding().filter(|(_, e)| concerns(e)).collect();
    let mut walk = Walk::new(ends);
    for (at, entry) in &entries {
        walk.follow(*at, entry);
    }
    let mut state = LineState {
        id: line.id.clone(),
        double: second_person(plan, tables, line),
        done: BTreeMap::new(),
        recheck: None,
        rights: rights(plan, line, own),
        readings: walk.readings,
        tests: walk.tests,
        workers: walk.workers,
        inspectors: walk.inspectors.iter().map(|(_, name)| name.clone()).collect(),
    };
    let cut = state.readings.get(&Reading::Cut).map(|(at, _)| *at);
    let inspected = walk.inspectors.last().map(|(at, _)| *at);
    let seen = inspected.filter(|_| state.double.is_none() || state.has_second_person());
    let tested = state.tests.last().copied();
    let steps = [cut, walk.made, tested, both(walk.fitted), both(walk.tightened), seen];
    state.done = Stage::ALL.into_iter().zip(steps).filter_map(|(s, at)| Some((s, at?))).collect();
    let gone: Vec<u64> = lapsed(*look)
        .into_iter()
        .filter_map(|at| look.entries.get(at))
        .filter(|e| concerns(e))
        .map(|e| e.number)
        .collect();
    state.recheck = if gone.is_empty() {
        walk.worked_on.map(Recheck::WorkedOn)
    } else {
        Some(Recheck::Lapsed(gone))
    };
    state
}

/// The later entry of both ends, if both have one.
fn both([a, b]: [Option<usize>; 2]) -> Option<usize> {
    Some(a?.max(b?))
}

/// A line as the record goes on: what a later entry undoes is forgotten.
struct Walk<'w> {
    ends: &'w [String; 2],
    readings: BTreeMap<Reading, (usize, String)>,
    made: Option<usize>,
    tests: Vec<usize>,
    fitted: [Option<usize>; 2],
    tightened: [Option<usize>; 2],
    inspectors: Vec<(usize, String)>,
    was_inspected: bool,
    worked_on: Option<u64>,
    workers: Vec<String>,
}

impl<'w> Walk<'w> {
    fn new(ends: &'w [String; 2]) -> Self {
        Self {
            ends,
            readings: BTreeMap::new(),
            made: None,
            tests: Vec::new(),
            fitted: [None; 2],
            tightened: [None; 2],
            inspectors: Vec::new(),
            was_inspected: false,
            worked_on: None,
            workers: Vec::new(),
        }
    }

    fn follow(&mut self, at: usize, entry: &Entry) {
        let on_line = entry.whole_line().is_some();
        match entry.what {
            Kind::Replaced if on_line => *self = Self { made: Some(at), ..Self::new(self.ends) },
            Kind::Made if on_line => {
                self.made = Some(at);
                self.tests.clear();
                (self.fitted, self.tightened) = ([None; 2], [None; 2]);
            }
            Kind::Tested if on_line => self.tests.push(at),
            Kind::Fitted if entry.clip.is_none() => {
                Self::mark(&mut self.fitted, self.ends, at, entry);
                // A piece that is put in its place again is not tight yet.
                for (tight, end) in self.tightened.iter_mut().zip(self.ends) {
                    if entry.joint.as_ref().is_none_or(|joint| joint == end) {
                        *tight = None;
                    }
                }
            }
            Kind::Tightened if entry.clip.is_none() => {
                Self::mark(&mut self.tightened, self.ends, at, entry);
            }
            Kind::Inspected if on_line => self.inspected(at, &entry.by),
            _ => {}
        }
        let work = [Kind::Made, Kind::Replaced, Kind::Fitted, Kind::Tightened, Kind::CapRemoved];
        if work.contains(&entry.what) {
            self.worked(entry);
        }
        for (name, text) in &entry.values {
            if let Some(reading) = Reading::named(name) {
                self.readings.insert(reading, (at, text.clone()));
            }
        }
    }

    fn inspected(&mut self, at: usize, by: &str) {
        self.inspectors.retain(|(_, name)| !same_person(name, by));
        self.inspectors.push((at, by.to_owned()));
        (self.was_inspected, self.worked_on) = (true, None);
    }

    /// Work undoes the inspections before it.
    fn worked(&mut self, entry: &Entry) {
        if self.was_inspected {
            self.worked_on = Some(entry.number);
        }
        self.inspectors.clear();
        if !self.workers.iter().any(|name| same_person(name, &entry.by)) {
            self.workers.push(entry.by.clone());
        }
    }

    /// An entry on the line speaks for both ends, one on a joint for its own.
    fn mark(steps: &mut [Option<usize>; 2], ends: &[String; 2], at: usize, entry: &Entry) {
        for (step, end) in steps.iter_mut().zip(ends) {
            if entry.joint.as_ref().is_none_or(|joint| joint == end) {
                *step = Some(at);
            }
        }
    }
}
