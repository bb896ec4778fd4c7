//! The leak test for a person with a hand pump, a gauge and soapy water.

use super::Layout;
use super::caution::{LEAK_TEST, cautions};
use super::deferred;
use super::grid::{Grid, wrapped};
use super::proof_test::{minutes, volume};
use super::spreadsheet::rows;
use super::units::{gauge, in_units, pressure};
use crate::assess::Assessment;
use crate::finding::Verdict;
use crate::trial::leak::{Allowed, Hole, InService, LeakResult, LeakRow, LeakTrial, Loss, Through};
use crate::units::{Quantity, System};

/// The report of `test leak`.
pub fn text(assessment: &Assessment, trial: &LeakTrial, layout: Layout) -> String {
    let plan = &assessment.plan;
    let system = layout.system;
    let mut out = String::new();
    let mut say = |text: &str, indent: usize| {
        out.push_str(&wrapped(&in_units(text, system), layout.width, indent));
    };
    say(&format!("Leak test of {}", plan.name), 0);
    say(LEAK_TEST, 0);
    say(&head(trial, system), 0);
    let mut grid = Grid::new(
        &["Line", "Room", "Pressure", "Vacuum", "Wait", "Seen", "Verdict"],
        &[1, 2, 3, 4, 5],
    );
    let planned = trial.rows.iter().filter(|r| r.deferred.is_empty());
    grid.rows = planned.map(|r| line(assessment, r, system)).collect();
    out.push('\n');
    out.push_str(&grid.to_text(layout.width));
    let mut say = |text: &str, indent: usize| {
        out.push_str(&wrapped(&in_units(text, system), layout.width, indent));
    };
    for text in notes(assessment, trial, system) {
        say(&text, 0);
    }
    for result in &trial.results {
        say(&format!("Measured on {}:", result.reading.lines.join(" and ")), 0);
        for text in measured(assessment, trial, result, system) {
            say(&text, 2);
        }
    }
    out.push('\n');
    for caution in cautions(plan, &assessment.facts) {
        out.push_str(&wrapped(caution, layout.width, 0));
    }
    out
}

fn head(trial: &LeakTrial, system: System) -> String {
    let settled = trial.settle.as_ref().map_or(String::new(), |settle| {
        let hours = settle.value.si() / 3600.0;
        format!("Let it stand at one temperature for {hours:.0} h before ({}). ", settle.cite)
    });
    format!(
        "{settled}Air or nitrogen, never above {} ({}). Read pressure and temperature, wait, read both again; then soap every \
         joint while the pressure is on, whatever the gauge says.",
        gauge(trial.gas_most.value, system),
        trial.gas_most.cite
    )
}

fn line(assessment: &Assessment, row: &LeakRow, system: System) -> Vec<String> {
    let test = row.pressure.as_ref();
    let vacuum = row.vacuum.as_ref();
    let rise = vacuum.and_then(|v| v.rise_pa);
    vec![
        assessment.plan.lines[row.line].id.clone(),
        row.volume_m3.map_or("-".into(), |v| volume(v, system)),
        test.map_or("-".into(), |t| gauge(t.pressure.value, system)),
        vacuum.map_or("-".into(), |v| gauge(-v.depth_pa, system)),
        minutes(row.wait_s),
        rise.map_or("-".into(), |r| pressure(r, system)),
        row.verdict().to_string(),
    ]
}

