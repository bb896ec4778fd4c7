//! The Newton iteration on flows and pressures, made safe by a search along each step.
//!
//! Flows that balance at every node and losses that rise with the flow are the one minimum of a convex function, the
//! content of the network. Each step solves the linearised network (E. Todini and S. Pilati 1987, Y. M. Hamam and
//! A. Brameller 1971; standing: from-memory) and goes along it no further than the content falls.

use super::batch::Batch;
use super::branch::{Branch, Given, Trial, branch};
use super::cores::{both, change_all, change_both, largest};
use super::error::NetworkError;
use super::fronts::GROUND;
use super::laws::Law;
use super::mesh::Mesh;
use super::{Network, Node};

/// Relative error allowed in every balance of an answer.
pub(super) const CLOSED_TO: f64 = 1.0e-9;
/// Relative error at which nothing is left to gain: what rounding leaves of it in a network of many thousand links.
const SETTLED_AT: f64 = 1.0e-12;
/// Steps after which there is no answer; usual are five to ten.
const MOST_STEPS: u32 = 200;
/// Imbalance of mass beyond which a whole step is taken first.
pub(super) const BALANCED: f64 = 1.0e-7;
/// Share of the usual flow that counts as none.
const NOTHING: f64 = 1.0e-5;
/// Share of a flow whose loss an energy error is weighed over at least: a stiff pump multiplies the flow's last digits.
const STIFF: f64 = 1.0e-5;
/// Change of every conductance up to which the elimination of the step before still serves, at the cost of balancing again.
const NEARLY: f64 = 3.0e-3;
/// Times that the flows of one step are balanced again.
const MOST_REFINEMENTS: u32 = 3;

