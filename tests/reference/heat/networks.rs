//! Networks worked by hand, what has no steady state, and the energy balance of random networks.

use hosewright::heat::HeatError;
use hosewright::heat::mixing::{
    Cooler, Exchanger, Held, Link, Network, Temperatures, temperatures,
};
use proptest::prelude::*;

fn link(from: usize, to: usize, mass_flow_kg_s: f64, heat_w: f64) -> Link {
    Link { from, to, mass_flow_kg_s, specific_heat_j_kg_k: 4000.0, heat_w }
}

fn held(node: usize, temperature_k: f64) -> Held {
    Held { node, temperature_k }
}

fn cooler(link: usize, effectiveness: f64, air_capacity_w_k: f64) -> Cooler {
    Cooler { link, effectiveness, air_capacity_w_k, air_inlet_k: 300.0 }
}

/// A network without tolerance.
fn network<'a>(
    nodes: usize,
    links: &'a [Link],
    exchangers: &'a [Exchanger],
    coolers: &'a [Cooler],
    held: &'a [Held],
) -> Network<'a> {
    Network { nodes, links, exchangers, coolers, held, flow_tolerance_kg_s: 0.0 }
}

fn near(found: Option<f64>, known: f64) -> bool {
    found.is_some_and(|found| (found - known).abs() < 1e-9)
}

#[test]
fn two_streams_mix_by_their_flows() {
    // 1 kg/s of 350 K and 3 kg/s of 290 K: (350 + 3 · 290)/4 = 305 K, warmed by 8 kW over 16 kW/K.
    let links = [link(0, 2, 1.0, 0.0), link(1, 2, 3.0, 0.0), link(2, 3, 4.0, 8000.0)];
    let found = temperatures(&network(4, &links, &[], &[], &[held(0, 350.0), held(1, 290.0)]));
    let found = found.unwrap();
    assert!(near(found.nodes_k[2], 305.0) && near(found.nodes_k[3], 305.5));
}

#[test]
fn a_stream_that_runs_backwards_carries_heat_the_other_way() {
    let links = [link(1, 0, -2.0, 4000.0)];
    let found = temperatures(&network(2, &links, &[], &[], &[held(0, 300.0)])).unwrap();
    assert!(near(found.nodes_k[1], 300.5));
    assert!(near(found.links[0].map(|link| link.inlet_k), 300.0));
}

#[test]
fn an_oil_cooler_in_the_coolant_couples_two_circuits() {
    // Oil: 1 kg/s · 2000 J/(kg K); coolant: 4000 W/K. 6 kW into the oil, 10 kW into the coolant.
    let oil =
        |from, to, heat_w| Link { specific_heat_j_kg_k: 2000.0, ..link(from, to, 1.0, heat_w) };
    let links = [
        oil(0, 1, 6000.0),
        oil(1, 0, 0.0),
        link(2, 3, 1.0, 10_000.0),
        link(3, 4, 1.0, 0.0),
        link(4, 2, 1.0, 0.0),
    ];
    let exchangers = [Exchanger { first: 1, second: 4, effectiveness: 0.5 }];
    let found =
        temperatures(&network(5, &links, &exchangers, &[cooler(3, 0.4, 1000.0)], &[])).unwrap();
    // All 16 kW leave by the air: 16000 = 0.4 · 1000 (T3 - 300), so T3 = 340, T4 = 336, T2 = 337.5;
    // the oil gives 6000 = 0.5 · 2000 (T1 - T4), so T1 = 342 and T0 = 339.
    for (node, known) in [(3, 340.0), (4, 336.0), (2, 337.5), (1, 342.0), (0, 339.0)] {
        assert!(near(found.nodes_k[node], known), "{node}: {:?}", found.nodes_k[node]);
    }
    assert!((found.exchanged_w[0] - 6000.0).abs() < 1e-6);
    assert!((found.cooled_w[0] - 16_000.0).abs() < 1e-6);
}

#[test]
fn a_tank_takes_up_what_its_return_brings() {
    let links = [link(0, 1, 0.1, 200.0), link(1, 0, 0.1, 0.0)];
    let found = temperatures(&network(2, &links, &[], &[], &[held(0, 300.0)])).unwrap();
    assert!(near(found.nodes_k[1], 300.5) && (found.taken_w[0] - 200.0).abs() < 1e-9);
}

#[test]
fn a_still_branch_has_no_temperature_and_stops_its_exchanger() {
    let links = [link(0, 1, 1.0, 0.0), link(1, 2, 0.0, 0.0), link(1, 0, 1.0, 0.0)];
    let exchangers = [Exchanger { first: 0, second: 1, effectiveness: 1.0 }];
    let found = temperatures(&network(3, &links, &exchangers, &[], &[held(0, 320.0)])).unwrap();
    assert_eq!((found.nodes_k[2], found.links[1]), (None, None));
    assert!(near(found.nodes_k[1], 320.0) && found.exchanged_w[0] == 0.0);
    // Left-over flow below the tolerance of the flow's own solver is none either.
    let mut almost = links;
    almost[1].mass_flow_kg_s = 1e-12;
    let tanks = [held(0, 320.0)];
    let tolerant = Network { flow_tolerance_kg_s: 1e-9, ..network(3, &almost, &[], &[], &tanks) };
    assert_eq!(temperatures(&tolerant).unwrap().nodes_k[2], None);
}

