//! What is understood of a plan with every key of components, cases and the matrix, and of `±`.

#![expect(clippy::expect_used, clippy::panic, reason = "a plan that is not read fails its test")]

use std::collections::BTreeMap;
use std::sync::Arc;

use hosewright::diagnostic::{Diagnostic, SourceText};
use hosewright::plan::{
    Component, ExchangerSide, Holds, PathLaw, Plan, PortRef, Thermostat, Uncertain,
};
use hosewright::table::Tables;
use hosewright::table::fluid::FluidLaw;
use hosewright::units::{Flow, PressureDifference, Quantity, read};

const PETROL: &str = include_str!("plans/good/petrol.toml");

fn file(text: &str) -> Arc<SourceText> {
    SourceText::new("plan.toml", text)
}

fn plan() -> Plan {
    Plan::read(&file(PETROL), &Tables::builtin()).expect("a good plan")
}

fn shifted(text: &str, shifts: &[(usize, f64)]) -> Result<Plan, Vec<Diagnostic>> {
    let shifts: BTreeMap<usize, f64> = shifts.iter().copied().collect();
    Plan::read_shifted(&file(text), &Tables::builtin(), &shifts)
}

fn component<'p>(plan: &'p Plan, id: &str) -> &'p Component {
    plan.components.iter().find(|c| c.id == id).unwrap_or_else(|| panic!("no {id}"))
}

fn index(plan: &Plan, id: &str) -> usize {
    plan.components.iter().position(|c| c.id == id).unwrap_or_else(|| panic!("no {id}"))
}

/// Written quantities as their values, so that a test reads like the plan.
fn si<Q: Quantity>(text: &str) -> f64 {
    read::<Q>(text).expect(text).si()
}

fn points(curve: &[(Flow, PressureDifference)]) -> Vec<(f64, f64)> {
    curve.iter().map(|(flow, pressure)| (flow.si(), pressure.si())).collect()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * b.abs()
}

#[test]
fn a_path_without_a_name_is_called_by_its_ports() {
    let plan = plan();
    let names =
        |id| -> Vec<&str> { component(&plan, id).paths.iter().map(|p| p.name.as_str()).collect() };
    assert_eq!(names("SEL"), ["L-OUT", "right"]);
    assert_eq!(names("HX"), ["main", "oil", "by-air"]);
    let right = &component(&plan, "SEL").paths[1];
    assert_eq!((right.from, right.to), (1, 2));
}

#[test]
fn every_law_of_a_path_is_understood() {
    let plan = plan();
    let law = |id: &str, path: usize| &component(&plan, id).paths[path].law;
    assert!(matches!(law("SEL", 0), PathLaw::Valve(kv) if close(kv.si(), 0.6)));
    assert!(matches!(law("SEL", 1), PathLaw::Coefficient { k, bore }
        if close(*k, 2.5) && close(bore.si(), 0.008)));
    assert!(matches!(law("LEFT", 0), PathLaw::Orifice { hole, bore, discharge }
        if close(hole.si(), 0.003) && close(bore.si(), 0.008) && close(*discharge, 0.61)));
    assert!(matches!(law("P1", 1), PathLaw::Free));
    assert!(matches!(law("HX", 0), PathLaw::Measured { drop, linear: true, .. }
        if close(drop.si(), 2500.0)));
    let PathLaw::Curve(curve) = law("HX", 1) else { panic!("no curve") };
    assert_eq!(points(curve), [(0.0, 0.0), (si::<Flow>("10 L/min"), 3000.0)]);
    let PathLaw::PumpCurve(curve) = law("P1", 0) else { panic!("no curve") };
    assert_eq!(points(curve), [(0.0, 90_000.0), (si::<Flow>("60 L/min"), 68_000.0)]);
    assert!(matches!(law("P2", 0), PathLaw::PumpSquare { rest, rise, .. }
        if close(rest.si(), 90e3) && close(rise.si(), 66e3)));
    assert!(matches!(law("P3", 0), PathLaw::Displacement { flow, slip, at }
        if close(flow.si(), 3e-4) && slip.si() == 0.0 && close(at.si(), 210e5)));
    assert!(law("P1", 0).is_pump() && !law("P1", 1).is_pump());
}

