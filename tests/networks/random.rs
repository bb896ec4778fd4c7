//! Random networks that have an answer: every free node hangs on a held one by ways that pass both directions.

use std::sync::Arc;

use hosewright::hydraulics::HydraulicsError;
use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use hosewright::hydraulics::friction::log_slope;
use hosewright::hydraulics::network::{
    Element, Link, LossCurve, LossLaw, LossSlope, Network, Node, OneWay, PumpCurve,
};

/// Numbers that look random and are the same in every run.
pub struct Numbers(pub u64);

impl Numbers {
    /// Between 0 and 1.
    pub fn share(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let mixed = (self.0 ^ (self.0 >> 29)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        (f64::from(u32::try_from(mixed >> 32).unwrap_or(0)) + 0.5) / 4_294_967_296.0
    }

    /// Evenly spread in the logarithm.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low * libm::pow(high / low, self.share())
    }

    pub fn below(&mut self, count: usize) -> usize {
        let at = self.share() * f64::from(u32::try_from(count).unwrap_or(u32::MAX));
        (0..count).rev().find(|&i| f64::from(u32::try_from(i).unwrap_or(0)) <= at).unwrap_or(0)
    }

    pub fn chance(&mut self, share: f64) -> bool {
        self.share() < share
    }

    pub fn pressure(&mut self) -> f64 {
        1.0e5 + self.between(1.0, 1.0e7)
    }
}

/// A law written outside the kernel: a run of another bore and a screen behind it.
#[derive(Debug)]
struct RunAndScreen(Straight, Liquid, f64);

impl LossLaw for RunAndScreen {
    fn loss(&self, flow: f64) -> Result<LossSlope, HydraulicsError> {
        let loss = straight_loss(&self.0, &self.1, flow)?;
        let area = std::f64::consts::FRAC_PI_4 * self.0.bore_m * self.0.bore_m;
        let slope = if loss.reynolds > 0.0 {
            let ratio = self.0.roughness_m / self.0.bore_m;
            (loss.friction_pa * (2.0 + log_slope(loss.reynolds, ratio)?) + 2.0 * loss.local_pa)
                / flow
        } else {
            32.0 * self.1.viscosity_pa_s * self.0.length_m / (self.0.bore_m * self.0.bore_m) / area
        };
        Ok(LossSlope { loss_pa: loss.drop_pa + self.2 * flow, slope_pa_s_m3: slope + self.2 })
    }
}

fn run(numbers: &mut Numbers) -> (Straight, Liquid) {
    let bore_m = numbers.between(0.002, 0.06);
    let run = Straight {
        bore_m,
        length_m: numbers.between(0.05, 30.0),
        roughness_m: bore_m * if numbers.chance(0.3) { 0.0 } else { numbers.between(1e-6, 0.04) },
        loss_sum: if numbers.chance(0.5) { 0.0 } else { numbers.between(0.1, 50.0) },
    };
    (run, Liquid { density_kg_m3: 900.0, viscosity_pa_s: numbers.between(2e-4, 2.0) })
}

/// An element that passes both ways.
pub fn passage(numbers: &mut Numbers) -> Element {
    match numbers.below(8) {
        0 => Element::Loss { linear_pa_s_m3: 0.0, square_pa_s2_m6: numbers.between(1e6, 1e16) },
        1 => Element::Loss { linear_pa_s_m3: numbers.between(1e4, 1e12), square_pa_s2_m6: 0.0 },
        2 => Element::Loss {
            linear_pa_s_m3: numbers.between(1e4, 1e12),
            square_pa_s2_m6: numbers.between(1e6, 1e16),
        },
        3 => {
            let (q, p) = (numbers.between(1e-2, 1.0), numbers.between(1e7, 1e9));
            let points = vec![(0.0, 0.0), (0.3 * q, 0.1 * p), (0.6 * q, 0.5 * p), (q, p)];
            LossCurve::new(points).map_or_else(|e| panic!("{e}"), Element::Curve)
        }
        4 => {
            let (run, liquid) = run(numbers);
            Element::Line(Arc::new(RunAndScreen(run, liquid, numbers.between(1e5, 1e8))))
        }
        _ => {
            let (run, liquid) = run(numbers);
            Element::Run { run, liquid }
        }
    }
}

/// A pump of any kind.
pub fn pump(numbers: &mut Numbers) -> Element {
    let (q, p) = (numbers.between(1e-5, 1e-2), numbers.between(1e4, 1e6));
    match numbers.below(4) {
        0 => {
            let points = vec![(0.0, p), (0.2 * q, p), (0.6 * q, 0.8 * p), (q, 0.1 * p)];
            PumpCurve::new(points).map_or_else(|e| panic!("{e}"), Element::Pump)
        }
        1 => Element::PumpSquare { rest_pa: p, square_pa_s2_m6: p / (q * q) },
        2 => Element::Displacement { flow_m3_s: q, slip_m3_s_pa: 0.0 },
        _ => Element::Displacement { flow_m3_s: q, slip_m3_s_pa: 0.01 * q / p },
    }
}

pub fn link(from: usize, to: usize, element: Element) -> Link {
    Link { from, to, density_kg_m3: 900.0, lift_pa: 0.0, element, one_way: None, shut: false }
}

/// A network of up to `most` free nodes that has an answer.
pub fn network(numbers: &mut Numbers, most: usize) -> Network {
    let free = 1 + numbers.below(most);
    let held = 1 + numbers.below(3);
    let mut nodes: Vec<Node> =
        (0..held).map(|_| Node::Held { pressure_pa: numbers.pressure() }).collect();
    let mut links = Vec::new();
    let taking = if numbers.chance(0.5) { 0.0 } else { 0.3 };
    for node in held..held + free {
        let taken = numbers.between(1e-4, 1.0) * if numbers.chance(0.3) { -1.0 } else { 1.0 };
        nodes.push(Node::Free { taken_kg_s: if numbers.chance(taking) { taken } else { 0.0 } });
        let other = numbers.below(node);
        let element = if numbers.chance(0.03) {
            Element::Loss { linear_pa_s_m3: 0.0, square_pa_s2_m6: 0.0 }
        } else {
            passage(numbers)
        };
        links.push(link(other, node, element));
    }
    let extra = numbers.below(free + 2);
    for _ in 0..extra {
        let (from, to) = (numbers.below(nodes.len()), numbers.below(nodes.len()));
        if from == to {
            continue;
        }
        let is_pump = numbers.chance(0.25);
        let element = if is_pump { pump(numbers) } else { passage(numbers) };
        let mut link = link(from, to, element);
        if is_pump || numbers.chance(0.3) {
            let opens_pa = if numbers.chance(0.5) { 0.0 } else { numbers.between(1e2, 1e6) };
            link.one_way = Some(OneWay { opens_pa });
        }
        link.shut = numbers.chance(0.05);
        links.push(link);
    }
    for link in &mut links {
        link.density_kg_m3 = 900.0 + 50.0 * numbers.share();
        link.lift_pa = if numbers.chance(0.5) { 0.0 } else { 2.0e4 * (numbers.share() - 0.5) };
    }
    Network { nodes, links, regulators: Vec::new() }
}
