//! From a network to its answer: checks, valves that are found shut taken out, the answer written down.

use super::error::NetworkError;
use super::iterate::{CLOSED_TO, Iteration};
use super::laws::Law;
use super::parts::referenced;
use super::{LinkState, Network, Node, Solution};

/// Rounds in which valves may change before the search gives up.
const MOST_ROUNDS: u32 = 60;

/// A network on its way to the answer, with the valves that were found shut.
pub(super) struct Settling<'a> {
    network: &'a Network,
    laws: &'a [Law<'a>],
    usable: Vec<bool>,
    referenced: Vec<bool>,
    /// Valves pressed shut by the pressures themselves.
    pressed_shut: Vec<bool>,
    pub(super) iteration: Iteration<'a>,
}

impl<'a> Settling<'a> {
    /// Looks for what is wrong before anything is solved.
    ///
    /// # Errors
    /// What is wrong with the network.
    pub(super) fn new(network: &'a Network, laws: &'a [Law<'a>]) -> Result<Self, NetworkError> {
        let usable: Vec<bool> = network.links.iter().map(|link| !link.shut).collect();
        let referenced = referenced(network, laws, |link| usable[link])?;
        let iteration = Iteration::new(network, laws, &usable, &referenced)?;
        let pressed_shut = vec![false; laws.len()];
        Ok(Self { network, laws, usable, referenced, pressed_shut, iteration })
    }

    /// Solves until every valve is as its pressures would have it.
    ///
    /// # Errors
    /// What is wrong with the network, or that there is no answer.
    pub(super) fn settle(&mut self) -> Result<(), NetworkError> {
        for _ in 0..MOST_ROUNDS {
            if let Err(error) = self.iteration.run() {
                let closed = |link: usize| {
                    let branch = &self.iteration.branches[link];
                    branch.one_way && branch.flow <= 0.0
                };
                referenced(self.network, self.laws, |link| self.usable[link] && !closed(link))?;
                return Err(error);
            }
            if !self.move_valves()? {
                return Ok(());
            }
        }
        Err(self.not_converged())
    }

    /// That there is no answer, with the balances as they stand.
    pub(super) fn not_converged(&self) -> NetworkError {
        NetworkError::NotConverged {
            steps: self.iteration.steps,
            mass_residual: self.iteration.mass_residual,
            energy_residual: self.iteration.energy_residual,
        }
    }

    /// Gives the throttle in a link its drop, and every valve a new chance.
    ///
    /// # Errors
    /// What is wrong with the network.
    pub(super) fn throttle(&mut self, link: usize, drop_pa: f64) -> Result<(), NetworkError> {
        let opens = self.network.links[link].one_way.map_or(0.0, |valve| valve.opens_pa);
        self.iteration.givens[link].offset = opens + drop_pa;
        self.pressed_shut.fill(false);
        self.cut_off()
    }

    /// Absolute pressure of a node; none where it could be anything.
    pub(super) fn pressure(&self, node: usize) -> Option<f64> {
        self.referenced[node].then(|| self.iteration.base + self.iteration.pressures[node])
    }

    /// Whether a link is shut, by hand or by its valve.
    pub(super) fn is_shut(&self, link: usize) -> bool {
        !self.usable[link] || self.pressed_shut[link]
    }

    /// Takes out valves that are pressed shut, puts back those that are pressed open; true when any changed.
    fn move_valves(&mut self) -> Result<bool, NetworkError> {
        let mut changed = false;
        let least = self.iteration.least_pressure();
        let links = self.iteration.branches.iter_mut().zip(&self.iteration.givens);
        for (link, (branch, given)) in links.enumerate() {
            let whole = least.max(branch.driven.abs()).max(branch.lift.abs());
            let slack = 0.5 * CLOSED_TO * whole;
            if branch.passes && branch.one_way && branch.flow < 0.0 && branch.excess(given) < -slack
            {
                (branch.flow, branch.passes) = (0.0, false);
                self.pressed_shut[link] = true;
                changed = true;
            } else if self.pressed_shut[link]
                && self.referenced[branch.from()]
                && self.referenced[branch.to()]
                && branch.excess(given) > slack
            {
                self.pressed_shut[link] = false;
                changed = true;
            }
        }
        if changed {
            self.cut_off()?;
        }
        Ok(changed)
    }

    /// Works out again which nodes have a pressure, and which links can pass.
    fn cut_off(&mut self) -> Result<(), NetworkError> {
        let open = |link: usize| self.usable[link] && !self.pressed_shut[link];
        self.referenced = referenced(self.network, self.laws, open)?;
        for (link, branch) in self.iteration.branches.iter_mut().enumerate() {
            if matches!(self.laws[link], Law::Source { .. }) {
                continue;
            }
            branch.passes = open(link) && self.referenced[branch.from()];
            if !branch.passes {
                branch.flow = 0.0;
            }
        }
        self.iteration.evaluate()
    }

    /// Writes the answer down, and weighs it once more as it stands there.
    ///
    /// # Errors
    /// [`NetworkError::NotConverged`] when the written answer misses a balance, and what [`Law::check`] refuses.
    pub(super) fn answer(mut self, throttles: &[f64]) -> Result<Solution, NetworkError> {
        let stopped = self.stop_backflow();
        let base = self.iteration.base;
        let mut pressures = Vec::with_capacity(self.referenced.len());
        for (node, &known) in self.network.nodes.iter().zip(&self.referenced) {
            let index = pressures.len();
            pressures.push(match node {
                Node::Held { pressure_pa } => Some(*pressure_pa),
                Node::Free { .. } => known.then(|| base + self.iteration.pressures[index]),
            });
        }
        for (over_base, pressure) in self.iteration.pressures.iter_mut().zip(&pressures) {
            *over_base = pressure.map_or(0.0, |p| p - base);
        }
        if stopped {
            self.iteration.evaluate()?;
        } else {
            self.iteration.compare();
        }
        self.iteration.weigh();
        let (mass, energy) = (self.iteration.mass_residual, self.iteration.energy_residual);
        let steps = self.iteration.steps;
        // A sum of what is no number would pass for balanced.
        let passing = self.iteration.branches.iter().filter(|b| b.passes);
        let finite = passing.map(|b| b.flow + b.loss + b.driven).all(f64::is_finite);
        if !finite || mass.max(energy) > CLOSED_TO {
            return Err(self.not_converged());
        }
        let branches = &self.iteration.branches;
        for (link, (branch, law)) in branches.iter().zip(self.laws).enumerate() {
            // What stands still behind a closed valve asks nothing of its law.
            if branch.passes && !(branch.one_way && branch.flow == 0.0) {
                law.check(link, branch.flow / self.iteration.givens[link].density)?;
            }
        }
        let throttles_pa = self
            .network
            .regulators
            .iter()
            .zip(throttles)
            .map(|(regulator, &drop)| if self.is_shut(regulator.link) { 0.0 } else { drop });
        let drops = branches.iter().map(|branch| {
            let difference = pressures[branch.from()]? - pressures[branch.to()]?;
            Some(difference - branch.lift)
        });
        Ok(Solution {
            drops_pa: drops.collect(),
            flows_kg_s: branches.iter().map(|branch| branch.flow).collect(),
            states: (0..branches.len()).map(|link| self.state(link, throttles)).collect(),
            throttles_pa: throttles_pa.collect(),
            pressures_pa: pressures,
            steps,
            mass_residual: mass,
            energy_residual: energy,
        })
    }

    /// Stops what still flows backwards through closed valves; true when there was any.
    fn stop_backflow(&mut self) -> bool {
        let mut stopped = false;
        for branch in &mut self.iteration.branches {
            if branch.passes && branch.one_way && branch.flow < 0.0 {
                (branch.flow, stopped) = (0.0, true);
            }
        }
        stopped
    }

    fn state(&self, link: usize, throttles: &[f64]) -> LinkState {
        let mut regulators = self.network.regulators.iter().zip(throttles);
        if self.is_shut(link) {
            LinkState::Shut
        } else if regulators.any(|(r, &drop)| r.link == link && drop > 0.0) {
            LinkState::Regulating
        } else {
            LinkState::Open
        }
    }
}
