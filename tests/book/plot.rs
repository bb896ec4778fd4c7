//! Plots: round ticks, true axes, names that keep apart, ways that follow the fluid.

use hosewright::book::Look;
use hosewright::book::plot::axes::{Axis, Kind, spread, ticks, wrapped};
use hosewright::book::plot::chain::{Node, Passage, chains, is_pump, steps};
use hosewright::units::System;
use proptest::prelude::*;
use rstest::rstest;

use super::{EXAMPLES, assessed, figures, plan_text, section};

#[rstest]
#[case(0.0, 10.0, &[0.0, 2.0, 4.0, 6.0, 8.0, 10.0])]
#[case(0.3, 9.9, &[2.0, 4.0, 6.0, 8.0])]
#[case(-5.0, 5.0, &[-4.0, -2.0, 0.0, 2.0, 4.0])]
#[case(0.0, 0.06, &[0.0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06])]
#[case(0.0, 0.0, &[])]
#[case(0.0, f64::NAN, &[])]
#[case(0.0, f64::INFINITY, &[])]
fn ticks_are_round_numbers_inside(#[case] low: f64, #[case] high: f64, #[case] wanted: &[f64]) {
    let found = ticks(low, high, 7.0);
    assert_eq!(found.len(), wanted.len(), "{found:?}");
    for (found, wanted) in found.iter().zip(wanted) {
        assert!((found - wanted).abs() < 1e-12, "{found} {wanted}");
    }
}

proptest! {
    #[test]
    fn ticks_are_few_even_steps_of_1_2_or_5(low in -1e6_f64..1e6, span in 1e-6_f64..1e7) {
        let found = ticks(low, low + span, 7.0);
        prop_assert!((1..=8).contains(&found.len()), "{:?}", found);
        prop_assert!(found.iter().all(|t| *t >= low - 1e-6 * span && *t <= low + span * (1.0 + 1e-6)));
        if let [a, b, ..] = found[..] {
            let step = b - a;
            let ten = libm::pow(10.0, libm::floor(libm::log10(step) + 1e-9));
            let digit = step / ten;
            prop_assert!([1.0, 2.0, 5.0, 10.0].iter().any(|d| (digit - d).abs() < 1e-3), "{step}");
        }
    }

    #[test]
    fn names_in_a_column_keep_apart(
        wanted in prop::collection::vec(0.0_f64..80.0, 1..12),
        height in 1.0_f64..6.0,
    ) {
        let mut wanted = wanted;
        wanted.sort_by(f64::total_cmp);
        let places = spread(&wanted, &vec![height; wanted.len()], [0.0, 80.0]);
        prop_assert!(places.windows(2).all(|w| w[1] - w[0] >= height - 1e-9));
        prop_assert!(places.iter().all(|p| *p >= 0.5 * height - 1e-9 && *p <= 80.0));
    }
}

#[test]
fn an_axis_is_linear_and_says_its_unit() {
    let axis =
        Axis::new("rise", Kind::Pressure, System::Metric, [0.0, 97e3], [10.0, 110.0]).unwrap();
    assert_eq!(axis.head(), "rise, kPa");
    assert!((axis.at(0.0) - 10.0).abs() < 1e-9 && (axis.at(100e3) - 110.0).abs() < 1e-9);
    assert!((axis.at(25e3) - 35.0).abs() < 1e-9);
    let words: Vec<String> = axis.marks().into_iter().map(|m| m.1).collect();
    assert_eq!(words, ["0", "20", "40", "60", "80", "100"]);
    // 1 psi is 6894.757 Pa (NIST SP 811, appendix B.8).
    let axis = Axis::new("rise", Kind::Pressure, System::Inch, [0.0, 97e3], [0.0, 100.0]).unwrap();
    let (pa, words) = axis.marks().pop().unwrap();
    assert_eq!((axis.head().as_str(), words.as_str()), ("rise, psi", "15"));
    assert!((pa - 15.0 * 6894.757).abs() < 1.0);
    let both = Axis::new("rise", Kind::Pressure, System::Both, [0.0, 97e3], [0.0, 100.0]).unwrap();
    assert_eq!(both.marks()[1].1, "50 (7)");
    assert!(Axis::new("", Kind::Flow, System::Metric, [1.0, 1.0], [0.0, 1.0]).is_none());
}

