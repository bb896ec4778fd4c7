//! `hosewright quick`: single calculations without a plan.

use super::args::{
    Bore, Derate, Drop, FluidArgs, Friction, Length as LengthArgs, QuickWhat, Stiffness,
};
use super::argument::{positive, read};
use super::identify::quick_thread;
use super::table::unknown;
use super::{Answer, Trouble};
use crate::curve::Curve;
use crate::geometry::stiffness::{Overhang, Reading, stiffness};
use crate::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use crate::hydraulics::friction::{Regime, darcy};
use crate::hydraulics::sizing::bore_for_drop;
use crate::makeup::cut_length::{CutInput, cut_length};
use crate::report::quick::{Answer as Part, write};
use crate::report::units::{length, pressure, temperature, velocity};
use crate::report::{Format, Layout};
use crate::solve::fluid::state;
use crate::solve::hydraulics::regime_word;
use crate::table::fluid::{FluidProblem, from_table};
use crate::table::hose::{HeatRule, Hose};
use crate::table::{Tables, limit};
use crate::units::{
    self, Acceleration, Angle, Density, DynamicViscosity, Flow, GaugePressure, KinematicViscosity,
    Length, LinearMass, Mass, PressureDifference, Quantity, Ratio, Temperature,
};

pub fn run(what: &QuickWhat, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let (parts, notes) = match what {
        QuickWhat::Friction(args) => friction(args)?,
        QuickWhat::Drop(args) => drop(args, layout)?,
        QuickWhat::Bore(args) => bore(args, layout)?,
        QuickWhat::Derate(args) => derate(args, layout)?,
        QuickWhat::Length(args) => cut(args, layout)?,
        QuickWhat::Stiffness(args) => bending(args)?,
        QuickWhat::Thread(args) => return quick_thread(args, format, layout),
    };
    Ok(Answer::plain(write(&parts, &notes, format, layout.width)))
}

type Parts = (Vec<Part>, Vec<String>);

fn number(name: &str, text: &str) -> Result<f64, Trouble> {
    units::read_number(text).map_err(|e| Trouble::Plain(format!("--{name}: {}", e.message), e.help))
}

fn refused(error: impl core::fmt::Display) -> Trouble {
    Trouble::plain(error.to_string())
}

fn friction(args: &Friction) -> Result<Parts, Trouble> {
    let reynolds = number("reynolds", &args.reynolds)?;
    let ratio = number("roughness-ratio", &args.roughness_ratio)?;
    let friction = darcy(reynolds, ratio).map_err(refused)?;
    let (method, note) = match friction.regime {
        Regime::Laminar => ("64/Re", None),
        Regime::Turbulent => {
            ("Colebrook-White, constants 2.51 and 3.7, solved to full precision", None)
        }
        Regime::Transition => (
            "interpolated between 64/Re at 2000 and Colebrook-White at 4000",
            Some(format!(
                "between laminar and turbulent the factor lies anywhere from {:.5} to {:.5}",
                friction.low, friction.high
            )),
        ),
    };
    let parts = vec![
        Part::number("friction_factor", friction.factor, format!("{:.6} (Darcy)", friction.factor)),
        Part::word("regime", regime_word(friction.regime)),
        Part::word("method", method),
        Part::number("friction_factor_low", friction.low, format!("{:.6}", friction.low)),
        Part::number("friction_factor_high", friction.high, format!("{:.6}", friction.high)),
    ];
    Ok((parts, note.into_iter().collect()))
}

/// The liquid of the arguments, with notes on where it comes from.
fn liquid(args: &FluidArgs) -> Result<(Liquid, Vec<String>), Trouble> {
    if let Some(name) = &args.fluid {
        let kelvin: Temperature = read("temperature", args.temperature.as_deref().unwrap_or(""))?;
        return tabled(name, kelvin);
    }
    let density: Density = positive("density", args.density.as_deref().unwrap_or(""))?;
    let viscosity = match (&args.viscosity, &args.kinematic) {
        (Some(dynamic), _) => positive::<DynamicViscosity>("viscosity", dynamic)?.si(),
        (None, Some(kinematic)) => {
            positive::<KinematicViscosity>("kinematic", kinematic)?.si() * density.si()
        }
        (None, None) => {
            let message = "with --density, --viscosity or --kinematic is needed";
            return Err(Trouble::hint(message, "for example --viscosity \"12 cP\""));
        }
    };
    Ok((Liquid { density_kg_m3: density.si(), viscosity_pa_s: viscosity }, Vec::new()))
}

