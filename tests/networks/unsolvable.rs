//! Networks without an answer are named for what is wrong with them.

use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight};
use hosewright::hydraulics::network::{
    Element, Hold, Link, Network, NetworkError, Node, OneWay, PumpCurve, Regulator,
};

use super::random::{Numbers, link, network, passage};

const JOINT: Node = Node::Free { taken_kg_s: 0.0 };
const TANK: Node = Node::Held { pressure_pa: 1e5 };

fn pipe() -> Element {
    Element::Loss { linear_pa_s_m3: 1e8, square_pa_s2_m6: 0.0 }
}

fn gear_pump() -> Element {
    Element::Displacement { flow_m3_s: 1e-4, slip_m3_s_pa: 0.0 }
}

fn refused(nodes: &[Node], links: Vec<Link>) -> NetworkError {
    let network = Network { nodes: nodes.to_vec(), links, regulators: Vec::new() };
    match network.solve() {
        Ok(solution) => panic!("{solution:?}"),
        Err(error) => {
            assert!(!error.to_string().is_empty());
            error
        }
    }
}

fn valve(from: usize, to: usize) -> Link {
    Link { one_way: Some(OneWay { opens_pa: 0.0 }), ..link(from, to, pipe()) }
}

#[test]
fn a_wanted_flow_without_a_way_is_a_dead_end() {
    let wants = Node::Free { taken_kg_s: 0.1 };
    let shut = Link { shut: true, ..link(0, 1, pipe()) };
    let dead = NetworkError::DeadEnd { node: 1 };
    assert_eq!(refused(&[TANK, wants], vec![shut]), dead);
    // Behind a check valve that faces the other way.
    assert_eq!(refused(&[TANK, wants], vec![valve(1, 0)]), dead);
    // Fed in where it cannot leave.
    let feeds = Node::Free { taken_kg_s: -0.1 };
    assert_eq!(refused(&[TANK, feeds], vec![valve(0, 1)]), dead);
    assert!(matches!(refused(&[wants], vec![]), NetworkError::DeadEnd { node: 0 }));
}

#[test]
fn a_gear_pump_against_a_closed_way_is_named() {
    let shut = Link { shut: true, ..link(1, 0, pipe()) };
    let against = NetworkError::AgainstShut { link: 0 };
    assert_eq!(refused(&[TANK, JOINT], vec![link(0, 1, gear_pump()), shut]), against);
    assert_eq!(refused(&[TANK, JOINT], vec![link(0, 1, gear_pump()), valve(0, 1)]), against);
    // Drawing from a line that nothing feeds.
    let dry = vec![link(1, 0, gear_pump()), valve(1, 0)];
    assert_eq!(refused(&[TANK, JOINT], dry), against);
}

#[test]
fn a_ring_without_a_held_pressure_has_no_reference() {
    let points = vec![(0.0, 1e5), (1e-3, 0.0)];
    let pump = PumpCurve::new(points).unwrap_or_else(|e| panic!("{e}"));
    let ring = vec![link(0, 1, Element::Pump(pump)), link(1, 0, pipe())];
    let none = NetworkError::NoReference { nodes: vec![0, 1] };
    assert_eq!(refused(&[JOINT, JOINT], ring), none);
    let gear = vec![link(0, 1, gear_pump()), link(1, 0, pipe())];
    assert_eq!(refused(&[JOINT, JOINT], gear), none);
    // Warm and cold columns of a closed heating loop.
    let warm = Link { lift_pa: 9_000.0, ..link(0, 1, pipe()) };
    let cold = Link { lift_pa: -9_500.0, ..link(1, 0, pipe()) };
    assert_eq!(refused(&[JOINT, JOINT], vec![warm, cold]), none);
    let even = [Node::Free { taken_kg_s: 0.1 }, Node::Free { taken_kg_s: -0.1 }];
    assert_eq!(refused(&even, vec![link(0, 1, pipe())]), none);
}

#[test]
fn a_pump_driven_beyond_its_points_is_refused() {
    let points = vec![(0.0, 1e5), (1e-4, 5e4)];
    let pump = PumpCurve::new(points).unwrap_or_else(|e| panic!("{e}"));
    let links = vec![link(0, 1, Element::Pump(pump.clone())), link(1, 0, pipe())];
    let beyond = refused(&[TANK, JOINT], links);
    assert!(matches!(beyond, NetworkError::OutsideCurve { link: 0, .. }), "{beyond}");
    let back = [TANK, Node::Held { pressure_pa: 5e5 }];
    let backwards = refused(&back, vec![link(0, 1, Element::Pump(pump.clone()))]);
    assert!(
        matches!(backwards, NetworkError::OutsideCurve { flow_m3_s, .. } if flow_m3_s < 0.0),
        "{backwards}"
    );
    // With a check valve it just stands.
    let one_way = Some(OneWay { opens_pa: 0.0 });
    let links = vec![Link { one_way, ..link(0, 1, Element::Pump(pump)) }];
    let stands = Network { nodes: back.to_vec(), links, regulators: Vec::new() }.solve();
    assert_eq!(stands.map(|s| s.flows_kg_s), Ok(vec![0.0]));
}

