//! Published problems with several lines at once, and with pumps.

use super::calls::{Answer, liquid, no};
use super::si::Given;
use hosewright::hydraulics::HydraulicsError;
use hosewright::hydraulics::darcy_weisbach::Straight;
use hosewright::hydraulics::network::{
    Element, Link, LossLaw, LossSlope, Network, Node, PumpCurve, Solution,
};
use hosewright::hydraulics::pump::{Duty, at_speed, rise_of_head_pa, shaft_power_w};
use hosewright::hydraulics::reynolds::{area_m2, reynolds, velocity_m_s};
use hosewright::hydraulics::tee::joining_k;
use std::error::Error;
use std::sync::Arc;

type Solved = Result<Solution, Box<dyn Error>>;

/// Density for problems in heads of the liquid: it falls out of the answer.
const RHO: f64 = 1000.0;

pub(super) fn answer(call: &str, given: &Given, quantity: &str) -> Answer {
    match call {
        "series" => series(given),
        "parallel" => parallel(given, quantity),
        "parallel with pump" => parallel_with_pump(given, quantity),
        "three reservoirs" => three_reservoirs(given, quantity),
        "ring main" => ring_main(given, quantity),
        "shared outlets" => shared_outlets(given, quantity),
        "explicit friction" => explicit_friction(given, quantity),
        "recirculation" => recirculation(given),
        "pump and system" => pump_and_system(given, quantity),
        "pump at speed" => pump_at_speed(given, quantity),
        "pump power" => pump_power(given, quantity),
        "joining tee" => joining_tee(given, quantity),
        other => no(other),
    }
}

fn held(pressure_pa: f64) -> Node {
    Node::Held { pressure_pa }
}

fn free(taken_kg_s: f64) -> Node {
    Node::Free { taken_kg_s }
}

fn link(from: usize, to: usize, element: Element) -> Link {
    Link { from, to, density_kg_m3: RHO, lift_pa: 0.0, element, one_way: None, shut: false }
}

fn square(square_pa_s2_m6: f64) -> Element {
    Element::Loss { linear_pa_s_m3: 0.0, square_pa_s2_m6 }
}

/// A pipe whose friction factor (Darcy) is printed, with loss coefficients.
fn pipe(factor: f64, length: f64, bore: f64, loss_sum: f64) -> Result<Element, HydraulicsError> {
    let area = area_m2(bore)?;
    Ok(square(0.5 * RHO * (factor * length / bore + loss_sum) / (area * area)))
}

fn solve(nodes: Vec<Node>, links: Vec<Link>) -> Solved {
    Ok(Network { nodes, links, regulators: Vec::new() }.solve()?)
}

fn flow(solution: &Solution, index: usize) -> f64 {
    solution.flows_kg_s[index] / RHO
}

fn pressure(solution: &Solution, node: usize) -> Answer {
    solution.pressures_pa[node].ok_or_else(|| format!("node {node} has no pressure").into())
}

fn series(given: &Given) -> Answer {
    let mut links = Vec::new();
    for (index, number) in ["1", "2", "3"].iter().enumerate() {
        let get = |name: &str| given.get(&format!("{name}{number}"));
        links.push(link(index, index + 1, pipe(get("f")?, get("L")?, get("d")?, 0.0)?));
    }
    let top = RHO * given.get("g")? * given.get("head")?;
    Ok(flow(&solve(vec![held(top), free(0.0), free(0.0), held(0.0)], links)?, 0))
}

fn parallel(given: &Given, quantity: &str) -> Answer {
    let f = 4.0 * given.get("fanning_f")?;
    let (length, local) = (given.get("length")?, given.get("sum_K")?);
    let nodes = vec![held(RHO * given.get("g")? * given.get("head")?), held(0.0)];
    let one =
        |bore| -> Result<Link, HydraulicsError> { Ok(link(0, 1, pipe(f, length, bore, local)?)) };
    let links = vec![one(given.get("d1")?)?, one(given.get("d2")?)?];
    let both = solve(nodes.clone(), links)?;
    let total = flow(&both, 0) + flow(&both, 1);
    Ok(match quantity {
        "flow_1" => flow(&both, 0),
        "flow_2" => flow(&both, 1),
        "flow_total" => total,
        "equivalent_diameter" => {
            root(0.01, 1.0, |bore| Ok(flow(&solve(nodes.clone(), vec![one(bore)?])?, 0) - total))?
        }
        other => return no(other),
    })
}

