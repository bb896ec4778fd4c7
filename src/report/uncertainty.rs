//! What the `±` of a plan do to its results, for a person at a terminal.

use core::fmt::Write;

use super::Layout;
use super::grid::{Grid, wrapped};
use super::terminal::Detail;
use super::units::{in_units, value};
use crate::assess::spread::{Lost, Moved, Spread};
use crate::finding::Verdict;

/// What to write where a plan says of no quantity how well it is known.
const NONE: &str = "No quantity of this plan says how well it is known: write the amount behind it, such as \
bore = \"8 mm ± 0.1 mm\" or flow = \"90 L/h ± 10 %\".";

/// The section of the report.
pub fn text(spread: &Spread, layout: Layout, detail: Detail) -> String {
    let mut out = String::from("\nUncertainty\n");
    if spread.inputs.is_empty() {
        out.push_str(&wrapped(NONE, layout.width, 2));
        return out;
    }
    summary(&mut out, spread, layout);
    for moved in spread.changing() {
        one(&mut out, spread, moved, layout);
    }
    let steady: Vec<&Moved> = spread.moved.iter().filter(|m| !m.changes()).collect();
    match (steady.len(), detail) {
        (0, _) => {}
        (count, Detail::Normal) => {
            let text =
                format!("{count} more results move and keep their verdict (--all lists them)");
            out.push_str(&wrapped(&text, layout.width, 2));
        }
        (_, Detail::All) => steady.iter().for_each(|moved| one(&mut out, spread, moved, layout)),
    }
    inputs(&mut out, spread, layout);
    lost(&mut out, spread, layout);
    out
}

fn summary(out: &mut String, spread: &Spread, layout: Layout) {
    let quantities = match spread.inputs.len() {
        1 => "1 quantity carries".to_owned(),
        count => format!("{count} quantities carry"),
    };
    let text = format!(
        "{quantities} ±; {} results move with them, the verdict of {} may change. Worst case: the changes \
         by each ± alone, added up. Samples: {}, every value within ± as likely as any other. A chance \
         is good to {:.0} points of per cent (hosewright explain uncertainty)",
        spread.moved.len(),
        spread.changing().count(),
        spread.samples,
        chance_points(spread.read)
    );
    out.push_str(&wrapped(&text, layout.width, 2));
}

/// Half of the range that holds a chance near one half in 95 of 100 such drawings, in points of per cent.
fn chance_points(samples: u32) -> f64 {
    100.0 * 1.96 * (0.25 / f64::from(samples.max(1))).sqrt()
}

fn one(out: &mut String, spread: &Spread, moved: &Moved, layout: Layout) {
    let key = &moved.key;
    let mut head = format!("{}  {}", key.code, in_units(&key.place, layout.system));
    if let Some(case) = &moved.case {
        let how = if moved.governing { "governed by" } else { "in" };
        let _ = write!(head, "  {how} {case}");
    }
    if let Some(words) = verdicts(moved) {
        let _ = write!(head, ": {words}");
    }
    out.push_str(&wrapped(&head, layout.width, 2));
    out.push_str(&wrapped(&numbers(moved, layout), layout.width, 4));
    out.push_str(&wrapped(&cause(spread, moved), layout.width, 4));
}

/// The verdict as planned and the ones it may become.
fn verdicts(moved: &Moved) -> Option<String> {
    let (worst, best) = (moved.worst?, moved.best?);
    Some(match moved.nominal.verdict {
        None => format!("comes up after a shift, at worst {worst}"),
        Some(now) if worst == best => now.to_string(),
        Some(now) if now == worst => format!("{now}, at best {best}"),
        Some(now) if now == best => format!("{now}, at worst {worst}"),
        Some(now) => format!("{now}, at best {best}, at worst {worst}"),
    })
}

