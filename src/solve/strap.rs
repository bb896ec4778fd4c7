//! Straps: the flat strip, its bends and holes, how it springs back, and the order of work.

use std::f64::consts::PI;

use crate::makeup::MakeupError;
use crate::makeup::sheet::bend::{
    BendArea, SheetBend, TestBend, allowance_mm, flat_strip, handbook_allowance_mm, k_of_test_bend,
    sight_mm,
};
use crate::makeup::sheet::springback::{Strip, bent_radius_mm};
use crate::makeup::sheet::strap::{Body, Chain, Lay, StrapBend, band, saddle};
use crate::plan::{Ends, Plan, Round, Strap};
use crate::source::{Cite, Sourced, Standing};
use crate::table::{Tables, limit};

/// What is drawn round a body is that much thinner than its radius that the middle keeps its length.
const MID_LINE: f64 = 0.5;

/// Where `k` comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KBy {
    /// The test bend of the plan.
    TestBend,
    /// The figure of the plan.
    Given,
    /// Neither: the formula of the handbooks stands in.
    Handbook,
}

/// Where the neutral layer lies.
#[derive(Clone, Debug)]
pub struct KFacts {
    /// Where it comes from.
    pub by: KBy,
    /// The figure; none for the formula of the handbooks.
    pub used: Option<f64>,
    /// What the test bend gives, believed or not.
    pub tested: Option<Result<f64, String>>,
    /// Between what a test bend is believed.
    pub believed: Option<Sourced<[f64; 2]>>,
    /// Whether there is a test bend that is not believed.
    pub measure_again: bool,
    /// Where it comes from, in words.
    pub cite: Cite,
}

/// How to bend so that the wanted bend is left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overbend {
    /// Inside radius to bend to, mm.
    pub inside_mm: f64,
    /// Angle to bend to.
    pub angle_rad: f64,
}

/// A bend on the flat strip.
#[derive(Clone, Debug)]
pub struct FlatBend {
    /// What it is when finished.
    pub bend: StrapBend,
    /// Where it lies, from end A.
    pub area: BendArea,
    /// Flat length that goes into it, mm.
    pub allowance_mm: f64,
    /// How to bend it, or why that is not known.
    pub overbend: Result<Overbend, String>,
    /// Where it is put under the front of the nose of a brake, from end A, mm: the part towards the middle of the strip is
    /// clamped. None of what is drawn round, and of half turns.
    pub sight_mm: Option<f64>,
}

/// A hole on the flat strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlatHole {
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// From end A to its centre, mm.
    pub from_a_mm: f64,
    /// From its centre to the nearest edge, mm.
    pub edge_mm: f64,
    /// From its rim to the nearest bend over an edge, mm; below zero where it lies in one.
    pub bend_mm: Option<f64>,
}

/// A flat strip.
#[derive(Clone, Debug)]
pub struct FlatFacts {
    /// Its length, mm.
    pub length_mm: f64,
    /// Straights of the finished strap, mm.
    pub straights_mm: Vec<f64>,
    /// Its bends from end A.
    pub bends: Vec<FlatBend>,
    /// Its holes.
    pub holes: Vec<FlatHole>,
    /// What to do, in order.
    pub operations: Vec<String>,
}

/// All that was calculated for a strap.
#[derive(Clone, Debug)]
pub struct StrapFacts {
    /// Where the neutral layer lies.
    pub k: KFacts,
    /// The flat strip, or why there is none.
    pub flat: Result<FlatFacts, String>,
    /// The least inside radius that a right-angle bend in it may have, mm, or why that is not known.
    pub least_bend_mm: Result<Sourced<f64>, String>,
}

/// Calculates the straps of a plan, in its order.
pub fn solve(plan: &Plan, tables: &Tables) -> Vec<StrapFacts> {
    let one = |strap: &Strap| {
        let k = neutral_layer(strap, tables);
        let flat = flat(strap, &k);
        StrapFacts { k, flat, least_bend_mm: least_bend_mm(strap, tables) }
    };
    plan.straps.iter().map(one).collect()
}

fn least_bend_mm(strap: &Strap, tables: &Tables) -> Result<Sourced<f64>, String> {
    let metal = strap.metal.as_ref().ok_or("the plan does not say its metal")?;
    let found = limit::sheet_bend_mm(tables, metal, strap.thickness_mm);
    found.ok_or_else(|| {
        let metals = limit::sheet_metals(tables);
        if metals.contains(metal) {
            return format!("limit/sheet-bend has no {metal} so thick");
        }
        format!("limit/sheet-bend does not know {metal}; it knows {}", metals.join(", "))
    })
}

