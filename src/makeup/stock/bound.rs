//! A number that no covering can cost less than, proven in whole numbers.

use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, Solution, Variable};

use super::covering::{Covering, Pattern};
use super::knapsack::fullest;

/// Worth of the dearest bar in whole numbers: nine digits, so that rounding costs nothing that shows.
const WORTH: f64 = 1e9;
/// Rounds times sizes after which the bound at hand must do.
const ROUNDS: usize = 12_000;
/// A pattern is worth a new row if it breaks its bar's worth by more than this.
const BROKEN: i64 = 1_000;
/// A size may be worth this many of the dearest bars.
const MOST_BARS: f64 = 10.0;

/// What each piece is worth, so that no bar of any kind holds more worth than it costs.
#[derive(Debug, Clone)]
pub(super) struct Worth {
    /// Of each size.
    pub(super) of_size: Vec<i64>,
    /// Of each kind beyond its cost: of the last bars of a kind that is limited.
    pub(super) of_kind: Vec<i64>,
    /// What one unit of cost is worth.
    pub(super) of_cost: i64,
    /// Worth of all that is wanted less what the limits are worth.
    pub(super) base: i64,
}

impl Worth {
    /// The bound.
    pub(super) fn least_cost(&self) -> u64 {
        u64::try_from(self.base.max(0)).unwrap_or(0).div_ceil(self.of_cost.unsigned_abs().max(1))
    }

    /// Worth that may be lost in all bars together within a cost.
    pub(super) fn budget(&self, cost: u64) -> i64 {
        self.of_cost.saturating_mul(i64::try_from(cost).unwrap_or(i64::MAX)) - self.base
    }

    /// What a bar of a kind must hold so that nothing is lost.
    pub(super) fn of_bar(&self, covering: &Covering, kind: usize) -> i64 {
        let cost = covering.kinds.get(kind).map_or(0, |k| k.cost);
        let own = self.of_kind.get(kind).copied().unwrap_or(0);
        self.of_cost.saturating_mul(i64::try_from(cost).unwrap_or(i64::MAX)).saturating_add(own)
    }
}

/// The best worth found, and the patterns that were met on the way with their share in the relaxed answer.
#[derive(Debug, Clone)]
pub(super) struct Bound {
    pub(super) worth: Worth,
    pub(super) patterns: Vec<Pattern>,
}

/// Worth by length: a bar is worth what it can hold.
pub(super) fn by_length(covering: &Covering) -> Worth {
    let of_size: Vec<i64> = covering.sizes.iter().map(|s| whole(*s)).collect();
    let full: Vec<i64> = covering.kinds.iter().map(|k| whole(k.capacity)).collect();
    valid(covering, of_size, 0, &full, 1)
}

fn whole(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

/// Makes numbers for sizes into a worth that holds: what the fullest bar of each kind holds is paid for by its
/// cost, by its limit or by the limit on counted bars.
fn valid(
    covering: &Covering,
    of_size: Vec<i64>,
    counted: i64,
    fullest: &[i64],
    unit: i64,
) -> Worth {
    let over = |kind: usize| {
        let own = covering.kinds.get(kind).is_some_and(|k| k.counted);
        fullest.get(kind).copied().unwrap_or(0) - if own { counted } else { 0 }
    };
    let endless = || (0..).zip(&covering.kinds).filter(|(_, k)| k.available.is_none());
    let needed = endless().map(|(kind, k)| {
        let over = over(kind).max(0).unsigned_abs();
        whole(over.div_ceil(k.cost.max(1)))
    });
    let of_cost = needed.max().unwrap_or(unit).max(1);
    let mut of_kind = Vec::new();
    let mut base: i64 = of_size.iter().zip(&covering.demand).map(|(w, d)| w * whole(*d)).sum();
    for (kind, k) in covering.kinds.iter().enumerate() {
        let limit = if let Some(available) = k.available {
            let limit = (over(kind) - of_cost.saturating_mul(whole(k.cost))).max(0);
            base = base.saturating_sub(limit.saturating_mul(whole(available)));
            limit
        } else {
            0
        };
        of_kind.push(limit + if k.counted { counted } else { 0 });
    }
    base = base.saturating_sub(counted.saturating_mul(covering.most_counted.map_or(0, whole)));
    Worth { of_size, of_kind, of_cost, base }
}

/// Worth of one unit of cost where nothing says how much it has to be.
fn unit(covering: &Covering) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "1e9 at most")]
    let unit = (WORTH / dearest(covering)).max(1.0) as i64;
    unit
}

