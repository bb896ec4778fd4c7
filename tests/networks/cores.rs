//! A network large enough to be shared among cores has the same bytes on any number of them.

use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight};
use hosewright::hydraulics::network::{Element, Link, Network, Node, Solution};

use super::random::Numbers;

const LIQUID: Liquid = Liquid { density_kg_m3: 998.2, viscosity_pa_s: 1.0e-3 };

/// A square grid of runs, a few nodes held; at the others a little is taken.
fn grid(side: usize) -> Network {
    let mut numbers = Numbers(11);
    let nodes = (0..side * side).map(|node| {
        if node % 100 == 7 {
            Node::Held { pressure_pa: 4.0e5 + 2.0e5 * numbers.share() }
        } else {
            Node::Free { taken_kg_s: 0.02 * numbers.share() }
        }
    });
    let nodes: Vec<Node> = nodes.collect();
    let mut links = Vec::new();
    for node in 0..side * side {
        let ways = [(node % side + 1 < side, node + 1), (node + side < side * side, node + side)];
        for (_, to) in ways.into_iter().filter(|(there, _)| *there) {
            let run = Straight {
                bore_m: 0.01 + 0.03 * numbers.share(),
                length_m: 1.0 + 4.0 * numbers.share(),
                roughness_m: 1.5e-6,
                loss_sum: numbers.share(),
            };
            links.push(Link {
                from: node,
                to,
                density_kg_m3: LIQUID.density_kg_m3,
                lift_pa: 0.0,
                element: Element::Run { run, liquid: LIQUID },
                one_way: None,
                shut: false,
            });
        }
    }
    Network { nodes, links, regulators: Vec::new() }
}

fn solved_on(cores: usize, network: &Network) -> Solution {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(cores).build();
    let pool = pool.unwrap_or_else(|error| panic!("{error}"));
    pool.install(|| network.solve()).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn a_large_network_has_the_same_bytes_on_any_number_of_cores() {
    let network = grid(70);
    let alone = solved_on(1, &network);
    for cores in [2, 5] {
        let shared = solved_on(cores, &network);
        let same = alone.flows_kg_s.iter().zip(&shared.flows_kg_s);
        assert!(same.into_iter().all(|(a, b)| a.to_bits() == b.to_bits()), "{cores} cores");
        let bits = |p: &Option<f64>| p.map(f64::to_bits);
        let same = alone.pressures_pa.iter().zip(&shared.pressures_pa);
        assert!(same.into_iter().all(|(a, b)| bits(a) == bits(b)), "{cores} cores");
        assert_eq!(alone.steps, shared.steps);
    }
}
