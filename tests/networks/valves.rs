//! Valves and regulators do what they are for, in networks small enough to work out by hand.

use hosewright::hydraulics::network::{
    Element, Hold, Link, LinkState, Network, Node, OneWay, Regulator, Solution,
};

use super::random::{Numbers, link};

const RHO: f64 = 900.0;

fn linear(pa_per_kg_s: f64) -> Element {
    Element::Loss { linear_pa_s_m3: RHO * pa_per_kg_s, square_pa_s2_m6: 0.0 }
}

fn checked(from: usize, to: usize, pa_per_kg_s: f64, opens_pa: f64) -> Link {
    Link { one_way: Some(OneWay { opens_pa }), ..link(from, to, linear(pa_per_kg_s)) }
}

fn pump(kg_s: f64) -> Element {
    Element::Displacement { flow_m3_s: kg_s / RHO, slip_m3_s_pa: 0.0 }
}

fn held(bar: f64) -> Node {
    Node::Held { pressure_pa: bar * 1e5 }
}

const JOINT: Node = Node::Free { taken_kg_s: 0.0 };

fn solved(nodes: &[Node], links: &[Link], regulators: &[Regulator]) -> Solution {
    let network =
        Network { nodes: nodes.to_vec(), links: links.to_vec(), regulators: regulators.to_vec() };
    network.solve().unwrap_or_else(|error| panic!("{error}"))
}

fn assert_near(found: f64, known: f64) {
    assert!((found - known).abs() <= 1e-8 * known.abs().max(1e-3), "{found} for {known}");
}

fn bar(solution: &Solution, node: usize) -> f64 {
    solution.pressures_pa[node].unwrap_or(f64::NAN) / 1e5
}

#[test]
fn a_check_valve_passes_one_way_and_holds_the_other() {
    let pass = solved(&[held(3.0), held(1.0)], &[checked(0, 1, 1e5, 0.0)], &[]);
    assert_near(pass.flows_kg_s[0], 2.0);
    let block = solved(&[held(1.0), held(3.0)], &[checked(0, 1, 1e5, 0.0)], &[]);
    assert_eq!((block.flows_kg_s[0], block.states[0]), (0.0, LinkState::Shut));
    let spring = solved(&[held(3.0), held(1.0)], &[checked(0, 1, 1e5, 0.5e5)], &[]);
    assert_near(spring.flows_kg_s[0], 1.5);
}

#[test]
fn of_two_sources_behind_check_valves_the_stronger_feeds_alone() {
    let links = [checked(0, 2, 1e5, 0.0), checked(1, 2, 1e5, 0.0), link(2, 3, linear(1e5))];
    let solution = solved(&[held(5.0), held(2.0), JOINT, held(1.0)], &links, &[]);
    assert_near(solution.flows_kg_s[0], 2.0);
    assert_eq!(solution.states[1], LinkState::Shut);
    assert_near(bar(&solution, 2), 3.0);
}

#[test]
fn a_part_between_closed_valves_has_no_pressure() {
    let links = [checked(0, 2, 1e5, 0.0), checked(2, 1, 1e5, 0.0)];
    let solution = solved(&[held(1.0), held(3.0), JOINT], &links, &[]);
    assert_eq!(solution.pressures_pa[2], None);
    assert_eq!(solution.flows_kg_s, [0.0, 0.0]);
}

#[test]
fn a_shut_tap_leaves_the_rest_at_its_pressure() {
    let tap = Link { shut: true, ..link(1, 2, linear(1e5)) };
    let links = [link(0, 1, linear(1e5)), tap, link(2, 3, linear(1e5))];
    let solution = solved(&[held(4.0), JOINT, JOINT, JOINT], &links, &[]);
    assert_eq!(solution.pressures_pa, [Some(4e5), Some(4e5), None, None]);
    let states = [LinkState::Open, LinkState::Shut, LinkState::Open];
    assert_eq!(solution.states, states);
}

#[test]
fn a_reducing_valve_holds_the_pressure_behind_it() {
    let links = [checked(0, 1, 1e4, 0.0), link(1, 2, linear(1e5))];
    let hold = [Regulator { link: 0, holds: Hold::After { pressure_pa: 2.0e5 } }];
    let solution = solved(&[held(6.0), JOINT, held(1.0)], &links, &hold);
    assert_near(bar(&solution, 1), 2.0);
    assert_near(solution.flows_kg_s[0], 1.0);
    assert_near(solution.throttles_pa[0], 3.9e5);
    assert_eq!(solution.states[0], LinkState::Regulating);
    // Less than it holds arrives: wide open.
    let idle = solved(&[held(1.5), JOINT, held(1.0)], &links, &hold);
    assert_eq!((idle.states[0], idle.throttles_pa[0]), (LinkState::Open, 0.0));
    // More than it holds comes from behind: shut.
    let back = solved(&[held(6.0), JOINT, held(3.0)], &links, &hold);
    assert_eq!((back.states[0], back.flows_kg_s[0]), (LinkState::Shut, 0.0));
}

#[test]
fn a_reducing_valve_into_a_closed_line_holds_too() {
    let links = [checked(0, 1, 1e4, 0.0), link(1, 2, linear(1e5))];
    let hold = [Regulator { link: 0, holds: Hold::After { pressure_pa: 2.0e5 } }];
    let solution = solved(&[held(6.0), JOINT, JOINT], &links, &hold);
    assert_near(bar(&solution, 2), 2.0);
    assert!(solution.flows_kg_s[0].abs() < 1e-9);
}

