//! Hoses and end fittings that the builder describes because no table has them.

use super::{Given, positive, shape};
use crate::document::{Placed, Section};
use crate::source::{Cite, Sourced, Standing};
use crate::table::end::{End, Gender};
use crate::table::hose::{BendDatum, DroopTest, HeatRule, Hose};
use crate::units::{
    Angle, GaugePressure, Length, LinearMass, Mass, PressureDifference, Quantity, Ratio,
    Temperature,
};

/// The citation of a figure typed into a section, by its own `source` and `standing`.
pub fn cite(section: &Section<'_>, what: &str) -> Cite {
    let words: Vec<(&'static str, &'static str)> =
        shape::STANDINGS.iter().map(|s| (*s, *s)).collect();
    let standing = section
        .choice("standing", &words)
        .and_then(|w| Standing::from_word(w.value))
        .unwrap_or(Standing::Plan);
    let text = section.words("source").map_or(what.to_owned(), |s| s.value);
    Cite::new(format!("the plan: {text}"), standing)
}

/// Reads all `[[hose]]`.
pub fn read_hoses(root: &Section<'_>) -> Vec<Hose> {
    let mut hoses: Vec<Hose> = Vec::new();
    let mut given = Given::new("hose");
    for section in root.sections("hose", &shape::HOSE) {
        let hose = read_hose(&section);
        let Some(id) = section.id("id") else { continue };
        given.is_new(&section, &id);
        hoses.push(Hose { label: id.value, ..hose });
    }
    hoses
}

fn read_hose(section: &Section<'_>) -> Hose {
    let cite = cite(section, "hose");
    let sourced = |value: Placed<Length>| Sourced::new(value.value, cite.clone());
    let length = |key: &str| positive::<Length>(section, key).map(sourced);
    let pressure = |key: &str| {
        positive::<GaugePressure>(section, key).map(|p| Sourced::new(p.value, cite.clone()))
    };
    let words = |key: &str| section.words(key).map(|w| Sourced::new(w.value, cite.clone()));
    let heat = |key: &str| {
        section.quantity::<Temperature>(key).map(|t| Sourced::new(t.value, cite.clone()))
    };
    let share = |key: &str| {
        section.quantity::<Ratio>(key).map(|r| Sourced::new(r.value.si(), cite.clone()))
    };
    let bore = length("bore");
    let outside = length("outside");
    if let (Some(bore), Some(outside)) = (&bore, &outside)
        && bore.value.si() >= outside.value.si()
    {
        section.reader().problem(
            &section.place("outside"),
            "the bore of the hose is not smaller than its outside",
            "no wall",
            vec!["the outside must be more than the bore".into()],
        );
    }
    Hose {
        label: String::new(),
        row: None,
        bore,
        outside,
        working: pressure("working"),
        proof: pressure("proof"),
        burst: pressure("burst"),
        bend_radius: length("bend_radius"),
        bend_to: bend_to(section),
        vacuum: positive::<PressureDifference>(section, "vacuum")
            .map(|v| Sourced::new(v.value, cite.clone())),
        mass: positive::<LinearMass>(section, "mass").map(|m| Sourced::new(m.value, cite.clone())),
        droop_test: droop_test(section),
        end_bore: length("end_bore"),
        liner: words("liner"),
        temperature_min: heat("temperature_min"),
        temperature_max: heat("temperature_max"),
        heat_rule: Sourced::new(heat_rule(section), cite.clone()),
        length_change_min: share("length_change_min"),
        length_change_max: share("length_change_max"),
        surface: words("surface"),
        fire: words("fire"),
    }
}

/// How far a piece of the hose hung down; its mass makes a stiffness of that.
fn droop_test(section: &Section<'_>) -> Option<DroopTest> {
    let test = section.section("droop_test", &shape::DROOP_TEST)?;
    let overhang = positive::<Length>(&test, "overhang");
    let droop = positive::<Length>(&test, "droop");
    if !section.has("mass") {
        let message = "a droop test tells nothing without the mass of the hose";
        let help = vec!["weigh a metre of it: mass = \"0.35 kg/m\"".into()];
        section.reader().problem(&section.place("droop_test"), message, "no mass", help);
    }
    let (overhang, droop) = (overhang?, droop?);
    // Hanging straight down would be all of it; beyond nine tenths nothing can be read off.
    let share = droop.value.si() / overhang.value.si();
    if !(0.001..=0.9).contains(&share) {
        let message = "the droop must be between a thousandth and nine tenths of the overhang";
        let help = vec!["let more of the hose hang out, or less".into()];
        section.reader().problem(&droop.span, message, "tells nothing", help);
    }
    Some(DroopTest { overhang: overhang.value, droop: droop.value })
}

