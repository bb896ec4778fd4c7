//! Lists as CSV that a spreadsheet can open without running what a builder typed.

mod filling;
pub mod finding;

use crate::assess::Assessment;
use crate::assess::spread::{Moved, Spread};
use crate::finding::Verdict;
use crate::hydraulics::flow_test::fill_time_s;
use crate::pile::Outcome;
use crate::plan::Plan;
use crate::report::identify::{group_name, says};
use crate::size::{Alternates, Sizing};
use crate::solve::order::OrderItem;
use crate::trial::dip::DipTrial;
use crate::trial::flow::{FlowTrial, test_name};
use crate::units::Quantity;

pub use filling::{fill, mass};

/// A cell that begins like a formula is text all the same.
///
/// ```
/// use hosewright::report::spreadsheet::guarded;
/// assert_eq!(guarded("=1+1"), "'=1+1");
/// assert_eq!(guarded("-8"), "-8");
/// assert_eq!(guarded("-8+A1"), "'-8+A1");
/// ```
pub fn guarded(cell: &str) -> String {
    let formula = cell.trim_start().starts_with(['=', '+', '-', '@', '\t', '\r', '|', '%']);
    if formula && cell.parse::<f64>().is_err() { format!("'{cell}") } else { cell.to_owned() }
}

/// Rows under a head as CSV.
pub fn rows(head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let head = head.iter().map(|h| (*h).to_owned()).collect();
    more_rows(core::iter::once(head).chain(rows))
}

/// Rows as CSV, to stand behind others.
pub fn more_rows(rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    // Writing to memory cannot fail; a row that did would be missing, which the tests count.
    for row in rows {
        let _ = writer.write_record(row.iter().map(|c| guarded(c)));
    }
    writer.into_inner().map(|b| String::from_utf8_lossy(&b).into_owned()).unwrap_or_default()
}

fn number(value: Option<f64>) -> String {
    value.map_or(String::new(), |v| v.to_string())
}

/// Dip marks, one row for each volume and attitude.
pub fn dip(trial: &DipTrial) -> String {
    let head = ["volume_l", "attitude", "dip_mm", "level_marks_show_l", "by_poured_mm"];
    let facts = &trial.facts;
    let all = facts.full_mark.iter().map(|f| &f.mark).chain(&facts.marks);
    let one = |mark: &crate::solve::dip::Mark| -> Vec<Vec<String>> {
        let each = facts.standings.iter().enumerate().map(|(i, standing)| {
            vec![
                (mark.volume_mm3 / 1e6).to_string(),
                standing.name.clone(),
                number(mark.readings[i].mm()),
                number(mark.shown_mm3[i].map(|s| s / 1e6)),
                number(mark.as_poured_mm.filter(|_| i == 0)),
            ]
        });
        each.collect()
    };
    rows(&head, all.flat_map(one))
}

/// The findings.
pub fn check(assessment: &Assessment) -> String {
    rows(&finding::HEAD, assessment.findings.iter().map(finding::cells))
}

/// What the `±` of the plan do to each result that moves.
pub fn spread(spread: &Spread) -> String {
    let head = [
        "code",
        "where",
        "case",
        "unit",
        "verdict",
        "worst_verdict",
        "value",
        "limit",
        "worst_case_low",
        "worst_case_high",
        "mean",
        "standard_deviation",
        "quantile_5",
        "quantile_95",
        "fail_percent",
        "open_percent",
        "without_number",
        "dominated_by",
        "share_percent",
    ];
    rows(&head, spread.moved.iter().map(|moved| spread_row(spread, moved)))
}

fn spread_row(spread: &Spread, moved: &Moved) -> Vec<String> {
    let word = |verdict: Option<Verdict>| verdict.map_or(String::new(), |v| v.to_string());
    let samples = moved.sampled.statistics;
    let percent = |share: Option<f64>| number(share.map(|s| 100.0 * s));
    let input = moved.dominating().and_then(|i| spread.inputs.get(i));
    vec![
        moved.key.code.to_owned(),
        moved.key.place.clone(),
        moved.case.clone().unwrap_or_default(),
        moved.nominal.unit.to_owned(),
        word(moved.nominal.verdict),
        word(moved.worst),
        number(moved.nominal.value),
        number(moved.nominal.limit),
        number(moved.worst_case.map(|w| w[0])),
        number(moved.worst_case.map(|w| w[1])),
        number(samples.map(|s| s.mean)),
        number(samples.map(|s| s.deviation)),
        number(samples.map(|s| s.low)),
        number(samples.map(|s| s.high)),
        percent(moved.sampled.fail),
        percent(moved.sampled.open),
        moved.sampled.without_number.to_string(),
        input.map(|i| i.what.clone()).unwrap_or_default(),
        percent(moved.shares.first().map(|(_, share)| *share)),
    ]
}

