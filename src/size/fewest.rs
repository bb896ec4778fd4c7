//! The fewest sizes with which every line of a table has one that passes, and the whole set fitted at once.

use std::collections::BTreeMap;

use super::LineSizing;
use super::judgement::{concerns, fails};
use crate::assess::Assessment;
use crate::check::run_those;
use crate::finding::Finding;
use crate::plan::Plan;
use crate::solve::case::named;
use crate::solve::{Depth, solve_in};
use crate::table::Tables;

/// With more sizes than this not every set of them is tried.
const MOST_SIZES: usize = 20;

/// The fewest sizes of one table.
#[derive(Clone, Debug, PartialEq)]
pub struct TableSet {
    /// `kind/name` of the table.
    pub table: String,
    /// The sizes, by bore.
    pub sizes: Vec<String>,
    /// Size of each line, by its index in the plan.
    pub lines: Vec<(usize, String)>,
    /// Lines of the table that no size of it passes, or that could not be judged.
    pub without: Vec<usize>,
    /// Whether every set was tried, so that no smaller one exists; otherwise each line has its smallest size.
    pub proven: bool,
}

/// What the whole set does when it is fitted at once.
#[derive(Debug)]
pub struct Together {
    /// What fails then and did not fail line by line; empty where the set holds.
    pub fails: Vec<Finding>,
}

/// One set for each table, in the order of their names.
pub fn sets(lines: &[LineSizing]) -> Vec<TableSet> {
    let mut by_table: BTreeMap<&str, Vec<&LineSizing>> = BTreeMap::new();
    for line in lines {
        if let Some(table) = &line.table {
            by_table.entry(table).or_default().push(line);
        }
    }
    by_table.into_iter().map(|(table, lines)| set(table, &lines)).collect()
}

fn set(table: &str, lines: &[&LineSizing]) -> TableSet {
    let (sized, without): (Vec<&LineSizing>, Vec<&LineSizing>) =
        lines.iter().partition(|l| l.smallest.is_some());
    // All lines of a table have the same candidates, by bore.
    let sizes: Vec<&str> = sized
        .first()
        .map_or_else(Vec::new, |l| l.candidates.iter().map(|c| c.size.as_str()).collect());
    let passing: Vec<u32> = sized.iter().map(|l| mask(l, &sizes)).collect();
    let chosen = if sizes.len() <= MOST_SIZES { fewest(sizes.len(), &passing) } else { None };
    let used = chosen.unwrap_or(u32::MAX);
    let size_of = |line: &LineSizing, passing: u32| -> Option<(usize, String)> {
        if chosen.is_none() {
            return Some((line.line, line.chosen()?.size.clone()));
        }
        let bit = (passing & used).trailing_zeros();
        let size = sizes.get(usize::try_from(bit).unwrap_or(usize::MAX))?;
        Some((line.line, (*size).to_owned()))
    };
    let assigned: Vec<(usize, String)> =
        sized.iter().zip(&passing).filter_map(|(l, p)| size_of(l, *p)).collect();
    TableSet {
        table: table.to_owned(),
        sizes: sizes
            .iter()
            .filter(|s| assigned.iter().any(|(_, a)| a == *s))
            .map(|s| (*s).to_owned())
            .collect(),
        lines: assigned,
        without: without.iter().map(|l| l.line).collect(),
        proven: chosen.is_some(),
    }
}

/// The sizes that pass, a bit each by bore.
fn mask(line: &LineSizing, sizes: &[&str]) -> u32 {
    let passes = |size: &str| line.candidates.iter().any(|c| c.size == size && c.passes());
    let bits = sizes.iter().take(MOST_SIZES).enumerate().filter(|(_, s)| passes(s));
    bits.fold(0, |mask, (bit, _)| mask | 1 << bit)
}

/// The set of fewest sizes that meets every mask; of equal ones that with the smaller sizes line by line.
fn fewest(sizes: usize, passing: &[u32]) -> Option<u32> {
    let all = 1_u32.checked_shl(u32::try_from(sizes).ok()?)?;
    let meets = |set: &u32| passing.iter().all(|p| p & set != 0);
    // Each line takes the smallest size of the set that passes it.
    let cost = |set: u32| -> (u32, u32, u32) {
        let taken = passing.iter().map(|p| (p & set).trailing_zeros()).sum();
        (set.count_ones(), taken, set)
    };
    (0..all).filter(meets).min_by_key(|set| cost(*set))
}

/// Fits all sets at once and checks the whole plan again.
pub fn together(
    assessment: &Assessment,
    tables: &Tables,
    lines: &[LineSizing],
    sets: &[TableSet],
) -> Option<Together> {
    let sized = sets.iter().flat_map(|s| &s.lines);
    let mut plan = Plan { stock: None, ..assessment.plan.clone() };
    let mut any = false;
    for (line, size) in sized {
        let sizing = lines.iter().find(|l| l.line == *line)?;
        plan.lines[*line] = sizing.candidates.iter().find(|c| c.size == *size)?.line.clone();
        any = true;
    }
    if !any {
        return None;
    }
    // Lines that no size suits, and what fails at every size, have been told; so has what failed before in the
    // machine as a whole.
    let stuck: Vec<&str> = lines
        .iter()
        .filter(|l| l.smallest.is_none())
        .map(|l| plan.lines[l.line].id.as_str())
        .collect();
    let same = |f: &Finding, known: &Finding| f.code == known.code && f.place == known.place;
    let told = |f: &Finding| {
        let before = f.code.starts_with("network.")
            && assessment.findings.iter().any(|k| k.verdict == f.verdict && same(f, k));
        let always = lines.iter().flat_map(|l| &l.always).any(|k| same(f, k));
        before || always || stuck.contains(&f.subject())
    };
    let facts = solve_in(&plan, tables, named(&plan), Depth::Flow);
    let fails = run_those(&plan, tables, &facts, concerns)
        .into_iter()
        .filter(|f| fails(f) && !told(f))
        .collect();
    Some(Together { fails })
}

#[cfg(test)]
mod tests {
    use super::fewest;

    #[test]
    fn fewest_sizes_come_first_then_the_smaller_ones() {
        // Three lines: sizes 0, 1; sizes 0, 1, 2; sizes 2, 3. Two sizes are needed, and 0 and 2 are the least.
        assert_eq!(fewest(4, &[0b0011, 0b0111, 0b1100]), Some(0b0101));
        // One size that suits all beats two smaller ones.
        assert_eq!(fewest(4, &[0b1001, 0b1010, 0b1100]), Some(0b1000));
        // A tie in count is decided by what the lines get.
        assert_eq!(fewest(3, &[0b111, 0b111]), Some(0b001));
        assert_eq!(fewest(2, &[0b01, 0b00]), None);
    }
}
