//! Every random network that has an answer gets one, and its balances hold when added up from outside.

use hosewright::hydraulics::HydraulicsError;
use hosewright::hydraulics::darcy_weisbach::straight_loss;
use hosewright::hydraulics::network::{Element, LinkState, Network, NetworkError, Node, Solution};

use super::random::{Numbers, network};

/// Loss of an element worked out from its definition; none where the test has no law of its own.
fn loss(element: &Element, flow: f64) -> Option<f64> {
    Some(match element {
        Element::Line(law) => law.loss(flow).ok()?.loss_pa,
        Element::Run { run, liquid } => straight_loss(run, liquid, flow).ok()?.drop_pa,
        Element::Loss { linear_pa_s_m3, square_pa_s2_m6 } => {
            linear_pa_s_m3 * flow + square_pa_s2_m6 * flow * flow.abs()
        }
        Element::Pump(curve) => -curve.rise_pa(flow).ok()?,
        Element::PumpSquare { rest_pa, square_pa_s2_m6 } => square_pa_s2_m6 * flow * flow - rest_pa,
        Element::Displacement { flow_m3_s, slip_m3_s_pa } if *slip_m3_s_pa > 0.0 => {
            (flow - flow_m3_s) / slip_m3_s_pa
        }
        Element::Displacement { .. } | Element::Curve(_) => return None,
    })
}

/// What is wrong with an answer; empty when it stands.
fn faults(network: &Network, solution: &Solution) -> Vec<String> {
    let mut faults = Vec::new();
    let largest = solution.flows_kg_s.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
    for (node, given) in network.nodes.iter().enumerate() {
        let Node::Free { taken_kg_s } = given else { continue };
        let ends = network.links.iter().zip(&solution.flows_kg_s);
        let (sum, size) = ends.fold((-taken_kg_s, taken_kg_s.abs()), |(sum, size), (l, flow)| {
            let sign = f64::from(u8::from(l.to == node)) - f64::from(u8::from(l.from == node));
            (sum + sign * flow, size + (sign * flow).abs())
        });
        if sum.abs() > 1e-9 * size.max(2e-5 * largest).max(1e-3) {
            faults.push(format!("node {node}: {sum} of {size}"));
        }
    }
    let drops = solution.drops_pa.iter().flatten().fold(0.0_f64, |a, b| a.max(b.abs()));
    let pressures = solution.pressures_pa.iter().flatten().fold(0.0_f64, |a, b| a.max(b.abs()));
    let scale = (1e-3 * drops).max(1e-5 * pressures);
    for (index, link) in network.links.iter().enumerate() {
        let flow = solution.flows_kg_s[index];
        if solution.states[index] == LinkState::Shut {
            if flow != 0.0 {
                faults.push(format!("link {index} is shut and passes {flow}"));
            }
            let pushed = solution.drops_pa[index].zip(loss(&link.element, 0.0));
            let opens = link.one_way.map_or(f64::INFINITY, |valve| valve.opens_pa);
            if !link.shut && pushed.is_some_and(|(drop, rest)| drop > rest + opens + 1e-3) {
                faults.push(format!("link {index} should open"));
            }
            continue;
        }
        if link.one_way.is_some() && flow < 0.0 {
            faults.push(format!("link {index} passes {flow} backwards"));
        }
        let law = loss(&link.element, flow / link.density_kg_m3);
        let known = law.map(|law| law + link.one_way.map_or(0.0, |valve| valve.opens_pa));
        if let Some((known, drop)) = known.zip(solution.drops_pa[index]) {
            let whole = known.abs().max(scale);
            let still = link.one_way.is_some() && flow == 0.0;
            if (known - drop).abs() > 1e-8 * whole && !still {
                faults.push(format!("link {index}: loss {known}, drop {drop}"));
            }
        }
    }
    faults
}

/// Solves random networks; how many pumps were driven beyond their curves, and the most steps.
fn solve_all(start: u64, count: u32, most_nodes: usize) -> (u32, u32) {
    let mut numbers = Numbers(start);
    let (mut beyond, mut most) = (0, 0);
    for index in 0..count {
        let network = network(&mut numbers, most_nodes);
        match network.solve() {
            Ok(solution) => {
                let faults = faults(&network, &solution);
                assert!(faults.is_empty(), "{index}: {}\n{network:#?}", faults.join("\n"));
                most = most.max(solution.steps);
            }
            // The generator cannot know how far a pump will be driven.
            Err(NetworkError::OutsideCurve { link, .. }) => {
                let of = &network.links[link].element;
                let pump = matches!(of, Element::Pump(_) | Element::PumpSquare { .. });
                assert!(pump || matches!(of, Element::Curve(_)), "{index}");
                beyond += 1;
            }
            // Nor how fast the liquid will be.
            Err(NetworkError::Hydraulics { link, error }) => {
                assert!(
                    matches!(error, HydraulicsError::OutOfRange { .. }),
                    "{index} {link} {error}"
                );
                beyond += 1;
            }
            Err(error) => panic!("{index}: {error}\n{network:#?}"),
        }
    }
    (beyond, most)
}

#[test]
fn random_small_networks_are_solved_and_balance() {
    let (beyond, most) = solve_all(20_240_517, 10_000, 12);
    assert!(beyond < 1500 && most < 40, "{beyond} beyond their curves, {most} steps");
}

#[test]
fn random_large_networks_are_solved_and_balance() {
    let (beyond, most) = solve_all(20_240_518, 200, 150);
    assert!(beyond < 120 && most < 40, "{beyond} beyond their curves, {most} steps");
}

#[test]
fn a_start_from_near_or_from_nonsense_ends_at_the_same_answer() {
    let mut numbers = Numbers(31);
    let mut compared = 0;
    for index in 0..500 {
        let network = network(&mut numbers, 12);
        let Ok(cold) = network.solve() else { continue };
        let near: Vec<f64> = cold.flows_kg_s.iter().map(|f| f * 1.01).collect();
        let wild: Vec<f64> = near.iter().map(|_| 20.0 * (numbers.share() - 0.5)).collect();
        for start in [near, wild] {
            let warm = network.solve_from(&start);
            let warm = warm.unwrap_or_else(|error| panic!("{index}: {error}\n{network:#?}"));
            let scale = cold.pressures_pa.iter().flatten().fold(1e5_f64, |a, p| a.max(p.abs()));
            for (a, b) in cold.pressures_pa.iter().zip(&warm.pressures_pa) {
                let same = a
                    .zip(*b)
                    .map_or(a.is_none() && b.is_none(), |(a, b)| (a - b).abs() <= 1e-6 * scale);
                assert!(same, "{index}: {a:?} {b:?}");
                compared += 1;
            }
        }
    }
    assert!(compared > 3000, "{compared}");
}

#[test]
fn the_same_network_gives_the_same_bytes() {
    let mut numbers = Numbers(5);
    for _ in 0..200 {
        let network = network(&mut numbers, 60);
        assert_eq!(format!("{:?}", network.solve()), format!("{:?}", network.solve()));
    }
}
