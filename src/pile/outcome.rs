//! The whole pile shared out among the lines, and what each answer is worth.

use super::judge::{Bench, Objection, Pair, count};
use super::line::{Wanted, form, wanted};
use super::next::{Measurement, next};
use super::read::{Pile, Pipe};
use super::rules::Rules;
use crate::finding::Verdict;
use crate::identify::IdentifyError;
use crate::identify::assignment::{Assignment, Weights, assign};
use crate::identify::thread::ThreadForm;
use crate::plan::Plan;
use crate::solve::Facts;
use crate::table::Tables;
use crate::table::thread::ThreadSize;

/// A reading that has not been taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Length.
    Length,
    /// Bore.
    Bore,
    /// Thread of an end.
    Thread(usize),
    /// Angle of an end.
    Angle(usize),
    /// Angle of the cone of an end.
    Cone(usize),
}

impl Part {
    /// The name of the part, with its end.
    pub fn words(self) -> String {
        let end = |i: usize| if i == 0 { "end A" } else { "end B" };
        match self {
            Self::Length => "length".into(),
            Self::Bore => "bore".into(),
            Self::Thread(i) => format!("thread of {}", end(i)),
            Self::Angle(i) => format!("angle of {}", end(i)),
            Self::Cone(i) => format!("cone angle of {}", end(i)),
        }
    }
}

/// How sure an answer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sure {
    /// A bare yes.
    Yes,
    /// Likely, with something to confirm or with another that is possible.
    Likely,
    /// Cannot tell.
    Undecided,
    /// It fits nowhere.
    Nowhere,
}

impl Sure {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::Likely => "likely",
            Self::Undecided => "undecided",
            Self::Nowhere => "nowhere",
        }
    }
}

/// Lines that a pipe cannot tell apart.
#[derive(Clone, Debug)]
pub struct Group {
    /// Indices of the lines.
    pub lines: Vec<usize>,
    /// Indices of the pipes that go there.
    pub pipes: Vec<usize>,
}

/// What a pipe is.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Index of its group of lines; none for nowhere.
    pub group: Option<usize>,
    /// Its line in the likeliest sharing out of the whole pile.
    pub line: Option<usize>,
    /// Chance of the group, or of nowhere.
    pub chance: f64,
    /// The second likeliest: a group, or none for nowhere, with its chance; none where nothing else is
    /// possible.
    pub runner_up: Option<(Option<usize>, f64)>,
    /// How sure it is.
    pub sure: Sure,
    /// Readings that would matter and were not taken.
    pub unread: Vec<Part>,
    /// Lines against which one kind of thing speaks, and nothing else, with the pair.
    pub near: Vec<usize>,
    /// What speaks against the line that its tag names.
    pub label: Option<(usize, Verdict)>,
}

/// The pile as told apart.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The pile.
    pub pile: Pile,
    /// What every line wants.
    pub wanted: Vec<Wanted>,
    /// By pipe, then by line.
    pub pairs: Vec<Vec<Pair>>,
    /// Lines that no reading tells apart, in the order of the plan.
    pub groups: Vec<Group>,
    /// Chances.
    pub assignment: Assignment,
    /// By pipe.
    pub answers: Vec<Answer>,
    /// Indices of the lines without a pipe.
    pub without: Vec<usize>,
    /// The reading that tells most.
    pub next: Option<Measurement>,
    /// The rules used.
    pub rules: Rules,
    /// Share of strangers used.
    pub strangers: f64,
}

impl Outcome {
    /// The worst verdict on what tags say.
    pub fn worst(&self) -> Verdict {
        let tags = self.answers.iter().filter_map(|a| a.label.map(|(_, v)| v));
        tags.max().unwrap_or(Verdict::Ok)
    }

    /// Indices of the pipes that a group's lines are free to share, where both are several.
    pub fn interchangeable(&self) -> impl Iterator<Item = &Group> {
        let settled = |p: &usize| matches!(self.answers[*p].sure, Sure::Yes | Sure::Likely);
        let several = move |g: &&Group| {
            g.lines.len() > 1 && g.pipes.iter().filter(|p| settled(p)).count() > 1
        };
        self.groups.iter().filter(several)
    }
}