#[test]
fn a_liquid_too_fast_for_the_friction_formula_is_refused() {
    let run = Straight { bore_m: 0.5, length_m: 0.1, roughness_m: 0.0, loss_sum: 0.0 };
    let liquid = Liquid { density_kg_m3: 900.0, viscosity_pa_s: 1e-4 };
    let nodes = [TANK, Node::Held { pressure_pa: 5e7 }];
    let error = refused(&nodes, vec![link(1, 0, Element::Run { run, liquid })]);
    assert!(matches!(error, NetworkError::Hydraulics { link: 0, .. }), "{error}");
}

#[test]
fn names_and_numbers_without_sense_are_refused() {
    let far = refused(&[TANK], vec![link(0, 7, pipe())]);
    assert!(matches!(far, NetworkError::BadIndex { names: 7, count: 1, .. }));
    let same = refused(&[TANK], vec![link(0, 0, pipe())]);
    assert_eq!(same, NetworkError::OneNode { link: 0, node: 0 });
    for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
        let thin = Link { density_kg_m3: bad, ..link(0, 1, pipe()) };
        assert!(matches!(refused(&[TANK, JOINT], vec![thin]), NetworkError::BadNumber { .. }));
        let vacuum = Node::Held { pressure_pa: f64::NAN };
        assert!(matches!(refused(&[vacuum], vec![]), NetworkError::BadNumber { .. }));
    }
    let negative = Element::Loss { linear_pa_s_m3: -1.0, square_pa_s2_m6: 0.0 };
    let error = refused(&[TANK, JOINT], vec![link(0, 1, negative)]);
    assert!(matches!(error, NetworkError::BadNumber { .. }));
    let network = Network {
        nodes: vec![TANK, JOINT],
        links: vec![link(0, 1, gear_pump()), link(1, 0, pipe())],
        regulators: vec![Regulator { link: 0, holds: Hold::After { pressure_pa: 1e5 } }],
    };
    assert!(matches!(network.solve(), Err(NetworkError::Unregulated { link: 0, .. })));
    assert!(matches!(
        network.solve_from(&[0.0]),
        Err(NetworkError::StartLength { given: 1, links: 2 })
    ));
}

#[test]
fn random_networks_that_are_cut_apart_are_named_for_it() {
    let mut numbers = Numbers(77);
    for index in 0..2000 {
        let mut network = network(&mut numbers, 10);
        let first = network.nodes.len();
        // Two more nodes, joined to each other, to the rest only through a shut tap.
        network.nodes.extend([JOINT, JOINT]);
        network.links.push(link(first, first + 1, passage(&mut numbers)));
        network.links.push(Link { shut: true, ..link(0, first, passage(&mut numbers)) });
        let added = network.links.len();
        let expected = match numbers.below(4) {
            0 => {
                network.nodes[first + 1] = Node::Free { taken_kg_s: 0.2 };
                NetworkError::DeadEnd { node: first + 1 }
            }
            1 => {
                network.links.push(link(0, first + 1, gear_pump()));
                NetworkError::AgainstShut { link: added }
            }
            2 => {
                network.nodes[first] = Node::Free { taken_kg_s: 0.3 };
                network.links.push(valve(first + 1, 0));
                NetworkError::DeadEnd { node: first }
            }
            _ => {
                let pump = Element::PumpSquare { rest_pa: 1e5, square_pa_s2_m6: 1e12 };
                network.links.push(link(first + 1, first, pump));
                NetworkError::NoReference { nodes: vec![first, first + 1] }
            }
        };
        assert_eq!(network.solve().map(|_| ()), Err(expected), "{index}");
    }
}

#[test]
fn absurd_sizes_are_answered_with_numbers_or_refused() {
    let mut numbers = Numbers(8);
    for index in 0..3000 {
        let mut network = network(&mut numbers, 8);
        let huge = numbers.between(1e-300, 1e300);
        for node in &mut network.nodes {
            match node {
                Node::Held { pressure_pa } if numbers.chance(0.3) => *pressure_pa *= huge,
                Node::Free { taken_kg_s } if numbers.chance(0.3) => *taken_kg_s *= huge,
                _ => {}
            }
        }
        for link in &mut network.links {
            if numbers.chance(0.2) {
                let size = numbers.between(1e-300, 1e300);
                link.element = match numbers.below(3) {
                    0 => Element::Loss { linear_pa_s_m3: size, square_pa_s2_m6: 0.0 },
                    1 => Element::Loss { linear_pa_s_m3: 0.0, square_pa_s2_m6: size },
                    _ => Element::Displacement { flow_m3_s: 1e-4, slip_m3_s_pa: size },
                };
            }
            if numbers.chance(0.1) {
                link.density_kg_m3 = numbers.between(1e-300, 1e300);
            }
        }
        if let Ok(solution) = network.solve() {
            let pressures = solution.pressures_pa.iter().chain(&solution.drops_pa).flatten();
            let all = pressures.chain(&solution.flows_kg_s).chain(&solution.throttles_pa);
            assert!(all.copied().all(f64::is_finite), "{index}: {solution:?}");
            assert!(solution.mass_residual <= 1e-9 && solution.energy_residual <= 1e-9);
        }
    }
}
