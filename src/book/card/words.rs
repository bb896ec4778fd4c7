//! What a card says, in words: one statement a line.

use super::{Card, band, work};
use crate::book::short_digest;
use crate::plan::Carrier;
use crate::report::steps::number_words;
use crate::solve::makeup::MakeupFacts;
use crate::units::{Length, Quantity, System, inch_fraction};

/// Parts of an inch on the rule of a workshop.
const INCH_PARTS: u32 = 32;

/// Everything that a card tells its reader to do, without number, edition and findings: as long as these statements
/// stay the same, so does what was signed.
pub fn statements(card: &Card<'_>) -> Vec<String> {
    let (planned, facts) = (card.planned(), card.facts());
    let mut lines = vec![title(card), route(card), fluid(card)];
    lines.extend(band::words(card));
    lines.push(carrier(card));
    lines.extend([0, 1].map(|end| format!("end {}: {}", ["A", "B"][end], end_words(card, end))));
    match &facts.makeup {
        Ok(makeup) => lines.extend(lengths(card, makeup)),
        Err(why) => lines.push(format!("cut length open: {why}")),
    }
    lines.extend(clips(card));
    lines.extend(planned.sleeves.iter().map(|sleeve| {
        format!("{} sleeve from {:.0} to {:.0} mm", sleeve.kind, sleeve.start_mm, sleeve.end_mm)
    }));
    lines.extend(bends(card));
    lines.extend(steps(card));
    lines.extend(work::blanks(card).into_iter().map(|(what, right)| format!("{what}: {right}")));
    lines
}

/// The statements of a card as one text, one a line.
pub fn said(card: &Card<'_>) -> String {
    statements(card).join("\n")
}

/// The code of a card: the digest of what it says, short.
pub fn code(card: &Card<'_>) -> String {
    code_of(&said(card))
}

/// The code of a card that says this.
pub fn code_of(said: &str) -> String {
    short_digest(said)
}

fn title(card: &Card<'_>) -> String {
    let planned = card.planned();
    match &planned.name {
        Some(name) => format!("{}, {name}", planned.id),
        None => planned.id.clone(),
    }
}

fn route(card: &Card<'_>) -> String {
    let [a, b] = [0, 1].map(|end| format!("{} ({})", port(card, end), full_name(card, end)));
    format!("A at {a}, B at {b}")
}

/// What stands at an end, in the builder's words.
pub fn full_name<'a>(card: &Card<'a>, end: usize) -> &'a str {
    let planned = card.planned();
    let reference = if end == 0 { &planned.from } else { &planned.to };
    let component = card.plan.port(reference).0;
    component.name.as_ref().unwrap_or(&component.kind)
}

/// The port at end A (0) or B (1) as `COMPONENT.PORT`.
pub fn port(card: &Card<'_>, end: usize) -> String {
    let planned = card.planned();
    let reference = if end == 0 { &planned.from } else { &planned.to };
    card.plan.port_name(reference)
}

fn fluid(card: &Card<'_>) -> String {
    let plan = card.plan;
    let planned = card.planned();
    let fluid = &plan.fluids[planned.fluid];
    format!(
        "{} ({}), {}, system {}",
        fluid.id,
        fluid.fluid.use_,
        planned.service.word(),
        planned.system
    )
}

fn carrier(card: &Card<'_>) -> String {
    let facts = card.facts();
    let bore =
        facts.bore.as_ref().map_or("bore open".to_owned(), |b| format!("bore {:.1} mm", b.value));
    let outside = facts
        .outside
        .as_ref()
        .map_or("outside open".to_owned(), |o| format!("outside {:.1} mm", o.value));
    let what = match card.planned().carrier {
        Carrier::Hose(_) => "hose",
        Carrier::Tube(_) => "tube",
    };
    format!("{what} {}, {bore}, {outside}", facts.carrier)
}

/// What an end is made with, or how far the hose goes over its spigot.
pub fn end_words(card: &Card<'_>, end: usize) -> String {
    let Some(fitting) = &card.planned().ends[end] else {
        let planned = card.planned();
        let reference = if end == 0 { &planned.from } else { &planned.to };
        let port = card.plan.port(reference).1;
        let on = port
            .end
            .insertion
            .map_or("depth open".to_owned(), |i| format!("{:.0} mm on", i.si() * 1e3));
        return format!("pushed over the spigot, {on}");
    };
    let cut_off = fitting
        .cut_off
        .as_ref()
        .map_or("cut-off open".to_owned(), |c| format!("cut-off {:.1} mm", c.value.si() * 1e3));
    let angle = fitting.angle.si().to_degrees();
    let bent = if angle > 0.05 { format!(", {angle:.0} deg") } else { String::new() };
    format!("{}, {}{bent}, {cut_off}", fitting.label, fitting.family)
}