#[test]
fn a_relief_valve_keeps_a_gear_pump_at_its_setting() {
    // Tank, pump, work line of 100 bar per kg/s back to the tank, relief valve beside it.
    let links = [link(0, 1, pump(0.5)), link(1, 0, linear(1e7)), checked(1, 0, 1e5, 0.0)];
    let hold = [Regulator { link: 2, holds: Hold::Before { pressure_pa: 21.0e5 } }];
    let solution = solved(&[held(1.0), JOINT], &links, &hold);
    assert_near(bar(&solution, 1), 21.0);
    assert_near(solution.flows_kg_s[1], 0.2);
    assert_near(solution.flows_kg_s[2], 0.3);
    assert_eq!(solution.states[2], LinkState::Regulating);
    // An easy work line: the relief valve stays shut.
    let easy = [link(0, 1, pump(0.5)), link(1, 0, linear(1e6)), checked(1, 0, 1e5, 0.0)];
    let solution = solved(&[held(1.0), JOINT], &easy, &hold);
    assert_eq!((solution.states[2], solution.flows_kg_s[2]), (LinkState::Shut, 0.0));
    assert_near(bar(&solution, 1), 6.0);
    // No work line at all: everything goes over the relief valve.
    let only = [link(0, 1, pump(0.5)), checked(1, 0, 1e5, 0.0)];
    let hold = [Regulator { link: 1, holds: Hold::Before { pressure_pa: 21.0e5 } }];
    let solution = solved(&[held(1.0), JOINT], &only, &hold);
    assert_near(bar(&solution, 1), 21.0);
    // A relief valve too small for the flow: open, and above its setting.
    let small = [link(0, 1, pump(0.5)), checked(1, 0, 1e8, 0.0)];
    let solution = solved(&[held(1.0), JOINT], &small, &hold);
    assert_eq!(solution.states[1], LinkState::Open);
    assert_near(bar(&solution, 1), 501.0);
}

#[test]
fn regulators_in_series_and_side_by_side_all_hold() {
    // Gear pump with relief at 60 bar, reducing valve to 30 bar, behind it another to 10 bar.
    let links = [
        link(0, 1, pump(0.5)),
        checked(1, 0, 1e5, 0.0),
        checked(1, 2, 1e5, 0.0),
        link(2, 0, linear(2e7)),
        checked(2, 3, 1e5, 0.0),
        link(3, 0, linear(1e7)),
    ];
    let holds = [
        Regulator { link: 1, holds: Hold::Before { pressure_pa: 61.0e5 } },
        Regulator { link: 2, holds: Hold::After { pressure_pa: 31.0e5 } },
        Regulator { link: 4, holds: Hold::After { pressure_pa: 11.0e5 } },
    ];
    let solution = solved(&[held(1.0), JOINT, JOINT, JOINT], &links, &holds);
    for (node, known) in [(1, 61.0), (2, 31.0), (3, 11.0)] {
        assert_near(bar(&solution, node), known);
    }
    assert_near(solution.flows_kg_s[3], 0.15);
    assert_near(solution.flows_kg_s[5], 0.1);
}

#[test]
fn what_a_random_regulator_holds_is_held_or_out_of_its_reach() {
    let mut numbers = Numbers(99);
    let (mut regulating, mut shut) = (0, 0);
    for index in 0..5000 {
        let mut network = super::random::network(&mut numbers, 10);
        let Ok(plain) = network.solve() else { continue };
        for link in 0..network.links.len() {
            // A valve in a link of the tree could leave a wanted flow without a way.
            let ends = &network.links[link];
            let source = matches!(ends.element, Element::Displacement { .. });
            if ends.one_way.is_none() || source || network.regulators.len() > 2 {
                continue;
            }
            let before = numbers.chance(0.5);
            let node = if before { ends.from } else { ends.to };
            let near = plain.pressures_pa[node].unwrap_or(1e5);
            let pressure_pa = near + 1e6 * (numbers.share() - 0.5);
            let holds =
                if before { Hold::Before { pressure_pa } } else { Hold::After { pressure_pa } };
            network.regulators.push(Regulator { link, holds });
        }
        let solution = match network.solve() {
            Ok(solution) => solution,
            Err(hosewright::hydraulics::network::NetworkError::NotConverged { .. }) => {
                panic!("{index}\n{network:#?}")
            }
            Err(_) => continue,
        };
        for (regulator, &throttle) in network.regulators.iter().zip(&solution.throttles_pa) {
            let link = &network.links[regulator.link];
            let (node, set, sign) = match regulator.holds {
                Hold::Before { pressure_pa } => (link.from, pressure_pa, -1.0),
                Hold::After { pressure_pa } => (link.to, pressure_pa, 1.0),
            };
            let over = sign * (solution.pressures_pa[node].unwrap_or(set) - set);
            let slack = 1e-8 * set.abs().max(solution.pressures_pa[node].unwrap_or(set).abs());
            match solution.states[regulator.link] {
                LinkState::Open => assert!(over <= slack, "{index}: {over} while open"),
                LinkState::Regulating => {
                    regulating += 1;
                    assert!(over.abs() <= slack && throttle > 0.0, "{index}: {over}");
                }
                LinkState::Shut => shut += 1,
            }
        }
    }
    assert!(regulating > 100 && shut > 100, "{regulating} {shut}");
}