fn numbers(moved: &Moved, layout: Layout) -> String {
    let unit = moved.nominal.unit;
    let shown = |n: f64| value(n, unit, layout.system);
    let range = |low: f64, high: f64| format!("{} to {}", shown(low), shown(high));
    let mut parts = Vec::new();
    parts.extend(moved.nominal.value.map(shown));
    parts.extend(moved.worst_case.map(|[low, high]| format!("worst case {}", range(low, high))));
    if moved.beyond {
        parts.push("but some runs lie beyond it: the inputs strengthen each other".to_owned());
    }
    let samples = moved.sampled.statistics;
    parts.extend(samples.map(|s| format!("90 % of the samples {}", range(s.low, s.high))));
    parts.extend(moved.nominal.limit.map(|limit| format!("limit {}", shown(limit))));
    if moved.worst == Some(Verdict::Fail) {
        let percent = |share: f64| format!("{:.0} %", 100.0 * share);
        parts.extend(moved.sampled.fail.map(|f| format!("chance to fail {}", percent(f))));
        let open = moved.sampled.open.filter(|o| *o > 0.0);
        parts.extend(open.map(|o| format!("not to be judged {}", percent(o))));
    }
    if moved.sampled.without_number > 0 && moved.nominal.value.is_some() {
        parts.push(format!("no number in {} of the samples", moved.sampled.without_number));
    }
    parts.join("; ")
}

/// Which inputs are behind it.
fn cause(spread: &Spread, moved: &Moved) -> String {
    let name = |input: usize| spread.inputs.get(input).map_or("", |i| i.what.as_str());
    let shares: Vec<String> = moved
        .shares
        .iter()
        .take(3)
        .filter(|(_, share)| *share >= 0.01)
        .map(|(input, share)| format!("{} ({:.0} %)", name(*input), 100.0 * share))
        .collect();
    let mut text = match (shares.is_empty(), moved.dominating()) {
        (false, _) => format!("most from {}", shares.join(", then ")),
        (true, Some(input)) => format!("most from {}", name(input)),
        (true, None) => "from several inputs together".to_owned(),
    };
    if !moved.lost_at.is_empty() {
        let lost: Vec<&str> = moved.lost_at.iter().map(|i| name(*i)).collect();
        let _ = write!(
            text,
            "; no worst case, since there is no number at an end of {}",
            lost.join(", ")
        );
    }
    text
}

fn inputs(out: &mut String, spread: &Spread, layout: Layout) {
    let mut grid = Grid::new(&["quantity", "as written", "line", "dominates"], &[2, 3]);
    for input in &spread.inputs {
        grid.rows.push(vec![
            input.what.clone(),
            input.written.clone(),
            input.line.to_string(),
            input.dominates.to_string(),
        ]);
    }
    out.push_str(&grid.to_text(layout.width));
    if let Some(next) = spread.measure_next.and_then(|i| spread.inputs.get(i)) {
        let what = match next.dominates {
            0 => "the most results that move".to_owned(),
            1 => "1 result whose verdict may change".to_owned(),
            count => format!("{count} results whose verdict may change"),
        };
        let text = format!("measure next: {}, which dominates {what}", next.what);
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

fn lost(out: &mut String, spread: &Spread, layout: Layout) {
    for input in &spread.inputs {
        for (end, why) in ["lower", "upper"].iter().zip(&input.refused) {
            if let Some(why) = why {
                let text = format!("{} at its {end} end is no plan any more: {why}", input.what);
                out.push_str(&wrapped(&text, layout.width, 2));
            }
        }
    }
    let unread: usize = spread.unread.iter().map(|l| l.count).sum();
    if unread > 0 {
        let text = format!("{unread} of {} samples were no plan any more:", spread.samples);
        out.push_str(&wrapped(&text, layout.width, 2));
    }
    for Lost { what, count, .. } in &spread.unread {
        out.push_str(&wrapped(&format!("{count} times: {what}"), layout.width, 4));
    }
    for Lost { what, why, count } in &spread.unsolved {
        let text = format!("no answer of the network in {count} runs for {what}, such as: {why}");
        out.push_str(&wrapped(&in_units(&text, layout.system), layout.width, 2));
    }
}