fn neutral_layer(strap: &Strap, tables: &Tables) -> KFacts {
    let tested = strap.test_bend.map(|test| {
        let bend = SheetBend {
            angle_rad: test.angle_rad,
            inside_mm: strap.bend_radius_mm.ok_or("the strap gives no bend_radius")?,
            thickness_mm: strap.thickness_mm,
        };
        let test = TestBend { flat_mm: test.flat_mm, legs_mm: test.legs_mm, bend };
        k_of_test_bend(&test).map_err(|e| e.to_string())
    });
    let rule = |name| limit::strap_number(tables, name);
    let believed = rule("k-least")
        .zip(rule("k-most"))
        .map(|(least, most)| Sourced::new([least.value, most.value], least.cite.and(&most.cite)));
    let holds = |k: f64| believed.as_ref().is_some_and(|b| k >= b.value[0] && k <= b.value[1]);
    let good = tested.as_ref().and_then(|t| t.as_ref().ok()).copied().filter(|k| holds(*k));
    let (by, used, cite) = match (good, strap.k) {
        (Some(k), _) => (KBy::TestBend, Some(k), {
            let text = format!("{}, its test bend", strap.cite.text);
            Cite::new(text, strap.cite.standing)
        }),
        (None, Some(k)) => (KBy::Given, Some(k), strap.cite.clone()),
        (None, None) => (KBy::Handbook, None, handbook()),
    };
    KFacts { by, used, measure_again: tested.is_some() && good.is_none(), tested, believed, cite }
}

fn handbook() -> Cite {
    let text = "FAA-H-8083-31, Aviation Maintenance Technician Handbook, Airframe, chapter 4, bend allowance";
    Cite::new(text, Standing::Read)
}

fn flat(strap: &Strap, k: &KFacts) -> Result<FlatFacts, String> {
    if k.measure_again && k.used.is_none() {
        return Err("the test bend is not believed, and the plan gives no k to use instead".into());
    }
    let chain = chain(strap).map_err(|e| e.to_string())?;
    let allowances = chain.bends.iter().map(|b| allowance(strap, k, b));
    let allowances: Vec<f64> = allowances.collect::<Result<_, _>>().map_err(|e| e.to_string())?;
    let (areas, length_mm) =
        flat_strip(&chain.straights_mm, &allowances).map_err(|e| e.to_string())?;
    let bends: Vec<FlatBend> = chain
        .bends
        .iter()
        .zip(areas)
        .zip(allowances)
        .map(|((bend, area), allowance_mm)| {
            let overbend = overbend(strap, bend);
            let sight_mm = sight(bend, &area, overbend.as_ref().ok(), length_mm);
            FlatBend { bend: *bend, area, allowance_mm, overbend, sight_mm }
        })
        .collect();
    let holes = holes(strap, &bends, length_mm)?;
    let operations = operations(strap, &bends, &holes);
    Ok(FlatFacts { length_mm, straights_mm: chain.straights_mm, bends, holes, operations })
}

/// The body, and the radius of its corners where the strap is drawn round them.
fn chain(strap: &Strap) -> Result<Chain, MakeupError> {
    let (width_mm, height_mm, corner_mm, wrapped) = match strap.round {
        Round::Box { width_mm, height_mm, corner_mm } => {
            (width_mm, height_mm, corner_mm.unwrap_or(0.0), false)
        }
        Round::Cylinder { diameter_mm } => (diameter_mm, diameter_mm, 0.5 * diameter_mm, true),
        Round::Obround { width_mm, height_mm } => {
            (width_mm, height_mm, 0.5 * width_mm.min(height_mm), true)
        }
    };
    let lay = |width_mm, height_mm| Lay {
        body: Body { width_mm, height_mm, corner_mm },
        wrapped,
        lining_mm: strap.lining_mm,
        thickness_mm: strap.thickness_mm,
        bend_mm: strap.bend_radius_mm.unwrap_or(0.0),
    };
    match strap.ends {
        Ends::Feet { depth_mm, feet_mm } => {
            saddle(&lay(width_mm, height_mm), depth_mm, [feet_mm; 2])
        }
        // The ends meet on the longer side, where there is room.
        Ends::Gap { gap_mm } => {
            band(&lay(width_mm.max(height_mm), width_mm.min(height_mm)), gap_mm)
        }
    }
}

fn allowance(strap: &Strap, k: &KFacts, bend: &StrapBend) -> Result<f64, MakeupError> {
    let bent = SheetBend {
        angle_rad: bend.angle_rad,
        inside_mm: bend.inside_mm,
        thickness_mm: strap.thickness_mm,
    };
    match k.used {
        _ if bend.wrapped => allowance_mm(&bent, MID_LINE),
        Some(k) => allowance_mm(&bent, k),
        None => handbook_allowance_mm(&bent),
    }
}