/// Where a rising function crosses zero, by halving.
fn root(low: f64, high: f64, miss: impl Fn(f64) -> Answer) -> Answer {
    let (mut low, mut high) = (low, high);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if miss(middle)? < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(0.5 * (low + high))
}

fn parallel_with_pump(given: &Given, quantity: &str) -> Answer {
    let liquid = liquid(given)?;
    let rho = liquid.density_kg_m3;
    let weight = rho * given.get("g")?;
    let mut pipes = Vec::new();
    for name in ["D1", "D2"] {
        let run = Straight {
            bore_m: given.get(name)?,
            length_m: given.get("L")?,
            roughness_m: given.get("roughness")?,
            loss_sum: 0.0,
        };
        pipes.push(Link { density_kg_m3: rho, ..link(1, 2, Element::Run { run, liquid }) });
    }
    let nodes = vec![held(weight * given.get("z_A")?), free(0.0), held(weight * given.get("z_B")?)];
    let with = |flow_m3_s: f64| {
        let pump = Element::Displacement { flow_m3_s, slip_m3_s_pa: 0.0 };
        let mut links = pipes.clone();
        links.push(Link { density_kg_m3: rho, ..link(0, 1, pump) });
        solve(nodes.clone(), links)
    };
    let rise = |solution: &Solution| -> Answer {
        Ok(-solution.drops_pa[2].ok_or("the pump has no rise")?)
    };
    let useful = given.get("electric_power")? * given.get("efficiency")?;
    let total = root(1e-4, 1.0, |flow| Ok(rise(&with(flow)?)? * flow - useful))?;
    let solution = with(total)?;
    let flow = |index: usize| solution.flows_kg_s[index] / rho;
    let re = |index: usize, name: &str| -> Answer {
        let bore = given.get(name)?;
        let kinematic = liquid.viscosity_pa_s / rho;
        Ok(reynolds(velocity_m_s(flow(index), bore)?, bore, kinematic)?)
    };
    Ok(match quantity {
        "flow_total" => total,
        "flow_1" => flow(0),
        "flow_2" => flow(1),
        "head_loss" => solution.drops_pa[0].ok_or("no drop")? / weight,
        "pump_head" => rise(&solution)? / weight,
        "reynolds_1" => re(0, "D1")?,
        "reynolds_2" => re(1, "D2")?,
        other => return no(other),
    })
}

fn three_reservoirs(given: &Given, quantity: &str) -> Answer {
    let f = 4.0 * given.get("fanning_f")?;
    let weight = RHO * given.get("g")?;
    let (mut nodes, mut links) = (vec![free(0.0)], Vec::new());
    for (index, number) in ["1", "2", "3"].iter().enumerate() {
        let get = |name: &str| given.get(&format!("{name}{number}"));
        nodes.push(held(weight * get("z")?));
        let element = pipe(f, get("L")?, get("D")?, 0.0)?;
        let (from, to) = if index == 0 { (1, 0) } else { (0, index + 1) };
        links.push(link(from, to, element));
    }
    let index = match quantity {
        "Q1" => 0,
        "Q2" => 1,
        "Q3" => 2,
        other => return no(other),
    };
    Ok(flow(&solve(nodes, links)?, index))
}

/// Ring A, B, C, D; the pressure is held at A, whose inflow then follows.
fn ring_main(given: &Given, quantity: &str) -> Answer {
    let k = given.get("pressure_loss_coefficient1")?;
    let nodes = vec![
        held(1e6),
        free(-RHO * given.get("inflow_B")?),
        free(RHO * given.get("outflow_C")?),
        free(RHO * given.get("outflow_D")?),
    ];
    let ends = [(0, 1), (1, 2), (0, 3), (3, 2)];
    let solution = solve(nodes, ends.map(|(from, to)| link(from, to, square(k))).to_vec())?;
    let inflow = flow(&solution, 0) + flow(&solution, 2);
    assert!((inflow / given.get("inflow_A")? - 1.0).abs() < 1e-9);
    let drop = |index: usize| solution.drops_pa[index].ok_or_else(|| "no drop".into());
    match quantity {
        "Q_AB" => Ok(flow(&solution, 0)),
        "Q_BC" => Ok(flow(&solution, 1)),
        "dp_AB" => drop(0),
        "dp_BC" => drop(1),
        "dp_AD" => drop(2),
        "dp_DC" => drop(3),
        other => no(other),
    }
}

