//! The proof test for a person with a hand pump and a gauge.

use core::fmt::Write;

use super::Layout;
use super::caution::{PROOF_TEST, cautions};
use super::deferred;
use super::grid::{Grid, wrapped};
use super::spreadsheet::rows;
use super::units::{gauge, in_units, pressure, temperature};
use crate::assess::Assessment;
use crate::finding::Verdict;
use crate::trial::proof::{
    ClosedTest, ProofPlan, ProofResult, ProofRow, ProofTest, ProofTrial, Stiffness,
};
use crate::units::{self, Quantity, System, Volume};

/// The report of `test proof`.
pub fn text(assessment: &Assessment, trial: &ProofTrial, layout: Layout) -> String {
    let plan = &assessment.plan;
    let mut out = String::new();
    let mut say = |text: &str, indent: usize| {
        out.push_str(&wrapped(&in_units(text, layout.system), layout.width, indent));
    };
    say(&format!("Proof test of {}", plan.name), 0);
    say(PROOF_TEST, 0);
    say(&hold(trial), 0);
    let mut grid = Grid::new(
        &["Line", "Highest", "Test at", "Where", "Liquid", "Pump in", "Per K", "Verdict"],
        &[1, 2, 5, 6],
    );
    grid.rows = trial.rows.iter().filter_map(|r| line(assessment, r, layout.system)).collect();
    out.push('\n');
    out.push_str(&grid.to_text(layout.width));
    let mut say = |text: &str, indent: usize| {
        out.push_str(&wrapped(&in_units(text, layout.system), layout.width, indent));
    };
    for text in notes(assessment, trial, layout.system) {
        say(&text, 0);
    }
    for result in &trial.results {
        say(&format!("Measured on {}:", result.reading.lines.join(" and ")), 0);
        for text in measured(trial, result, layout.system) {
            say(&text, 2);
        }
    }
    out.push('\n');
    for caution in cautions(plan, &assessment.facts) {
        out.push_str(&wrapped(caution, layout.width, 0));
    }
    out
}

/// How long each pressure is held, with which gauge, and how long a test counts.
pub fn hold(trial: &ProofTrial) -> String {
    let mut text =
        format!("Hold each pressure for {} ({}).", minutes(trial.hold.value.si()), trial.hold.cite);
    if let Some(range) = &trial.gauge_range {
        let _ = write!(
            text,
            " A gauge whose range is at most {} times the test pressure ({}).",
            range.value, range.cite
        );
    }
    if let Some(valid) = &trial.valid {
        let _ = write!(
            text,
            " Write date, pressure and name on the tag; a hose fitted more than {:.0} days later is tested again ({}).",
            valid.value.si() / 86_400.0,
            valid.cite
        );
    }
    text
}

/// A time as a builder reads it off a watch.
pub fn minutes(seconds: f64) -> String {
    if seconds < 100.0 {
        format!("{seconds:.0} s")
    } else {
        format!("{:.1} min", seconds / 60.0).replace(".0 min", " min")
    }
}

/// What is told of a line that is tested: line, highest, test pressure, where, liquid, pumped in, per kelvin, verdict.
pub fn line(assessment: &Assessment, row: &ProofRow, system: System) -> Option<Vec<String>> {
    let ProofPlan::Test(test) = &row.test else { return None };
    let closed = test.closed.as_ref().ok();
    let least = |c: &ClosedTest, text: String, sign: &str| {
        if c.wall_counted { text } else { format!("{sign} {text}") }
    };
    Some(vec![
        assessment.plan.lines[row.line].id.clone(),
        gauge(test.operating.0, system),
        gauge(test.pressure.value, system),
        if test.bench { "bench" } else { "in place" }.to_owned(),
        test.liquid.clone(),
        closed.map_or("-".into(), |c| least(c, volume(c.pumped_m3, system), ">")),
        closed.map_or("-".into(), |c| least(c, pressure(c.per_kelvin_pa, system), "<")),
        test.verdict.to_string(),
    ])
}

/// A volume as a syringe or a measuring glass shows it.
pub fn volume(m3: f64, system: System) -> String {
    let millilitres = m3 * 1e6;
    match system {
        System::Metric if millilitres.abs() < 9.995 => format!("{millilitres:.2} mL"),
        System::Metric if millilitres.abs() < 999.5 => format!("{millilitres:.0} mL"),
        _ => units::write(Volume::from_si(m3), system),
    }
}

