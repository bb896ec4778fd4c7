//! A pile told apart, for a person: what each pipe is, what never goes where, what to measure next.

use core::fmt::Write;

use super::Layout;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use super::units::in_units;
use crate::assess::Assessment;
use crate::finding::Verdict;
use crate::identify::thread::Confusion;
use crate::pile::{Answer, Group, Objection, Outcome, Part, Sure};

/// The report of `identify`.
pub fn text(assessment: &Assessment, outcome: &Outcome, layout: Layout) -> String {
    let mut out = String::new();
    let mut say = |text: &str, indent: usize| {
        out.push_str(&wrapped(&in_units(text, layout.system), layout.width, indent));
    };
    let (pipes, lines) = (outcome.pile.pipes.len(), outcome.wanted.len());
    let plan = &assessment.plan.name;
    say(&format!("{}: {pipes} pipes for {lines} lines of {plan}", outcome.pile.name), 0);
    out.push_str(&overview(outcome).to_text(layout.width));
    let mut paragraph = |head: &str, sentences: &[String]| {
        if !sentences.is_empty() {
            let _ = writeln!(out, "\n{head}");
        }
        for sentence in sentences {
            out.push_str(&wrapped(&in_units(sentence, layout.system), layout.width, 2));
        }
    };
    let each = (0..pipes).flat_map(|p| says(outcome, p));
    let swaps = outcome.interchangeable().map(|g| interchangeable(outcome, g));
    paragraph("Pipes", &swaps.chain(each).collect::<Vec<_>>());
    paragraph("Lines", &without(outcome).into_iter().collect::<Vec<_>>());
    paragraph("Next", &[next(outcome)]);
    paragraph("How it was told", &method(outcome));
    closing(&mut out, assessment, layout.width);
    out
}

/// The lines without a pipe.
fn without(outcome: &Outcome) -> Option<String> {
    let ids: Vec<&str> = outcome.without.iter().map(|l| outcome.wanted[*l].id.as_str()).collect();
    let have = if ids.len() == 1 { "has" } else { "have" };
    (!ids.is_empty()).then(|| format!("{} {have} no pipe", joined(&ids)))
}

fn overview(outcome: &Outcome) -> Grid {
    let mut grid =
        Grid::new(&["pipe", "line", "answer", "chance", "runner-up", "its chance"], &[3, 5]);
    for (pipe, answer) in outcome.pile.pipes.iter().zip(&outcome.answers) {
        grid.rows.push(vec![
            pipe.id.clone(),
            group_name(outcome, answer.group),
            answer.sure.word().to_owned(),
            percent(answer.chance),
            answer.runner_up.map_or_else(|| "-".to_owned(), |(g, _)| group_name(outcome, g)),
            answer.runner_up.map_or_else(|| "-".to_owned(), |(_, chance)| percent(chance)),
        ]);
    }
    grid
}

/// The lines of a group, or nowhere.
pub fn group_name(outcome: &Outcome, group: Option<usize>) -> String {
    let name = |g: &Group| {
        let ids: Vec<&str> = g.lines.iter().map(|l| outcome.wanted[*l].id.as_str()).collect();
        ids.join(" or ")
    };
    group.and_then(|g| outcome.groups.get(g)).map_or_else(|| "nowhere".to_owned(), name)
}

/// A chance; never more certain than it is.
fn percent(chance: f64) -> String {
    let percent = 100.0 * chance;
    if percent > 99.0 && chance < 1.0 {
        "> 99 %".into()
    } else if percent < 1.0 && chance > 0.0 {
        "< 1 %".into()
    } else {
        format!("{percent:.0} %")
    }
}

/// What pipes that fit the same lines may do.
pub fn interchangeable(outcome: &Outcome, group: &Group) -> String {
    let ids: Vec<&str> = group.pipes.iter().map(|p| outcome.pile.pipes[*p].id.as_str()).collect();
    let lines: Vec<&str> = group.lines.iter().map(|l| outcome.wanted[*l].id.as_str()).collect();
    let either = if ids.len() == 2 { "either" } else { "any" };
    format!("{} are interchangeable, label {either}: {}", joined(&ids), lines.join(", "))
}

fn joined(ids: &[&str]) -> String {
    match ids.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    }
}

/// What there is to say of a pipe; nothing of one that is a bare yes.
pub fn says(outcome: &Outcome, pipe: usize) -> Vec<String> {
    let (id, answer) = (&outcome.pile.pipes[pipe].id, &outcome.answers[pipe]);
    let mut sentences = Vec::new();
    if let Some(said) = unsure(outcome, answer) {
        sentences.push(format!("{id}: {said}"));
    }
    for line in &answer.near {
        sentences.extend(against(outcome, pipe, *line).map(|said| format!("{id}: {said}")));
    }
    if answer.sure == Sure::Nowhere && answer.near.is_empty() {
        sentences.push(format!("{id}: fits nowhere, and comes near to no line"));
    }
    sentences.extend(tag(outcome, answer).map(|said| format!("{id}: {said}")));
    sentences
}