/// Two pipes to B, one to C, then a valve to E and a pipe to F; losses by the source's h = f L Q²/(3 d⁵).
fn shared_outlets(given: &Given, quantity: &str) -> Answer {
    let weight = RHO * 9.81;
    let resistance = |number: usize| -> Answer {
        let d = given.get(&format!("d{number}"))?;
        let length = given.get(&format!("L{number}"))?;
        Ok(weight * given.get("fanning_f")? * length / (3.0 * libm::pow(d, 5.0)))
    };
    let opened = |percent: f64| -> Solved {
        let valve = weight * libm::pow(4000.0 / percent, 2.0);
        let nodes = vec![
            held(weight * given.get("head_A")?),
            free(0.0),
            free(0.0),
            held(weight * given.get("head_E")?),
            held(weight * given.get("head_F")?),
        ];
        let links = vec![
            link(0, 1, square(resistance(1)?)),
            link(0, 1, square(resistance(2)?)),
            link(1, 2, square(resistance(3)?)),
            link(2, 3, square(resistance(4)? + valve)),
            link(2, 4, square(resistance(5)?)),
        ];
        solve(nodes, links)
    };
    let percent = root(1.0, 100.0, |percent| {
        let solution = opened(percent)?;
        Ok(flow(&solution, 3) - flow(&solution, 4))
    })?;
    let solution = opened(percent)?;
    Ok(match quantity {
        "valve_opening" => percent / 100.0,
        "flow" => flow(&solution, 2),
        "head_C" => pressure(&solution, 2)? / weight,
        other => return no(other),
    })
}

/// A pipe with the explicit friction formula that the source uses; laminar below, which its answers do not reach.
#[derive(Debug)]
struct Explicit {
    bore: f64,
    length: f64,
    roughness: f64,
    kinematic: f64,
}

impl LossLaw for Explicit {
    fn loss(&self, flow_m3_s: f64) -> Result<LossSlope, HydraulicsError> {
        let area = area_m2(self.bore)?;
        let velocity = flow_m3_s / area;
        let re = velocity.abs() * self.bore / self.kinematic;
        let whole = 0.5 * RHO * self.length / self.bore;
        if re < 2000.0 {
            let slope = whole * 64.0 * self.kinematic / self.bore;
            return Ok(LossSlope { loss_pa: slope * velocity, slope_pa_s_m3: slope / area });
        }
        let smooth = 5.74 * libm::pow(re, -0.9);
        let inside = self.roughness / (3.7 * self.bore) + smooth;
        let root = libm::log10(inside);
        let f = 0.25 / (root * root);
        let power = 2.0 + 1.8 * smooth / (inside * root * core::f64::consts::LN_10);
        Ok(LossSlope {
            loss_pa: whole * f * velocity * velocity.abs(),
            slope_pa_s_m3: whole * f * velocity.abs() * power / area,
        })
    }

    fn usual_m3_s(&self) -> f64 {
        self.bore * self.bore
    }
}

/// Ends of the pipes, node 0 being the source; the second list is the network with a seventh pipe.
const FIVE_PIPES: [(usize, usize); 6] = [(0, 1), (1, 2), (2, 4), (1, 3), (3, 4), (3, 2)];
const SIX_PIPES: [(usize, usize); 7] = [(1, 2), (1, 5), (2, 3), (4, 5), (5, 2), (3, 4), (0, 1)];

fn explicit_friction(given: &Given, quantity: &str) -> Answer {
    let weight = RHO * given.get("g")?;
    let ends: &[(usize, usize)] = if given.may("L7").is_some() { &SIX_PIPES } else { &FIVE_PIPES };
    let mut nodes = vec![held(weight * given.get("head_S")?)];
    while let Some(demand) = given.may(&format!("demand_N{}", nodes.len())) {
        nodes.push(free(RHO * demand));
    }
    let mut links = Vec::new();
    for (index, &(from, to)) in ends.iter().enumerate() {
        let law = Explicit {
            bore: given.get(&format!("D{}", index + 1))?,
            length: given.get(&format!("L{}", index + 1))?,
            roughness: given.get("roughness")?,
            kinematic: given.get("kinematic_viscosity")?,
        };
        links.push(link(from, to, Element::Line(Arc::new(law))));
    }
    let solution = solve(nodes, links)?;
    if let Some(number) = quantity.strip_prefix('Q') {
        return Ok(flow(&solution, number.parse::<usize>()? - 1));
    }
    let number = quantity.strip_prefix("H_N").ok_or("not a head")?;
    Ok(pressure(&solution, number.parse()?)? / weight)
}

