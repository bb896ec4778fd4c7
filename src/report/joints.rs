//! The list of joints for a person with spanners, in the order of the walk; and for a spreadsheet.

use std::collections::BTreeMap;

use super::caution::{JOINTS, cautions};
use super::grid::{Grid, wrapped};
use super::spreadsheet;
use super::units::length;
use super::{Layout, json};
use crate::assess::Assessment;
use crate::finding::Finding;
use crate::makeup::walk::Walk;
use crate::solve::joints::{JointMade, JointsFacts, Setting, Tool, Turning};
use crate::table::torque::Turn;
use crate::units::{System, write};

/// What rules are about, in the order of the work.
const PARTS: [&str; 7] =
    [LUBRICANT, "keep off", "turn", "witness mark", "leak", "second signature", "caps"];
/// Wide enough for any sentence.
const ONE_LINE: usize = 100_000;
const LUBRICANT: &str = "lubricant";

/// The findings about how ends go together.
pub fn findings(assessment: &Assessment) -> impl Iterator<Item = &Finding> {
    assessment.findings.iter().filter(|f| f.code.starts_with("fitting."))
}

/// The list of joints.
pub fn text(assessment: &Assessment, facts: &JointsFacts, layout: Layout) -> String {
    let plan = &assessment.plan;
    let mut out = String::new();
    let mut say = |text: &str, indent: usize| out.push_str(&wrapped(text, layout.width, indent));
    say(&format!("Joints of {}: {}", plan.name, facts.joints.len()), 0);
    say(JOINTS, 0);
    match facts.chosen.as_slice() {
        [] => say("The plan chooses no torque table.", 0),
        [table] => say(&format!("Values by the table of the plan, torque/{table}."), 0),
        several => {
            let tables: Vec<String> = several.iter().map(|t| format!("torque/{t}")).collect();
            let text = format!(
                "Values by the tables of the plan, {}: each family by the one that covers it.",
                tables.join(" and ")
            );
            say(&text, 0);
        }
    }
    match &facts.walk {
        Ok(walk) => say(&walk_words(walk, layout.system), 0),
        Err(why) => say(&format!("In the order of the plan: {why}"), 0),
    }
    out.push('\n');
    let head = ["joint", "where", "thread", "spanner", "tighten", "caps", "sign", "mark"];
    let mut grid = Grid::new(&head, &[5]);
    grid.rows.extend(facts.joints.iter().map(|j| row(j, layout.system)));
    out.push_str(&grid.to_text(layout.width));
    sources(&mut out, facts, layout.width);
    refused(&mut out, facts, layout.width);
    open(&mut out, facts, layout);
    by_rule(&mut out, facts, layout.width);
    counted(&mut out, facts, layout.width);
    out.push('\n');
    for caution in cautions(plan, &assessment.facts) {
        out.push_str(&wrapped(caution, layout.width, 0));
    }
    out
}

/// The order of the walk, in words.
pub fn walk_words(walk: &Walk, system: System) -> String {
    let changes = match walk.changes {
        0 => "one tool for all".to_owned(),
        1 => "1 change of tool".to_owned(),
        many => format!("{many} changes of tool"),
    };
    let way = length(walk.length_mm, system);
    let bound = if walk.proven {
        "no order is shorter".to_owned()
    } else {
        format!("no order is shorter than {}", length(walk.least_mm, system))
    };
    format!(
        "Order: no spanner is taken up twice, and among these orders the way from joint to joint is short: \
         {changes}, {way} straight through the air, whatever is in the way; {bound}."
    )
}

/// What is told of all joints together: sources, what is refused or open, the rules, and what is counted.
pub fn notes(facts: &JointsFacts, system: System) -> Vec<String> {
    let layout = Layout { width: ONE_LINE, system };
    let mut out = String::new();
    sources(&mut out, facts, layout.width);
    refused(&mut out, facts, layout.width);
    open(&mut out, facts, layout);
    by_rule(&mut out, facts, layout.width);
    counted(&mut out, facts, layout.width);
    out.lines().map(|line| line.trim().to_owned()).filter(|line| !line.is_empty()).collect()
}

/// Number, place, thread, spanner, how far, caps, who signs, and the mark of a joint.
pub fn row(joint: &JointMade, system: System) -> Vec<String> {
    let thread = joint.thread.as_ref().map_or(String::new(), |t| format!(", {}", t.value));
    vec![
        number(joint.number),
        joint.name.clone(),
        format!("{} {}{thread}", joint.family, joint.size),
        tool_words(&joint.tool, system),
        turning_words(&joint.turning, system),
        joint.caps.to_string(),
        if joint.signed_twice() { "1 [ ] 2 [ ]" } else { "1 [ ]" }.to_owned(),
        "[ ]".to_owned(),
    ]
}

