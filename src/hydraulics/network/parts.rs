//! Connected parts of a network, and what is wrong with one that touches no held pressure.

use super::error::NetworkError;
use super::laws::Law;
use super::{Network, Node};

/// Share of the flows of a part below which their sum counts as zero.
const NOTHING: f64 = 1.0e-12;

/// Sets that are joined one pair at a time.
struct Sets {
    above: Vec<usize>,
}

impl Sets {
    fn of(&mut self, mut member: usize) -> usize {
        while self.above[member] != member {
            self.above[member] = self.above[self.above[member]];
            member = self.above[member];
        }
        member
    }

    /// Joins two sets; false when they were one.
    fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.of(a), self.of(b));
        self.above[a.max(b)] = a.min(b);
        a != b
    }
}

/// What is known of one part, under the index of its first node.
#[derive(Clone, Default)]
struct Part {
    held: bool,
    /// Sum of what leaves, and of its sizes.
    net: f64,
    size: f64,
    taking: Option<usize>,
    pump: Option<usize>,
    circulates: bool,
}

/// Which nodes have a pressure, when only the links marked usable pass anything.
///
/// # Errors
/// [`NetworkError::DeadEnd`], [`NetworkError::AgainstShut`] or [`NetworkError::NoReference`] for a part without a held
/// pressure in which something must flow.
pub(super) fn referenced(
    network: &Network,
    laws: &[Law],
    usable: impl Fn(usize) -> bool,
) -> Result<Vec<bool>, NetworkError> {
    let count = network.nodes.len();
    let mut sets = Sets { above: (0..count).collect() };
    let mut chords = Vec::new();
    let passing = |link: &usize| usable(*link) && !matches!(laws[*link], Law::Source { .. });
    for link in (0..laws.len()).filter(passing) {
        let ends = &network.links[link];
        if !sets.join(ends.from, ends.to) {
            chords.push(link);
        }
    }
    let part_of: Vec<usize> = (0..count).map(|node| sets.of(node)).collect();
    let parts = parts(network, laws, &usable, &part_of);
    let cut_off = parts.iter().enumerate().any(|(p, part)| part_of[p] == p && !part.held);
    if cut_off {
        let mut parts = parts.clone();
        mark_circulation(network, laws, &passing, &part_of, &mut parts);
        for (index, part) in parts.iter().enumerate().filter(|(p, _)| part_of[*p] == *p) {
            refuse(index, part, &part_of)?;
        }
    }
    Ok(part_of.iter().map(|&p| parts[p].held).collect())
}

fn parts(
    network: &Network,
    laws: &[Law],
    usable: &impl Fn(usize) -> bool,
    part_of: &[usize],
) -> Vec<Part> {
    let mut parts = vec![Part::default(); part_of.len()];
    for (node, &index) in part_of.iter().enumerate() {
        let part = &mut parts[index];
        match network.nodes[node] {
            Node::Held { .. } => part.held = true,
            Node::Free { taken_kg_s } if taken_kg_s != 0.0 => {
                part.net += taken_kg_s;
                part.size += taken_kg_s.abs();
                part.taking = part.taking.or(Some(node));
            }
            Node::Free { .. } => {}
        }
    }
    for (link, law) in laws.iter().enumerate().filter(|(link, _)| usable(*link)) {
        let Law::Source { flow } = law else { continue };
        if *flow > 0.0 {
            let ends = &network.links[link];
            let mass = flow * ends.density_kg_m3;
            for (node, sign) in [(ends.from, 1.0), (ends.to, -1.0)] {
                let part = &mut parts[part_of[node]];
                part.net += sign * mass;
                part.size += mass;
                part.pump = part.pump.or(Some(link));
            }
        }
    }
    parts
}

/// Marks parts without a held pressure round which liquid is driven: by a pump in a ring, or by columns of unequal weight.
fn mark_circulation(
    network: &Network,
    laws: &[Law],
    passing: &impl Fn(&usize) -> bool,
    part_of: &[usize],
    parts: &mut [Part],
) {
    let mut ways: Vec<Vec<(usize, usize, f64)>> = vec![Vec::new(); part_of.len()];
    for link in (0..laws.len()).filter(passing) {
        let ends = &network.links[link];
        if !parts[part_of[ends.from]].held {
            ways[ends.from].push((link, ends.to, -ends.lift_pa));
            ways[ends.to].push((link, ends.from, ends.lift_pa));
        }
    }
    let mut still = vec![None; part_of.len()];
    let mut used = vec![false; laws.len()];
    for root in 0..part_of.len() {
        if part_of[root] != root || parts[root].held {
            continue;
        }
        still[root] = Some(0.0);
        let (mut open, mut ring) = (vec![root], false);
        let mut size = 0.0_f64;
        let mut uneven = 0.0_f64;
        let mut pump = false;
        while let Some(node) = open.pop() {
            let here = still[node].unwrap_or(0.0);
            for &(link, other, change) in &ways[node] {
                if core::mem::replace(&mut used[link], true) {
                    continue;
                }
                pump |= laws[link].drives();
                size = size.max(change.abs());
                match still[other] {
                    None => {
                        still[other] = Some(here + change);
                        open.push(other);
                    }
                    Some(known) => {
                        ring = true;
                        let miss: f64 = here + change - known;
                        uneven = uneven.max(miss.abs());
                    }
                }
            }
        }
        parts[root].circulates = ring && (pump || uneven > 1.0e-9 * size);
    }
}

fn refuse(index: usize, part: &Part, part_of: &[usize]) -> Result<(), NetworkError> {
    if part.held {
        return Ok(());
    }
    if part.net.abs() > NOTHING * part.size {
        return Err(match (part.pump, part.taking) {
            (Some(link), _) => NetworkError::AgainstShut { link },
            (None, node) => NetworkError::DeadEnd { node: node.unwrap_or(index) },
        });
    }
    if part.size > 0.0 || part.circulates {
        let nodes = (0..part_of.len()).filter(|&n| part_of[n] == index).collect();
        return Err(NetworkError::NoReference { nodes });
    }
    Ok(())
}