#[test]
fn a_loop_that_cannot_give_its_heat_off_has_no_steady_state() {
    let links =
        [link(0, 1, 1.0, 5000.0), link(1, 0, 1.0, 0.0), link(2, 3, 1.0, 0.0), link(3, 2, 1.0, 0.0)];
    let fan_off = [cooler(1, 0.6, 0.0), cooler(3, 0.6, 500.0)];
    let refused = temperatures(&network(4, &links, &[], &fan_off, &[])).unwrap_err();
    assert_eq!(refused, HeatError::NoSteadyState { nodes: vec![0, 1], heat_w: 5000.0 });
    assert!(refused.to_string().contains("[0, 1]"));
    // An exchanger with a loop that is cooled lets the heat out.
    let exchangers = [Exchanger { first: 1, second: 2, effectiveness: 0.5 }];
    let fan_on = [cooler(3, 0.6, 500.0)];
    let found = temperatures(&network(4, &links, &exchangers, &fan_on, &[])).unwrap();
    assert!((found.cooled_w[0] - 5000.0).abs() < 1e-6);
}

#[test]
fn heat_into_what_stands_still_is_refused_by_name() {
    let links =
        [link(0, 1, 1.0, 0.0), link(1, 0, 1.0, 0.0), link(0, 1, 0.0, 50.0), link(0, 1, 0.0, -1.0)];
    let refused = temperatures(&network(2, &links, &[], &[], &[held(0, 300.0)]));
    assert_eq!(refused, Err(HeatError::HeatWithoutFlow { links: vec![2, 3] }));
}

#[test]
fn slips_in_the_network_are_refused_one_by_one() {
    let links = [link(0, 1, 1.0, 0.0), link(1, 0, 1.0, 0.0)];
    let tanks = [held(0, 300.0)];
    let pair = |first, second| [Exchanger { first, second, effectiveness: 0.5 }];
    let solve = |network: Network<'_>| temperatures(&network).unwrap_err();
    let missing = solve(network(2, &links, &pair(0, 2), &[], &tanks));
    assert_eq!(missing, HeatError::NotThere { what: "link", number: 2, count: 2 });
    let twice = solve(network(2, &links, &pair(1, 1), &[], &tanks));
    assert_eq!(twice, HeatError::NamedTwice { what: "link with an exchanger", number: 1 });
    let both = solve(network(2, &links, &[], &[], &[held(0, 300.0), held(0, 301.0)]));
    assert_eq!(both, HeatError::NamedTwice { what: "held node", number: 0 });
    let from_nowhere = [link(0, 1, 1.0, 0.0), link(1, 2, 1.5, 0.0)];
    let unknown = solve(network(3, &from_nowhere, &[], &[], &tanks));
    assert!(
        matches!(unknown, HeatError::UnknownInflow { node: 1, missing_kg_s } if (missing_kg_s - 0.5).abs() < 1e-12)
    );
    let frozen = [link(0, 1, 1.0, -2.0e6), link(1, 0, 1.0, 0.0)];
    assert!(matches!(solve(network(2, &frozen, &[], &[], &tanks)), HeatError::NotPositive { .. }));
    let odd = [Link { specific_heat_j_kg_k: 0.0, ..links[0] }, links[1]];
    assert!(matches!(solve(network(2, &odd, &[], &[], &tanks)), HeatError::NotPositive { .. }));
    assert!(matches!(solve(network(5000, &links, &[], &[], &tanks)), HeatError::TooMany { .. }));
}

#[test]
fn an_empty_network_has_nothing_to_say() {
    let found = temperatures(&network(2, &[], &[], &[], &[held(1, 280.0)])).unwrap();
    assert_eq!(found.nodes_k, [None, Some(280.0)]);
}

/// Loops through shared nodes, each with its own flow, so that every node balances.
#[derive(Debug, Clone)]
struct Loops {
    links: Vec<Link>,
    exchangers: Vec<Exchanger>,
    coolers: Vec<Cooler>,
    held: Vec<Held>,
}

const NODES: usize = 9;

/// Nodes, flow, specific heat, heats and cooling of one loop.
type LoopParts = (Vec<usize>, f64, f64, Vec<f64>, f64, f64);

fn one_loop() -> impl Strategy<Value = LoopParts> {
    (
        proptest::sample::subsequence((0..NODES).collect::<Vec<usize>>(), 3..=5).prop_shuffle(),
        prop_oneof![-2.0_f64..-0.01, 0.01_f64..2.0],
        1500.0_f64..4500.0,
        proptest::collection::vec(-500.0_f64..20_000.0, 5),
        0.05_f64..1.0,
        50.0_f64..5000.0,
    )
}