fn number(number: usize) -> String {
    format!("J{number}")
}

/// What closes a joint, in words.
pub fn tool_words(tool: &Tool, system: System) -> String {
    match tool {
        Tool::Spanner(hex) if hex.cite.standing.is_weak() => {
            format!("{} ({})", width(hex.value, system), hex.cite.standing)
        }
        Tool::Spanner(hex) => width(hex.value, system),
        Tool::Clip => "clip".to_owned(),
        Tool::Unknown(_) => "open".to_owned(),
    }
}

/// A spanner is called by what is stamped on it: an inch one by its fraction.
fn width(hex: crate::units::Length, system: System) -> String {
    let (metric, inch) = (write(hex, System::Metric), write(hex, System::Inch));
    let whole = metric.trim_end_matches(" mm").parse::<u32>().is_ok();
    let by_inch = crate::units::Quantity::si(hex) / 0.0254 * 16.0;
    let stamped = if (by_inch - by_inch.round()).abs() < 1e-9 { inch } else { metric.clone() };
    if system == System::Metric && whole { metric } else { stamped }
}

/// How far a joint is tightened, in words.
pub fn turning_words(turning: &Turning, system: System) -> String {
    match turning {
        Turning::Set(setting) => turn_words(setting.turn.value, system),
        Turning::Open { .. } => "open".to_owned(),
        Turning::Never(_) => "DO NOT".to_owned(),
    }
}

fn turn_words(turn: Turn, system: System) -> String {
    match turn {
        Turn::Torque { least, most } => between(&write(least, system), &write(most, system)),
        Turn::Flats { least, most } => {
            let degrees = |flats: f64| 60.0 * flats;
            format!(
                "{least} to {most} flats from seated, {:.0} to {:.0} deg",
                degrees(least),
                degrees(most)
            )
        }
    }
}

/// `45.2 to 54.2 N m`: the unit is said once where both have the same.
pub fn between(least: &str, most: &str) -> String {
    let unit = |text: &str| {
        text.split_once(' ').map(|(number, unit)| (number.to_owned(), unit.to_owned()))
    };
    match (unit(least), unit(most)) {
        (Some((number, a)), Some((_, b))) if a == b && !a.contains('(') => {
            format!("{number} to {most}")
        }
        _ => format!("{least} to {most}"),
    }
}

/// Where the values come from, each table once.
fn sources(out: &mut String, facts: &JointsFacts, width: usize) {
    let set = facts.joints.iter().filter_map(|j| match &j.turning {
        Turning::Set(setting) => Some(setting),
        _ => None,
    });
    let by_table: BTreeMap<&str, &Setting> = set.map(|s| (s.table.as_str(), s)).collect();
    for setting in by_table.values() {
        out.push('\n');
        out.push_str(&wrapped(&format!("values: {}", setting.turn.cite), width, 0));
        if let Some(threads) = &setting.threads {
            out.push_str(&wrapped(&format!("they hold for threads {}", threads.value), width, 2));
        }
    }
    let spanners = facts.joints.iter().filter_map(|j| match &j.tool {
        Tool::Spanner(hex) => Some((&*hex.cite.text, hex.cite.to_string())),
        _ => None,
    });
    for cite in spanners.collect::<BTreeMap<_, _>>().values() {
        out.push_str(&wrapped(&format!("spanners: {cite}"), width, 0));
    }
}

/// What must not be tightened, and why.
fn refused(out: &mut String, facts: &JointsFacts, width: usize) {
    let mut said = Said::new();
    for joint in &facts.joints {
        if let Turning::Never(why) = &joint.turning {
            note(&mut said, why.clone(), joint.number);
        }
    }
    if !said.is_empty() {
        out.push_str("\nDo not tighten\n");
    }
    for (why, joints) in said {
        out.push_str(&wrapped(&format!("{}: {why}", numbers(&joints)), width, 2));
    }
}

