//! A chain of arcs and straights of radius 1, each turned about the tangent against the one before it.

use nalgebra::{DMatrix, Matrix5, Vector3, Vector5};

/// The chain closes when it misses the goal by less than this, in radii and radians.
const CLOSED: f64 = 1e-14;
/// What is left after the last step must be below this; the rest is rounding of many pieces.
const CLOSED_AT_LAST: f64 = 1e-11;
const MOST_STEPS: u32 = 40;
/// Chains of so few pieces are worth the second, slower way of closing them.
const FEW: usize = 3;

/// The poses in their own axes, with the radius as the unit of length: the first at the origin along x, the
/// second anywhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Goal {
    pub(super) at: Vector3<f64>,
    pub(super) direction: Vector3<f64>,
}

/// One piece: its plane is turned by `twist` about the tangent, then it runs for `run`, bent or straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Link {
    pub(super) twist: f64,
    pub(super) run: f64,
    pub(super) bent: bool,
}

impl Link {
    pub(super) fn arc(twist: f64, run: f64) -> Self {
        Self { twist, run, bent: true }
    }

    pub(super) fn straight(run: f64) -> Self {
        Self { twist: 0.0, run, bent: false }
    }
}

/// Where a chain has got to: point, tangent, and the normal towards which an arc bends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Front {
    pub(super) at: Vector3<f64>,
    pub(super) tangent: Vector3<f64>,
    pub(super) normal: Vector3<f64>,
}

impl Front {
    pub(super) fn start() -> Self {
        Self { at: Vector3::zeros(), tangent: Vector3::x(), normal: Vector3::y() }
    }

    pub(super) fn twisted(&self, twist: f64) -> Self {
        let binormal = self.tangent.cross(&self.normal);
        let normal = self.normal * libm::cos(twist) + binormal * libm::sin(twist);
        // Kept at length 1 and square to the tangent, so that rounding does not grow along the chain.
        let normal = (normal - self.tangent * normal.dot(&self.tangent)).normalize();
        Self { normal, ..*self }
    }

    pub(super) fn advanced(&self, link: &Link) -> Self {
        if !link.bent {
            return Self { at: self.at + self.tangent * link.run, ..*self };
        }
        let (sin, cos) = libm::sincos(link.run);
        let half = libm::sin(0.5 * link.run);
        Self {
            at: self.at + self.tangent * sin + self.normal * (2.0 * half * half),
            tangent: (self.tangent * cos + self.normal * sin).normalize(),
            normal: self.normal * cos - self.tangent * sin,
        }
    }
}

pub(super) fn length(links: &[Link]) -> f64 {
    links.iter().map(|link| link.run).sum()
}

/// Where a chain ends.
pub(super) fn end(links: &[Link]) -> Front {
    let lay = |front: Front, link: &Link| front.twisted(link.twist).advanced(link);
    links.iter().fold(Front::start(), lay)
}

/// The fronts at which the pieces begin, turned already, and the front at the end.
fn fronts(links: &[Link]) -> (Vec<Front>, Front) {
    let mut front = Front::start();
    let begins = links
        .iter()
        .map(|link| {
            let begin = front.twisted(link.twist);
            front = begin.advanced(link);
            begin
        })
        .collect();
    (begins, front)
}

/// How far the end of the chain misses the goal: three lengths, and two angles along `across`.
fn miss(end: &Front, goal: &Goal, across: &[Vector3<f64>; 2]) -> Vector5<f64> {
    let at = end.at - goal.at;
    let turned = end.tangent - goal.direction;
    Vector5::new(at.x, at.y, at.z, turned.dot(&across[0]), turned.dot(&across[1]))
}

/// Changes the twists and runs as little as possible so that the chain ends at the goal.
///
/// Each step solves the closing conditions, made linear, by the smallest change: by the normal equations of five
/// rows, and where these do not settle, by singular values, which tell a free plane from a nearly free one.
/// `None` where that does not settle either or a piece would run backwards.
pub(super) fn closed(links: Vec<Link>, goal: &Goal) -> Option<Vec<Link>> {
    let careful = (links.len() <= FEW).then(|| links.clone());
    closed_by(links, goal, by_normal_equations)
        .or_else(|| closed_by(careful?, goal, by_singular_values))
}