/// Why each pressure is what it is, and what is not tested.
/// What is told of all lines together.
pub fn notes(assessment: &Assessment, trial: &ProofTrial, system: System) -> Vec<String> {
    let plan = &assessment.plan;
    let id = |row: &ProofRow| plan.lines[row.line].id.as_str();
    let mut notes = Vec::new();
    let mut grouped: Vec<(String, Vec<&str>)> = Vec::new();
    for row in &trial.rows {
        let ProofPlan::Test(test) = &row.test else { continue };
        let by = format!("{} ({})", test.by, test.pressure.cite);
        match grouped.iter_mut().find(|(text, _)| *text == by) {
            Some((_, ids)) => ids.push(id(row)),
            None => grouped.push((by, vec![id(row)])),
        }
    }
    notes.extend(grouped.iter().map(|(by, ids)| format!("{}: {by}.", ids.join(", "))));
    if grouped.is_empty() {
        notes.push("No line of the plan is proof tested.".into());
    } else {
        notes.push(format!(
            "Pump in and Per K: a full line at {} without air. Of a hose the liquid alone is counted: it takes more (>) and its \
             pressure moves less (<). Bleed until what goes in is near that: air hides a leak and makes a burst dangerous.",
            temperature(trial.temperature.si(), system)
        ));
    }
    notes.extend(most_energy(assessment, trial));
    let sits = |row: &&ProofRow| matches!(&row.test, ProofPlan::Test(test) if !test.bench);
    let in_place: Vec<&str> = trial.rows.iter().filter(sits).map(id).collect();
    if !in_place.is_empty() {
        notes.push(format!(
            "{}: clipped on, so tested in place: shut off, or plug, every component at the ends that does not stand the test.",
            in_place.join(", ")
        ));
    }
    for row in &trial.rows {
        match &row.test {
            ProofPlan::Test(test) => notes.extend(doubts(assessment, id(row), test, system)),
            ProofPlan::Deferred(list) => {
                notes.extend(list.iter().map(|d| deferred::sentence(plan, d)));
            }
            ProofPlan::None(why) => notes.push(format!("{}: no proof test: {why}", id(row))),
            ProofPlan::Open(why) => notes.push(format!("{}: open: {why}", id(row))),
        }
    }
    notes
}

/// Why liquid and not gas, with the figures of the line that would hold most.
fn most_energy(assessment: &Assessment, trial: &ProofTrial) -> Option<String> {
    let tests = trial.rows.iter().filter_map(|row| match &row.test {
        ProofPlan::Test(test) => Some((row.line, test.closed.as_ref().ok()?)),
        _ => None,
    });
    let (line, most) = tests.max_by(|a, b| a.1.gas_j.total_cmp(&b.1.gas_j))?;
    Some(format!(
        "Why liquid: {} at its test pressure holds {:.3} J in liquid{}, and {:.0} J if it were filled with air, as much as \
         10 kg that fall {:.1} m.",
        assessment.plan.lines[line].id,
        most.stored_j,
        if most.wall_counted { "" } else { " (and what its wall holds)" },
        most.gas_j,
        most.gas_j / (10.0 * crate::solve::GRAVITY_M_S2)
    ))
}

fn doubts(assessment: &Assessment, id: &str, test: &ProofTest, system: System) -> Vec<String> {
    let mut doubts = Vec::new();
    match &test.stands {
        None => doubts.push(format!(
            "{id}: open: nothing says what it stands (proof pressure of the hose, yield strength and wall tolerance of the tube)"
        )),
        Some(stands) if test.verdict == Verdict::Fail => doubts.push(format!(
            "{id}: fail: do not test it so: {} is more than the {} that it stands ({}); take a stronger line, or a rule with a \
             lower factor that is right for it",
            gauge(test.pressure.value, system),
            gauge(stands.value, system),
            stands.cite
        )),
        Some(_) => {}
    }
    if !test.unknown.is_empty() {
        let names = test.unknown.iter().filter_map(|c| assessment.facts.cases.get(*c));
        let names: Vec<String> = names.map(|c| format!("\"{}\"", c.name)).collect();
        doubts.push(format!("{id}: open: its pressure in {} is not known", names.join(", ")));
    }
    if let Err(why) = &test.closed {
        doubts.push(format!("{id}: what it takes is not computed: {why}"));
    }
    doubts
}