fn dearest(covering: &Covering) -> f64 {
    real(covering.kinds.iter().map(|k| k.cost).max().unwrap_or(1).max(1))
}

#[expect(clippy::cast_precision_loss, reason = "costs and counts, far under 2^53")]
fn real(number: u64) -> f64 {
    number as f64
}

/// The relaxed problem: worth is looked for that no pattern met so far breaks.
struct Relaxed<'a> {
    covering: &'a Covering,
    of_size: Vec<Variable>,
    of_kind: Vec<Option<Variable>>,
    counted: Option<Variable>,
}

impl<'a> Relaxed<'a> {
    fn new(covering: &'a Covering) -> (Self, Problem) {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let of_size =
            covering.demand.iter().map(|d| problem.add_var(real(*d), (0.0, MOST_BARS))).collect();
        let mut limit = |most: u64| problem.add_var(-real(most), (0.0, f64::INFINITY));
        let of_kind = covering.kinds.iter().map(|k| k.available.map(&mut limit)).collect();
        let counted = covering.most_counted.map(&mut limit);
        (Self { covering, of_size, of_kind, counted }, problem)
    }

    /// A pattern is worth no more than its bar.
    fn row(&self, pattern: &Pattern) -> (LinearExpr, ComparisonOp, f64) {
        let mut row = LinearExpr::empty();
        for (size, count) in &pattern.counts {
            if let Some(worth) = self.of_size.get(*size) {
                row.add(*worth, real(*count));
            }
        }
        if let Some(Some(limit)) = self.of_kind.get(pattern.kind) {
            row.add(*limit, -1.0);
        }
        let kind = self.covering.kinds.get(pattern.kind);
        if let Some(counted) = self.counted.filter(|_| kind.is_some_and(|k| k.counted)) {
            row.add(counted, -1.0);
        }
        let cost = kind.map_or(0.0, |k| real(k.cost)) / dearest(self.covering);
        (row, ComparisonOp::Le, cost)
    }

    fn solved(&self, mut problem: Problem, known: &[Pattern]) -> Option<Solution> {
        for pattern in known {
            let (row, op, cost) = self.row(pattern);
            problem.add_constraint(row, op, cost);
        }
        problem.solve().ok()?.into_solution().ok()
    }

    fn with(&self, solution: Solution, pattern: &Pattern) -> Option<Solution> {
        let (row, op, cost) = self.row(pattern);
        solution.add_constraint(row, op, cost).ok()?.into_solution().ok()
    }

    /// The unknowns in whole numbers: sizes rounded down, limits up.
    fn rounded(&self, solution: &Solution) -> Answer {
        let read = |v: Variable| solution.var_value(v).max(0.0) * WORTH;
        #[expect(clippy::cast_possible_truncation, reason = "bounded by MOST_BARS and clamped")]
        let down = |v: Variable| read(v).floor().clamp(0.0, 1e12) as i64;
        #[expect(clippy::cast_possible_truncation, reason = "clamped")]
        let up = |v: Variable| read(v).ceil().clamp(0.0, 1e12) as i64;
        Answer {
            of_size: self.of_size.iter().map(|v| down(*v)).collect(),
            of_kind: self.of_kind.iter().map(|v| v.map_or(0, up)).collect(),
            counted: self.counted.map_or(0, up),
        }
    }

    /// The bound cannot come above what the relaxed problem says now, rounded up.
    fn ceiling(&self, solution: &Solution) -> u64 {
        let cost = solution.objective() * dearest(self.covering);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let whole = (cost - 1e-6).ceil().clamp(0.0, 1e15) as u64;
        whole
    }
}

struct Answer {
    of_size: Vec<i64>,
    of_kind: Vec<i64>,
    counted: i64,
}