fn tabled(name: &str, temperature: Temperature) -> Result<(Liquid, Vec<String>), Trouble> {
    let tables = Tables::builtin();
    let (table, grade) = match name.split_once(' ') {
        Some((table, grade)) => (table, Some(grade.trim())),
        None => (name, None),
    };
    let Some(found) = tables.get("fluid", table) else {
        return Err(unknown("fluid table", table, &tables.names("fluid")));
    };
    let fluid = from_table(found, grade, None).map_err(|problem| match problem {
        FluidProblem::GradeMissing(known) => Trouble::hint(
            format!("fluid {table} needs a grade"),
            format!("for example --fluid \"{table} {}\"", known.first().map_or("", String::as_str)),
        ),
        FluidProblem::GradeUnknown(known) => {
            let known: Vec<&str> = known.iter().map(String::as_str).collect();
            unknown("grade", grade.unwrap_or(""), &known)
        }
        FluidProblem::Incomplete(what) => Trouble::plain(format!("fluid {table} lacks {what}")),
    })?;
    let state = state(&fluid, temperature).map_err(Trouble::plain)?;
    let note = format!(
        "{}: {:.1} kg/m3, {:.3} mm2/s; {}",
        fluid.label,
        state.density_kg_m3,
        state.viscosity_pa_s / state.density_kg_m3 * 1e6,
        state.cite
    );
    let liquid =
        Liquid { density_kg_m3: state.density_kg_m3, viscosity_pa_s: state.viscosity_pa_s };
    Ok((liquid, vec![note]))
}

/// Roughness in m; a smooth wall where none is given, which is said.
fn roughness(text: Option<&str>, notes: &mut Vec<String>) -> Result<f64, Trouble> {
    if let Some(text) = text {
        return Ok(read::<Length>("roughness", text)?.si());
    }
    notes.push("no roughness given: a smooth wall was taken".into());
    Ok(0.0)
}

fn drop(args: &Drop, layout: Layout) -> Result<Parts, Trouble> {
    let (liquid, mut notes) = liquid(&args.fluid)?;
    let run = Straight {
        bore_m: positive::<Length>("bore", &args.bore)?.si(),
        length_m: read::<Length>("length", &args.length)?.si(),
        roughness_m: roughness(args.roughness.as_deref(), &mut notes)?,
        loss_sum: number("loss-sum", &args.loss_sum)?,
    };
    let flow: Flow = read("flow", &args.flow)?;
    let loss = straight_loss(&run, &liquid, flow.si()).map_err(refused)?;
    let mut parts = vec![
        Part::number("velocity_m_s", loss.velocity_m_s, velocity(loss.velocity_m_s, layout.system)),
        Part::number("reynolds", loss.reynolds, format!("{:.0}", loss.reynolds)),
    ];
    match loss.friction {
        Some(friction) => {
            let factor = friction.factor;
            parts.push(Part::number("friction_factor", factor, format!("{factor:.5} (Darcy)")));
            parts.push(Part::word("regime", regime_word(friction.regime)));
            if friction.regime == Regime::Transition {
                notes.push(format!(
                    "between laminar and turbulent: the friction factor lies anywhere from {:.5} to {:.5}",
                    friction.low, friction.high
                ));
            }
        }
        None => parts.push(Part {
            key: "friction_factor",
            value: serde_json::Value::Null,
            text: "nothing flows".into(),
        }),
    }
    parts.push(Part::number("drop_kpa", loss.drop_pa / 1e3, pressure(loss.drop_pa, layout.system)));
    Ok((parts, notes))
}

fn bore(args: &Bore, layout: Layout) -> Result<Parts, Trouble> {
    let (liquid, mut notes) = liquid(&args.fluid)?;
    let shape = Straight {
        bore_m: 0.01,
        length_m: positive::<Length>("length", &args.length)?.si(),
        roughness_m: roughness(args.roughness.as_deref(), &mut notes)?,
        loss_sum: number("loss-sum", &args.loss_sum)?,
    };
    let flow: Flow = positive("flow", &args.flow)?;
    let limit: PressureDifference = positive("drop", &args.drop)?;
    let found = bore_for_drop(&shape, &liquid, flow.si(), limit.si()).map_err(refused)?;
    let run = Straight { bore_m: found.bore_m, ..shape };
    let loss = straight_loss(&run, &liquid, flow.si()).map_err(refused)?;
    notes.push("step up to a real size, and check it with `quick drop`".into());
    let bore_mm = found.bore_m * 1e3;
    let parts = vec![
        Part::number("bore_mm", bore_mm, length(bore_mm, layout.system)),
        Part::number("velocity_m_s", loss.velocity_m_s, velocity(loss.velocity_m_s, layout.system)),
        Part::number("reynolds", loss.reynolds, format!("{:.0}", loss.reynolds)),
        Part::number("drop_kpa", loss.drop_pa / 1e3, pressure(loss.drop_pa, layout.system)),
    ];
    Ok((parts, notes))
}