/// What is not known, the same once with its joints, and the values of every table beside each other.
fn open(out: &mut String, facts: &JointsFacts, layout: Layout) {
    let mut groups = Said::new();
    for joint in &facts.joints {
        let Turning::Open { why, tables } = &joint.turning else { continue };
        let said = tables.iter().map(|(name, setting)| {
            let says = setting
                .as_ref()
                .map_or_else(Clone::clone, |s| turn_words(s.turn.value, layout.system));
            format!("\n{name}: {says}")
        });
        let size = if tables.is_empty() { String::new() } else { format!(", size {}", joint.size) };
        let words = format!("{why}{size}{}", said.collect::<String>());
        note(&mut groups, words, joint.number);
    }
    if !groups.is_empty() {
        out.push_str("\nOpen\n");
    }
    for (words, joints) in groups {
        let mut lines = words.lines();
        let first = format!("{}: {}", numbers(&joints), lines.next().unwrap_or_default());
        out.push_str(&wrapped(&first, layout.width, 2));
        lines.for_each(|line| out.push_str(&wrapped(line, layout.width, 4)));
    }
    let unknown = facts.joints.iter().filter(|j| matches!(j.tool, Tool::Unknown(_)));
    let unknown: Vec<usize> = unknown.map(|j| j.number).collect();
    if !unknown.is_empty() {
        let text = format!("{}: no table has the spanner; measure the nut", numbers(&unknown));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

/// What is said, each once, with the joints that it is said of.
type Said = Vec<(String, Vec<usize>)>;

fn note(said: &mut Said, text: String, joint: usize) {
    match said.iter_mut().find(|(known, _)| *known == text) {
        Some((_, joints)) => joints.push(joint),
        None => said.push((text, vec![joint])),
    }
}

/// Each rule once, with its joints, by what it is about.
fn by_rule(out: &mut String, facts: &JointsFacts, width: usize) {
    for part in PARTS {
        let mut said = Said::new();
        for joint in &facts.joints {
            for rule in joint.about(part) {
                let text = format!("{} ({})", rule.text.value, rule.text.cite.standing);
                note(&mut said, text, joint.number);
            }
            // Said as well, so that nobody takes silence for a dry thread.
            if part == LUBRICANT && joint.about(part).next().is_none() {
                note(&mut said, "open: no rule for this fluid".to_owned(), joint.number);
            }
        }
        if said.is_empty() {
            continue;
        }
        let mut letters = part.chars();
        let first = letters.next().into_iter().flat_map(char::to_uppercase);
        let head: String = first.chain(letters).collect();
        out.push('\n');
        out.push_str(&wrapped(&head, width, 0));
        for (text, joints) in said {
            out.push_str(&wrapped(&format!("{}: {text}", numbers(&joints)), width, 2));
        }
    }
}

/// Caps, and what is joined without being in the list.
fn counted(out: &mut String, facts: &JointsFacts, width: usize) {
    let caps: usize = facts.joints.iter().map(|j| j.caps).sum();
    out.push('\n');
    let mut say = |text: &str| out.push_str(&wrapped(text, width, 0));
    say(&format!(
        "Caps: {caps} come off, one for each end and one for each port; count {caps} back before anything runs. \
         counted: ____"
    ));
    if !facts.capped_ports.is_empty() {
        let ports = facts.capped_ports.join(", ");
        say(&format!("Nothing is joined to {ports}: these caps stay on."));
    }
    if !facts.unthreaded.is_empty() {
        let joins = facts.unthreaded.join("; ");
        say(&format!(
            "Joined without a thread that a table knows, and so not numbered; tightened as their makers say: {joins}."
        ));
    }
}

/// `J1 to J4, J7`.
fn numbers(joints: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for joint in joints {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *joint => *last = *joint,
            _ => runs.push((*joint, *joint)),
        }
    }
    let words = runs.into_iter().map(|(first, last)| match last - first {
        0 => number(first),
        1 => format!("{}, {}", number(first), number(last)),
        _ => format!("{} to {}", number(first), number(last)),
    });
    words.collect::<Vec<_>>().join(", ")
}

/// The list for a spreadsheet: one row for each joint, torques in N m.
pub fn csv(assessment: &Assessment, facts: &JointsFacts) -> String {
    let head = [
        "joint",
        "where",
        "line",
        "end",
        "family",
        "size",
        "thread",
        "spanner_mm",
        "torque_least_nm",
        "torque_most_nm",
        "flats_least",
        "flats_most",
        "table",
        "source",
        "standing",
        "open",
        "caps",
        "signatures",
        "lubricant",
        "keep_off",
    ];
    let text = |value: &serde_json::Value| match value {
        serde_json::Value::Null => String::new(),
        serde_json::Value::String(text) => text.clone(),
        serde_json::Value::Array(items) => {
            items.iter().filter_map(|i| i["text"].as_str()).collect::<Vec<_>>().join("; ")
        }
        other => other.to_string(),
    };
    let of = |joint: &JointMade| {
        let data = json::joint(&assessment.plan, joint);
        let value = &data["tighten"];
        let cells = [
            &data["joint"],
            &data["where"],
            &data["line"],
            &data["end"],
            &data["family"],
            &data["size"],
            &data["thread"],
            &data["spanner_mm"],
            &value["torque_least_nm"],
            &value["torque_most_nm"],
            &value["flats_least"],
            &value["flats_most"],
            &value["table"],
            &value["source"],
            &value["standing"],
            &data["open"],
            &data["caps"],
            &data["signatures"],
            &data["lubricant"],
            &data["keep_off"],
        ];
        cells.into_iter().map(text).collect()
    };
    spreadsheet::rows(&head, facts.joints.iter().map(of))
}