fn lengths(card: &Card<'_>, makeup: &MakeupFacts) -> Vec<String> {
    let cut_mm = makeup.cut.cut_mm;
    let fraction = inch_fraction(Length::from_si(cut_mm / 1e3), INCH_PARTS);
    let tolerance = card
        .plan
        .tolerances
        .cut_mm
        .map_or(", tolerance open".to_owned(), |t| format!(" \u{b1} {t:.1} mm"));
    let mut lines = vec![
        format!(
            "CUT {cut_mm:.0} mm{tolerance} ({fraction}, {:+.1} mm; {:.3} in), {}",
            fraction.error_mm,
            cut_mm / 25.4,
            of_ends(makeup)
        ),
        format!("assembly {:.0} mm, {}", makeup.cut.assembly_mm, window(card, makeup)),
    ];
    if matches!(card.planned().carrier, Carrier::Hose(_)) {
        lines.push(format!("slack {:.1} %", makeup.cut.slack_percent));
    }
    if let Ok(Some(clock)) = &makeup.clock {
        let within = clock.tolerance.as_ref().map_or(", tolerance open".to_owned(), |t| {
            format!(" \u{b1} {:.0} deg", t.value.to_degrees())
        });
        let angle = clock.angle_rad.to_degrees();
        lines.push(format!(
            "clock angle {angle:.0} deg{within}, from A to B counter-clockwise seen from A"
        ));
    }
    lines
}

/// What the assembly measures beyond the bare hose.
pub fn of_ends(makeup: &MakeupFacts) -> String {
    let spare_mm = makeup.cut.assembly_mm - makeup.cut.cut_mm;
    if spare_mm >= 0.0 {
        format!("{spare_mm:.0} mm of ends")
    } else {
        format!("{:.0} mm of it on the spigots", -spare_mm)
    }
}

/// The lengths of assembly that are right, seat to seat.
pub fn window(card: &Card<'_>, makeup: &MakeupFacts) -> String {
    match (&card.planned().carrier, card.facts().longest_mm()) {
        (Carrier::Tube(_), _) => "seat to seat".to_owned(),
        (Carrier::Hose(_), Some(longest)) => {
            format!("right from {:.0} to {longest:.0} mm seat to seat", makeup.cut.shortest_mm)
        }
        (Carrier::Hose(_), None) => {
            format!("at least {:.0} mm seat to seat", makeup.cut.shortest_mm)
        }
    }
}

fn clips(card: &Card<'_>) -> Option<String> {
    let stations = held_mm(card);
    if stations.is_empty() {
        return None;
    }
    let list: Vec<String> = stations.iter().map(|s| format!("{s:.0}")).collect();
    Some(format!("clips at {} mm from A", list.join(", ")))
}

/// Where clips hold the line, mm from A along its path; none where there is no route.
pub fn held_mm<'a>(card: &Card<'a>) -> &'a [f64] {
    let geometry = card.facts().geometry.as_ref().ok();
    let stations = geometry.map_or(&[][..], |g| &g.support.stations_mm[..]);
    match stations {
        [_, held @ .., _] => held,
        _ => &[],
    }
}

/// The figures of the steps; what is done without a figure is the same for every line of its kind.
fn steps(card: &Card<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    for group in card.steps().groups {
        for step in group.steps.iter().flatten() {
            if let Some(Ok(number)) = &step.number {
                lines.push(format!(
                    "{}, {}: {}",
                    group.name,
                    number.name,
                    number_words(number, System::Metric)
                ));
            }
        }
    }
    lines
}

fn bends(card: &Card<'_>) -> Vec<String> {
    let tube = match &card.facts().tube {
        None => return Vec::new(),
        Some(Err(why)) => return vec![format!("bends open: {why}")],
        Some(Ok(tube)) => tube,
    };
    let side = tube.side();
    let mut lines = Vec::new();
    for (index, row) in side.rows.iter().enumerate() {
        let mark = match &side.marks_mm {
            Ok(marks) => {
                marks.get(index).map_or("mark open".to_owned(), |m| format!("mark {m:.1} mm"))
            }
            Err(_) => "mark open".to_owned(),
        };
        let set = row
            .set
            .as_ref()
            .map_or("set open".to_owned(), |s| format!("set {:.1} deg", s.angle_deg));
        let (turn, bend) = (row.bend.rotation_rad.to_degrees(), row.bend.angle_rad.to_degrees());
        lines.push(format!(
            "bend {} from {}: {mark}, turn {turn:.0} deg, {set} for {bend:.1} deg",
            index + 1,
            side.end
        ));
    }
    lines
}
