//! Rated and derated pressure, temperature range, vacuum, and the materials that touch the fluid.

use super::hydraulics::DutyFacts;
use crate::curve::{Curve, CurveError};
use crate::plan::{Carrier, Line, Plan, Tube};
use crate::rating::tube::{TubeSection, tube_rating};
use crate::source::{Cite, Sourced};
use crate::table::hose::{HeatRule, Hose};
use crate::table::{Row, Tables, limit};
use crate::units::{Quantity, Stress, Temperature};

/// Share of the rated pressure that is left at a temperature.
#[derive(Clone, Debug)]
pub enum Share {
    /// Known.
    Known(Sourced<f64>),
    /// Not known, and why.
    Unknown(String, Cite),
}

/// A wetted material and how it bears the fluid.
#[derive(Clone, Debug)]
pub struct MaterialFacts {
    /// Which part, in words.
    pub part: String,
    /// The material; none when the plan and the tables do not say.
    pub material: Option<String>,
    /// Rating word of the compatibility table.
    pub rating: Option<Sourced<String>>,
    /// What that table adds.
    pub note: Option<String>,
}

/// The ratings of one line.
#[derive(Debug)]
pub struct RatingFacts {
    /// Working pressure at room temperature, Pa gauge.
    pub rated_pa: Option<Sourced<f64>>,
    /// Share of it at the hottest duty.
    pub share: Option<Share>,
    /// The hottest duty, K.
    pub hottest_k: Option<f64>,
    /// The coldest duty, K.
    pub coldest_k: Option<f64>,
    /// Coldest service, K.
    pub temperature_min: Option<Sourced<f64>>,
    /// Hottest service, K.
    pub temperature_max: Option<Sourced<f64>>,
    /// Pressure below ambient it stands, Pa; a rigid tube stands all there is.
    pub vacuum_pa: Option<Sourced<f64>>,
    /// Proof pressure, Pa gauge.
    pub proof_pa: Option<Sourced<f64>>,
    /// Burst pressure, Pa gauge.
    pub burst_pa: Option<Sourced<f64>>,
    /// Every wetted material.
    pub materials: Vec<MaterialFacts>,
    /// Fire class of the carrier in words.
    pub fire: Option<Sourced<String>>,
    /// Whether the line is a rigid tube.
    pub rigid: bool,
}

impl RatingFacts {
    /// Working pressure at the hottest duty, Pa gauge.
    pub fn derated_pa(&self) -> Option<Sourced<f64>> {
        let rated = self.rated_pa.as_ref()?;
        let Some(Share::Known(share)) = &self.share else {
            return None;
        };
        let cite = if share.value < 1.0 { rated.cite.and(&share.cite) } else { rated.cite.clone() };
        Some(Sourced::new(rated.value * share.value, cite))
    }
}

/// The ratings of a line.
pub fn solve(plan: &Plan, tables: &Tables, line: &Line, duties: &[DutyFacts]) -> RatingFacts {
    let temperatures = || duties.iter().map(|d| d.temperature_k);
    let hottest_k = temperatures().reduce(f64::max);
    let coldest_k = temperatures().reduce(f64::min);
    let materials = materials(plan, tables, line);
    let mut facts = match &line.carrier {
        Carrier::Hose(hose) => hose_rating(hose, hottest_k),
        Carrier::Tube(tube) => tube_rating_facts(tables, tube, hottest_k),
    };
    facts.coldest_k = coldest_k;
    facts.materials = materials;
    facts
}

