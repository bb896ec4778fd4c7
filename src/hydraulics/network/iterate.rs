//! The Newton iteration on flows and pressures, made safe by a search along each step.
//!
//! Flows that balance at every node and losses that rise with the flow are the one minimum of a convex function, the
//! content of the network. Each step solves the linearised network (E. Todini and S. Pilati 1987, Y. M. Hamam and
//! A. Brameller 1971; standing: from-memory) and goes along it no further than the content falls.

use super::batch::Batch;
use super::element::LossSlope;
use super::error::NetworkError;
use super::laws::Law;
use super::mesh::{GROUND, Mesh};
use super::{Network, Node};

/// Relative error allowed in every balance of an answer.
pub(super) const CLOSED_TO: f64 = 1.0e-9;
/// Relative error at which nothing is left to gain.
const SETTLED_AT: f64 = 1.0e-13;
/// Steps after which there is no answer; usual are five to ten.
const MOST_STEPS: u32 = 200;
/// Places looked at along one step.
const MOST_PLACES: u32 = 40;
/// Share of the first slope of the content at which a place along the step is good enough.
const GOOD_ENOUGH: f64 = 0.4;
/// Slope of a closed valve, in its usual pressure over its usual flow.
const CLOSED_SLOPE: f64 = 1.0e9;
/// Least slope in the linearised network, in the usual pressure over the usual flow. The answer does not depend on it.
const LEAST_SLOPE: f64 = 1.0e-8;
/// Imbalance of mass beyond which a whole step is taken first.
const BALANCED: f64 = 1.0e-7;
/// Share of the usual flow that counts as none.
const NOTHING: f64 = 1.0e-5;
/// Error of energy below which rounding blurs the content, and whole steps close on the answer anyway.
const NEAR: f64 = 1.0e-7;
/// Share of a flow whose loss an energy error is weighed over at least: a stiff pump multiplies the flow's last digits.
const STIFF: f64 = 1.0e-5;
/// A few units in the last digit.
const ROUNDING: f64 = 1.0e-15;
/// Times that the flows of one step are balanced again.
const MOST_REFINEMENTS: u32 = 3;
/// Rounds in which the valves of the linear network are set before the first true step.
const FIRST_ROUNDS: u32 = 12;

/// One link in the iteration. Flows are mass flows, slopes are per mass flow.
pub(super) struct Branch {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) density: f64,
    pub(super) lift: f64,
    /// Passes from `from` to `to` only.
    pub(super) one_way: bool,
    /// What the valve and the throttle keep for themselves.
    pub(super) offset: f64,
    /// Loss at no flow, without the offset: below zero for a pump.
    pub(super) at_rest: f64,
    /// Takes part: not shut, not cut off, no flow source.
    pub(super) passes: bool,
    pub(super) flow: f64,
    pub(super) loss: f64,
    slope: f64,
    /// Pressure difference less the lift.
    pub(super) driven: f64,
    usual_flow: f64,
    usual_loss: f64,
    closed_slope: f64,
    step: f64,
    trial: (f64, f64, f64),
}

impl Branch {
    /// Loss and slope at a mass flow that was noted in the batch before, if it is for the batch.
    fn at(
        &self,
        link: usize,
        law: &Law,
        flow: f64,
        batch: &mut Batch,
    ) -> Result<(f64, f64), NetworkError> {
        if self.one_way && flow <= 0.0 {
            return Ok((self.at_rest + self.offset + flow * self.closed_slope, self.closed_slope));
        }
        let volume_flow = flow / self.density;
        let found = batch.answer(law, volume_flow).map_or_else(|| law.at(volume_flow), Ok);
        let LossSlope { loss_pa, slope_pa_s_m3 } =
            found.map_err(|error| NetworkError::Hydraulics { link, error })?;
        Ok((loss_pa + self.offset, slope_pa_s_m3 / self.density))
    }

    /// Notes the law at a mass flow in the batch, if it will be asked there.
    fn note(&self, law: &Law, flow: f64, batch: &mut Batch) {
        if !(self.one_way && flow <= 0.0) {
            batch.ask(law, flow / self.density);
        }
    }