#[test]
fn words_are_wrapped_and_none_is_lost() {
    let words = "climb, 3000 m, filter half blocked, both pumps on";
    let rows = wrapped(words, 30.0);
    assert!(rows.len() > 1);
    assert_eq!(rows.join(" "), words);
}

#[test]
fn the_way_of_the_fuel_leads_from_its_tank_through_pump_and_rail_back_to_it() {
    let (assessment, _) = assessed(&plan_text("01-amphibian"));
    let plan = &assessment.plan;
    let id = |component: usize| plan.components[component].id.as_str();
    let circuits = &assessment.facts.network.circuits;
    let fuel = circuits.iter().find(|c| c.lines.iter().any(|l| plan.lines[*l].id == "F1")).unwrap();
    let cruise = assessment.facts.cases.iter().position(|c| c.name == "cruise, sea level").unwrap();
    let (_, answer) = fuel.answers.iter().find(|(case, _)| *case == cruise).unwrap();
    let steps = steps(plan, answer.as_ref().unwrap());
    let ways = chains(plan, &steps);
    let way = &ways[0];
    assert_eq!(id(way[0].from.component()), "TL");
    assert_eq!(id(way.last().unwrap().to.component()), "TL");
    assert!(way.windows(2).all(|w| w[0].to == w[1].from), "no gap");
    let lines: Vec<&str> = way
        .iter()
        .filter_map(|s| match s.what {
            Passage::Line(line, true) => Some(plan.lines[line].id.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(lines, ["F1", "F3", "F4", "F5", "F7", "F8", "F9"]);
    assert_eq!(way.iter().filter(|s| is_pump(plan, s)).count(), 1);
    // Without a pump the pressure falls all the way but for lift, which a metre of petrol limits.
    for step in way.iter().filter(|s| matches!(s.what, Passage::Line(..))) {
        let [Some(from), Some(to)] = step.ends_pa else { panic!("a solved line has pressures") };
        assert!(to - from < 15e3);
    }
}

#[test]
fn a_way_has_a_line_unless_its_pump_pumps_in_a_circle() {
    for example in EXAMPLES {
        let (assessment, _) = assessed(&plan_text(example));
        for circuit in &assessment.facts.network.circuits {
            for (_, answer) in &circuit.answers {
                let Ok(answer) = answer else { continue };
                for way in chains(&assessment.plan, &steps(&assessment.plan, answer)) {
                    let has = way.iter().any(|s| matches!(s.what, Passage::Line(..)));
                    // A relief valve that blows back to the inlet of its own pump.
                    let ends = [way[0].from, way[way.len() - 1].to].map(Node::component);
                    assert!(has || ends[0] == ends[1], "{example}, {}", circuit.name);
                    assert!(way.windows(2).all(|w| w[0].to == w[1].from));
                }
            }
        }
    }
}

#[test]
fn where_most_stays_inside_the_engine_the_way_is_that_of_the_rest() {
    let (assessment, _) = assessed(&plan_text("02-river-launch"));
    let plan = &assessment.plan;
    let circuits = &assessment.facts.network.circuits;
    let coolant =
        circuits.iter().find(|c| c.lines.iter().any(|l| plan.lines[*l].id == "K1")).unwrap();
    let (_, answer) = &coolant.answers[0];
    let ways = chains(plan, &steps(plan, answer.as_ref().unwrap()));
    let on = |id: &str| {
        let line = plan.lines.iter().position(|l| l.id == id).unwrap();
        ways[0].iter().any(|s| s.what == Passage::Line(line, true))
    };
    assert!(on("K1") && on("K2"));
}

#[test]
fn plots_name_their_curves_and_say_what_is_not_computed() {
    let plots = section(&plan_text("01-amphibian"), "plots", Look::default());
    for words in ["cool descent", "vapour pressure", "least at the inlet", "not computed", "m/s"] {
        assert!(plots.contains(words), "{words}");
    }
    // A table beside each plot, for those who do not see it.
    assert_eq!(plots.matches("<details>").count(), figures(&plots).len());
}

#[test]
fn a_plan_without_a_network_is_not_given_pressures() {
    let plots = section(hosewright::plan::starter::STARTER, "plots", Look::default());
    assert!(!plots.contains("NaN") && !plots.contains("inf"));
}
