//! What a builder tries out on the page: changes of a plan in memory, and how a change is written down.

use serde::Deserialize;

use crate::plan::{Carrier, Plan, State};
use crate::table::Tables;
use crate::units::{Quantity, Ratio, Temperature};

/// No port is tried further away than this, mm.
const FURTHEST_MM: f64 = 10_000.0;
/// No day is tried hotter or colder than this, K.
const MOST_K: f64 = 100.0;

/// One thing tried out.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Change {
    /// A port stands elsewhere.
    Port {
        /// Its component.
        component: String,
        /// Its name.
        port: String,
        /// How far, mm, along the axes of the plan.
        by_mm: [f64; 3],
    },
    /// A line has another size.
    Size {
        /// The line.
        line: String,
        /// The size as its table spells it.
        size: String,
    },
    /// A hose was cut too short.
    Short {
        /// The line.
        line: String,
        /// By so much, mm.
        by_mm: f64,
    },
    /// A component is partly blocked, whatever its state.
    Blocked {
        /// The component.
        component: String,
        /// Share of its passage that is shut, from 0 to less than 1.
        share: f64,
    },
    /// Air and fluids are hotter in every case.
    Hot {
        /// By so much, K.
        by_k: f64,
    },
}

/// Makes a change in a plan.
///
/// # Errors
/// In words: a name that the plan does not have, or a number beyond what is tried.
pub fn apply(change: &Change, plan: &mut Plan, tables: &Tables) -> Result<(), String> {
    match change {
        Change::Port { component, port, by_mm } => move_port(plan, component, port, by_mm),
        Change::Size { line, size } => resize(plan, tables, line, size),
        Change::Short { line, by_mm } => shorten(plan, line, *by_mm),
        Change::Blocked { component, share } => block(plan, component, *share),
        Change::Hot { by_k } => heat(plan, *by_k),
    }
}

fn component<'p>(plan: &'p mut Plan, id: &str) -> Result<&'p mut crate::plan::Component, String> {
    let found = plan.components.iter_mut().find(|c| c.id == id);
    found.ok_or_else(|| format!("the plan has no component \"{id}\""))
}

fn line_of<'p>(plan: &'p mut Plan, id: &str) -> Result<&'p mut crate::plan::Line, String> {
    let found = plan.lines.iter_mut().find(|l| l.id == id);
    found.ok_or_else(|| format!("the plan has no line \"{id}\""))
}

fn move_port(plan: &mut Plan, id: &str, name: &str, by_mm: &[f64; 3]) -> Result<(), String> {
    if by_mm.iter().any(|by| by.is_nan() || by.abs() > FURTHEST_MM) {
        return Err(format!("a port is moved by {FURTHEST_MM:.0} mm at most"));
    }
    let component = component(plan, id)?;
    let port = component.ports.iter_mut().find(|p| p.name == name);
    let port = port.ok_or_else(|| format!("{id} has no port \"{name}\""))?;
    // A port that was taped stands where the tapes put it: those move with it.
    if !port.measured.is_empty() {
        return Err(format!("{id}.{name} was measured: change its tapes in the plan"));
    }
    for (at, by) in port.at_mm.iter_mut().zip(by_mm) {
        *at += by;
    }
    Ok(())
}

fn resize(plan: &mut Plan, tables: &Tables, id: &str, size: &str) -> Result<(), String> {
    let line = line_of(plan, id)?;
    let resized = line.resized(tables, size);
    *line = resized.ok_or_else(|| format!("{id} does not come in size \"{size}\""))?.line;
    Ok(())
}

fn shorten(plan: &mut Plan, id: &str, by_mm: f64) -> Result<(), String> {
    let line = line_of(plan, id)?;
    if matches!(line.carrier, Carrier::Tube(_)) {
        return Err(format!("{id} is a rigid tube, which is not cut short and stretched"));
    }
    if !(0.0..=FURTHEST_MM).contains(&by_mm) {
        return Err("cut short by 0 mm or more".into());
    }
    line.cut_short_mm = by_mm;
    Ok(())
}

fn block(plan: &mut Plan, id: &str, share: f64) -> Result<(), String> {
    if !(0.0..1.0).contains(&share) {
        return Err("a share from 0 to less than 1 can be blocked".into());
    }
    let component = component(plan, id)?;
    if component.states.is_empty() {
        component.states.push(State { name: "what if".into(), ..State::default() });
    }
    for state in &mut component.states {
        state.blocked = Some(Ratio::from_si(share));
    }
    Ok(())
}