/// Flows and pressures, one row a line and case.
pub fn flow(assessment: &Assessment, only: Option<&str>) -> String {
    let head = [
        "case",
        "circuit",
        "line",
        "flow_l_min",
        "temperature_c",
        "rest_a_kpa_abs",
        "rest_b_kpa_abs",
        "not_solved",
    ];
    let mut list = Vec::new();
    for circuit in &assessment.facts.network.circuits {
        for (case, answer) in &circuit.answers {
            let name = &assessment.facts.cases[*case].name;
            if only.is_some_and(|only| only != name) {
                continue;
            }
            let start = vec![name.clone(), circuit.name.clone()];
            match answer {
                Err(why) => {
                    let mut row = start;
                    row.extend(core::iter::repeat_n(String::new(), 5));
                    row.push(why.clone());
                    list.push(row);
                }
                Ok(answer) => list.extend(answer.lines.iter().map(|line| {
                    let mut row = start.clone();
                    row.push(assessment.plan.lines[line.line].id.clone());
                    row.push((line.flow_m3_s * 60e3).to_string());
                    row.push((line.temperature_k - 273.15).to_string());
                    row.extend([0, 1].map(|end| number(line.ends_pa.map(|e| e[end] / 1e3))));
                    row.push(String::new());
                    row
                })),
            }
        }
    }
    rows(&head, list.into_iter())
}

/// Sizes, one row a line and candidate, with what rejects it first.
pub fn sizes(assessment: &Assessment, sizing: &Sizing) -> String {
    let head = [
        "line", "table", "size", "bore_mm", "planned", "passes", "smallest", "code", "where",
        "case", "value", "limit", "unit", "message",
    ];
    let yes = |flag: bool| if flag { "yes" } else { "no" }.to_owned();
    let mut list = Vec::new();
    for line in &sizing.lines {
        for (index, candidate) in line.candidates.iter().enumerate() {
            let first = candidate.rejected.first();
            let said = line.not_judged.is_none();
            let mut row = vec![
                assessment.plan.lines[line.line].id.clone(),
                line.table.clone().unwrap_or_default(),
                candidate.size.clone(),
                number(candidate.bore_mm),
                yes(line.planned == Some(index)),
                if said { yes(candidate.passes()) } else { String::new() },
                yes(line.smallest == Some(index)),
            ];
            row.extend([
                first.map_or(String::new(), |f| f.code.to_owned()),
                first.map_or(String::new(), |f| f.place.clone()),
                first.and_then(|f| f.case.clone()).unwrap_or_default(),
                number(first.and_then(|f| f.value)),
                number(first.and_then(|f| f.limit)),
                first.map_or(String::new(), |f| f.unit.to_owned()),
                first.map_or_else(
                    || line.not_judged.clone().unwrap_or_default(),
                    |f| f.message.clone(),
                ),
            ]);
            list.push(row);
        }
    }
    rows(&head, list.into_iter())
}

/// The cut list, one row a piece.
pub fn cut(assessment: &Assessment) -> String {
    let mut list = Vec::new();
    for stock in &assessment.facts.cutting {
        let Ok(plan) = &stock.plan else {
            let piece = |p: &crate::makeup::stock::WantedPiece| {
                vec![
                    stock.of.clone(),
                    String::new(),
                    String::new(),
                    p.label.clone(),
                    p.length_mm.to_string(),
                    String::new(),
                ]
            };
            list.extend(stock.pieces.iter().map(piece));
            continue;
        };
        for (index, bar) in plan.bars.iter().enumerate() {
            for cut in &bar.cuts {
                list.push(vec![
                    stock.of.clone(),
                    (index + 1).to_string(),
                    bar.length_mm.to_string(),
                    cut.label.clone(),
                    cut.length_mm.to_string(),
                    bar.left_mm.to_string(),
                ]);
            }
        }
    }
    rows(&["of", "bar", "bar_mm", "line", "cut_mm", "left_mm"], list.into_iter())
}

/// Bend tables from the end to begin at, one row a bend.
pub fn bend(assessment: &Assessment, lines: &[usize]) -> String {
    let head = [
        "line",
        "cut_mm",
        "from",
        "bend",
        "at",
        "mark_mm",
        "straight_mm",
        "rotation_deg",
        "dial_deg",
        "set_deg",
        "angle_deg",
        "radius_mm",
        "thinning_percent",
        "straight_behind_mm",
    ];
    let mut list = Vec::new();
    for facts in lines.iter().map(|line| &assessment.facts.lines[*line]) {
        let Some(Ok(tube)) = &facts.tube else { continue };
        let cut_mm = facts.makeup.as_ref().ok().map(|m| m.cut.cut_mm);
        let side = tube.side();
        for (index, row) in side.rows.iter().enumerate() {
            let mark_mm = side.marks_mm.as_ref().ok().and_then(|m| m.get(index)).copied();
            let next = side.rows.get(index + 1);
            let mut cells = vec![facts.id.clone(), number(cut_mm), side.end.to_owned()];
            cells.extend([(index + 1).to_string(), row.place.clone(), number(mark_mm)]);
            let numbers = [
                Some(row.bend.straight_mm),
                Some(row.bend.rotation_rad.to_degrees()),
                Some(row.dial_deg),
                row.set.as_ref().ok().map(|s| s.angle_deg),
                Some(row.bend.angle_rad.to_degrees()),
                Some(row.bend.radius_mm),
                row.wall.map(|w| 100.0 * w.thinning),
                Some(next.map_or(side.last_straight_mm, |n| n.bend.straight_mm)),
            ];
            cells.extend(numbers.map(number));
            list.push(cells);
        }
    }
    rows(&head, list.into_iter())
}

