//! Which extra resistance explains a measured flow, and where on the way it could hide.

use super::FlowTest;
use crate::hydraulics::HydraulicsError;
use crate::hydraulics::flow_test::{ExtraResistance, MeasuredFlow, extra_resistance};
use crate::hydraulics::run::Run;
use crate::hydraulics::search::{falling_zero, rising_zero};
use crate::plan::{PathLaw, PortRef};
use crate::solve::fluid;
use crate::solve::network::circuit::{Circuit, LinkKind};
use crate::solve::network::machine::{Group, Machine};
use crate::solve::network::settle::{CircuitSolution, GroupSolution, Scratch};
use crate::solve::network::setup::{Ready, Tweaks};
use crate::units::{Quantity, Temperature};

/// A link is on the way where it carries this share of the flow.
const ON_THE_WAY: f64 = 0.99;
/// Shares of speed and of bore in which a search looks.
const LEAST: f64 = 0.01;
/// Roughness over bore that the friction law still takes.
const ROUGHEST: f64 = 0.049;
/// Width at which a search ends, as a share of its bounds.
const WIDTH: f64 = 1e-9;
/// A pressure left over that is less than this is none, Pa.
const LEAST_PA: f64 = 10.0;
/// Ends a search where the network has no answer.
const NO_ANSWER: HydraulicsError = HydraulicsError::NotRepresentable { what: "the answer" };

/// Where an extra resistance could hide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// A line, by its index: what bore it would seem to have all along, m; none where no bore explains it.
    Line(usize, Option<f64>),
    /// A path inside a component: the share of its passage that would be blocked; none where the law does not
    /// tell, as in a path planned as free.
    Path(usize, usize, Option<f64>),
    /// The vent of a tank: the tank would be under a vacuum of the extra resistance.
    Vent(usize),
    /// The pump itself gives only this share of its flow.
    Pump(usize, f64),
}

/// A place, and how much it would have to be worse than planned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hiding {
    /// The place.
    pub place: Place,
    /// What it would take more than planned, Pa; none for a pump.
    pub extra_pa: Option<f64>,
    /// What it takes as planned at the measured flow, Pa; none for a vent or a pump.
    pub planned_pa: Option<f64>,
    /// How many times its planned resistance, or its planned flow, it would need; none where it has none.
    pub times: Option<f64>,
}

/// What explains a measured flow below the expected one.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// The extra resistance; none where resistance alone cannot explain it.
    pub extra: Option<ExtraResistance>,
    /// Whether a displacement pump drives the flow: it gives what it can whatever resists before it.
    pub displacement: bool,
    /// Extra resistance before a displacement pump at which the fluid boils at its inlet, Pa.
    pub before_pa: Option<f64>,
    /// Extra resistance behind a displacement pump at which the rest slips back or goes another way, Pa.
    pub behind_pa: Option<f64>,
    /// Where it could hide, the least change first.
    pub hiding: Vec<Hiding>,
}

/// Explains a measured flow below the expected one.
///
/// # Errors
/// In words: why there is no explanation.
pub fn explain(
    machine: &Machine<'_>,
    test: &FlowTest,
    measured: &MeasuredFlow,
) -> Result<Explanation, String> {
    let holds = |g: &&Group| {
        g.circuits.iter().any(|c| machine.circuits[*c].components().contains(&test.need))
    };
    let group = machine.groups.iter().find(holds).ok_or("the need is in no circuit")?;
    let search = Search { machine, group, test, measured };
    let displacement = test.pump.filter(|p| {
        let paths = &machine.plan.components[*p].paths;
        paths.iter().any(|p| matches!(p.law, PathLaw::Displacement { .. }))
    });
    let mut explanation = match displacement {
        Some(pump) => search.around_pump(pump)?,
        None => search.anywhere()?,
    };
    // Where nothing is planned nothing can be multiplied: those places come last.
    explanation.hiding.sort_by(|a, b| {
        let times = |h: &Hiding| h.times.unwrap_or(f64::INFINITY);
        times(a).total_cmp(&times(b))
    });
    Ok(explanation)
}

struct Search<'s> {
    machine: &'s Machine<'s>,
    group: &'s Group,
    test: &'s FlowTest,
    measured: &'s MeasuredFlow,
}