/// What two readings mean.
fn measured(trial: &ProofTrial, result: &ProofResult, system: System) -> Vec<String> {
    let reading = &result.reading;
    let [from, to] = reading.pressure.map(|p| gauge(p.si(), system));
    let mut lines = vec![format!(
        "{from} to {to} in {}; tight it would show {} at the end",
        minutes(reading.time.si()),
        gauge(result.tight_pa, system)
    )];
    lines.push(stiffness(result, system));
    let leaked = &result.leaked_m3;
    lines.push(format!(
        "what leaked: {}, between {} and {} by the errors; in an hour {}",
        volume(leaked.rate, system),
        volume(leaked.low, system),
        volume(leaked.high, system),
        volume(leaked.rate / reading.time.si() * 3600.0, system)
    ));
    lines.extend(
        result.short_of_pa.map(|wanted| {
            format!("it was not taken up to the {} of the test", gauge(wanted, system))
        }),
    );
    if result.too_short {
        lines.push(format!("held shorter than {}", minutes(trial.hold.value.si())));
    }
    lines.push(match result.verdict {
        Verdict::Ok => "ok: it lost no more than temperature and errors explain".into(),
        Verdict::Fail => {
            "fail: it leaks. Let the pressure off, find the place with card and dry cloth, mend it, test again".into()
        }
        _ if leaked.high < 0.0 => {
            "caution: the pressure rose more than the temperature explains: was the liquid still warming, or a valve open?".into()
        }
        _ => "caution: no leak is seen, but the test cannot pass the line".to_owned(),
    });
    lines
}

fn stiffness(result: &ProofResult, system: System) -> String {
    let room = volume(result.volume_m3, system);
    match result.stiffness {
        Stiffness::Calculated => format!(
            "by liquid and wall of {room}, without air; any air makes the leak larger than this: give --pumped"
        ),
        Stiffness::LiquidAlone => format!(
            "by the liquid in {room} alone; a hose swells, so the leak is larger than this and temperature moves it less: give \
             --pumped. A hose also settles: pump it up again after a minute, then read"
        ),
        Stiffness::Measured(air) => format!(
            "by what was pumped into {room}; if nothing of it were swelling of the hose, {} of air would be in it",
            volume(air, system)
        ),
        Stiffness::Air(air) => {
            format!("{} of air is trapped in {room}, by what was pumped in", volume(air, system))
        }
    }
}

/// The proof tests as a list, one row a line.
pub fn csv(assessment: &Assessment, trial: &ProofTrial) -> String {
    let head = [
        "line",
        "verdict",
        "highest_bar",
        "test_bar",
        "by",
        "where",
        "stands_bar",
        "liquid",
        "volume_ml",
        "pump_in_ml",
        "per_kelvin_bar",
        "why_not",
    ];
    let one = |row: &ProofRow| {
        let mut cells = vec![assessment.plan.lines[row.line].id.clone(), row.verdict().to_string()];
        let bar = |pascal: f64| (pascal / 1e5).to_string();
        let millilitres = |m3: f64| (m3 * 1e6).to_string();
        match &row.test {
            ProofPlan::Test(test) => {
                let closed = test.closed.as_ref();
                let of = |f: &dyn Fn(&ClosedTest) -> String| closed.map_or(String::new(), f);
                cells.extend([
                    bar(test.operating.0),
                    bar(test.pressure.value),
                    test.by.clone(),
                    if test.bench { "bench" } else { "in place" }.to_owned(),
                    test.stands.as_ref().map_or(String::new(), |s| bar(s.value)),
                    test.liquid.clone(),
                    of(&|c| millilitres(c.volume_m3)),
                    of(&|c| millilitres(c.pumped_m3)),
                    of(&|c| bar(c.per_kelvin_pa)),
                    closed.err().cloned().unwrap_or_default(),
                ]);
            }
            ProofPlan::Deferred(list) => {
                let why: Vec<String> =
                    list.iter().map(|d| deferred::sentence(&assessment.plan, d)).collect();
                cells.extend(vec![String::new(); 9]);
                cells.push(why.join(" "));
            }
            ProofPlan::None(why) | ProofPlan::Open(why) => {
                cells.extend(vec![String::new(); 9]);
                cells.push(why.clone());
            }
        }
        cells
    };
    rows(&head, trial.rows.iter().map(one))
}