fn derate(args: &Derate, layout: Layout) -> Result<Parts, Trouble> {
    let kelvin: Temperature = read("temperature", &args.temperature)?;
    let (rated, share, note) = match (&args.hose, &args.rated, &args.curve) {
        (Some(hose), _, _) => hose_share(hose, kelvin)?,
        (None, Some(rated), Some(curve)) => {
            let rated: GaugePressure = positive("rated", rated)?;
            (
                rated.si(),
                curve_share(curve, kelvin)?,
                "rated pressure and curve as typed".to_owned(),
            )
        }
        _ => {
            return Err(Trouble::hint("what is to be derated?", "--hose, or --rated with --curve"));
        }
    };
    let derated = rated * share;
    let parts = vec![
        Part::number("rated_kpa", rated / 1e3, pressure(rated, layout.system)),
        Part::number("share", share, format!("{:.1} %", 100.0 * share)),
        Part::number("derated_kpa", derated / 1e3, pressure(derated, layout.system)),
        Part::number(
            "temperature_c",
            kelvin.si() - 273.15,
            temperature(kelvin.si(), layout.system),
        ),
    ];
    Ok((parts, vec![note]))
}

fn hose_share(text: &str, kelvin: Temperature) -> Result<(f64, f64, String), Trouble> {
    let tables = Tables::builtin();
    let Some((name, size)) = text.split_once(' ') else {
        return Err(Trouble::hint(
            "--hose needs table and size",
            "for example --hose \"mil-h-8794 -8\"",
        ));
    };
    let Some(table) = tables.get("hose", name) else {
        return Err(unknown("hose table", name, &tables.names("hose")));
    };
    let Some(hose) = Hose::from_table(table, size.trim()) else {
        let sizes: Vec<String> = table
            .rows
            .iter()
            .filter_map(|r| r.cells.get("size"))
            .map(crate::table::Cell::to_text)
            .collect();
        let sizes: Vec<&str> = sizes.iter().map(String::as_str).collect();
        return Err(unknown(&format!("size in {name}"), size.trim(), &sizes));
    };
    let Some(working) = &hose.working else {
        return Err(Trouble::plain(format!("no working pressure is known for {}", hose.label)));
    };
    let too_hot = hose.temperature_max.as_ref().is_some_and(|max| kelvin.si() > max.value.si());
    let too_cold = hose.temperature_min.as_ref().is_some_and(|min| kelvin.si() < min.value.si());
    if too_hot || too_cold {
        return Err(Trouble::plain(format!("{} is outside its temperature range", hose.label)));
    }
    let share = match &hose.heat_rule.value {
        HeatRule::WholeRange => 1.0,
        HeatRule::Curve(points) => {
            curve_at(points.iter().map(|(t, s)| (t.si(), *s)).collect(), kelvin)?
        }
        HeatRule::NotTogether => {
            return Err(Trouble::hint(
                format!(
                    "open: {} says that highest pressure and temperature must not meet, and gives no factor",
                    hose.heat_rule.cite
                ),
                "ask the maker, then use --rated and --curve",
            ));
        }
        HeatRule::NotSaid => {
            return Err(Trouble::hint(
                format!("open: no rule is known for {} when it is hot", hose.label),
                "ask the maker, then use --rated and --curve",
            ));
        }
    };
    Ok((
        working.value.si(),
        share,
        format!("{}: {}; {}", hose.label, working.cite, hose.heat_rule.cite),
    ))
}

fn curve_share(text: &str, kelvin: Temperature) -> Result<f64, Trouble> {
    let mut points = Vec::new();
    for point in text.split(',') {
        let Some((temperature, share)) = point.split_once('=') else {
            return Err(Trouble::hint(
                format!("--curve: \"{}\" is no point", point.trim()),
                "for example --curve \"20 degC=100 %, 120 degC=60 %\"",
            ));
        };
        let t: Temperature = read("curve", temperature.trim())?;
        points.push((t.si(), read::<Ratio>("curve", share.trim())?.si()));
    }
    curve_at(points, kelvin)
}

fn curve_at(points: Vec<(f64, f64)>, kelvin: Temperature) -> Result<f64, Trouble> {
    let celsius = |(k, y): (f64, f64)| (k - 273.15, y);
    let curve = Curve::new(points.into_iter().map(celsius).collect()).map_err(refused)?;
    curve.linear(kelvin.si() - 273.15).map_err(|e| Trouble::plain(format!("the curve: {e} degC")))
}