#[test]
fn valves_regulators_and_thermostats_are_understood() {
    let plan = plan();
    let p1 = component(&plan, "P1");
    assert!(p1.paths[0].one_way && p1.paths[0].opens_at.is_none());
    let relief = &p1.paths[1];
    assert!(relief.one_way && relief.opens_at.is_some_and(|p| close(p.si(), 30_000.0)));
    let [main, oil, air] = component(&plan, "HX").paths.as_slice() else { panic!("three paths") };
    assert!(matches!(oil.holds, Some(Holds::After(p)) if close(p.si(), 3e5)) && oil.one_way);
    assert!(matches!(air.holds, Some(Holds::Before(_))) && air.one_way);
    assert!(!main.one_way && main.heat.is_some_and(|h| close(h.si(), 45_000.0)));
    assert!(main.flow_least.is_some_and(|f| close(f.si(), si::<Flow>("22 L/min"))));
    let range = |t: Thermostat| (t.from.si() - 273.15, t.to.si() - 273.15, t.opens);
    let (from, to, opens) = range(main.thermostat.expect("a thermostat"));
    assert!(close(from, 80.0) && close(to, 95.0) && opens);
    assert!(!range(air.thermostat.expect("a thermostat")).2);
}

#[test]
fn two_paths_that_name_each_other_are_one_exchanger() {
    let plan = plan();
    let [main, oil, air] = component(&plan, "HX").paths.as_slice() else { panic!("three paths") };
    let exchanger = main.exchanger.as_ref().expect("an exchanger");
    assert!(close(exchanger.effectiveness, 0.6));
    assert!(matches!(exchanger.other, ExchangerSide::Path(1)));
    assert!(oil.exchanger.is_none());
    let radiator = air.exchanger.as_ref().expect("a radiator");
    assert!(matches!(radiator.other, ExchangerSide::Air(flow) if close(flow.si(), 1.2)));
}

#[test]
fn states_tanks_and_needs_are_understood() {
    let plan = plan();
    let left = component(&plan, "LEFT");
    let tank = left.tank.as_ref().expect("a tank");
    assert_eq!(tank.surface_mm, Some([0.0, -900.0, 450.0]));
    let litres = [tank.capacity, tank.volume, tank.unusable].map(|v| v.map(Quantity::si));
    assert_eq!(litres, [Some(0.045), Some(0.04), Some(0.001)]);
    assert!(tank.cap.is_some_and(|p| close(p.si(), 10_000.0)));
    let [full, low, half] = left.states.as_slice() else { panic!("three states") };
    assert_eq!((full.name.as_str(), full.surface_mm), ("full", None));
    assert_eq!(low.surface_mm, Some([0.0, -900.0, 310.0]));
    assert_eq!(low.volume.map(Quantity::si), Some(0.002));
    assert_eq!(half.blocked.map(Quantity::si), Some(0.5));
    let selector = component(&plan, "SEL");
    let shut: Vec<&[usize]> = selector.states.iter().map(|s| s.shut.as_slice()).collect();
    assert_eq!(shut, [&[1][..], &[0], &[1, 0]]);
    let need = selector.need.as_ref().expect("a need");
    assert_eq!(need.port, 2);
    assert!(close(need.flow.si(), si::<Flow>("27 L/h")) && close(need.pressure.si(), 20_000.0));
    assert_eq!(component(&plan, "P1").states[1].speed.map(Quantity::si), Some(0.6));
    assert_eq!(component(&plan, "HX").states[1].position.map(Quantity::si), Some(0.0));
    assert!(component(&plan, "P1").tank.is_none() && component(&plan, "P2").states.is_empty());
}