impl Search<'_> {
    /// A flow that any resistance on the way lowers.
    fn anywhere(&self) -> Result<Explanation, String> {
        let (machine, group, test) = (self.machine, self.group, self.test);
        let mut scratch = Scratch::default();
        let as_planned = Tweaks::default();
        let mut left = |flow: f64| {
            machine.left_over(group, &test.case, (test.need, flow), &as_planned, &mut scratch)
        };
        let (_, solved) = left(self.measured.flow_m3_s)?;
        let extra = extra_resistance(self.measured, |flow| -> Result<f64, HydraulicsError> {
            left(flow).map(|l| l.0).map_err(|_| NO_ANSWER)
        });
        let extra = extra.map_err(|e| e.to_string())?;
        let (circuit, spot) =
            machine.need_in(&solved, test.need).ok_or("the need is in no circuit")?;
        let way = Way { circuit, spot, flow_m3_s: self.measured.flow_m3_s, pump: None };
        let mut hiding = self.places(&way, extra.likely.loss_pa);
        hiding.extend(self.vents(extra.likely.loss_pa));
        Ok(Explanation {
            extra: Some(extra),
            displacement: false,
            before_pa: None,
            behind_pa: None,
            hiding,
        })
    }

    /// A displacement pump gives its flow whatever resists, till the fluid boils before it.
    fn around_pump(&self, pump: usize) -> Result<Explanation, String> {
        let (machine, group, test) = (self.machine, self.group, self.test);
        let mut scratch = Scratch::default();
        let mut available = |share: f64| {
            let tweaks = Tweaks { paced: Some((pump, share)), ..Tweaks::default() };
            machine.available(group, &test.case, test.need, &tweaks, &mut scratch)
        };
        let share = rising_zero("the speed of the pump", (LEAST, 1.0), WIDTH, |share| {
            let found = available(share).map_err(|_| NO_ANSWER)?;
            Ok::<f64, HydraulicsError>(found.flow_m3_s - self.measured.flow_m3_s)
        });
        let share = share.map_err(|e| e.to_string())?.at;
        let solved = available(share)?.solved;
        let mut hiding = vec![Hiding {
            place: Place::Pump(pump, share),
            extra_pa: None,
            planned_pa: None,
            times: Some(1.0 / share),
        }];
        let before_pa = self.inlet(&solved, pump).map(|(way, margin)| {
            hiding.extend(self.places(&way, margin));
            hiding.extend(self.vents(margin));
            margin
        });
        let taken = (test.need, self.measured.flow_m3_s);
        let as_planned = Tweaks::default();
        let throttled = machine.left_over(group, &test.case, taken, &as_planned, &mut scratch).ok();
        let behind_pa =
            throttled.filter(|(left, _)| *left > LEAST_PA).and_then(|(left, solved)| {
                let (circuit, spot) = machine.need_in(&solved, test.need)?;
                let way = Way { circuit, spot, flow_m3_s: taken.1, pump: Some(pump) };
                hiding.extend(self.places(&way, left));
                Some(left)
            });
        Ok(Explanation { extra: None, displacement: true, before_pa, behind_pa, hiding })
    }

    /// The way to the inlet of a pump, and the margin over the vapour pressure there.
    fn inlet<'g>(&self, solved: &'g GroupSolution, pump: usize) -> Option<(Way<'g>, f64)> {
        let paths = &self.machine.plan.components[pump].paths;
        let port = paths.iter().find(|p| p.law.is_pump())?.from;
        let port = PortRef { component: pump, port };
        solved.circuits.iter().find_map(|circuit| {
            let own = &self.machine.circuits[circuit.circuit];
            let spot = own.spot_of(port)?;
            let pumping = |kind: LinkKind| match kind {
                LinkKind::Path { component, path } => {
                    component == pump && paths[path].law.is_pump()
                }
                _ => false,
            };
            let link = own.links.iter().position(|l| pumping(l.kind))?;
            let at = Temperature::from_si(circuit.link_k(link));
            let vapour = fluid::state(&self.machine.plan.fluids[own.fluid].fluid, at).ok()?;
            let margin = circuit.solution.pressures_pa[spot]? - vapour.vapour_pa?;
            let flow_m3_s = circuit.flow_m3_s(link).abs();
            (margin > 0.0).then_some((Way { circuit, spot, flow_m3_s, pump: None }, margin))
        })
    }

    /// The places on a way, each with what it would need to take `extra_pa` more.
    fn places(&self, way: &Way<'_>, extra_pa: f64) -> Vec<Hiding> {
        let circuit = &self.machine.circuits[way.circuit.circuit];
        let mut places = Vec::new();
        for link in way.back(circuit) {
            match circuit.links[link].kind {
                LinkKind::Line(line) => {
                    places.extend(self.line(way.circuit, (link, line), way.flow_m3_s, extra_pa));
                }
                LinkKind::Path { component, .. } if way.pump == Some(component) => break,
                LinkKind::Path { component, path } => {
                    places.extend(self.path(way.circuit, link, (component, path), extra_pa));
                }
                LinkKind::Join | LinkKind::Leg(_) => {}
            }
        }
        places
    }

    /// The vents of the tanks that feed, each as the place of the extra resistance.
    fn vents(&self, extra_pa: f64) -> impl Iterator<Item = Hiding> {
        self.test.tanks.iter().map(move |tank| Hiding {
            place: Place::Vent(*tank),
            extra_pa: Some(extra_pa),
            planned_pa: None,
            times: None,
        })
    }

    fn path(
        &self,
        solved: &CircuitSolution,
        link: usize,
        (component, path): (usize, usize),
        extra_pa: f64,
    ) -> Option<Hiding> {
        let law = &self.machine.plan.components[component].paths[path].law;
        // A chamber that is planned as free hides nothing, unless something in it can stand in the way.
        let kind = self.machine.plan.components[component].kind.as_str();
        let bars = matches!(kind, "filter" | "strainer" | "valve");
        if law.is_pump() || (matches!(law, PathLaw::Free) && !bars) {
            return None;
        }
        let planned_pa = solved.solution.drops_pa[link].map(f64::abs);
        let times = planned_pa.filter(|p| *p > 0.0).map(|p| 1.0 + extra_pa / p);
        let blocked = times.and_then(|times| match law {
            PathLaw::Measured { linear: true, .. } => Some(1.0 - 1.0 / times),
            PathLaw::Curve(_) | PathLaw::Free => None,
            _ => Some(1.0 - 1.0 / times.sqrt()),
        });
        Some(Hiding {
            place: Place::Path(component, path, blocked),
            extra_pa: Some(extra_pa),
            planned_pa,
            times,
        })
    }

    fn line(
        &self,
        solved: &CircuitSolution,
        (link, line): (usize, usize),
        flow_m3_s: f64,
        extra_pa: f64,
    ) -> Option<Hiding> {
        let run = &self.machine.lines[line].run.as_ref().ok()?.run;
        let fluid = self.machine.circuits[solved.circuit].fluid;
        let liquid = self.machine.liquid(fluid, solved.link_k(link), &mut Ready::default()).ok()?;
        let drop = |run: &Run| run.losses(&liquid, flow_m3_s).map(|l| l.drop_pa());
        let planned_pa = drop(run).ok()?;
        let wanted = planned_pa + extra_pa;
        let least = (LEAST * run.bore_m).max(run.roughness_m / ROUGHEST);
        let bounds = (least, run.bore_m);
        let bore = falling_zero("the bore", bounds, WIDTH, |bore| {
            Ok::<f64, HydraulicsError>(drop(&narrowed(run, bore))? - wanted)
        });
        let times = (planned_pa > 0.0).then(|| wanted / planned_pa);
        let place = Place::Line(line, bore.ok().map(|z| z.at));
        Some(Hiding { place, extra_pa: Some(extra_pa), planned_pa: Some(planned_pa), times })
    }
}

