//! Wires in the channel between two columns: which upright piece goes on which track.
//!
//! A net joins pins on the left and the right bank of the channel. Its upright piece stands on a track, and level
//! pieces lead from there to its pins. Two nets would lie on one another where a pin of one stands opposite a pin of
//! the other and the one on the left bank reached further than the one on the right: so the piece with the left pin
//! has to stand before the other. Where such demands close a circle, a net is parted in two pieces with a dogleg,
//! one for its left and one for its right pins; when all are parted, only left ones have to stand before right ones,
//! and no circle is left.

use std::collections::BTreeSet;

/// A side of a box; of a channel, the bank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Where the drawing begins.
    Left,
    /// Where it goes on.
    Right,
}

/// Two or more pins that one wire joins: bank and height in half rows. Pins stand at odd half rows, and on one bank a height
/// belongs to one net.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Net {
    /// The pins.
    pub pins: Vec<(Side, i32)>,
}

/// An upright piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Riser {
    /// Its track, 0 next to the left bank.
    pub track: usize,
    /// Its upper end, half rows.
    pub top: i32,
    /// Its lower end, half rows.
    pub bottom: i32,
}

/// How a net goes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Way {
    /// None if it runs straight across; else one, or two with a dogleg, the left pins' first.
    pub risers: Vec<Riser>,
    /// Height of the level piece between two risers, an even half row.
    pub dogleg: Option<i32>,
}

/// The ways of all nets of a channel, in their order.
///
/// ```
/// use hosewright::book::circuit::layout::channel::{Net, Side, route};
/// let net = |left, right| Net { pins: vec![(Side::Left, left), (Side::Right, right)] };
/// // Two wires that change places: one of them needs a dogleg.
/// let ways = route(&[net(1, 3), net(3, 1)]);
/// assert_eq!(ways.iter().filter(|w| w.dogleg.is_some()).count(), 1);
/// assert!(route(&[net(1, 1)])[0].risers.is_empty());
/// ```
pub fn route(nets: &[Net]) -> Vec<Way> {
    let mut pieces: Vec<Piece> = nets
        .iter()
        .enumerate()
        .filter(|(_, net)| net.pins.iter().any(|p| p.1 != net.pins[0].1))
        .map(|(index, net)| Piece::new(index, net))
        .collect();
    let mut free = Free::new(nets);
    let order = loop {
        match in_order(&pieces) {
            Ok(order) => break order,
            Err(stuck) => part(&mut pieces, stuck, &mut free),
        }
    };
    let tracks = tracks(&pieces, &order);
    let mut ways = vec![Way::default(); nets.len()];
    for (piece, track) in pieces.iter().zip(tracks) {
        let [top, bottom] = piece.span();
        let way = &mut ways[piece.net];
        way.risers.push(Riser { track, top, bottom });
        way.dogleg = piece.dogleg.map(|d| d.1);
    }
    ways
}

/// An upright piece with the heights of its level ones.
#[derive(Clone, Debug)]
struct Piece {
    net: usize,
    left: Vec<i32>,
    right: Vec<i32>,
    /// To which side its dogleg leads, and at which height.
    dogleg: Option<(Side, i32)>,
}

impl Piece {
    fn new(index: usize, net: &Net) -> Self {
        let on = |side| net.pins.iter().filter(|p| p.0 == side).map(|p| p.1).collect();
        Self { net: index, left: on(Side::Left), right: on(Side::Right), dogleg: None }
    }

    fn heights(&self) -> impl Iterator<Item = i32> {
        self.left.iter().chain(&self.right).copied().chain(self.dogleg.map(|d| d.1))
    }

    fn span(&self) -> [i32; 2] {
        [self.heights().min().unwrap_or(0), self.heights().max().unwrap_or(0)]
    }

    /// Heights of the level pieces on one side.
    fn level(&self, side: Side) -> impl Iterator<Item = i32> {
        let pins = if side == Side::Left { &self.left } else { &self.right };
        pins.iter().copied().chain(self.dogleg.filter(|d| d.0 == side).map(|d| d.1))
    }