impl Answer {
    /// What a bar of this kind may hold.
    fn allowed(&self, covering: &Covering, kind: usize) -> i64 {
        let Some(k) = covering.kinds.get(kind) else { return i64::MAX };
        #[expect(clippy::cast_possible_truncation, reason = "1e9 at most")]
        let cost = (real(k.cost) / dearest(covering) * WORTH) as i64;
        let limit = self.of_kind.get(kind).copied().unwrap_or(0);
        cost + limit + if k.counted { self.counted } else { 0 }
    }
}

/// Raises the bound pattern by pattern until it reaches `enough` or no bar holds more than it costs.
pub(super) fn bound(covering: &Covering, known: &[Pattern], enough: u64) -> Bound {
    let mut found = Bound { worth: by_length(covering), patterns: known.to_vec() };
    if found.worth.least_cost() >= enough {
        return found;
    }
    let (relaxed, problem) = Relaxed::new(covering);
    let mut solution = relaxed.solved(problem, known);
    for _ in 0..ROUNDS / covering.sizes.len().max(1) {
        let Some(current) = solution else { break };
        let answer = relaxed.rounded(&current);
        let mut most = Vec::new();
        let mut broken = Vec::new();
        for kind in 0..covering.kinds.len() {
            let bar = fullest(covering, kind, &answer.of_size);
            most.push(bar.at_most);
            if bar.worth > answer.allowed(covering, kind) + BROKEN {
                broken.push(Pattern { kind, counts: bar.counts, spare: false });
            }
        }
        let worth = valid(covering, answer.of_size, answer.counted, &most, unit(covering));
        if is_higher(&worth, &found.worth) {
            found.worth = worth;
        }
        if broken.is_empty() || found.worth.least_cost() >= enough.min(relaxed.ceiling(&current)) {
            break;
        }
        solution = broken.iter().try_fold(current, |s, pattern| relaxed.with(s, pattern));
        found.patterns.extend(broken);
    }
    found
}

fn is_higher(one: &Worth, other: &Worth) -> bool {
    i128::from(one.base) * i128::from(other.of_cost)
        > i128::from(other.base) * i128::from(one.of_cost)
}

/// How often each pattern is cut when parts of bars can be begun; patterns that are not used are left out.
pub(super) fn shares(covering: &Covering, patterns: &[Pattern]) -> Vec<(Pattern, f64)> {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let dearest = dearest(covering);
    let cost = |p: &Pattern| covering.kinds.get(p.kind).map_or(0.0, |k| real(k.cost)) / dearest;
    let shares: Vec<Variable> =
        patterns.iter().map(|p| problem.add_var(cost(p), (0.0, f64::INFINITY))).collect();
    for (size, demand) in covering.demand.iter().enumerate() {
        let count = |p: &Pattern| p.counts.iter().find(|(s, _)| *s == size).map_or(0, |(_, n)| *n);
        let row = sum(&shares, patterns, count);
        problem.add_constraint(row, ComparisonOp::Ge, real(*demand));
    }
    for (kind, k) in covering.kinds.iter().enumerate() {
        if let Some(available) = k.available {
            let row = sum(&shares, patterns, |p| u64::from(p.kind == kind));
            problem.add_constraint(row, ComparisonOp::Le, real(available));
        }
    }
    if let Some(most) = covering.most_counted {
        let counted = |p: &Pattern| covering.kinds.get(p.kind).map_or(0, |k| u64::from(k.counted));
        problem.add_constraint(sum(&shares, patterns, counted), ComparisonOp::Le, real(most));
    }
    let Some(solution) = problem.solve().ok().and_then(|s| s.into_solution().ok()) else {
        return Vec::new();
    };
    let used = patterns.iter().zip(shares).map(|(p, s)| (p.clone(), solution.var_value(s)));
    used.filter(|(_, share)| *share > 1e-6).collect()
}

fn sum(shares: &[Variable], patterns: &[Pattern], of: impl Fn(&Pattern) -> u64) -> LinearExpr {
    let mut row = LinearExpr::empty();
    for (share, pattern) in shares.iter().zip(patterns) {
        let count = of(pattern);
        if count > 0 {
            row.add(*share, real(count));
        }
    }
    row
}