/// A run of a smaller bore; an end that is no narrower than that is none.
fn narrowed(run: &Run, bore_m: f64) -> Run {
    let mut run = run.clone();
    run.bore_m = bore_m;
    for end in &mut run.ends {
        end.narrow_m = end.narrow_m.filter(|(narrow, _)| *narrow < bore_m);
    }
    run
}

/// The way that a flow comes, seen from where it arrives.
struct Way<'w> {
    circuit: &'w CircuitSolution,
    spot: usize,
    flow_m3_s: f64,
    /// A pump beyond which it is not looked at.
    pump: Option<usize>,
}

impl Way<'_> {
    /// Links back along the flow to where it comes from, as long as they carry all of it.
    fn back(&self, circuit: &Circuit) -> Vec<usize> {
        let mut way = Vec::new();
        let mut at = self.spot;
        loop {
            let into = circuit.links.iter().enumerate().find(|(index, link)| {
                let flow = self.circuit.flow_m3_s(*index);
                let here = (link.to == at && flow > 0.0) || (link.from == at && flow < 0.0);
                here && flow.abs() >= ON_THE_WAY * self.flow_m3_s && !way.contains(index)
            });
            let Some((index, link)) = into else { return way };
            way.push(index);
            at = if link.to == at { link.from } else { link.to };
        }
    }
}