fn notes(assessment: &Assessment, trial: &LeakTrial, system: System) -> Vec<String> {
    let plan = &assessment.plan;
    let id = |row: &LeakRow| plan.lines[row.line].id.as_str();
    let mut notes = Vec::new();
    if let Some(test) = trial.rows.iter().find_map(|r| r.pressure.as_ref().ok()) {
        notes.push(format!(
            "Pressure: the greater of 3 psi and 1.5 times the head of the liquid ({}).",
            test.pressure.cite
        ));
    }
    if trial.rows.iter().any(|r| r.vacuum.is_some()) {
        notes.push(format!(
            "Vacuum: the deepest suction of all cases. Seen: by how much the gauge comes up in that time if a leak puts {:.1} % \
             of air into what reaches the pump ({}); the gauge must show a good part of that.",
            100.0 * trial.air_most.value,
            trial.air_most.cite
        ));
    }
    for row in &trial.rows {
        notes.extend(row.deferred.iter().map(|d| deferred::sentence(plan, d)));
        if let (Err(why), true) = (&row.pressure, row.deferred.is_empty()) {
            notes.push(format!("{}: no test with pressure: {why}", id(row)));
        }
        let Some(vacuum) = row.vacuum.as_ref().filter(|v| v.verdict == Verdict::Fail) else {
            continue;
        };
        notes.extend(vacuum.stands.as_ref().map(|stands| {
            format!(
                "{}: fail: it works {} below the air and stands {} ({})",
                id(row),
                pressure(vacuum.depth_pa, system),
                pressure(stands.value, system),
                stands.cite
            )
        }));
    }
    let open = |row: &&LeakRow| row.verdict() == Verdict::Open;
    let unknown: Vec<&str> = trial.rows.iter().filter(open).map(id).collect();
    if !unknown.is_empty() {
        notes.push(format!(
            "{}: open: nothing says what vacuum it stands; pull it slowly and stop when it goes flat",
            unknown.join(", ")
        ));
    }
    notes
}

fn measured(
    assessment: &Assessment,
    trial: &LeakTrial,
    result: &LeakResult,
    system: System,
) -> Vec<String> {
    let reading = &result.reading;
    let [from, to] = reading.pressure.map(|p| gauge(p.si(), system));
    let mut lines = vec![
        format!(
            "{from} to {to} in {}, {} of room; tight it would show {} at the end",
            minutes(reading.time.si()),
            volume(result.volume_m3, system),
            gauge(result.tight_pa, system)
        ),
        leak_rate(trial, result),
    ];
    if let Some(hole) = &result.hole {
        lines.push(format!("as one hole: {}", hole_text(trial, hole)));
    } else if let Some(hole) = result.at_most.as_ref().filter(|_| result.leak.high > 0.0) {
        lines.push(format!("the errors could hide {}", hole_text(trial, hole)));
    }
    let named = if result.hole.is_some() { "in service" } else { "such a leak, in service" };
    lines.extend(
        result.service.iter().map(|s| format!("{named}, {}", service(assessment, s, system))),
    );
    lines.extend(result.loss.as_ref().and_then(|loss| lost(loss, system)));
    lines.extend(result.too_short_s.map(|s| format!("the wait is {} at least", minutes(s))));
    lines.extend(result.over_pa.map(|most| {
        format!(
            "fail: gas at more than {}: do not do that again; a strength test is made with liquid",
            gauge(most, system)
        )
    }));
    lines.push(verdict(trial, result));
    lines
}

/// The leak rate in Pa m3/s and as a volume at the pressure of the sea-level air.
fn leak_rate(trial: &LeakTrial, result: &LeakResult) -> String {
    let one = |rate: f64| format!("{:.2e} Pa m3/s ({:.3} mL/min)", rate, millilitres_min(rate));
    format!(
        "leak: {}, between {} and {} by the errors; volumes at {:.0} degC and 1.01325 bar",
        one(result.leak.rate),
        one(result.leak.low),
        one(result.leak.high),
        trial.temperature.si() - 273.15
    )
}

/// A leak rate as a volume at 101325 Pa, mL/min.
pub fn millilitres_min(pa_m3_s: f64) -> f64 {
    pa_m3_s / 101_325.0 * 6e7
}

/// A hole below this is not given a size, mm.
const SMALLEST_MM: f64 = 1e-3;

fn hole_text(trial: &LeakTrial, hole: &Hole) -> String {
    let passage = hole.passage_m.map_or(String::new(), |bore| {
        format!(", or a passage {:.3} mm wide through the wall", bore * 1e3)
    });
    let across = hole.hole_m * 1e3;
    if across < SMALLEST_MM {
        return format!("smaller than {SMALLEST_MM} mm across");
    }
    format!(
        "{across:.3} mm across with a sharp edge ({} of it jet){passage}",
        trial.discharge.value
    )
}

