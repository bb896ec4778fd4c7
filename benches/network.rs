//! Time of whole network solves, and how it grows with the size; beside `SciPy` on request.
//!
//! `cargo bench --bench network -- PATH` runs `tests/oracle/network_speed.py` on the same networks with the Python
//! interpreter at PATH, which needs `SciPy`, and prints both side by side. Without PATH there are only our own times.

mod beside;
mod row;

use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight};
use hosewright::hydraulics::network::{Element, Link, Network, Node, Solution};
use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Instant;

/// Sides of the square grids.
const SIDES: [usize; 4] = [10, 32, 100, 316];
const LIQUID: Liquid = Liquid { density_kg_m3: 998.2, viscosity_pa_s: 1.0e-3 };

fn main() {
    let python = beside::python();
    print_home();
    print_line(&format!(
        "{:<10}{:>10}{:>8}{:>14}{:>12}{:>10}{:>12}",
        "nodes", "ms", "steps", "growth", "SciPy ms", "ratio", "flows off"
    ));
    let mut before: Option<(f64, f64)> = None;
    for side in SIDES {
        let (network, runs) = grid(side);
        let (ms, solution) = shortest_ms(&network, if side > 200 { 6 } else { 60 });
        let nodes = real(side * side);
        let growth = before.map_or(String::new(), |(n, t)| {
            format!("{:.2}", libm::log(ms / t) / libm::log(nodes / n))
        });
        let mut line = format!("{nodes:<10}{ms:>10.3}{:>8}{growth:>14}", solution.steps);
        if let Some(python) = &python {
            match theirs(python, &network, &runs, &solution) {
                Some((theirs, off)) => {
                    let _ = write!(line, "{theirs:>12.2}{:>10.1}{off:>12.1e}", theirs / ms);
                    let what = format!("flows of a network of {nodes} nodes");
                    row::row(&what, ms / 1e3, "SciPy, sparse Newton", theirs / 1e3);
                }
                None => line.push_str("  SciPy gave no answer"),
            }
        }
        print_line(&line);
        before = Some((nodes, ms));
    }
}

/// A network of the size of a machine built at home.
fn print_home() {
    let (network, _) = grid(4);
    let us = shortest_ms(&network, 2000).0 * 1e3;
    let (nodes, links) = (network.nodes.len(), network.links.len());
    print_line(&format!("{nodes} nodes, {links} lines: {us:.1} us a solve\n"));
}

fn real(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::NAN, f64::from)
}

/// A square grid of runs; one node in a hundred is held, at the others a little is taken.
fn grid(side: usize) -> (Network, Vec<Straight>) {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut share = move || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    };
    let count = side * side;
    let mut nodes = Vec::with_capacity(count);
    for node in 0..count {
        nodes.push(if node % 100 == 7 {
            Node::Held { pressure_pa: 4.0e5 + 2.0e5 * share() }
        } else {
            Node::Free { taken_kg_s: 0.02 * share() }
        });
    }
    let (mut links, mut runs) = (Vec::new(), Vec::new());
    for node in 0..count {
        for (there, to) in [(node % side + 1 < side, node + 1), (node + side < count, node + side)]
        {
            if !there {
                continue;
            }
            let bore_m = 0.01 + 0.03 * share();
            let run = Straight {
                bore_m,
                length_m: 1.0 + 4.0 * share(),
                roughness_m: 1.5e-6,
                loss_sum: share(),
            };
            runs.push(run);
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
    (Network { nodes, links, regulators: Vec::new() }, runs)
}

/// The answer; a bench without one says why and ends.
fn solved(network: &Network) -> Solution {
    network.solve().unwrap_or_else(|error| {
        print_line(&error.to_string());
        std::process::abort()
    })
}

/// Shortest time of a solve in milliseconds, which other work on the machine disturbs least, and the answer.
fn shortest_ms(network: &Network, turns: usize) -> (f64, Solution) {
    let solution = solved(network);
    let times = (0..turns).map(|_| {
        let start = Instant::now();
        black_box(solved(network));
        start.elapsed().as_secs_f64() * 1e3
    });
    (times.fold(f64::INFINITY, f64::min), solution)
}

/// Time of the other program in milliseconds, and the largest difference of a flow over the largest flow.
fn theirs(
    python: &str,
    network: &Network,
    runs: &[Straight],
    ours: &Solution,
) -> Option<(f64, f64)> {
    let mut text = format!("{} {}\n", network.nodes.len(), network.links.len());
    for node in &network.nodes {
        let _ = match node {
            Node::Held { pressure_pa } => writeln!(text, "1 {pressure_pa:?}"),
            Node::Free { taken_kg_s } => writeln!(text, "0 {taken_kg_s:?}"),
        };
    }
    for (link, run) in network.links.iter().zip(runs) {
        let Straight { bore_m, length_m, roughness_m, loss_sum } = run;
        let ends = format!("{} {}", link.from, link.to);
        let _ = writeln!(text, "{ends} {bore_m:?} {length_m:?} {roughness_m:?} {loss_sum:?}");
    }
    let answer = beside::answer(python, "network_speed.py", &text)?;
    let mut lines = answer.lines();
    let ms = lines.next()?.parse().ok()?;
    let flows: Vec<f64> = lines.filter_map(|line| line.parse().ok()).collect();
    if flows.len() != ours.flows_kg_s.len() {
        return None;
    }
    let largest = ours.flows_kg_s.iter().fold(0.0_f64, |most, flow| most.max(flow.abs()));
    let off = flows.iter().zip(&ours.flows_kg_s).map(|(a, b)| (a - b).abs());
    Some((ms, off.fold(0.0, f64::max) / largest))
}

#[expect(clippy::disallowed_macros, reason = "a bench has nothing but its printed table")]
fn print_line(line: &str) {
    println!("{line}");
}