#[test]
fn joins_cases_and_the_matrix_refer_by_index() {
    let plan = plan();
    let [left, sel, p1, p3] = ["LEFT", "SEL", "P1", "P3"].map(|id| index(&plan, id));
    assert_eq!(plan.joins.len(), 1);
    let joined = [PortRef { component: sel, port: 2 }, PortRef { component: p1, port: 0 }];
    assert_eq!(plan.joins[0].ports, joined);
    let [climb, level] = plan.cases.as_slice() else { panic!("two cases") };
    assert_eq!(climb.states, [(sel, 0), (p1, 1)]);
    assert_eq!(climb.acceleration_g.map(f64::to_bits), [0.0, 0.0, 0.5].map(f64::to_bits));
    assert!(climb.air.is_some_and(|t| close(t.si(), 308.15)));
    assert!(matches!(climb.fluids.as_slice(), [(0, t)] if close(t.si(), 311.15)));
    assert_eq!(level.states, [(left, 1)]);
    assert!(matches!(level.fluids.as_slice(), [(0, t)] if close(t.si(), 288.15)));
    let matrix = plan.matrix.as_ref().expect("a matrix");
    assert_eq!((matrix.altitudes_m.len(), matrix.nose_up_rad.len()), (2, 2));
    assert_eq!(matrix.vary, [sel, p1, p3]);
    assert_eq!(matrix.without, [vec![(sel, 2), (p1, 1)], vec![(left, 1), (sel, 0)]]);
    let [hot, cold] = matrix.weather.as_slice() else { panic!("two weathers") };
    assert!(hot.air.is_some() && hot.fluids.len() == 1);
    assert!(cold.air.is_none() && cold.fluids.is_empty());
}

#[test]
fn a_matrix_varies_all_that_have_two_states_unless_it_says_which() {
    let text = PETROL.replace("vary       = [\"SEL\", \"P1\", \"P3\"]\n", "");
    let text = text.replace("nose_up    = [\"0 deg\", \"12 deg\"]\n", "");
    let plan = Plan::read(&file(&text), &Tables::builtin()).expect("a good plan");
    let matrix = plan.matrix.as_ref().expect("a matrix");
    let wanted = ["LEFT", "SEL", "P1", "HX"].map(|id| index(&plan, id));
    assert_eq!(matrix.vary, wanted);
    assert_eq!(matrix.nose_up_rad, [0.0]);
}

#[test]
fn a_fluid_of_own_figures_has_its_specific_heat() {
    let plan = plan();
    let FluidLaw::Points(points) = &plan.fluids[0].fluid.law else { panic!("no points") };
    let heats: Vec<Option<f64>> =
        points.iter().map(|p| p.specific_heat.map(Quantity::si)).collect();
    assert_eq!(heats, [Some(2000.0), Some(2200.0)]);
}

#[test]
fn uncertain_quantities_are_listed_in_words_with_their_amounts() {
    let plan = plan();
    let shown: Vec<String> = plan
        .uncertain
        .iter()
        .map(|u| format!("{}: {:.4e} {:.3e}", u.what, u.nominal, u.amount))
        .collect();
    let wanted = [
        "fluid petrol.summer points 1 temperature: 2.7315e2 2.000e0",
        "fluid petrol.summer points 2 density: 7.1500e2 7.150e0",
        "fluid petrol.summer points 2 vapour: 8.0000e4 5.000e3",
        "component LEFT path OUT-VENT hole: 3.0000e-3 1.000e-4",
        "component LEFT path OUT-VENT discharge: 6.1000e-1 1.830e-2",
        "component SEL path L-OUT kv: 6.0000e-1 6.000e-2",
        "component SEL path right bore: 8.0000e-3 1.000e-4",
        "component P1 path IN-OUT pump curve point 1 pressure difference: 9.0000e4 4.500e3",
        "component HX path main drop: 2.5000e3 2.500e2",
        "component HX path main opens 1: 3.5315e2 3.000e0",
        "component HX path oil curve point 2 flow: 1.6667e-4 8.333e-6",
        "component HX path oil curve point 2 pressure difference: 3.0000e3 3.000e2",
        "line F1 slack: 5.0000e-2 1.000e-2",
        "line F1 losses filter drop: 2.5000e3 2.500e2",
        "line F1 duty pressure_from: 0.0000e0 2.000e3",
        "case climb on the left tank fluids petrol.summer: 3.1115e2 5.000e0",
        "matrix altitude 2: 3.0000e3 5.000e1",
    ];
    assert_eq!(shown, wanted);
    for uncertain in &plan.uncertain {
        let text = &PETROL[uncertain.span.clone()];
        assert!(text.starts_with('"') && text.ends_with('"'), "{text}");
    }
}