fn bend_to(section: &Section<'_>) -> BendDatum {
    let words = [("inside", BendDatum::Inside), ("centre-line", BendDatum::CentreLine)];
    section.choice("bend_to", &words).map_or(BendDatum::NotSaid, |b| b.value)
}

fn heat_rule(section: &Section<'_>) -> HeatRule {
    let pairs = section.pairs::<Temperature, Ratio>("derate");
    if section.has("derate") {
        if pairs.len() == section.array("derate").len() {
            check_curve(section, &pairs);
        }
        return HeatRule::Curve(pairs.into_iter().map(|(t, r)| (t.value, r.value.si())).collect());
    }
    match section.flag("full_pressure_when_hot") {
        Some(true) => HeatRule::WholeRange,
        Some(false) => HeatRule::NotTogether,
        None => HeatRule::NotSaid,
    }
}

/// A curve has two points or more, with rising temperature.
fn check_curve(section: &Section<'_>, pairs: &[(Placed<Temperature>, Placed<Ratio>)]) {
    let falls = pairs.windows(2).find_map(|pair| match pair {
        [(before, _), (after, _)] if after.value.si() <= before.value.si() => Some(&after.span),
        _ => None,
    });
    let over = pairs.iter().find(|(_, share)| !(0.0..=1.0).contains(&share.value.si()));
    if let Some((_, share)) = over {
        section.reader().problem(
            &share.span,
            "a share of derate lies between 0 % and 100 %",
            "not a share of the cold pressure",
            vec!["type the cold pressure in as working".into()],
        );
    }
    let short = (pairs.len() < 2).then(|| section.place("derate"));
    if let Some(span) = falls.cloned().or(short) {
        section.reader().problem(
            &span,
            "derate needs two or more points with rising temperature",
            "not a curve",
            vec!["for example [[\"20 degC\", \"100 %\"], [\"120 degC\", \"60 %\"]]".into()],
        );
    }
}

/// Reads all `[[end]]`.
pub fn read_ends(root: &Section<'_>) -> Vec<(String, End)> {
    let mut ends: Vec<(String, End)> = Vec::new();
    let mut given = Given::new("end");
    for section in root.sections("end", &shape::END) {
        let end = read_end(&section);
        let Some(id) = section.id("id") else { continue };
        given.is_new(&section, &id);
        ends.push((id.value.clone(), End { label: id.value, ..end }));
    }
    ends
}

/// An end; what has a fault is made up, so that its lines are not reported as well.
fn read_end(section: &Section<'_>) -> End {
    let cite = cite(section, "end");
    let sourced = |l: Placed<Length>| Sourced::new(l.value, cite.clone());
    let angle = section.quantity::<Angle>("angle");
    let radians = angle.as_ref().map_or(0.0, |a| a.value.si());
    if !(0.0..=core::f64::consts::FRAC_PI_2 + 1e-9).contains(&radians) {
        section.reader().problem(
            &section.place("angle"),
            "an end has an angle from 0 to 90 degrees",
            "out of range",
            vec!["angle = \"45 deg\" or \"90 deg\"".into()],
        );
    }
    if radians > 1e-9 && !section.has("drop") {
        section.reader().absence(
            &section.header(),
            "an angled [[end]] needs the key \"drop\"",
            vec!["drop = \"30 mm\": from the hose axis to the seat, square to the hose".into()],
        );
    }
    let drop = positive::<Length>(section, "drop").map(sourced);
    let cut_off = section.quantity::<Length>("cut_off").map(sourced);
    let bore = positive::<Length>(section, "bore").map(sourced);
    let gender = section.choice("gender", &Gender::WORDS).map(|g| g.value);
    let attached: Vec<(&str, &str)> = End::ATTACHED.iter().map(|a| (*a, *a)).collect();
    let attached = section.choice("attached", &attached).map(|a| a.value.to_owned());
    End {
        label: String::new(),
        table: None,
        family: section.name("family").map(|f| f.value).unwrap_or_default(),
        size: section.words("size").map(|s| s.value).unwrap_or_default(),
        gender,
        angle: Angle::from_si(radians),
        cut_off,
        drop,
        bore,
        mass: positive::<Mass>(section, "mass").map(|m| Sourced::new(m.value, cite.clone())),
        wetted: section.words("wetted").map(|w| Sourced::new(w.value, cite.clone())),
        attached: attached.map(|a| Sourced::new(a, cite.clone())),
    }
}