fn cut(args: &LengthArgs, layout: Layout) -> Result<Parts, Trouble> {
    let tables = Tables::builtin();
    let share = |rule: &str| limit::installation_share(&tables, rule);
    let (Some(least), Some(most)) = (share("slack-min"), share("slack-max")) else {
        return Err(Trouble::plain("the slack rule is not in limit/installation"));
    };
    let slack = match &args.slack {
        Some(text) => read::<Ratio>("slack", text)?.si(),
        None => least.value,
    };
    let mm = |name: &str, text: &str| Ok::<f64, Trouble>(read::<Length>(name, text)?.si() * 1e3);
    let input = CutInput {
        path_mm: mm("path", &args.path)?,
        cut_off_a_mm: mm("cut-off-a", &args.cut_off_a)?,
        cut_off_b_mm: mm("cut-off-b", &args.cut_off_b)?,
        slack_fraction: slack,
        least_slack_fraction: slack.min(least.value),
        most_slack_fraction: slack.max(most.value),
        contraction_fraction: share("length-change-min").map_or(0.0, |s| -s.value),
        elongation_fraction: share("length-change-max").map_or(0.0, |s| s.value),
        step_mm: mm("step", &args.step)?,
    };
    let result = cut_length(&input).map_err(refused)?;
    let part = |key, mm: f64| Part::number(key, mm, length(mm, layout.system));
    let percent = result.slack_percent;
    let parts = vec![
        part("cut_mm", result.cut_mm),
        part("assembly_mm", result.assembly_mm),
        Part::number("slack_percent", percent, format!("{percent:.2} % of the assembly")),
        part("pressure_shortest_mm", result.contracted_mm),
        part("pressure_longest_mm", result.elongated_mm),
    ];
    Ok((parts, vec![format!("slack rule: {}", least.cite)]))
}

/// The mean of a reading and of the one with the hose turned half round, where there is one.
fn mean_reading<Q: Quantity>(
    (name, text): (&str, &str),
    turned: Option<&String>,
) -> Result<f64, Trouble> {
    let first: Q = read(name, text)?;
    let second = turned.map(|text| read::<Q>("turned", text)).transpose()?;
    Ok(second.map_or(first.si(), |second| 0.5 * (first.si() + second.si())))
}

fn bending(args: &Stiffness) -> Result<Parts, Trouble> {
    let gravity = read::<Acceleration>("gravity", "1 gn")?.si();
    let weight = |mass: Option<f64>| mass.map_or(0.0, |mass| mass * gravity);
    let mass = args.mass.as_ref().map(|text| positive::<LinearMass>("mass", text)).transpose()?;
    let tip = args.tip_mass.as_ref().map(|text| positive::<Mass>("tip-mass", text)).transpose()?;
    let overhang = Overhang {
        length_m: positive::<Length>("overhang", &args.overhang)?.si(),
        per_length_n_m: weight(mass.map(Quantity::si)),
        tip_n: weight(tip.map(Quantity::si)),
    };
    let turned = args.turned.as_ref();
    let reading = match (&args.droop, &args.angle) {
        (Some(droop), _) => {
            Reading::Droop { droop_m: mean_reading::<Length>(("droop", droop), turned)? }
        }
        (None, angle) => {
            let text = angle.as_deref().unwrap_or("");
            Reading::ChordAngle { angle_rad: mean_reading::<Angle>(("angle", text), turned)? }
        }
    };
    let found = stiffness(&overhang, reading).map_err(refused)?;
    let slope = found.shape.tip_slope_rad.to_degrees();
    let mut notes = vec!["weight with standard gravity, 9.80665 m/s2".to_owned()];
    if mass.is_none() {
        notes.push("no --mass given: the weight of the hose itself was left out".into());
    }
    if turned.is_none() {
        notes.push("hose keeps a curl from its coil: turn it half round, and give that reading with --turned".into());
    }
    let parts = vec![
        Part::number(
            "stiffness_n_m2",
            found.stiffness_n_m2,
            format!("{:.4} N m2", found.stiffness_n_m2),
        ),
        Part::number(
            "load_number",
            found.load_number,
            format!("{:.4} (w L^3 / EI)", found.load_number),
        ),
        Part::number(
            "tip_load_number",
            found.tip_load_number,
            format!("{:.4} (P L^2 / EI)", found.tip_load_number),
        ),
        Part::number("tip_slope_deg", slope, format!("{slope:.1} deg")),
        Part::word("method", "exact shape of a hose clamped level, free at the other end"),
    ];
    Ok((parts, notes))
}