fn hose_rating(hose: &Hose, hottest_k: Option<f64>) -> RatingFacts {
    let kelvin = |t: &Sourced<Temperature>| Sourced::new(t.value.si(), t.cite.clone());
    let pascal =
        |p: &Sourced<crate::units::GaugePressure>| Sourced::new(p.value.si(), p.cite.clone());
    RatingFacts {
        rated_pa: hose.working.as_ref().map(pascal),
        share: hottest_k.map(|k| hose_share(hose, k)),
        hottest_k,
        coldest_k: None,
        temperature_min: hose.temperature_min.as_ref().map(kelvin),
        temperature_max: hose.temperature_max.as_ref().map(kelvin),
        vacuum_pa: hose.vacuum.clone().map(|v| v.map(Quantity::si)),
        proof_pa: hose.proof.as_ref().map(pascal),
        burst_pa: hose.burst.as_ref().map(pascal),
        materials: Vec::new(),
        fire: hose.fire.clone(),
        rigid: false,
    }
}

fn hose_share(hose: &Hose, hottest_k: f64) -> Share {
    let cite = hose.heat_rule.cite.clone();
    match &hose.heat_rule.value {
        HeatRule::WholeRange
            if hose.temperature_max.as_ref().is_some_and(|max| hottest_k > max.value.si()) =>
        {
            Share::Unknown("the hose is hotter than its range".into(), cite)
        }
        HeatRule::WholeRange => Share::Known(Sourced::new(1.0, cite)),
        HeatRule::NotTogether => Share::Unknown(
            "the document says that highest pressure and highest temperature must not meet, and gives no factor".into(),
            cite,
        ),
        HeatRule::NotSaid => {
            Share::Unknown("no rule is known for this hose when it is hot".into(), cite)
        }
        HeatRule::Curve(points) => {
            let points = points.iter().map(|(t, share)| (t.si(), *share)).collect();
            match Curve::new(points).and_then(|c| c.linear(hottest_k)) {
                Ok(share) => Share::Known(Sourced::new(share, cite)),
                Err(error) => Share::Unknown(off_the_curve("the derating curve", &error), cite),
            }
        }
    }
}

fn tube_rating_facts(tables: &Tables, tube: &Tube, hottest_k: Option<f64>) -> RatingFacts {
    let curve = allowable(tables, &tube.material);
    let room = Temperature::from_si(293.15).si();
    let top =
        curve.as_ref().and_then(|c| c.value.last().map(|p| Sourced::new(p.0, c.cite.clone())));
    let cite = tube.outside.cite.clone();
    RatingFacts {
        rated_pa: tube_rated(tables, tube),
        share: hottest_k.map(|k| tube_share(curve.as_ref(), k.max(room), &cite)),
        hottest_k,
        coldest_k: None,
        temperature_min: None,
        temperature_max: top,
        vacuum_pa: None,
        proof_pa: None,
        burst_pa: None,
        materials: Vec::new(),
        fire: Some(Sourced::new(format!("rigid tube of {}", tube.material), cite)),
        rigid: true,
    }
}

/// Working pressure of a rigid tube: thick-wall stress at the bore, proof against yield and burst
/// against ultimate strength, the wall at the bottom of its tolerance.
fn tube_rated(tables: &Tables, tube: &Tube) -> Option<Sourced<f64>> {
    let factors = limit::design_factor(tables, "aeroplane-tube-and-fittings")?;
    let (proof, burst) = (factors.proof?, factors.burst?);
    let (strength, ultimate) =
        (tube.strength.yield_strength.as_ref()?, tube.strength.ultimate.as_ref()?);
    let tolerance = tube.wall_tolerance.as_ref();
    let section = TubeSection {
        outside_mm: tube.outside.value.si() * 1e3,
        wall_mm: tube.wall.value.si() * 1e3,
        outside_over_mm: 0.0,
        wall_under_fraction: tolerance?.value,
    };
    let rating =
        tube_rating(&section, strength.value.si(), ultimate.value.si(), proof.value, burst.value)
            .ok()?;
    Some(Sourced::new(rating.rated_pa, strength.cite.and(&proof.cite)))
}

