//! The heat kernels against numbers from an independent library and from fifty-digit arithmetic.

use super::arrangement;
use hosewright::heat::exchanger::{effectiveness, transfer_units};
use hosewright::heat::mixing::{
    Cooler, Exchanger, Held, Link, Network, Temperatures, temperatures,
};

fn rows(text: &str) -> Vec<Vec<String>> {
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let rows: Vec<Vec<String>> =
        lines.map(|line| line.split(',').map(str::to_owned).collect()).collect();
    assert!(rows.len() > 3, "the file holds too few rows to check anything");
    rows
}

fn number(row: &[String], at: usize) -> f64 {
    row[at].parse().expect("a number")
}

fn place(row: &[String], at: usize) -> usize {
    row[at].parse().expect("a whole number")
}

#[test]
fn effectiveness_agrees_with_a_library_of_formulas() {
    for row in rows(include_str!("../../oracle/effectiveness.csv")) {
        let found = effectiveness(arrangement(&row[0]), number(&row, 1), number(&row, 2));
        let (found, known) = (found.expect("an effectiveness"), number(&row, 3));
        assert!((found - known).abs() <= 1e-10 * known, "{row:?}: {found}");
    }
}

#[test]
fn transfer_units_agree_with_a_library_of_formulas() {
    for row in rows(include_str!("../../oracle/transfer-units.csv")) {
        let found = transfer_units(arrangement(&row[0]), number(&row, 1), number(&row, 2));
        let (found, known) = (found.expect("transfer units"), number(&row, 3));
        assert!((found - known).abs() <= 1e-9 * known, "{row:?}: {found}");
    }
}

/// One network of the file with the answers beside its parts.
#[derive(Default)]
struct Known {
    links: Vec<(Link, [f64; 2])>,
    exchangers: Vec<(Exchanger, f64)>,
    coolers: Vec<(Cooler, f64)>,
    held: Vec<(Held, f64)>,
}

impl Known {
    fn add(&mut self, row: &[String]) {
        let (first, second, heat) = (place(row, 2), place(row, 3), number(row, 7));
        let values = [number(row, 4), number(row, 5), number(row, 6)];
        match row[1].as_str() {
            "link" => {
                let [mass_flow_kg_s, specific_heat_j_kg_k, heat_w] = values;
                let link =
                    Link { from: first, to: second, mass_flow_kg_s, specific_heat_j_kg_k, heat_w };
                self.links.push((link, [number(row, 7), number(row, 8)]));
            }
            "exchanger" => {
                let exchanger = Exchanger { first, second, effectiveness: values[0] };
                self.exchangers.push((exchanger, heat));
            }
            "cooler" => {
                let [effectiveness, air_capacity_w_k, air_inlet_k] = values;
                let cooler = Cooler { link: first, effectiveness, air_capacity_w_k, air_inlet_k };
                self.coolers.push((cooler, heat));
            }
            "held" => self.held.push((Held { node: first, temperature_k: values[0] }, heat)),
            other => panic!("{other} is no part of a network"),
        }
    }

    fn solved(&self) -> Temperatures {
        let links: Vec<Link> = self.links.iter().map(|known| known.0).collect();
        let exchangers: Vec<Exchanger> = self.exchangers.iter().map(|known| known.0).collect();
        let coolers: Vec<Cooler> = self.coolers.iter().map(|known| known.0).collect();
        let held: Vec<Held> = self.held.iter().map(|known| known.0).collect();
        let network = Network {
            nodes: 1 + links.iter().map(|link| link.from.max(link.to)).max().unwrap_or(0),
            links: &links,
            exchangers: &exchangers,
            coolers: &coolers,
            held: &held,
            flow_tolerance_kg_s: 0.0,
        };
        temperatures(&network).expect("a steady state")
    }

    fn compare(&self, network: usize) {
        let found = self.solved();
        for ((_, known), link) in self.links.iter().zip(&found.links) {
            let link = link.expect("a link that flows");
            for (found, known) in [link.inlet_k, link.outlet_k].iter().zip(known) {
                assert!((found - known).abs() <= 1e-10 * known, "{network}: {found} {known}");
            }
        }
        let exchangers = self.exchangers.iter().map(|known| known.1).zip(&found.exchanged_w);
        let coolers = self.coolers.iter().map(|known| known.1).zip(&found.cooled_w);
        let held = self.held.iter().map(|known| known.1).zip(&found.taken_w);
        let heats: Vec<(f64, &f64)> = exchangers.chain(coolers).chain(held).collect();
        let largest = heats.iter().fold(0.0_f64, |most, (known, _)| most.max(known.abs()));
        for (known, found) in heats {
            assert!((known - found).abs() <= 1e-9 * largest, "{network}: {found} {known}");
        }
    }
}

#[test]
fn temperatures_and_heats_of_networks_agree_with_fifty_digit_arithmetic() {
    let rows = rows(include_str!("../../oracle/mixing.csv"));
    let last = rows.iter().map(|row| place(row, 0)).max().expect("a network");
    for network in 0..=last {
        let mut known = Known::default();
        for row in rows.iter().filter(|row| place(row, 0) == network) {
            known.add(row);
        }
        known.compare(network);
    }
}