    /// Pressure by which the valve is pressed open; below zero it is pressed shut.
    pub(super) fn excess(&self) -> f64 {
        self.driven - self.at_rest - self.offset
    }

    fn is_closed(&self) -> bool {
        self.one_way && self.flow <= 0.0
    }
}

/// Flows and pressures on their way to the answer.
pub(super) struct Iteration<'a> {
    laws: &'a [Law<'a>],
    pub(super) branches: Vec<Branch>,
    /// Pressure of every node over `base`.
    pub(super) pressures: Vec<f64>,
    pub(super) base: f64,
    /// What leaves at every node, flow sources included.
    taken: Vec<f64>,
    /// Index among the unknown pressures, or [`GROUND`].
    unknown: Vec<usize>,
    mesh: Mesh,
    batch: Batch,
    conductances: Vec<f64>,
    change: Vec<f64>,
    imbalance: Vec<f64>,
    through: Vec<f64>,
    least_slope: f64,
    usual_flow: f64,
    highest: f64,
    pub(super) steps: u32,
    pub(super) mass_residual: f64,
    pub(super) energy_residual: f64,
}

impl<'a> Iteration<'a> {
    /// Sets up the links marked usable between the nodes that have a pressure.
    ///
    /// # Errors
    /// [`NetworkError::Hydraulics`] when a law has no loss at no flow.
    pub(super) fn new(
        network: &Network,
        laws: &'a [Law<'a>],
        usable: &[bool],
        referenced: &[bool],
    ) -> Result<Self, NetworkError> {
        let mut branches = Vec::with_capacity(laws.len());
        for (link, law) in laws.iter().enumerate() {
            let passes = usable[link] && referenced[network.links[link].from];
            branches.push(branch(network, link, law, passes)?);
        }
        let mut unknown = vec![GROUND; network.nodes.len()];
        let mut count = 0;
        let mut taken = vec![0.0; network.nodes.len()];
        let mut pressures = vec![0.0; network.nodes.len()];
        let held = |node: &Node| match node {
            Node::Held { pressure_pa } => Some(*pressure_pa),
            Node::Free { .. } => None,
        };
        let base = network.nodes.iter().find_map(held).unwrap_or(0.0);
        let mut highest = base.abs();
        for (index, node) in network.nodes.iter().enumerate() {
            match node {
                Node::Held { pressure_pa } => {
                    pressures[index] = pressure_pa - base;
                    highest = highest.max(pressure_pa.abs());
                }
                Node::Free { taken_kg_s } => {
                    taken[index] = *taken_kg_s;
                    if referenced[index] {
                        unknown[index] = count;
                        count += 1;
                    }
                }
            }
        }
        for branch in branches.iter().filter(|b| !b.passes && b.flow != 0.0) {
            taken[branch.from] += branch.flow;
            taken[branch.to] -= branch.flow;
        }
        let edges: Vec<(usize, usize)> = branches
            .iter()
            .map(|b| if b.passes { (unknown[b.from], unknown[b.to]) } else { (GROUND, GROUND) })
            .collect();
        let mut iteration = Self {
            laws,
            conductances: vec![0.0; branches.len()],
            branches,
            pressures,
            base,
            imbalance: vec![0.0; taken.len()],
            through: vec![0.0; taken.len()],
            taken,
            unknown,
            mesh: Mesh::new(count, &edges),
            batch: Batch::default(),
            change: vec![0.0; count],
            least_slope: 0.0,
            usual_flow: 0.0,
            highest,
            steps: 0,
            mass_residual: f64::INFINITY,
            energy_residual: f64::INFINITY,
        };
        iteration.scale()?;
        Ok(iteration)
    }

    /// Usual pressure, flows and slopes, from which the search starts.
    fn scale(&mut self) -> Result<(), NetworkError> {
        let held = self.pressures.iter().map(|p| p.abs());
        let driving = self.branches.iter().zip(self.laws).filter(|(b, _)| b.passes);
        let driving = driving.flat_map(|(b, law)| [b.lift.abs(), b.offset, law.rest_pa()]);
        let mut pressure = held.chain(driving).fold(0.0, f64::max);
        let taken = self.taken.iter().map(|t| t.abs()).fold(0.0, f64::max);
        if pressure == 0.0 {
            // Driven by wanted flows alone: what those cost in the usual link.
            for (branch, law) in self.branches.iter().zip(self.laws).filter(|(b, _)| b.passes) {
                let found = law.at(taken / branch.density).map_or(0.0, |f| f.loss_pa.abs());
                pressure = pressure.max(found);
            }
        }
        if pressure == 0.0 || !pressure.is_finite() {
            pressure = 1.0;
        }
        let usual = |b: &Branch, law: &Law| Some(law.usual_flow(pressure)? * b.density);
        let passing = self.branches.iter().zip(self.laws).filter(|(b, _)| b.passes);
        let mut flow = passing.filter_map(|(b, law)| usual(b, law)).fold(taken, f64::max);
        if flow == 0.0 {
            flow = 1.0;
        }
        self.usual_flow = flow;
        self.least_slope = LEAST_SLOPE * pressure / flow;
        for (link, (branch, law)) in self.branches.iter_mut().zip(self.laws).enumerate() {
            if !branch.passes {
                continue;
            }
            branch.usual_flow = usual(branch, law).unwrap_or(flow);
            let found = law.at(branch.usual_flow / branch.density);
            let found = found.map_err(|error| NetworkError::Hydraulics { link, error })?;
            branch.usual_loss = (found.loss_pa - branch.at_rest).abs();
            branch.closed_slope = CLOSED_SLOPE * pressure / branch.usual_flow;
            // A mean slope of the law between no flow and the one that the usual pressure drives.
            let chord = branch.usual_loss / branch.usual_flow;
            let steeper = (pressure / branch.usual_loss.max(f64::MIN_POSITIVE)).sqrt();
            let linear = matches!(law, Law::Slipping { .. });
            let more =
                if linear || law.rest_pa() > 0.0 { 1.0 } else { steeper.clamp(1.0e-3, 1.0e3) };
            branch.slope = (chord * more).max(self.least_slope);
        }
        Ok(())
    }

    /// Starts from the linear network of mean slopes, its valves set.
    ///
    /// # Errors
    /// A law that refuses.
    pub(super) fn start(&mut self) -> Result<(), NetworkError> {
        for branch in self.branches.iter_mut().filter(|b| b.passes) {
            branch.flow = f64::MIN_POSITIVE;
        }
        for _ in 0..FIRST_ROUNDS {
            if !self.linear_round() {
                break;
            }
        }
        self.evaluate()
    }

    /// Solves the linear network with the valves as they are; true when a valve should change.
    fn linear_round(&mut self) -> bool {
        for (branch, conductance) in self.branches.iter().zip(&mut self.conductances) {
            let slope = if branch.is_closed() { branch.closed_slope } else { branch.slope };
            *conductance = if branch.passes { 1.0 / slope } else { 0.0 };
        }
        self.change.fill(0.0);
        for (node, &taken) in self.taken.iter().enumerate() {
            if let Some(inflow) = self.change.get_mut(self.unknown[node]) {
                *inflow = -taken;
            }
        }
        for node in 0..self.pressures.len() {
            if self.unknown[node] != GROUND {
                self.pressures[node] = 0.0;
            }
        }
        for (branch, &conductance) in self.branches.iter().zip(&self.conductances) {
            let driven = self.pressures[branch.from] - self.pressures[branch.to] - branch.lift;
            let flow = conductance * (driven - branch.at_rest - branch.offset);
            add(&mut self.change, self.unknown[branch.from], -flow);
            add(&mut self.change, self.unknown[branch.to], flow);
        }
        self.mesh.factor(&self.conductances);
        self.mesh.solve(&mut self.change);
        self.move_pressures();
        let mut changed = false;
        for (branch, &conductance) in self.branches.iter_mut().zip(&self.conductances) {
            if branch.passes {
                let was = branch.is_closed();
                branch.flow = conductance * branch.excess();
                changed |= branch.one_way && was != branch.is_closed();
            }
        }
        changed
    }

    /// Starts from given flows.
    ///
    /// # Errors
    /// A law that refuses.
    pub(super) fn start_from(&mut self, flows: &[f64]) -> Result<(), NetworkError> {
        for (branch, &flow) in self.branches.iter_mut().zip(flows).filter(|(b, _)| b.passes) {
            branch.flow = flow;
        }
        self.evaluate()
    }

    /// Losses at the flows, differences of the pressures.
    ///
    /// # Errors
    /// A law that refuses.
    pub(super) fn evaluate(&mut self) -> Result<(), NetworkError> {
        self.batch.clear();
        for (branch, law) in self.branches.iter().zip(self.laws).filter(|(b, _)| b.passes) {
            branch.note(law, branch.flow, &mut self.batch);
        }
        self.batch.solve();
        for (link, (branch, law)) in self.branches.iter_mut().zip(self.laws).enumerate() {
            if branch.passes {
                (branch.loss, branch.slope) = branch.at(link, law, branch.flow, &mut self.batch)?;
            }
        }
        self.compare();
        Ok(())
    }

    /// What the pressures drive through each link.
    fn compare(&mut self) {
        for branch in &mut self.branches {
            branch.driven = self.pressures[branch.from] - self.pressures[branch.to] - branch.lift;
        }
    }

    fn move_pressures(&mut self) {
        for (node, &index) in self.unknown.iter().enumerate() {
            if let Some(change) = self.change.get(index) {
                self.pressures[node] += change;
            }
        }
        self.compare();
    }

    /// Steps until every balance holds.
    ///
    /// # Errors
    /// [`NetworkError::NotConverged`], or a law that refuses.
    pub(super) fn run(&mut self) -> Result<(), NetworkError> {
        let mut before = f64::INFINITY;
        for _ in 0..MOST_STEPS {
            self.weigh();
            let worst = self.mass_residual.max(self.energy_residual);
            let stalled = worst <= CLOSED_TO && worst > 0.5 * before;
            if worst <= SETTLED_AT || stalled {
                return Ok(());
            }
            before = worst;
            self.step()?;
        }
        self.weigh();
        if self.mass_residual.max(self.energy_residual) <= CLOSED_TO {
            return Ok(());
        }
        Err(NetworkError::NotConverged {
            steps: self.steps,
            mass_residual: self.mass_residual,
            energy_residual: self.energy_residual,
        })
    }

    /// Relative error of the mass balances at a place along the step.
    fn weigh_mass(&mut self, place: f64) -> f64 {
        for (node, &taken) in self.taken.iter().enumerate() {
            (self.imbalance[node], self.through[node]) = (-taken, taken.abs());
        }
        let mut largest = 1.0e-6 * self.usual_flow;
        for branch in self.branches.iter().filter(|b| b.passes) {
            let flow = branch.flow + place * branch.step;
            self.imbalance[branch.to] += flow;
            self.imbalance[branch.from] -= flow;
            let size = flow.abs();
            self.through[branch.to] += size;
            self.through[branch.from] += size;
            largest = largest.max(size);
        }
        let mut worst = 0.0_f64;
        for (node, _) in self.unknown.iter().enumerate().filter(|(_, u)| **u != GROUND) {
            let whole = (0.5 * self.through[node]).max(NOTHING * largest);
            worst = worst.max(self.imbalance[node].abs() / whole.max(f64::MIN_POSITIVE));
        }
        worst
    }

    /// Relative errors of both kinds of balance.
    pub(super) fn weigh(&mut self) {
        self.mass_residual = self.weigh_mass(0.0);
        let least = self.least_pressure();
        self.energy_residual = 0.0;
        for branch in self.branches.iter().filter(|b| b.passes) {
            let stiff = STIFF * (branch.slope * branch.flow).abs();
            let whole = least.max(stiff).max(branch.loss.abs()).max(branch.lift.abs());
            let share = (branch.driven - branch.loss).abs() / whole;
            self.energy_residual = self.energy_residual.max(share);
        }
    }

    /// The pressure over which small losses are weighed: a thousandth of the largest, or what rounding leaves of it.
    pub(super) fn least_pressure(&self) -> f64 {
        let passing = self.branches.iter().filter(|b| b.passes && !b.is_closed());
        let sizes = passing.flat_map(|b| [b.loss.abs(), b.lift.abs(), b.driven.abs()]);
        let largest = sizes.fold(0.0, f64::max);
        (1.0e-3 * largest).max(1.0e-5 * self.highest).max(f64::MIN_POSITIVE)
    }

    /// One step of the iteration.
    fn step(&mut self) -> Result<(), NetworkError> {
        self.steps += 1;
        for (branch, conductance) in self.branches.iter().zip(&mut self.conductances) {
            *conductance =
                if branch.passes { 1.0 / self.least_slope.max(branch.safe_slope()) } else { 0.0 };
        }
        for (node, &imbalance) in self.imbalance.iter().enumerate() {
            if let Some(inflow) = self.change.get_mut(self.unknown[node]) {
                *inflow = imbalance;
            }
        }
        for (branch, &conductance) in self.branches.iter().zip(&self.conductances) {
            let flow = conductance * (branch.driven - branch.loss);
            add(&mut self.change, self.unknown[branch.from], -flow);
            add(&mut self.change, self.unknown[branch.to], flow);
        }
        self.mesh.factor(&self.conductances);
        self.mesh.solve(&mut self.change);
        // From the changes, not from the rounded new pressures: so the flows balance to their last digits.
        let moved = |node: usize| self.change.get(self.unknown[node]).copied().unwrap_or(0.0);
        for (branch, &conductance) in self.branches.iter_mut().zip(&self.conductances) {
            let drive = branch.driven - branch.loss + moved(branch.from) - moved(branch.to);
            branch.step = conductance * drive;
        }
        self.move_pressures();
        self.refine();
        self.search()
    }

    /// Balances the flows of the whole step again where wide passages have magnified the rounding of pressures.
    fn refine(&mut self) {
        for _ in 0..MOST_REFINEMENTS {
            if self.weigh_mass(1.0) <= 0.1 * BALANCED {
                return;
            }
            for (node, &imbalance) in self.imbalance.iter().enumerate() {
                if let Some(inflow) = self.change.get_mut(self.unknown[node]) {
                    *inflow = imbalance;
                }
            }
            self.mesh.solve(&mut self.change);
            let moved = |node: usize| self.change.get(self.unknown[node]).copied().unwrap_or(0.0);
            for (branch, &conductance) in self.branches.iter_mut().zip(&self.conductances) {
                branch.step += conductance * (moved(branch.from) - moved(branch.to));
            }
        }
    }

    /// Goes along the step as far as the content falls.
    fn search(&mut self) -> Result<(), NetworkError> {
        let moves = self.branches.iter().zip(&self.conductances).filter(|(b, _)| b.passes);
        let first: f64 = -moves.map(|(b, c)| b.step * b.step / c).sum::<f64>();
        let enough = self.blur() - GOOD_ENOUGH * first;
        let mut last = self.content_slope(1.0)?;
        let unbalanced = self.mass_residual > BALANCED;
        if self.energy_residual <= NEAR || unbalanced || last <= enough {
            if unbalanced {
                self.close_reversed();
            }
            self.accept();
            return Ok(());
        }
        let (mut low, mut high) = ((0.0, first), (1.0, last));
        if let Some(place) = self.first_closing() {
            let slope = self.content_slope(place)?;
            if slope <= 0.0 {
                self.accept();
                return Ok(());
            }
            high = (place, slope);
        }
        for turn in 0..MOST_PLACES {
            let share = -low.1 / (high.1 - low.1);
            let share = if turn % 3 == 2 { 0.5 } else { share.clamp(0.01, 0.99) };
            let place = low.0 + (high.0 - low.0) * share;
            last = self.content_slope(place)?;
            if last.abs() <= enough {
                break;
            }
            if last < 0.0 {
                low = (place, last);
            } else {
                high = (place, last);
            }
        }
        self.accept();
        Ok(())
    }

    /// Closes valves that a whole step would have passed backwards: the next step balances the nodes beside them.
    fn close_reversed(&mut self) {
        for branch in self.branches.iter_mut().filter(|b| b.passes && !b.is_closed()) {
            if branch.one_way && branch.trial.0 < 0.0 {
                branch.trial = (0.0, branch.at_rest + branch.offset, branch.closed_slope);
            }
        }
    }

    /// What rounding leaves uncertain in the slope of the content.
    fn blur(&self) -> f64 {
        let span = self.pressures.iter().fold(0.0_f64, |most, p| most.max(p.abs()));
        let moves = self.branches.iter().filter(|b| b.passes);
        moves.map(|b| ROUNDING * b.step.abs() * (b.loss.abs() + span)).sum()
    }

    /// Where along the step the first valve closes.
    fn first_closing(&self) -> Option<f64> {
        let closing = self.branches.iter().filter(|b| b.passes && b.one_way && b.flow > 0.0);
        let places = closing.filter(|b| b.flow + b.step < 0.0).map(|b| b.flow / -b.step);
        places.min_by(f64::total_cmp)
    }

    /// Slope of the content at a place along the step; losses and flows there are kept as the trial.
    fn content_slope(&mut self, place: f64) -> Result<f64, NetworkError> {
        self.batch.clear();
        for (branch, law) in self.branches.iter_mut().zip(self.laws).filter(|(b, _)| b.passes) {
            let mut flow = branch.flow + place * branch.step;
            if branch.one_way && flow.abs() <= ROUNDING * branch.flow.abs() {
                flow = 0.0;
            }
            branch.trial.0 = flow;
            branch.note(law, flow, &mut self.batch);
        }
        self.batch.solve();
        let mut slope = 0.0;
        for (link, (branch, law)) in self.branches.iter_mut().zip(self.laws).enumerate() {
            if branch.passes {
                let flow = branch.trial.0;
                let (loss, steep) = branch.at(link, law, flow, &mut self.batch)?;
                branch.trial = (flow, loss, steep);
                slope += branch.step * (loss - branch.driven);
            }
        }
        Ok(slope)
    }

    fn accept(&mut self) {
        for branch in self.branches.iter_mut().filter(|b| b.passes) {
            (branch.flow, branch.loss, branch.slope) = branch.trial;
        }
    }
}