/// The order list; the last column names what could be ordered instead, where that was asked for.
pub fn order(assessment: &Assessment, alternates: Option<&[Alternates]>) -> String {
    let head = [
        "kind",
        "what",
        "count",
        "unit",
        "spares",
        "lines",
        "size",
        "angle_deg",
        "material",
        "alternates",
    ];
    let instead = |part: &Option<String>| {
        let of_part =
            alternates.unwrap_or_default().iter().find(|a| Some(&a.part) == part.as_ref());
        let names = of_part.map(|a| a.passing.iter().map(|p| p.part.as_str()).collect::<Vec<_>>());
        names.unwrap_or_default().join("; ")
    };
    let row = |i: &OrderItem| {
        vec![
            i.kind.to_owned(),
            i.what.clone(),
            i.count.to_string(),
            i.unit.to_owned(),
            i.spares.to_string(),
            i.lines.join(" "),
            i.end.as_ref().map_or(String::new(), |e| e.size.clone()),
            number(i.end.as_ref().map(|e| e.angle_deg)),
            i.end.as_ref().and_then(|e| e.material.clone()).unwrap_or_default(),
            instead(&i.part),
        ]
    };
    rows(&head, assessment.facts.order.iter().map(row))
}

/// The flow test as a list, one row a test, yardstick and can.
pub fn flow_test(plan: &Plan, trial: &FlowTrial) -> String {
    let head = [
        "need",
        "test",
        "percent",
        "must_l_min",
        "can_l",
        "most_s",
        "expected_s",
        "measured_s",
        "verdict",
    ];
    let mut all = Vec::new();
    for row in &trial.rows {
        for (index, yardstick) in row.yardsticks.iter().enumerate() {
            for (number, can) in trial.cans.iter().enumerate() {
                let wanted = yardstick.value * row.used_m3_s;
                let time = |flow: f64| {
                    fill_time_s(can.si(), flow).map_or(String::new(), |t| t.to_string())
                };
                let result = row.result.as_ref().filter(|_| number == 0);
                let verdict = result.and_then(|r| r.verdicts.get(index));
                all.push(vec![
                    plan.components[row.test.need].id.clone(),
                    test_name(plan, &row.test),
                    (100.0 * yardstick.value).to_string(),
                    (wanted * 60e3).to_string(),
                    (can.si() * 1e3).to_string(),
                    time(wanted),
                    time(row.test.predicted_m3_s),
                    result.map_or(String::new(), |r| r.time.si().to_string()),
                    verdict.map_or(String::new(), ToString::to_string),
                ]);
            }
        }
    }
    rows(&head, all.into_iter())
}

/// The lines of straps, from end A.
pub fn strap(assessment: &Assessment, straps: &[usize]) -> String {
    let head = [
        "strap",
        "flat_mm",
        "width_mm",
        "what",
        "number",
        "from_mm",
        "to_mm",
        "angle_deg",
        "set_deg",
        "diameter_mm",
        "sight_mm",
    ];
    let mut list = Vec::new();
    for strap in straps {
        let (plan, facts) = (&assessment.plan.straps[*strap], &assessment.facts.straps[*strap]);
        let Ok(flat) = &facts.flat else { continue };
        let mut push = |what: &str, index: usize, numbers: [Option<f64>; 6]| {
            let mut cells = vec![plan.id.clone(), number(Some(flat.length_mm))];
            cells.extend([number(Some(plan.width_mm)), what.to_owned(), (index + 1).to_string()]);
            cells.extend(numbers.map(number));
            list.push(cells);
        };
        for (index, bend) in flat.bends.iter().enumerate() {
            let set = bend.overbend.as_ref().ok().map(|s| s.angle_rad.to_degrees());
            let angle = Some(bend.bend.angle_rad.to_degrees());
            let (from, to) = (Some(bend.area.from_mm), Some(bend.area.to_mm));
            push("bend", index, [from, to, angle, set, None, bend.sight_mm]);
        }
        for (index, hole) in flat.holes.iter().enumerate() {
            let at = Some(hole.from_a_mm);
            push("hole", index, [at, at, None, None, Some(hole.diameter_mm), None]);
        }
    }
    rows(&head, list.into_iter())
}

/// A pile told apart, one row a pipe.
pub fn identify(outcome: &Outcome) -> String {
    let head = ["pipe", "answer", "line", "chance", "runner_up", "runner_up_chance", "says"];
    let row = |index: usize| {
        let answer = &outcome.answers[index];
        vec![
            outcome.pile.pipes[index].id.clone(),
            answer.sure.word().to_owned(),
            group_name(outcome, answer.group),
            answer.chance.to_string(),
            answer.runner_up.map_or_else(String::new, |(g, _)| group_name(outcome, g)),
            number(answer.runner_up.map(|(_, chance)| chance)),
            says(outcome, index).join("; "),
        ]
    };
    rows(&head, (0..outcome.answers.len()).map(row))
}