fn unsure(outcome: &Outcome, answer: &Answer) -> Option<String> {
    let name = group_name(outcome, answer.group);
    let second = group_name(outcome, answer.runner_up.and_then(|(g, _)| g));
    let confirm: Vec<String> = answer.unread.iter().map(|p| p.words()).collect();
    let confirm = if confirm.is_empty() {
        String::new()
    } else {
        format!(", confirm {}", confirm.join(", "))
    };
    match answer.sure {
        Sure::Likely if answer.chance >= outcome.rules.sure => {
            Some(format!("{name} likely{confirm}"))
        }
        Sure::Likely => Some(format!("{name} likely, {second} possible{confirm}")),
        Sure::Undecided => {
            Some(format!("cannot tell {name} from {second} by these readings{confirm}"))
        }
        Sure::Nowhere if answer.chance < outcome.rules.sure => {
            Some(format!("probably fits nowhere, {second} is possible"))
        }
        Sure::Yes | Sure::Nowhere => None,
    }
}

/// What speaks against the one line that a pipe comes near to. Of a pipe that has its line, only what must
/// never be.
fn against(outcome: &Outcome, pipe: usize, line: usize) -> Option<String> {
    let answer = &outcome.answers[pipe];
    let first = outcome.pairs[pipe][line].objections.first()?;
    if first.is_never() {
        let mut said = format!("never on {}: {}", outcome.wanted[line].id, objection(first));
        if let Some(part) = unread_cone(outcome, pipe).filter(|_| answer.sure == Sure::Nowhere) {
            said = format!("{said}; read the {part}");
        }
        return Some(said);
    }
    (answer.sure == Sure::Nowhere)
        .then(|| format!("do not force; {}", short_of(outcome, pipe, line)))
}

/// The cone of a threaded end that was not read.
fn unread_cone(outcome: &Outcome, pipe: usize) -> Option<&'static str> {
    let open = |e: &crate::pile::PipeEnd| e.thread.is_some() && e.cone.is_none();
    outcome.pile.pipes[pipe].ends.iter().any(open).then_some("cone angle")
}

/// Why a pipe that fits but for a size does not do for a line.
fn short_of(outcome: &Outcome, pipe: usize, line: usize) -> String {
    let wanted = &outcome.wanted[line];
    let first = outcome.pairs[pipe][line].objections.first();
    let Some(Objection::Length(off)) = first else {
        return first.map_or_else(String::new, |o| format!("{} for {}", objection(o), wanted.id));
    };
    let length = outcome.pile.pipes[pipe].length.map_or(0.0, |l| l.value);
    let (word, end) = if *off < 0.0 { ("short", "below") } else { ("long", "above") };
    let slack = wanted.path_mm.map_or_else(String::new, |path| {
        format!(" (slack {:.1} % of its own length)", 100.0 * (1.0 - path / length))
    });
    let id = &wanted.id;
    format!(
        "{word} for {id}, {:.1} mm {end} its window even before the error{slack}; order a new one for {id}",
        off.abs()
    )
}

/// What speaks against a pair, in words.
pub fn objection(objection: &Objection) -> String {
    let end = |i: usize| if i == 0 { "end A" } else { "end B" };
    match objection {
        Objection::Thread { end: at, has, wants, goes_on } => {
            let trap = match goes_on {
                Some(Confusion::NearThread) => "; the two start on one another and jam or strip",
                Some(Confusion::OtherSeat) => "; the two screw together and do not seal",
                None => "",
            };
            format!("thread family differs at {} ({has}, the line has {wants}){trap}", end(*at))
        }
        Objection::Seat { end: at, has, wants } => format!(
            "screws together and does not seal: {} has {has}, the line has {wants}",
            end(*at)
        ),
        Objection::Gender { end: at } => format!("{} does not go on: both are alike", end(*at)),
        Objection::Fluid { material, class } => format!("{class} attacks {material}"),
        Objection::Length(off) => format!("length off by {:.1} mm", off.abs()),
        Objection::Bore(off) => format!("bore off by {:.1} mm", off.abs()),
        Objection::Outside(off) => format!("outside off by {:.1} mm", off.abs()),
        Objection::Angle { end: at, off } => {
            format!("angle of {} off by {:.0} deg", end(*at), off.abs())
        }
    }
}

fn tag(outcome: &Outcome, answer: &Answer) -> Option<String> {
    let (line, verdict) = answer.label?;
    let id = &outcome.wanted[line].id;
    match verdict {
        Verdict::Fail => Some(format!("its tag says {id}, and it must not be used there")),
        Verdict::Caution => Some(format!("its tag says {id}, and its readings say otherwise")),
        _ => None,
    }
}

/// The one next measurement.
pub fn next(outcome: &Outcome) -> String {
    let Some(next) = outcome.next else {
        return "no further reading would tell anything that is not told".into();
    };
    let id = &outcome.pile.pipes[next.pipe].id;
    let bits = next.bits;
    let tells = if bits < 0.005 { "less than 0.01".to_owned() } else { format!("{bits:.2}") };
    let mut text = format!(
        "read the {} of {id}: it is expected to take away {tells} bits of doubt",
        next.part.words()
    );
    if matches!(next.part, Part::Cone(_)) && outcome.answers[next.pipe].sure == Sure::Nowhere {
        text.push_str(", on what it belongs to");
    }
    text
}

/// How the chances came about.
pub fn method(outcome: &Outcome) -> Vec<String> {
    let sums = if outcome.assignment.exact {
        "chances are sums over all ways of sharing out the pile"
    } else {
        "chances are approximate: the pile hangs together too widely to sum over all ways of sharing it out"
    };
    vec![
        format!("{sums}; before measuring, {:.0} % of a pile is thought to belong nowhere", 100.0 * outcome.strangers),
        "a stated error is two standard deviations; twice of it beyond a window excludes (common practice)".into(),
        format!("rules: {}", outcome.rules.cite.text),
    ]
}