impl Branch {
    /// The slope for the linearised network. Where next to nothing flows yet although much drives, the slope of a square
    /// law is far too small; the chord to the flow that this drive would give is taken then.
    fn safe_slope(&self) -> f64 {
        let drive = (self.driven - self.loss).abs().min(self.usual_loss);
        let chord = (drive * self.usual_loss).sqrt() / self.usual_flow;
        self.slope.max(0.5 * chord)
    }
}

fn add(list: &mut [f64], index: usize, value: f64) {
    if let Some(place) = list.get_mut(index) {
        *place += value;
    }
}

fn branch(network: &Network, link: usize, law: &Law, passes: bool) -> Result<Branch, NetworkError> {
    let ends = &network.links[link];
    let regulated = network.regulators.iter().any(|r| r.link == link);
    let source = match law {
        Law::Source { flow } if !ends.shut => Some(flow * ends.density_kg_m3),
        _ => None,
    };
    let at_rest = law.at(0.0).map_err(|error| NetworkError::Hydraulics { link, error })?;
    Ok(Branch {
        from: ends.from,
        to: ends.to,
        density: ends.density_kg_m3,
        lift: ends.lift_pa,
        one_way: ends.one_way.is_some() || regulated,
        offset: ends.one_way.map_or(0.0, |valve| valve.opens_pa),
        at_rest: at_rest.loss_pa,
        passes: passes && source.is_none() && !matches!(law, Law::Source { .. }),
        flow: source.unwrap_or(0.0),
        loss: 0.0,
        slope: 0.0,
        driven: 0.0,
        usual_flow: 1.0,
        usual_loss: 0.0,
        closed_slope: 0.0,
        step: 0.0,
        trial: (0.0, 0.0, 0.0),
    })
}