fn heat(plan: &mut Plan, by_k: f64) -> Result<(), String> {
    if by_k.is_nan() || by_k.abs() > MOST_K {
        return Err(format!("hotter by {MOST_K:.0} degrees at most"));
    }
    let hotter = |t: &mut Temperature| *t = Temperature::from_si(t.si() + by_k);
    for case in &mut plan.cases {
        case.air.iter_mut().for_each(hotter);
        case.fluids.iter_mut().for_each(|(_, t)| hotter(t));
    }
    for weather in plan.matrix.iter_mut().flat_map(|m| &mut m.weather) {
        weather.air.iter_mut().for_each(hotter);
        weather.fluids.iter_mut().for_each(|(_, t)| hotter(t));
    }
    for duty in plan.lines.iter_mut().flat_map(|l| &mut l.duties) {
        hotter(&mut duty.temperature);
    }
    Ok(())
}

/// The text of a plan with changes written into it; all that is not changed stays as it was typed.
///
/// # Errors
/// In words: a change that is an event and not a plan, or a place that is not found in the text.
pub fn written(text: &str, changes: &[Change]) -> Result<String, String> {
    let mut document: toml_edit::DocumentMut =
        text.parse().map_err(|_| "the plan is not TOML".to_owned())?;
    let unit_mm = unit_mm(&document)?;
    for change in changes {
        match change {
            Change::Port { component, port, by_mm } => {
                let ports = entry(&mut document, "component", component)?
                    .get_mut("ports")
                    .and_then(|p| p.get_mut(port))
                    .ok_or_else(|| format!("{component} has no port \"{port}\""))?;
                let at = ports.get_mut("at").and_then(toml_edit::Item::as_array_mut);
                let at = at.ok_or_else(|| format!("{component}.{port} has no place"))?;
                move_place(at, by_mm, unit_mm)?;
            }
            Change::Size { line, size } => {
                let line = entry(&mut document, "line", line)?;
                let written = line.get_mut("size").and_then(toml_edit::Item::as_value_mut);
                let value = written.ok_or("the line has no size of its own in the plan")?;
                let decor = value.decor().clone();
                *value = size.as_str().into();
                *value.decor_mut() = decor;
            }
            Change::Short { .. } | Change::Blocked { .. } | Change::Hot { .. } => {
                return Err(
                    "what happens to a machine is tried out, not written into its plan".into()
                );
            }
        }
    }
    Ok(document.to_string())
}

/// The millimetres of the plan's unit of length.
fn unit_mm(document: &toml_edit::DocumentMut) -> Result<f64, String> {
    let unit = document.get("plan").and_then(|p| p.get("length_unit")).and_then(|u| u.as_str());
    let unit = unit.ok_or("the plan names no unit of length")?;
    let one: crate::units::Length =
        crate::units::read(&format!("1 {unit}")).map_err(|_| "the plan names no unit of length")?;
    Ok(one.si() * 1e3)
}

fn entry<'d>(
    document: &'d mut toml_edit::DocumentMut,
    list: &str,
    id: &str,
) -> Result<&'d mut toml_edit::Table, String> {
    let tables = document.get_mut(list).and_then(toml_edit::Item::as_array_of_tables_mut);
    let mut tables = tables.into_iter().flat_map(toml_edit::ArrayOfTables::iter_mut);
    let found = tables.find(|t| t.get("id").and_then(|i| i.as_str()) == Some(id));
    found.ok_or_else(|| format!("the plan has no {list} \"{id}\""))
}

/// Adds to the numbers of a place, each with its blanks and comments.
fn move_place(at: &mut toml_edit::Array, by_mm: &[f64; 3], unit_mm: f64) -> Result<(), String> {
    for (index, by) in by_mm.iter().enumerate().filter(|(_, by)| **by != 0.0) {
        let value = at.get_mut(index).ok_or("a place has three numbers")?;
        #[expect(clippy::cast_precision_loss, reason = "coordinates of a machine")]
        let old = value.as_float().or_else(|| value.as_integer().map(|i| i as f64));
        let new = old.ok_or("a place has three numbers")? + by / unit_mm;
        let decor = value.decor().clone();
        // A thousandth of a unit is all that anybody measures.
        let rounded = (new * 1000.0).round() / 1000.0;
        *value = if rounded.fract() == 0.0 && rounded.abs() < 1e9 {
            #[expect(clippy::cast_possible_truncation, reason = "a whole number below 1e9")]
            let whole = rounded as i64;
            whole.into()
        } else {
            rounded.into()
        };
        *value.decor_mut() = decor;
    }
    Ok(())
}