/// Tells a pile apart by a plan.
///
/// # Errors
/// In words: chances that did not come to rest.
pub fn identify(
    plan: &Plan,
    facts: &Facts,
    tables: &Tables,
    threads: &[ThreadSize],
    (pile, rules): (Pile, Rules),
) -> Result<Outcome, String> {
    let wanted = wanted(plan, facts, threads);
    let different = different(threads);
    let cones = cones(threads);
    let bench = Bench { tables, threads, different: &different, cones: &cones, rules: &rules };
    let strangers = pile.strangers.unwrap_or(rules.strangers);
    let found = share_out(&bench, &pile, &wanted, strangers).map_err(|e| e.to_string())?;
    let (pairs, assignment) = found;
    let groups = groups(&wanted, &assignment);
    let answers: Vec<Answer> = (0..pile.pipes.len())
        .map(|p| answer(&bench, &pile.pipes[p], p, (&wanted, &pairs), (&groups, &assignment)))
        .collect();
    let taken = |line: &usize| assignment.best.contains(&Some(*line));
    let without = (0..wanted.len()).filter(|line| !taken(line)).collect();
    let next = next(&bench, &pile, &wanted, &pairs, (&groups, &answers, &assignment))
        .map_err(|e| e.to_string())?;
    Ok(Outcome {
        pile,
        wanted,
        pairs,
        groups,
        assignment,
        answers,
        without,
        next,
        rules,
        strangers,
    })
}

/// Different threads, whatever their seats.
fn different(threads: &[ThreadSize]) -> Vec<ThreadForm> {
    let mut forms: Vec<ThreadForm> = Vec::new();
    for one in threads.iter().map(form) {
        if !forms.iter().any(|f| f.same_thread(&one)) {
            forms.push(one);
        }
    }
    forms
}

/// Different cones, and none.
fn cones(threads: &[ThreadSize]) -> Vec<Option<f64>> {
    let mut cones = vec![None];
    for cone in threads.iter().map(|t| form(t).cone_deg) {
        if !cones.contains(&cone) {
            cones.push(cone);
        }
    }
    cones
}

type Shared = (Vec<Vec<Pair>>, Assignment);

fn share_out(
    bench: &Bench<'_>,
    pile: &Pile,
    wanted: &[Wanted],
    strangers: f64,
) -> Result<Shared, IdentifyError> {
    let mut pairs = Vec::new();
    for pipe in &pile.pipes {
        let row: Result<Vec<Pair>, _> = wanted.iter().map(|w| bench.pair(pipe, w)).collect();
        pairs.push(row?);
    }
    let some_line = libm::log((1.0 - strangers) / count(wanted.len().max(1)));
    let weight = |pair: &Pair| pair.log_ratio.map(|log| log + some_line);
    let weights = Weights {
        at: pairs.iter().map(|row| row.iter().map(weight).collect()).collect(),
        nowhere: vec![libm::log(strangers); pairs.len()],
    };
    let assignment = assign(&weights)?;
    Ok((pairs, assignment))
}

fn groups(wanted: &[Wanted], assignment: &Assignment) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (line, one) in wanted.iter().enumerate() {
        match groups.iter_mut().find(|g| wanted[g.lines[0]].alike(one)) {
            Some(group) => group.lines.push(line),
            None => groups.push(Group { lines: vec![line], pipes: Vec::new() }),
        }
    }
    for group in &mut groups {
        let here = |line: &Option<usize>| line.is_some_and(|l| group.lines.contains(&l));
        let best = assignment.best.iter().enumerate();
        group.pipes = best.filter(|(_, line)| here(line)).map(|(pipe, _)| pipe).collect();
    }
    groups
}