/// A pump by the polynomial of its head.
#[derive(Debug)]
struct Polynomial([f64; 3]);

impl LossLaw for Polynomial {
    fn loss(&self, flow: f64) -> Result<LossSlope, HydraulicsError> {
        let [rest, linear, square] = self.0;
        let fall = (linear + square * flow.abs()) * flow;
        Ok(LossSlope { loss_pa: fall - rest, slope_pa_s_m3: linear + 2.0 * square * flow.abs() })
    }

    fn usual_m3_s(&self) -> f64 {
        0.01
    }
}

/// What is left behind pump, suction and recycle pipe at the wanted flow is what the restriction must take.
fn recirculation(given: &Given) -> Answer {
    let (f, bore) = (4.0 * given.get("fanning_f")?, given.get("diameter")?);
    let weight = RHO * given.get("g")?;
    let velocity = given.get("recycle_velocity")?;
    let flow = velocity * area_m2(bore)?;
    let polynomial =
        [given.get("pump_rest")?, given.get("pump_linear")?, given.get("pump_square")?];
    let links = vec![
        link(0, 1, pipe(f, given.get("L_suction")?, bore, 0.0)?),
        link(1, 2, Element::Line(Arc::new(Polynomial(polynomial.map(|c| c * weight))))),
        link(2, 3, pipe(f, given.get("L_recycle")?, bore, 1.0)?),
    ];
    let solution = solve(vec![held(0.0), free(0.0), free(0.0), free(RHO * flow)], links)?;
    Ok(pressure(&solution, 3)? / (0.5 * RHO * velocity * velocity))
}

fn pump_and_system(given: &Given, quantity: &str) -> Answer {
    let weight = RHO * given.get("g")?;
    let lift = weight * (given.get("z2")? - given.get("z1")?);
    let local = given.get("sum_K")?;
    let system = pipe(given.get("darcy_f")?, given.get("length")?, given.get("diameter")?, local)?;
    let system = Link { lift_pa: lift, ..link(1, 2, system) };
    let with = |pump: Element| {
        solve(vec![held(0.0), free(0.0), held(0.0)], vec![link(0, 1, pump), system.clone()])
    };
    if let Some(gallons) = quantity.strip_prefix("system_head_") {
        let per_gallon = given.get("pump_Q2")? / 500.0;
        let flow_m3_s = gallons.parse::<f64>()? * per_gallon;
        let solution = with(Element::Displacement { flow_m3_s, slip_m3_s_pa: 0.0 })?;
        return Ok(pressure(&solution, 1)? / weight);
    }
    let mut points = Vec::new();
    for number in 1..=11 {
        let flow = given.get(&format!("pump_Q{number}"))?;
        points.push((flow, weight * given.get(&format!("pump_H{number}"))?));
    }
    let solution = with(Element::Pump(PumpCurve::new(points)?))?;
    Ok(match quantity {
        "duty_flow" => flow(&solution, 0),
        "duty_head" => pressure(&solution, 1)? / weight,
        other => return no(other),
    })
}

fn pump_at_speed(given: &Given, quantity: &str) -> Answer {
    let weight = RHO * 9.81;
    let duty = Duty {
        flow_m3_s: given.get("Q1")?,
        rise_pa: weight * given.get("H1")?,
        power_w: given.get("P1")?,
    };
    let moved = at_speed(duty, given.get("n2")? / given.get("n1")?)?;
    Ok(match quantity {
        "Q2" => moved.flow_m3_s,
        "H2" => moved.rise_pa / weight,
        "P2" => moved.power_w,
        other => return no(other),
    })
}

fn pump_power(given: &Given, quantity: &str) -> Answer {
    let rise = rise_of_head_pa(given.get("rho")?, 9.806_65, given.get("head")?)?;
    let shaft = shaft_power_w(given.get("flow")?, rise, given.get("eff_pump")?)?;
    Ok(match quantity {
        "brake_power" => shaft,
        "annual_cost" => {
            let electric = shaft / given.get("eff_motor")? / given.get("eff_drive")?;
            electric / 1e3 * given.get("hours")? * given.get("price")?
        }
        other => return no(other),
    })
}

fn joining_tee(given: &Given, quantity: &str) -> Answer {
    let (run, branch) = (given.get("flow_run")?, given.get("flow_branch")?);
    let tee = joining_k(branch / (run + branch))?;
    Ok(match quantity {
        "K_branch" => tee.branch,
        "K_run" => tee.run,
        other => return no(other),
    })
}