#[test]
fn a_plan_moved_by_nothing_is_the_plan() {
    let plain = format!("{:?}", plan());
    let still: Vec<(usize, f64)> = plan().uncertain.iter().map(|u| (u.span.start, 0.0)).collect();
    for shifts in [&[][..], &still, &[(0, 5.0), (7, -1.0)]] {
        let moved = shifted(PETROL, shifts).expect("a good plan");
        assert_eq!(format!("{moved:?}"), plain);
    }
}

#[test]
fn every_uncertain_quantity_can_be_moved_by_its_amount_either_way() {
    let plain = format!("{:?}", plan());
    for Uncertain { what, span, .. } in plan().uncertain {
        for shift in [-1.0, 1.0] {
            let moved = shifted(PETROL, &[(span.start, shift)]).expect(&what);
            assert_ne!(format!("{moved:?}"), plain, "{what}");
            assert_eq!(moved.uncertain, plan().uncertain, "{what}");
        }
    }
}

#[test]
fn a_moved_value_is_off_by_the_multiple_of_its_amount() {
    let start = PETROL.find("\"8 mm +- 0.1 mm\"").expect("a bore");
    let moved = shifted(PETROL, &[(start, -2.5)]).expect("a good plan");
    let PathLaw::Coefficient { bore, .. } = component(&moved, "SEL").paths[1].law else {
        panic!("no coefficient")
    };
    assert!(close(bore.si(), 0.008 - 2.5 * 0.0001));
}

#[test]
fn a_value_moved_too_far_is_an_ordinary_problem_at_its_place() {
    let refused = |text: &str, shift: f64| -> String {
        let start = PETROL.find(text).expect(text);
        let problems = shifted(PETROL, &[(start, shift)]).expect_err("moved too far");
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert_eq!(problems[0].span.start, start);
        problems[0].message.clone()
    };
    assert_eq!(refused("\"8 mm +- 0.1 mm\"", -80.5), "bore must be greater than zero");
    let message = refused("\"38 degC ± 5 K\"", -63.0);
    assert_eq!(message, "petrol.summer cannot be moved that far: no temperature is there");
    let message = refused("\"2.5 kPa ± 10 %\"", f64::NAN);
    assert_eq!(message, "drop cannot be moved that far: no pressure difference is there");
    assert!(refused("\"0 degC ± 2 K\"", f64::INFINITY).contains("cannot be moved that far"));
}

#[test]
fn two_sides_of_an_exchanger_agree_as_written_also_when_one_is_moved() {
    let text = PETROL
        .replace("effectiveness  = \"60 %\"", "effectiveness  = \"60 % ± 5 %\"")
        .replace("effectiveness  = \"0.6\"", "effectiveness  = \"0.6 ± 0.03\"");
    let start = text.find("\"60 % ± 5 %\"").expect("an effectiveness");
    let moved = shifted(&text, &[(start, 1.0)]).expect("a good plan");
    let exchanger = component(&moved, "HX").paths[0].exchanger.as_ref().expect("an exchanger");
    assert!(close(exchanger.effectiveness, 0.63));
}
