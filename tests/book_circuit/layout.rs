//! The layout of circuits: nothing lies on anything, whatever the graph.

use std::collections::BTreeMap;

use hosewright::book::circuit::layout::channel::{Net, Way, route};
use hosewright::book::circuit::layout::{
    Block, End, Graph, Layout, LayoutError, Pin, Side, Spot, Wire, depth, lay_out,
};
use proptest::prelude::*;

fn boxed(left: i32, right: i32) -> Block {
    let pins = |side, count| (0..count).map(move |n| Pin { side, row: 1 + n, room: 12 });
    let pins = pins(Side::Left, left).chain(pins(Side::Right, right)).collect();
    Block { width: 30, rows: 2 + left.max(right), pins }
}

fn end(block: usize, pin: usize) -> End {
    End { block, pin }
}

/// Boxes in a row, each wired to the next.
fn chain(count: usize) -> Graph {
    let blocks = (0..count).map(|_| boxed(1, 1)).collect();
    let wires = (1..count).map(|b| Wire { ends: [end(b - 1, 1), end(b, 0)] }).collect();
    Graph { blocks, wires, track: 4 }
}

/// Any number of boxes with any wires between free pins: circles, several between two boxes, one box to itself.
fn graphs() -> impl Strategy<Value = Graph> {
    let blocks = prop::collection::vec((0..7_i32, 0..7_i32, 1..40_i32), 1..24);
    let picks =
        prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 0..60);
    (blocks, picks, 1..6_i32).prop_map(|(blocks, picks, track)| {
        let blocks: Vec<Block> = blocks
            .into_iter()
            .map(|(left, right, width)| Block { width, ..boxed(left, right) })
            .collect();
        let ends = |(b, block): (usize, &Block)| {
            (0..block.pins.len()).map(move |p| end(b, p)).collect::<Vec<_>>()
        };
        let mut free: Vec<End> = blocks.iter().enumerate().flat_map(ends).collect();
        let mut wires = Vec::new();
        for (a, b) in picks {
            if free.len() < 2 {
                break;
            }
            let first = free.remove(a.index(free.len()));
            let second = free.remove(b.index(free.len()));
            wires.push(Wire { ends: [first, second] });
        }
        Graph { blocks, wires, track }
    })
}

/// Pieces of a wire, their lower ends first.
fn pieces(corners: &[Spot]) -> Vec<[Spot; 2]> {
    corners.windows(2).map(|w| [w[0].min(w[1]), w[0].max(w[1])]).collect()
}

/// Everything a drawing must keep.
fn assert_sound(graph: &Graph, layout: &Layout) {
    let place = |b: usize| {
        let ([x, y], block) = (layout.blocks[b], &graph.blocks[b]);
        [x, y, x + block.width, y + 2 * block.rows]
    };
    for a in 0..graph.blocks.len() {
        let [left, top, right, bottom] = place(a);
        assert!(left >= 0 && top >= 0 && right <= layout.size[0] && bottom <= layout.size[1]);
        for b in 0..a {
            let [l, t, r, u] = place(b);
            assert!(
                right <= l || r <= left || bottom <= t || u <= top,
                "boxes {a} and {b} overlap"
            );
        }
    }
    for (index, (wire, corners)) in graph.wires.iter().zip(&layout.wires).enumerate() {
        for (end, corner) in wire.ends.iter().zip([corners[0], corners[corners.len() - 1]]) {
            let pin = graph.blocks[end.block].pins[end.pin];
            let [left, top, right, _] = place(end.block);
            let x = if pin.side == Side::Left { left } else { right };
            assert_eq!(corner, [x, top + 2 * pin.row + 1], "wire {index} does not end at its pin");
        }
        for [[x1, y1], [x2, y2]] in pieces(corners) {
            assert!(
                (x1 == x2) != (y1 == y2),
                "wire {index} is slanted or has a piece of no length"
            );
            for b in 0..graph.blocks.len() {
                let [l, t, r, u] = place(b);
                let inside = x1 < r && x2 > l && y1 < u && y2 > t;
                assert!(!inside, "wire {index} runs through box {b}");
            }
        }
        assert_straight_room(graph, wire, corners);
    }
    assert_apart(layout);
}