fn assemble(parts: &[LoopParts], shares: &[f64], tank: Option<f64>) -> Loops {
    let mut made = Loops { links: vec![], exchangers: vec![], coolers: vec![], held: vec![] };
    let mut seconds: Vec<usize> = Vec::new();
    for (stops, flow, specific_heat, heats, effectiveness, air) in parts {
        let first = made.links.len();
        for (place, start) in stops.iter().enumerate() {
            let end = stops[(place + 1) % stops.len()];
            made.links.push(Link {
                specific_heat_j_kg_k: *specific_heat,
                ..link(*start, end, *flow, heats[place])
            });
        }
        made.coolers.push(cooler(first, *effectiveness, *air));
        seconds.push(first + 1);
    }
    for (pair, share) in seconds.chunks_exact(2).zip(shares) {
        made.exchangers.push(Exchanger { first: pair[0], second: pair[1], effectiveness: *share });
    }
    made.held.extend(tank.map(|kelvin| held(0, kelvin)));
    made
}

/// Heat that goes in less heat that comes out, from the temperatures alone.
fn open_w(loops: &Loops, found: &Temperatures) -> (f64, f64) {
    let (mut balance, mut moved) = (0.0, 0.0);
    let mut nodes = [0.0; NODES];
    for (link, temperatures) in loops.links.iter().zip(&found.links) {
        let ends = temperatures.expect("a link that flows");
        let capacity = link.mass_flow_kg_s.abs() * link.specific_heat_j_kg_k;
        let to = if link.mass_flow_kg_s < 0.0 { link.from } else { link.to };
        nodes[to] += capacity * (ends.outlet_k - found.nodes_k[to].expect("a temperature"));
        balance += link.heat_w - capacity * (ends.outlet_k - ends.inlet_k);
        moved += link.heat_w.abs() + capacity * ends.inlet_k * 1e-4;
    }
    balance -= found.cooled_w.iter().sum::<f64>();
    let tanks: Vec<usize> = loops.held.iter().map(|held| held.node).collect();
    let free = (0..NODES).filter(|node| !tanks.contains(node));
    (balance.abs() + free.map(|node| nodes[node].abs()).sum::<f64>(), moved)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_network_makes_or_loses_energy(
        parts in proptest::collection::vec(one_loop(), 1..7),
        shares in proptest::collection::vec(0.0_f64..=1.0, 3),
        tank in proptest::option::of(270.0_f64..370.0),
    ) {
        let loops = assemble(&parts, &shares, tank);
        let network =
            network(NODES, &loops.links, &loops.exchangers, &loops.coolers, &loops.held);
        let found = match temperatures(&network) {
            // Loops that are cooled on purpose may go below absolute zero; that is refused, not worked out.
            Err(HeatError::NotPositive { .. }) => return Ok(()),
            other => other.unwrap(),
        };
        let (open, moved) = open_w(&loops, &found);
        prop_assert!(open <= 1e-9 * moved, "{} of {}", open, moved);
        prop_assert!(found.residual_w.abs() <= 1e-9 * moved);
    }

    #[test]
    fn without_heat_all_is_as_warm_as_the_air(
        parts in proptest::collection::vec(one_loop(), 1..7),
        shares in proptest::collection::vec(0.0_f64..=1.0, 3),
    ) {
        let mut loops = assemble(&parts, &shares, None);
        for link in &mut loops.links {
            link.heat_w = 0.0;
        }
        let network = network(NODES, &loops.links, &loops.exchangers, &loops.coolers, &[]);
        let found = temperatures(&network).unwrap();
        prop_assert!(found.nodes_k.iter().flatten().all(|kelvin| kelvin.to_bits() == 300.0_f64.to_bits()));
    }

    #[test]
    fn any_numbers_at_all_give_an_answer_or_a_refusal(
        numbers in proptest::collection::vec(any::<f64>(), 12), ends in proptest::collection::vec(0_usize..4, 6),
    ) {
        let any_link = |at: usize| Link {
            from: ends[at], to: ends[at + 3], mass_flow_kg_s: numbers[at],
            specific_heat_j_kg_k: numbers[at + 3], heat_w: numbers[at + 6],
        };
        let links = [any_link(0), any_link(1), any_link(2)];
        let coolers = [Cooler { link: 2, effectiveness: 0.5, air_capacity_w_k: numbers[9], air_inlet_k: numbers[10] }];
        let tanks = [held(0, 300.0), held(3, 310.0)];
        let network = network(4, &links, &[Exchanger { first: 0, second: 1, effectiveness: 0.9 }], &coolers, &tanks);
        match temperatures(&network) {
            Ok(found) => prop_assert!(found.nodes_k.iter().flatten().all(|kelvin| kelvin.is_finite())),
            Err(refusal) => prop_assert!(refusal.to_string().len() > 10),
        }
    }
}