/// The smallest changes of all twists and runs that take a miss away.
type Change = fn(&[Vector5<f64>], &Vector5<f64>) -> Option<Vec<f64>>;

fn closed_by(mut links: Vec<Link>, goal: &Goal, change: Change) -> Option<Vec<Link>> {
    let first = super::any_square(&goal.direction);
    let across = [first, goal.direction.cross(&first)];
    // What rounding leaves grows with the distance.
    let size = 1.0 + goal.at.amax();
    let (closed, at_last) = (CLOSED * size, CLOSED_AT_LAST * size);
    let mut best = f64::INFINITY;
    for _ in 0..MOST_STEPS {
        let (begins, end) = fronts(&links);
        let miss = miss(&end, goal, &across);
        let off = miss.amax();
        if end.tangent.dot(&goal.direction) > 0.0 {
            if off <= closed || (off <= at_last && off >= 0.5 * best) {
                return settled(links);
            }
            best = best.min(off);
        }
        let changes = change(&columns(&links, &begins, &end, &across), &miss)?;
        let largest = changes.iter().fold(0.0_f64, |most, part| most.max(part.abs()));
        if !largest.is_finite() {
            return None;
        }
        let share = (0.5 / largest).min(1.0);
        for (link, pair) in links.iter_mut().zip(changes.chunks(2)) {
            link.twist += pair.first().map_or(0.0, |part| part * share);
            link.run += pair.get(1).map_or(0.0, |part| part * share);
        }
    }
    None
}

fn by_normal_equations(columns: &[Vector5<f64>], miss: &Vector5<f64>) -> Option<Vec<f64>> {
    let mut square = Matrix5::zeros();
    for column in columns {
        square += column * column.transpose();
    }
    // A share of the trace keeps directions that no piece can move, such as across a plane.
    let ridge = 1e-16 * square.trace();
    let factors = (square + Matrix5::identity() * ridge).cholesky()?;
    let push = factors.solve(&-miss);
    Some(columns.iter().map(|column| column.dot(&push)).collect())
}

fn by_singular_values(columns: &[Vector5<f64>], miss: &Vector5<f64>) -> Option<Vec<f64>> {
    let matrix = DMatrix::from_fn(5, columns.len(), |row, column| columns[column][row]);
    let values = matrix.svd(true, true);
    let least = 1e-14 * values.singular_values.max();
    let change = values.solve(&-miss, least).ok()?;
    Some(change.iter().copied().collect())
}

/// Runs below zero by rounding are left out; runs truly below zero are no path.
fn settled(mut links: Vec<Link>) -> Option<Vec<Link>> {
    if links.iter().any(|link| link.run < -CLOSED_AT_LAST) {
        return None;
    }
    for link in &mut links {
        link.run = link.run.max(0.0);
    }
    Some(links)
}

/// How twist and run of each piece move the end.
fn columns(
    links: &[Link],
    begins: &[Front],
    end: &Front,
    across: &[Vector3<f64>; 2],
) -> Vec<Vector5<f64>> {
    let turned_about = |axis: &Vector3<f64>, from: &Vector3<f64>| {
        let at = axis.cross(&(end.at - from));
        let turned = axis.cross(&end.tangent);
        Vector5::new(at.x, at.y, at.z, turned.dot(&across[0]), turned.dot(&across[1]))
    };
    let along = |tangent: &Vector3<f64>| Vector5::new(tangent.x, tangent.y, tangent.z, 0.0, 0.0);
    links
        .iter()
        .zip(begins)
        .flat_map(|(link, begin)| {
            let twist = turned_about(&begin.tangent, &begin.at);
            let run = if link.bent {
                // A longer arc turns everything after it about the arc's centre.
                let axis = begin.tangent.cross(&begin.normal);
                turned_about(&axis, &(begin.at + begin.normal))
            } else {
                along(&begin.tangent)
            };
            [twist, run]
        })
        .collect()
}