    /// Whether it has to stand nearer to the left bank than another.
    fn before(&self, other: &Self) -> bool {
        if self.net == other.net {
            return self.dogleg.is_some_and(|d| d.0 == Side::Right) && other.dogleg.is_some();
        }
        self.left.iter().any(|y| other.right.contains(y))
    }

    fn beside(&self, other: &Self) -> bool {
        let ([a, b], [c, d]) = (self.span(), other.span());
        a <= d && c <= b
    }

    /// How often wires cross if it stands to the left of another.
    fn crossings(&self, other: &Self) -> i32 {
        let inside = |[top, bottom]: [i32; 2]| move |y: &i32| top < *y && *y < bottom;
        let mine = self.level(Side::Right).filter(inside(other.span())).count();
        let theirs = other.level(Side::Left).filter(inside(self.span())).count();
        i32::try_from(mine + theirs).unwrap_or(i32::MAX)
    }
}

/// The pieces from left to right with few crossings; the ones that wait for each other where that cannot be.
fn in_order(pieces: &[Piece]) -> Result<Vec<usize>, Vec<usize>> {
    let count = pieces.len();
    let pairs =
        || (0..count).flat_map(|i| (0..count).filter(move |j| *j != i).map(move |j| (i, j)));
    let mut waits = vec![0_usize; count];
    let mut saves = vec![0_i32; count];
    for (i, j) in pairs() {
        waits[j] += usize::from(pieces[i].before(&pieces[j]));
        saves[i] += pieces[i].crossings(&pieces[j]) - pieces[j].crossings(&pieces[i]);
    }
    let mut left: BTreeSet<usize> = (0..count).collect();
    let mut order = Vec::new();
    while !left.is_empty() {
        let ready = left.iter().copied().filter(|i| waits[*i] == 0);
        let Some(next) = ready.min_by_key(|i| (saves[*i], *i)) else {
            return Err(left.into_iter().collect());
        };
        left.remove(&next);
        order.push(next);
        for other in &left {
            waits[*other] -= usize::from(pieces[next].before(&pieces[*other]));
            let [next, piece] = [&pieces[next], &pieces[*other]];
            saves[*other] -= piece.crossings(next) - next.crossings(piece);
        }
    }
    Ok(order)
}

/// Parts the first net that waits and can be parted. One of a circle has pins on both banks, or nothing waited
/// for it.
fn part(pieces: &mut Vec<Piece>, stuck: Vec<usize>, free: &mut Free) {
    let Some(index) =
        stuck.into_iter().find(|i| !pieces[*i].left.is_empty() && !pieces[*i].right.is_empty())
    else {
        return;
    };
    let [top, bottom] = pieces[index].span();
    let height = free.take(i32::midpoint(top, bottom));
    let right = std::mem::take(&mut pieces[index].right);
    let net = pieces[index].net;
    pieces[index].dogleg = Some((Side::Right, height));
    let dogleg = Some((Side::Left, height));
    pieces.insert(index + 1, Piece { net, left: Vec::new(), right, dogleg });
}

/// Heights that no dogleg has yet.
struct Free {
    taken: BTreeSet<i32>,
}

impl Free {
    fn new(nets: &[Net]) -> Self {
        Self { taken: nets.iter().flat_map(|n| n.pins.iter().map(|p| p.1)).collect() }
    }

    /// The free even height nearest to one.
    fn take(&mut self, near: i32) -> i32 {
        let even = near - near.rem_euclid(2);
        let places = (0..).flat_map(|step| [even + 2 * step, even - 2 * step]);
        let height = places.into_iter().find(|y| !self.taken.contains(y)).unwrap_or(even);
        self.taken.insert(height);
        height
    }
}

/// A track for each piece: behind all earlier ones that stand beside it or that must stand before it.
fn tracks(pieces: &[Piece], order: &[usize]) -> Vec<usize> {
    let mut tracks = vec![0; pieces.len()];
    for (place, index) in order.iter().enumerate() {
        let piece = &pieces[*index];
        let earlier = order[..place].iter();
        let behind = earlier
            .filter(|e| pieces[**e].beside(piece) || pieces[**e].before(piece))
            .map(|e| tracks[*e] + 1);
        tracks[*index] = behind.max().unwrap_or(0);
    }
    tracks
}
