//! A pile told apart, as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::pile::{Outcome, Pair};
use crate::report::caution::cautions;
use crate::report::identify::{group_name, interchangeable, method, next, objection, says};

/// Everything about the pile.
pub fn identify(assessment: &Assessment, outcome: &Outcome) -> Value {
    let ids = |lines: &[usize]| -> Vec<&str> {
        lines.iter().map(|l| outcome.wanted[*l].id.as_str()).collect()
    };
    let pipe_ids = |pipes: &[usize]| -> Vec<&str> {
        pipes.iter().map(|p| outcome.pile.pipes[*p].id.as_str()).collect()
    };
    json!({
        "pile": outcome.pile.name,
        "pipes": (0..outcome.pile.pipes.len()).map(|p| pipe(outcome, p)).collect::<Vec<_>>(),
        "lines": (0..outcome.wanted.len()).map(|l| line(outcome, l)).collect::<Vec<_>>(),
        "without_pipe": ids(&outcome.without),
        "interchangeable": outcome.interchangeable().map(|g| json!({
            "lines": ids(&g.lines),
            "pipes": pipe_ids(&g.pipes),
            "says": interchangeable(outcome, g),
        })).collect::<Vec<_>>(),
        "next": outcome.next.map(|n| json!({
            "pipe": outcome.pile.pipes[n.pipe].id,
            "what": n.part.words(),
            "bits": n.bits,
            "says": next(outcome),
        })),
        "exact": outcome.assignment.exact,
        "method": method(outcome),
        "standing": outcome.rules.cite.standing.to_string(),
        "cautions": cautions(&assessment.plan, &assessment.facts),
    })
}

fn pipe(outcome: &Outcome, index: usize) -> Value {
    let answer = &outcome.answers[index];
    let group = answer.group.and_then(|g| outcome.groups.get(g));
    let lines = group.map_or(&[][..], |g| &g.lines);
    let pairs = outcome.pairs[index].iter().enumerate();
    json!({
        "id": outcome.pile.pipes[index].id,
        "answer": answer.sure.word(),
        "line": answer.line.map(|l| outcome.wanted[l].id.as_str()),
        "lines": lines.iter().map(|l| outcome.wanted[*l].id.as_str()).collect::<Vec<_>>(),
        "turned": answer.line.map(|l| outcome.pairs[index][l].turned),
        "chance": answer.chance,
        "runner_up": answer.runner_up.map(|(g, _)| group_name(outcome, g)),
        "runner_up_chance": answer.runner_up.map(|(_, c)| c),
        "nowhere_chance": outcome.assignment.nowhere[index],
        "unread": answer.unread.iter().map(|p| p.words()).collect::<Vec<_>>(),
        "tag": answer.label.map(|(l, v)| json!({ "line": outcome.wanted[l].id, "verdict": v.word() })),
        "against": pairs.filter(|(_, p)| !p.objections.is_empty()).map(|(l, p)| against(outcome, l, p)).collect::<Vec<_>>(),
        "says": says(outcome, index),
    })
}

fn against(outcome: &Outcome, line: usize, pair: &Pair) -> Value {
    json!({
        "line": outcome.wanted[line].id,
        "never": pair.objections.iter().any(crate::pile::Objection::is_never),
        "kinds": pair.objections.iter().map(crate::pile::Objection::word).collect::<Vec<_>>(),
        "reasons": pair.objections.iter().map(objection).collect::<Vec<_>>(),
    })
}

fn line(outcome: &Outcome, index: usize) -> Value {
    let wanted = &outcome.wanted[index];
    let pipe = outcome.assignment.best.iter().position(|b| *b == Some(index));
    let taken: f64 = outcome.assignment.chance.iter().map(|row| row[index]).sum();
    json!({
        "id": wanted.id,
        "shortest_mm": wanted.window_mm.map(|w| w.0),
        "longest_mm": wanted.window_mm.map(|w| w.1),
        "bore_mm": wanted.bore_mm,
        "ends": wanted.ends.iter().map(|e| e.as_ref().map(|e| e.label.as_str())).collect::<Vec<_>>(),
        "pipe": pipe.map(|p| outcome.pile.pipes[p].id.as_str()),
        "no_pipe_chance": (1.0 - taken).clamp(0.0, 1.0),
    })
}