fn service(assessment: &Assessment, service: &InService, system: System) -> String {
    let id = &assessment.plan.lines[service.line].id;
    let case = assessment.facts.cases.get(service.case).map_or("", |c| c.name.as_str());
    let at = pressure(service.over_air_pa.abs(), system);
    match &service.through {
        Through::Air([jet, passage]) => format!(
            "{id} in \"{case}\", {at} below the air: air is {} of what arrives through a hole, {} through a passage",
            percent(*jet),
            percent(*passage)
        ),
        Through::Liquid([jet, passage], share) => {
            let of = share.map_or(String::new(), |[a, b]| {
                format!(" ({} and {} of its flow)", percent(a), percent(b))
            });
            let hour = |q: &f64| volume(q * 3600.0, system);
            format!(
                "{id} in \"{case}\", {at} above the air: {} an hour out of a hole, {} out of a passage{of}",
                hour(jet),
                hour(passage)
            )
        }
    }
}

/// What a sure leak loses in a day and in drops, and what may leak; none where it only lets air in.
fn lost(loss: &Loss, system: System) -> Option<String> {
    if loss.out_m3_s <= 0.0 {
        return None;
    }
    let day = |m3_s: f64| volume(m3_s * 86_400.0, system);
    let drops =
        loss.drops_an_hour().zip(loss.drop_m3.as_ref()).map_or(String::new(), |(n, drop)| {
            format!(" or {n:.1} drops of {} an hour", volume(drop.value, system))
        });
    let may = match &loss.allowed {
        None => "nothing says what may leak".to_owned(),
        Some(Allowed::Nothing) => "fuel may not leak at all".to_owned(),
        Some(Allowed::Planned(most)) => format!("the plan allows {} a day", day(most.value)),
        Some(Allowed::Tabled(most)) => {
            format!(
                "the plan does not say what may leak, {} a day is the most ({})",
                day(most.value),
                most.cite
            )
        }
    };
    Some(format!("that is up to {} a day{drops}; {may}", day(loss.out_m3_s)))
}

fn percent(share: f64) -> String {
    if share < 1e-4 { "under 0.01 %".into() } else { format!("{:.2} %", 100.0 * share) }
}

fn verdict(trial: &LeakTrial, result: &LeakResult) -> String {
    match result.verdict {
        Verdict::Ok if result.leak.low > 0.0 => {
            "ok: it leaks, and within all errors no more than the plan allows".into()
        }
        Verdict::Ok => "ok: it lost no more than temperature and errors explain".into(),
        Verdict::Fail if result.leak.low > 0.0 => {
            "fail: it leaks. Find the place with soapy water, mend it, test again".into()
        }
        Verdict::Fail => "fail".into(),
        _ if result.leak.low > 0.0 => {
            "caution: it leaks, but little. Mark the place, wipe it dry, look again after the first hours, and mend it if it \
             grows"
                .into()
        }
        _ if result.leak.high < 0.0 => {
            "caution: the pressure went the other way than a leak and temperature explain: read the gas temperature again, and the \
             barometer"
                .into()
        }
        _ => format!(
            "caution: no leak is certain, but the test could hide one that is not small ({:.1} % of air before a pump): wait \
             longer, read finer, or keep the temperature",
            100.0 * trial.air_most.value
        ),
    }
}

/// The leak tests as a list, one row a line.
pub fn csv(assessment: &Assessment, trial: &LeakTrial) -> String {
    let head = [
        "line",
        "verdict",
        "volume_ml",
        "pressure_bar",
        "vacuum_bar",
        "wait_s",
        "seen_bar",
        "why_not",
    ];
    let number = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
    let one = |row: &LeakRow| {
        let why: Vec<String> =
            row.deferred.iter().map(|d| deferred::sentence(&assessment.plan, d)).collect();
        let why = if why.is_empty() {
            row.pressure.as_ref().err().cloned().unwrap_or_default()
        } else {
            why.join(" ")
        };
        let planned = row.deferred.is_empty();
        vec![
            assessment.plan.lines[row.line].id.clone(),
            row.verdict().to_string(),
            number(row.volume_m3.map(|v| v * 1e6)),
            number(row.pressure.as_ref().ok().map(|t| t.pressure.value / 1e5)),
            number(row.vacuum.as_ref().map(|v| v.depth_pa / 1e5)),
            number(planned.then_some(row.wait_s)),
            number(row.vacuum.as_ref().and_then(|v| v.rise_pa).map(|r| r / 1e5)),
            why,
        ]
    };
    rows(&head, trial.rows.iter().map(one))
}