/// Chances of a pipe by group, then that of nowhere.
pub fn chances(groups: &[Group], assignment: &Assignment, pipe: usize) -> Vec<f64> {
    let of = |g: &Group| g.lines.iter().map(|l| assignment.chance[pipe][*l]).sum::<f64>();
    groups.iter().map(of).chain([assignment.nowhere[pipe]]).collect()
}

fn answer(
    bench: &Bench<'_>,
    pipe: &Pipe,
    index: usize,
    (wanted, pairs): (&[Wanted], &[Vec<Pair>]),
    (groups, assignment): (&[Group], &Assignment),
) -> Answer {
    let line = assignment.best[index];
    let group = line.and_then(|l| groups.iter().position(|g| g.lines.contains(&l)));
    let chances = chances(groups, assignment, index);
    let own = group.unwrap_or(groups.len());
    let others = (0..chances.len()).filter(|i| *i != own);
    let second = others.reduce(|a, b| if chances[b] > chances[a] { b } else { a });
    let group_of = |i: usize| (i < groups.len()).then_some(i);
    let runner_up = second.filter(|i| chances[*i] > 0.0).map(|i| (group_of(i), chances[i]));
    let unread =
        line.map_or_else(Vec::new, |l| unread(bench, pipe, &wanted[l], pairs[index][l].turned));
    let chance = chances[own];
    let sure = match group {
        None => Sure::Nowhere,
        Some(_) if chance >= bench.rules.sure && unread.is_empty() => Sure::Yes,
        Some(_) if chance > 0.5 => Sure::Likely,
        Some(_) => Sure::Undecided,
    };
    Answer {
        group,
        line,
        chance,
        runner_up,
        sure,
        unread,
        near: near(&pairs[index]),
        label: pipe.label.map(|l| (l, label(&pairs[index][l], group, groups_of(groups, l)))),
    }
}

fn groups_of(groups: &[Group], line: usize) -> Option<usize> {
    groups.iter().position(|g| g.lines.contains(&line))
}

/// What a tag is worth.
fn label(pair: &Pair, found: Option<usize>, named: Option<usize>) -> Verdict {
    if !pair.objections.is_empty() {
        Verdict::Fail
    } else if found == named {
        Verdict::Ok
    } else {
        Verdict::Caution
    }
}

/// Readings that matter on a line and were not taken, by the ends of the pipe.
fn unread(bench: &Bench<'_>, pipe: &Pipe, wanted: &Wanted, turned: bool) -> Vec<Part> {
    let mut parts = Vec::new();
    let mut needs = |part, taken: bool| {
        if !taken {
            parts.push(part);
        }
    };
    needs(Part::Length, pipe.length.is_some());
    needs(Part::Bore, pipe.bore.is_some());
    for (end, read) in pipe.ends.iter().enumerate() {
        let place = if turned { 1 - end } else { end };
        let Some(wanted) = &wanted.ends[place] else { continue };
        let measured = read.diameter.is_some() && read.pitch.is_some();
        needs(Part::Thread(end), read.thread.is_some() || measured);
        needs(Part::Angle(end), read.angle.is_some());
        let shared = wanted.thread.as_ref().is_some_and(|t| seats(bench, &t.form).len() > 1);
        needs(Part::Cone(end), read.cone.is_some() || !shared);
    }
    parts
}

/// Different seats that a thread serves, by their cones.
pub fn seats(bench: &Bench<'_>, thread: &ThreadForm) -> Vec<Option<f64>> {
    let mut seats = Vec::new();
    for one in bench.threads.iter().map(form).filter(|f| f.same_thread(thread)) {
        if !seats.contains(&one.cone_deg) {
            seats.push(one.cone_deg);
        }
    }
    seats
}

/// Lines against which one kind of thing speaks, and nothing else.
fn near(pairs: &[Pair]) -> Vec<usize> {
    let one_kind = |pair: &Pair| {
        let first = pair.objections.first().map(Objection::word);
        first.is_some() && pair.objections.iter().all(|o| Some(o.word()) == first)
    };
    (0..pairs.len()).filter(|line| one_kind(&pairs[*line])).collect()
}
