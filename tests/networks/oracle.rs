//! Our answers against those of another method in another language (`tests/oracle/networks.py`).

use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight};
use hosewright::hydraulics::network::{Element, Link, Network, Node, OneWay};

const FILE: &str = include_str!("../oracle/network.csv");

/// One network with the pressures and mass flows that were found for it.
#[derive(Default)]
struct Stored {
    nodes: Vec<Node>,
    links: Vec<Link>,
    pressures: Vec<f64>,
    flows: Vec<f64>,
}

fn stored() -> Vec<Stored> {
    let mut all: Vec<Stored> = Vec::new();
    for line in FILE.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |index: usize| cells[index].parse::<f64>().unwrap_or(f64::NAN);
        let whole = |index: usize| cells[index].parse::<usize>().unwrap_or(usize::MAX);
        if whole(0) > all.len() {
            all.push(Stored::default());
        }
        let Some(last) = all.last_mut() else { panic!("{line}") };
        let element = match cells[1] {
            "held" => {
                last.nodes.push(Node::Held { pressure_pa: number(7) });
                last.pressures.push(number(12));
                continue;
            }
            "free" => {
                last.nodes.push(Node::Free { taken_kg_s: number(7) });
                last.pressures.push(number(12));
                continue;
            }
            "run" => Element::Run {
                run: Straight {
                    bore_m: number(7),
                    length_m: number(8),
                    roughness_m: number(9),
                    loss_sum: number(10),
                },
                liquid: Liquid { density_kg_m3: number(4), viscosity_pa_s: number(11) },
            },
            "loss" => Element::Loss { linear_pa_s_m3: number(7), square_pa_s2_m6: number(8) },
            "pump" => Element::PumpSquare { rest_pa: number(7), square_pa_s2_m6: number(8) },
            "gear" => Element::Displacement { flow_m3_s: number(7), slip_m3_s_pa: number(8) },
            other => panic!("{other}"),
        };
        last.links.push(Link {
            from: whole(2),
            to: whole(3),
            density_kg_m3: number(4),
            lift_pa: number(5),
            element,
            one_way: cells[6].parse().ok().map(|opens_pa| OneWay { opens_pa }),
            shut: false,
        });
        last.flows.push(number(12));
    }
    all
}

#[test]
fn another_method_finds_the_same_flows_and_pressures() {
    let all = stored();
    assert!(all.len() >= 30);
    let (mut flowing, mut still) = (0, 0);
    for (index, Stored { nodes, links, pressures, flows }) in all.into_iter().enumerate() {
        let network = Network { nodes, links, regulators: Vec::new() };
        let solution = network.solve().unwrap_or_else(|error| panic!("{index}: {error}"));
        for (found, known) in solution.pressures_pa.iter().zip(&pressures) {
            let found = found.unwrap_or(f64::NAN);
            assert!((found - known).abs() <= 1e-8 * known.abs(), "{index}: {found} {known}");
        }
        let largest = flows.iter().fold(0.0_f64, |most, flow| most.max(flow.abs()));
        for (link, (found, known)) in solution.flows_kg_s.iter().zip(&flows).enumerate() {
            // Below a millionth of the largest flow the other method has no digits left.
            let share = 1e-6 * known.abs().max(1e-6 * largest);
            assert!((found - known).abs() <= share, "{index}, link {link}: {found} {known}");
            if *known == 0.0 {
                still += 1;
            } else {
                flowing += 1;
            }
        }
    }
    assert!(flowing > 300 && still > 30, "{flowing} {still}");
}