fn assert_straight_room(graph: &Graph, wire: &Wire, corners: &[Spot]) {
    let mut turned = corners.to_vec();
    turned.reverse();
    for (end, corners) in wire.ends.iter().zip([corners, &turned]) {
        let pin = graph.blocks[end.block].pins[end.pin];
        let run = corners[1][0] - corners[0][0];
        assert_eq!(run > 0, pin.side == Side::Right, "a wire leaves its box to the wrong side");
        assert!(run.abs() >= pin.room, "a wire turns too early");
    }
}

/// No two wires share more than a point where they cross, and none touches a corner of another.
fn assert_apart(layout: &Layout) {
    let mut level: BTreeMap<i32, Vec<(i32, i32, usize)>> = BTreeMap::new();
    let mut upright: BTreeMap<i32, Vec<(i32, i32, usize)>> = BTreeMap::new();
    for (index, corners) in layout.wires.iter().enumerate() {
        for [[x1, y1], [x2, y2]] in pieces(corners) {
            if y1 == y2 {
                level.entry(y1).or_default().push((x1, x2, index));
            } else {
                upright.entry(x1).or_default().push((y1, y2, index));
            }
        }
    }
    for pieces in level.values_mut().chain(upright.values_mut()) {
        pieces.sort_unstable();
        for pair in pieces.windows(2) {
            assert!(
                pair[0].1 < pair[1].0,
                "wires {} and {} lie on one another",
                pair[0].2,
                pair[1].2
            );
        }
    }
    for (index, corners) in layout.wires.iter().enumerate() {
        for corner in corners {
            let hit = |(low, high, other): &(i32, i32, usize), at: i32| {
                *other != index && *low <= at && at <= *high
            };
            let on_level =
                level.get(&corner[1]).is_some_and(|p| p.iter().any(|p| hit(p, corner[0])));
            let on_upright =
                upright.get(&corner[0]).is_some_and(|p| p.iter().any(|p| hit(p, corner[1])));
            assert!(!on_level && !on_upright, "a corner of wire {index} touches another wire");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn nothing_lies_on_anything(graph in graphs(), columns in 1..9_usize) {
        let layout = lay_out(&graph, columns).unwrap();
        assert_sound(&graph, &layout);
        prop_assert_eq!(lay_out(&graph, columns).unwrap(), layout);
    }

    #[test]
    fn a_channel_joins_what_it_should(nets in nets()) {
        let ways = route(&nets);
        assert_channel(&nets, &ways);
    }
}

/// Nets whose pins share no place.
fn nets() -> impl Strategy<Value = Vec<Net>> {
    let pins: Vec<(Side, i32)> =
        (0..9).flat_map(|row| [(Side::Left, 2 * row + 1), (Side::Right, 2 * row + 1)]).collect();
    (Just(pins).prop_shuffle(), prop::collection::vec(2..5_usize, 1..9)).prop_map(
        |(mut pins, sizes)| {
            let take = |size: usize| {
                let rest = pins.len().saturating_sub(size);
                Net { pins: pins.split_off(rest) }
            };
            sizes.into_iter().map(take).filter(|n| n.pins.len() > 1).collect()
        },
    )
}

/// Level pieces of a net, by height and how far they reach: tracks count from 1, the banks are 0 and beyond all.
fn level_pieces(net: &Net, way: &Way, beyond: usize) -> Vec<(i32, usize, usize)> {
    let track = |side: Side| match (way.risers.as_slice(), side) {
        ([], Side::Left) => beyond,
        ([], Side::Right) => 0,
        ([_, one, ..], Side::Right) | ([one, ..], _) => one.track + 1,
    };
    let piece = |(side, y): &(Side, i32)| match side {
        Side::Left => (*y, 0, track(Side::Left)),
        Side::Right => (*y, track(Side::Right), beyond),
    };
    let dogleg = way.dogleg.map(|y| (y, track(Side::Left), track(Side::Right)));
    net.pins.iter().map(piece).chain(dogleg).collect()
}

fn assert_channel(nets: &[Net], ways: &[Way]) {
    let beyond = ways.iter().flat_map(|w| &w.risers).map(|r| r.track + 2).max().unwrap_or(1);
    for (index, (net, way)) in nets.iter().zip(ways).enumerate() {
        let heights: Vec<i32> = net.pins.iter().map(|p| p.1).collect();
        assert_eq!(way.risers.is_empty(), heights.iter().all(|h| *h == heights[0]));
        assert_eq!(way.dogleg.is_some(), way.risers.len() == 2);
        for (other, second) in nets.iter().zip(ways).take(index) {
            for (y, from, to) in level_pieces(net, way, beyond) {
                for (v, start, end) in level_pieces(other, second, beyond) {
                    assert!(y != v || to < start || end < from, "level pieces lie on one another");
                }
            }
            for a in &way.risers {
                for b in &second.risers {
                    let beside = a.top <= b.bottom && b.top <= a.bottom;
                    assert!(a.track != b.track || !beside, "upright pieces lie on one another");
                }
            }
        }
    }
}

#[test]
fn a_chain_runs_straight() {
    let layout = lay_out(&chain(5), 5).unwrap();
    assert!(layout.wires.iter().all(|w| w.len() == 2), "{:?}", layout.wires);
}

#[test]
fn a_long_chain_is_folded() {
    let graph = chain(12);
    assert_eq!(depth(&graph), 12);
    let long = lay_out(&graph, 12).unwrap();
    let folded = lay_out(&graph, 4).unwrap();
    assert_sound(&graph, &folded);
    assert!(folded.size[0] < long.size[0] / 2 && folded.size[1] > 2 * long.size[1]);
    assert!(folded.blocks[4][1] > folded.blocks[0][1]);
}

#[test]
fn a_circle_is_closed_by_one_wire_round_the_outside() {
    let mut graph = chain(4);
    graph.wires.push(Wire { ends: [end(3, 1), end(0, 0)] });
    let layout = lay_out(&graph, 4).unwrap();
    assert_sound(&graph, &layout);
    assert_eq!(layout.wires.iter().filter(|w| w.len() > 2).count(), 1);
}

#[test]
fn wires_that_change_places_are_parted() {
    let net = |left, right| Net { pins: vec![(Side::Left, left), (Side::Right, right)] };
    let nets = [net(1, 3), net(3, 5), net(5, 1)];
    let ways = route(&nets);
    assert_channel(&nets, &ways);
    assert_eq!(ways.iter().filter(|w| w.dogleg.is_some()).count(), 1);
}

#[test]
fn two_hundred_boxes_are_laid_out() {
    let mut graph = chain(200);
    for block in &mut graph.blocks {
        *block = boxed(6, 6);
    }
    let ends = |a: usize, b: usize, n: usize| Wire { ends: [end(a, 6 + n), end(b, n)] };
    graph.wires =
        (0..200).flat_map(|b| (1..4).map(move |n| ends(b, (b * 7 + n * 31) % 200, n))).collect();
    let mut taken = std::collections::BTreeSet::new();
    graph.wires.retain(|w| {
        w.ends.iter().all(|e| !taken.contains(e)) && {
            taken.extend(w.ends);
            true
        }
    });
    let layout = lay_out(&graph, 14).unwrap();
    assert_sound(&graph, &layout);
}

#[test]
fn what_cannot_be_laid_out_is_refused() {
    let mut graph = chain(2);
    graph.wires.push(Wire { ends: [end(0, 1), end(1, 0)] });
    assert_eq!(lay_out(&graph, 2), Err(LayoutError::Taken(1)));
    graph.wires[1].ends[0] = end(7, 0);
    assert_eq!(lay_out(&graph, 2), Err(LayoutError::NoPin(1)));
    let mut graph = chain(2);
    graph.blocks[1].pins[0].row = 3;
    assert_eq!(lay_out(&graph, 2), Err(LayoutError::Box(1)));
    assert_eq!(lay_out(&chain(2), 0), Err(LayoutError::NoRoom));
    assert_eq!(lay_out(&Graph { track: 1, ..Graph::default() }, 1), Ok(Layout::default()));
}