fn overbend(strap: &Strap, bend: &StrapBend) -> Result<Overbend, String> {
    let Some([yield_pa, modulus_pa]) = strap.strength_pa else {
        return Err("the plan gives no yield and modulus of the strip".into());
    };
    let strip = Strip { thickness_mm: strap.thickness_mm, yield_pa, modulus_pa };
    let half_mm = 0.5 * strap.thickness_mm;
    let finished_mm = bend.inside_mm + half_mm;
    let bent_mm = bent_radius_mm(&strip, finished_mm).map_err(|e| e.to_string())?;
    if bent_mm < half_mm {
        return Err("no edge is sharp enough: it springs back to a larger radius".into());
    }
    let angle_rad = bend.angle_rad * finished_mm / bent_mm;
    Ok(Overbend { inside_mm: bent_mm - half_mm, angle_rad })
}

/// The sight line of a bend in a brake; the nose has the radius that is bent to.
fn sight(
    bend: &StrapBend,
    area: &BendArea,
    overbend: Option<&Overbend>,
    length_mm: f64,
) -> Option<f64> {
    let in_brake = !bend.wrapped && bend.angle_rad < PI - 1e-9;
    let nose_mm = overbend.map_or(bend.inside_mm, |o| o.inside_mm);
    let clamped_at_b = area.from_mm + area.to_mm <= length_mm;
    in_brake.then(|| sight_mm(area, nose_mm, clamped_at_b).ok()).flatten()
}

fn holes(strap: &Strap, bends: &[FlatBend], length_mm: f64) -> Result<Vec<FlatHole>, String> {
    let one = |(index, hole): (usize, &crate::plan::StripHole)| {
        let from_a_mm = if hole.from_b { length_mm - hole.from_end_mm } else { hole.from_end_mm };
        let along_mm = from_a_mm.min(length_mm - from_a_mm);
        if along_mm <= 0.0 {
            return Err(format!("hole {} lies beyond the end of the strip", index + 1));
        }
        let radius_mm = 0.5 * hole.diameter_mm;
        let apart =
            |b: &FlatBend| (b.area.from_mm - from_a_mm).max(from_a_mm - b.area.to_mm) - radius_mm;
        let pressed = bends.iter().filter(|b| !b.bend.wrapped);
        Ok(FlatHole {
            diameter_mm: hole.diameter_mm,
            from_a_mm,
            edge_mm: along_mm.min(0.5 * strap.width_mm),
            bend_mm: pressed.map(apart).reduce(f64::min),
        })
    };
    strap.holes.iter().enumerate().map(one).collect()
}

/// What to do with the strip, in the order in which nothing done before is in the way.
fn operations(strap: &Strap, bends: &[FlatBend], holes: &[FlatHole]) -> Vec<String> {
    let mut steps = vec![
        "saw the strip square at end A and to length; file the ends square".to_owned(),
        "scribe the middle of the width, and from end A every line of the list: begin and end of each bend, \
         centres of the holes; never add up from line to line"
            .to_owned(),
    ];
    if !holes.is_empty() {
        steps.push("centre-punch and drill the holes now, while the strip is flat".to_owned());
    }
    steps.push(
        "deburr every edge and hole, and round the corners; a scratch across a bend is where it cracks"
            .to_owned(),
    );
    let numbers = |which: &dyn Fn(&FlatBend) -> bool| {
        let all = bends.iter().enumerate().filter(|(_, b)| which(b));
        all.map(|(i, _)| (i + 1).to_string()).collect::<Vec<_>>().join(", ")
    };
    let feet = numbers(&|b| b.bend.outward);
    let corners = numbers(&|b| !b.bend.outward && !b.bend.wrapped);
    let drawn = numbers(&|b| b.bend.wrapped);
    if !drawn.is_empty() {
        steps.push(format!("draw the strip round a former for bend {drawn}"));
    }
    if bends.iter().any(|b| b.sight_mm.is_some()) {
        steps.push(
            "in a brake: clamp the part towards the middle of the strip, with the sight line of the bend straight under \
             the front edge of the nose, seen from above; the nose has the radius of the edge"
                .to_owned(),
        );
    }
    if !corners.is_empty() {
        steps.push(format!("bend the corners {corners} up, from the middle of the strip outward"));
    }
    if !feet.is_empty() {
        steps.push(format!(
            "bend the feet {feet} down, the other way; where the legs are then in the way of the brake, \
             the feet come before the corners"
        ));
    }
    if strap.lining_mm > 0.0 {
        steps.push("fit the lining; it must cover both edges of the strip".to_owned());
    }
    steps.push(
        "try it on the body without bolts: it must lie on all round, and never be pulled into shape by its bolts"
            .to_owned(),
    );
    steps
}