/// Allowable stress of a tube material against temperature, K and Pa.
fn allowable(tables: &Tables, material: &str) -> Option<Sourced<Vec<(f64, f64)>>> {
    for name in tables.names("derate") {
        let table = tables.get("derate", name)?;
        let of_material = |row: &&Row| row.cells.get("material").is_some_and(|c| c.says(material));
        let points: Vec<(f64, f64)> = table
            .rows
            .iter()
            .filter(of_material)
            .filter_map(|row| {
                let temperature = table.quantity::<Temperature>(row, "temperature")?.value.si();
                Some((temperature, table.quantity::<Stress>(row, "allowable")?.value.si()))
            })
            .collect();
        if let Some(row) = table.rows.iter().find(of_material)
            && points.len() > 1
        {
            return Some(Sourced::new(points, table.cite(row)));
        }
    }
    None
}

/// Why a curve over temperature says nothing, in degrees that a builder reads.
fn off_the_curve(curve: &str, error: &CurveError) -> String {
    let CurveError::Outside { asked, low, high } = error else {
        return format!("{curve}: {error}");
    };
    let [asked, low, high] = [asked, low, high].map(|kelvin| kelvin - 273.15);
    format!("{curve} runs from {low:.0} degC to {high:.0} degC, and not to {asked:.0} degC")
}

fn tube_share(curve: Option<&Sourced<Vec<(f64, f64)>>>, kelvin: f64, cite: &Cite) -> Share {
    let unknown = |why: String| Share::Unknown(why, cite.clone());
    let Some(curve) = curve else {
        return unknown("no stress against temperature is known for this material".into());
    };
    let (Some(first), Ok(line)) = (curve.value.first(), Curve::new(curve.value.clone())) else {
        return unknown("the derating table has too few points".into());
    };
    match line.linear(kelvin.max(first.0)) {
        Ok(stress) => Share::Known(Sourced::new(stress / first.1, curve.cite.clone())),
        Err(error) => unknown(off_the_curve("the derating table", &error)),
    }
}

fn materials(plan: &Plan, tables: &Tables, line: &Line) -> Vec<MaterialFacts> {
    let class = plan.fluids[line.fluid].fluid.class.clone();
    let mut parts: Vec<(String, Option<String>)> = Vec::new();
    match &line.carrier {
        Carrier::Hose(hose) => {
            parts.push(("liner".into(), hose.liner.as_ref().map(|l| l.value.clone())));
        }
        Carrier::Tube(tube) => {
            let material = tube.strength.wetted.as_ref().map(|w| w.value.clone());
            parts.push(("tube".into(), material));
        }
    }
    for (end, name) in line.ends.iter().zip(["end A", "end B"]) {
        if let Some(end) = end {
            parts.push((name.into(), end.wetted.as_ref().map(|w| w.value.clone())));
        }
    }
    for reference in [&line.from, &line.to] {
        let (component, _) = plan.port(reference);
        // A vent is where a line ends in the open.
        if component.wetted.is_empty() && component.kind != "vent" {
            parts.push((component.id.clone(), None));
        }
        for material in &component.wetted {
            parts.push((component.id.clone(), Some(material.clone())));
        }
    }
    parts
        .into_iter()
        .map(|(part, material)| {
            let row = material.as_deref().zip(class.as_deref());
            let found = row.and_then(|(m, c)| compatibility(tables, m, c));
            let (rating, note) = found.map_or((None, None), |(r, n)| (Some(r), n));
            MaterialFacts { part, material, rating, note }
        })
        .collect()
}

/// The word of the compatibility table for a material and a class of fluid, and what the table adds.
pub fn compatibility(
    tables: &Tables,
    material: &str,
    class: &str,
) -> Option<(Sourced<String>, Option<String>)> {
    let table = tables.get("compatibility", "hose-materials")?;
    let speaks = |row: &&Row| {
        let cell = |name: &str| row.cells.get(name);
        cell("material").is_some_and(|c| c.says(material))
            && cell("fluid_classes").is_some_and(|c| c.lists(class))
    };
    let row = table.rows.iter().find(speaks)?;
    Some((table.words(row, "rating")?, row.note.clone()))
}