/// Flows and pressures on their way to the answer.
pub(super) struct Iteration<'a> {
    pub(super) laws: &'a [Law<'a>],
    pub(super) branches: Vec<Branch>,
    pub(super) givens: Vec<Given>,
    pub(super) trials: Vec<Trial>,
    /// Pressure of every node over `base`.
    pub(super) pressures: Vec<f64>,
    pub(super) base: f64,
    /// What leaves at every node, flow sources included.
    pub(super) taken: Vec<f64>,
    /// Index among the unknown pressures, or [`GROUND`].
    pub(super) unknown: Vec<usize>,
    pub(super) mesh: Mesh,
    pub(super) batch: Batch,
    pub(super) conductances: Vec<f64>,
    /// The conductances that the mesh was eliminated for.
    eliminated: Vec<f64>,
    pub(super) change: Vec<f64>,
    pub(super) imbalance: Vec<f64>,
    pub(super) through: Vec<f64>,
    pub(super) least_slope: f64,
    pub(super) usual_flow: f64,
    pub(super) highest: f64,
    /// The flows are those that were weighed for the whole step last.
    pub(super) balanced_ahead: bool,
    whole_mass_residual: f64,
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
        let places = places(network, referenced);
        let passes = |link: usize| {
            let source = matches!(laws[link], Law::Source { .. });
            usable[link] && referenced[network.links[link].from] && !source
        };
        let edges = network.links.iter().enumerate().map(|(link, ends)| {
            let ends = (places.unknown[ends.from], places.unknown[ends.to]);
            if passes(link) { ends } else { (GROUND, GROUND) }
        });
        let (count, edges) = (places.count, edges.collect::<Vec<_>>());
        let (mesh, iteration) = both(
            laws.len(),
            || Mesh::new(count, &edges),
            || Self::unmeshed(network, laws, passes, places),
        );
        Ok(Self { mesh, ..iteration? })
    }

    /// All but the mesh, with its scale.
    ///
    /// # Errors
    /// As [`Iteration::new`].
    fn unmeshed(
        network: &Network,
        laws: &'a [Law<'a>],
        passes: impl Fn(usize) -> bool,
        places: Places,
    ) -> Result<Self, NetworkError> {
        let mut branches = Vec::with_capacity(laws.len());
        let mut givens = Vec::with_capacity(laws.len());
        for (link, law) in laws.iter().enumerate() {
            let (branch, given) = branch(network, link, law, passes(link))?;
            branches.push(branch);
            givens.push(given);
        }
        let Places { unknown, count, mut taken, pressures, base, highest } = places;
        for branch in branches.iter().filter(|b| !b.passes && b.flow != 0.0) {
            taken[branch.from()] += branch.flow;
            taken[branch.to()] -= branch.flow;
        }
        let mut iteration = Self {
            laws,
            conductances: vec![0.0; branches.len()],
            eliminated: vec![f64::INFINITY; branches.len()],
            trials: vec![Trial::default(); branches.len()],
            givens,
            branches,
            pressures,
            base,
            imbalance: vec![0.0; taken.len()],
            through: vec![0.0; taken.len()],
            taken,
            unknown,
            mesh: Mesh::new(0, &[]),
            batch: Batch::default(),
            change: vec![0.0; count],
            least_slope: 0.0,
            usual_flow: 0.0,
            highest,
            balanced_ahead: false,
            whole_mass_residual: f64::INFINITY,
            steps: 0,
            mass_residual: f64::INFINITY,
            energy_residual: f64::INFINITY,
        };
        iteration.scale()?;
        Ok(iteration)
    }

    /// Losses at the flows, differences of the pressures.
    ///
    /// # Errors
    /// A law that refuses.
    pub(super) fn evaluate(&mut self) -> Result<(), NetworkError> {
        self.content_slope(0.0)?;
        self.accept();
        self.compare();
        Ok(())
    }

    /// What the pressures drive through each link.
    pub(super) fn compare(&mut self) {
        for branch in &mut self.branches {
            branch.driven =
                self.pressures[branch.from()] - self.pressures[branch.to()] - branch.lift;
        }
    }

    pub(super) fn move_pressures(&mut self) {
        for (node, &index) in self.unknown.iter().enumerate() {
            if let Some(change) = self.change.get(index) {
                self.pressures[node] += change;
            }
        }
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

    /// The imbalance of every node at a place along the step.
    fn add_up(&mut self, place: f64) {
        let imbalance = &mut self.imbalance[..];
        for (imbalance, taken) in imbalance.iter_mut().zip(&self.taken) {
            *imbalance = -taken;
        }
        for branch in self.branches.iter().filter(|b| b.passes) {
            let flow = branch.flow + place * branch.step;
            imbalance[branch.to()] += flow;
            imbalance[branch.from()] -= flow;
        }
    }

    /// Relative error of the mass balances at a place along the step.
    fn weigh_mass(&mut self, place: f64) -> f64 {
        for (node, &taken) in self.taken.iter().enumerate() {
            (self.imbalance[node], self.through[node]) = (-taken, taken.abs());
        }
        let mut largest = 1.0e-6 * self.usual_flow;
        let (imbalance, through) = (&mut self.imbalance[..], &mut self.through[..]);
        for branch in self.branches.iter().filter(|b| b.passes) {
            let flow = branch.flow + place * branch.step;
            imbalance[branch.to()] += flow;
            imbalance[branch.from()] -= flow;
            let size = flow.abs();
            through[branch.to()] += size;
            through[branch.from()] += size;
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
        self.mass_residual =
            if self.balanced_ahead { self.whole_mass_residual } else { self.weigh_mass(0.0) };
        self.balanced_ahead = false;
        let least = self.least_pressure();
        self.energy_residual = largest(&self.branches, |branch| {
            let stiff = STIFF * (branch.slope * branch.flow).abs();
            let whole = least.max(stiff).max(branch.loss.abs().max(branch.lift.abs()));
            if branch.passes { (branch.driven - branch.loss).abs() / whole } else { 0.0 }
        });
    }

    /// The pressure over which small losses are weighed: a thousandth of the largest, or what rounding leaves of it.
    pub(super) fn least_pressure(&self) -> f64 {
        let largest = largest(&self.branches, |b| {
            let counts = b.passes && !b.is_closed();
            if counts { b.loss.abs().max(b.lift.abs()).max(b.driven.abs()) } else { 0.0 }
        });
        (1.0e-3 * largest).max(1.0e-5 * self.highest).max(f64::MIN_POSITIVE)
    }

    /// One step of the iteration.
    fn step(&mut self) -> Result<(), NetworkError> {
        self.steps += 1;
        let least = self.least_slope;
        let links = (&mut self.branches[..], &mut self.conductances[..]);
        change_both(links, &self.givens, |branch, conductance, given| {
            let slope = least.max(branch.safe_slope(given));
            *conductance = if branch.passes { 1.0 / slope } else { 0.0 };
            branch.step = *conductance * (branch.driven - branch.loss);
        });
        let enough = if self.is_as_eliminated() {
            SETTLED_AT
        } else {
            self.eliminate();
            0.1 * BALANCED
        };
        self.balance(enough);
        self.search()
    }

    /// Whether the conductances are nearly those that were eliminated last.
    fn is_as_eliminated(&self) -> bool {
        let pairs = self.conductances.iter().zip(&self.eliminated);
        pairs.into_iter().all(|(now, then)| (now - then).abs() <= NEARLY * now)
    }

    /// Eliminates the mesh of the conductances.
    pub(super) fn eliminate(&mut self) {
        self.mesh.factor(&self.conductances);
        self.eliminated.copy_from_slice(&self.conductances);
    }

    /// Moves pressures, and the flows of the step with them, until mass is balanced at the end of the step. Once is
    /// enough, unless wide passages magnify the rounding of pressures or the mesh was eliminated for other conductances.
    fn balance(&mut self, enough: f64) {
        for turn in 0..=MOST_REFINEMENTS {
            if turn == 0 {
                self.add_up(1.0);
            } else {
                self.whole_mass_residual = self.weigh_mass(1.0);
                if self.whole_mass_residual <= enough {
                    return;
                }
            }
            for (&index, &imbalance) in self.unknown.iter().zip(&self.imbalance) {
                if let Some(inflow) = self.change.get_mut(index) {
                    *inflow = imbalance;
                }
            }
            self.mesh.solve(&mut self.change);
            self.move_pressures();
            // From the changes, not from the rounded new pressures: so the flows balance to their last digits.
            let (change, unknown, pressures) =
                (&self.change[..], &self.unknown[..], &self.pressures[..]);
            let moved = |node: usize| change.get(unknown[node]).copied().unwrap_or(0.0);
            change_all(&mut self.branches, &self.conductances, |branch, conductance| {
                branch.step += conductance * (moved(branch.from()) - moved(branch.to()));
                branch.driven = pressures[branch.from()] - pressures[branch.to()] - branch.lift;
            });
        }
        self.whole_mass_residual = self.weigh_mass(1.0);
    }
}

/// What the iteration knows of the nodes.
struct Places {
    unknown: Vec<usize>,
    count: usize,
    taken: Vec<f64>,
    pressures: Vec<f64>,
    base: f64,
    highest: f64,
}

/// Numbers the unknown pressures and gathers what is given.
fn places(network: &Network, referenced: &[bool]) -> Places {
    let nodes = network.nodes.len();
    let held = |node: &Node| match node {
        Node::Held { pressure_pa } => Some(*pressure_pa),
        Node::Free { .. } => None,
    };
    let base = network.nodes.iter().find_map(held).unwrap_or(0.0);
    let mut places = Places {
        unknown: vec![GROUND; nodes],
        count: 0,
        taken: vec![0.0; nodes],
        pressures: vec![0.0; nodes],
        base,
        highest: base.abs(),
    };
    for (index, node) in network.nodes.iter().enumerate() {
        match node {
            Node::Held { pressure_pa } => {
                places.pressures[index] = pressure_pa - base;
                places.highest = places.highest.max(pressure_pa.abs());
            }
            Node::Free { taken_kg_s } => {
                places.taken[index] = *taken_kg_s;
                if referenced[index] {
                    places.unknown[index] = places.count;
                    places.count += 1;
                }
            }
        }
    }
    places
}

/// Adds to an unknown node's place; nothing at a held one.
pub(super) fn add(list: &mut [f64], index: usize, value: f64) {
    if let Some(place) = list.get_mut(index) {
        *place += value;
    }
}
