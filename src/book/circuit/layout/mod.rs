//! Where boxes and wires of a drawing go: boxes in columns, wires along the grid between them.
//!
//! A kernel: it takes sizes and connections as whole numbers and gives places as whole numbers. Across the drawing
//! it counts steps, down the drawing half rows; a box is as many rows high as it likes, and its pins stand in the
//! middle of rows. What must not happen cannot happen by construction: boxes stand in columns and never overlap;
//! wires run level through rows of their own and upright in the channels between columns only, so that none
//! crosses a box; and in a channel no two wires lie on one another ([`channel`]).
//!
//! - gives: [`lay_out`], places and corners
//! - formula: layers by longest paths after a depth-first search has turned what closes a circle, folded into as
//!   many columns as asked; order by barycentres and swaps that save crossings; rows by weighted medians
//!   (isotonic regression); upright pieces by the left-edge rule with doglegs
//! - valid for: any number of boxes and wires; a pin holds one wire
//! - source: layers, order and places after K. Sugiyama, S. Tagawa, M. Toda, IEEE Trans. Syst. Man Cybern.
//!   SMC-11 (1981) 109-125; left-edge rule and doglegs after D. N. Deutsch, 13th Design Automation Conf. (1976)
//!   425-433; both from memory
//! - notes: the same input gives the same drawing
//!
//! ```
//! use hosewright::book::circuit::layout::{Block, End, Graph, Pin, Side, Wire, lay_out};
//! let pins = |side| vec![Pin { side, row: 1, room: 10 }];
//! let blocks = vec![
//!     Block { width: 30, rows: 3, pins: pins(Side::Right) },
//!     Block { width: 30, rows: 3, pins: pins(Side::Left) },
//! ];
//! let wires = vec![Wire { ends: [End { block: 0, pin: 0 }, End { block: 1, pin: 0 }] }];
//! let graph = Graph { blocks, wires, track: 4 };
//! let layout = lay_out(&graph, 2).unwrap();
//! assert_eq!(layout.wires[0], [[30, 3], [54, 3]]);
//! ```

pub mod channel;
mod layer;
mod order;
mod row;
mod web;

pub use channel::Side;
pub use layer::{depth, layers};

use channel::Way;
use web::Web;

/// A point: steps to the right, half rows down.
pub type Spot = [i32; 2];

/// A box with pins at its sides.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// Steps across.
    pub width: i32,
    /// Rows down.
    pub rows: i32,
    /// Where wires meet it.
    pub pins: Vec<Pin>,
}

/// A place at the side of a box where one wire ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pin {
    /// Its side.
    pub side: Side,
    /// Its row, counted from the top of the box.
    pub row: i32,
    /// Steps that its wire runs straight on outside the box.
    pub room: i32,
}

/// A pin of a box, both by index.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct End {
    /// The box.
    pub block: usize,
    /// Its pin.
    pub pin: usize,
}

/// A wire from one pin to another, in the direction of what flows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wire {
    /// Where it begins and ends.
    pub ends: [End; 2],
}

/// What is to be laid out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Graph {
    /// The boxes. Where wires close a circle, the search for its first box begins with the first of these.
    pub blocks: Vec<Block>,
    /// The wires.
    pub wires: Vec<Wire>,
    /// Steps between two upright pieces of wire.
    pub track: i32,
}

/// Where everything goes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Layout {
    /// Width and height.
    pub size: Spot,
    /// Upper left corners of the boxes.
    pub blocks: Vec<Spot>,
    /// Corners of the wires, from their first end to their second.
    pub wires: Vec<Vec<Spot>>,
}

/// Why nothing can be laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum LayoutError {
    /// A wire ends at a box or a pin that there is not.
    #[error("wire {0} ends at a pin that there is not")]
    NoPin(usize),
    /// Two wires end at one pin.
    #[error("wire {0} ends at a pin that another wire has taken")]
    Taken(usize),
    /// A box has a size or a pin that cannot be.
    #[error("box {0} has no size, or pins outside it or on one another")]
    Box(usize),
    /// Less than one step between upright pieces, or no column.
    #[error("no room between wires, or no column")]
    NoRoom,
}

/// Lays out boxes in at most so many columns: layers beyond the last column go on below the first.
///
/// # Errors
/// See [`LayoutError`].
pub fn lay_out(graph: &Graph, columns: usize) -> Result<Layout, LayoutError> {
    check(graph, columns)?;
    if graph.blocks.is_empty() {
        return Ok(Layout::default());
    }
    let mut web = Web::new(graph, &layers(graph), columns);
    order::settle(&mut web);
    let tops = row::tops(&web);
    Ok(routed(graph, &web, &tops))
}

/// A size that no layout with so many columns stays below, by the layers of the boxes: columns beside each other, and
/// the boxes of a column over each other.
pub fn least_size(graph: &Graph, layers: &[usize], columns: usize) -> Spot {
    let columns = layers.iter().max().map_or(1, |l| l + 1).min(columns.max(1));
    let mut wide = vec![[0; 3]; columns];
    let mut high = vec![0; columns];
    for (block, layer) in graph.blocks.iter().zip(layers) {
        let column = layer % columns;
        let room = |side| {
            let of_side = block.pins.iter().filter(|p| p.side == side).map(|p| p.room);
            of_side.max().unwrap_or(0)
        };
        let takes = [room(Side::Left), block.width, room(Side::Right)];
        for (most, takes) in wide[column].iter_mut().zip(takes) {
            *most = takes.max(*most);
        }
        high[column] += 2 * block.rows;
    }
    let between = i32::try_from(columns - 1).unwrap_or(i32::MAX).saturating_mul(graph.track);
    let across: i32 = wide.iter().flatten().sum();
    [across.saturating_add(between), high.into_iter().max().unwrap_or(0)]
}

fn check(graph: &Graph, columns: usize) -> Result<(), LayoutError> {
    if graph.track < 1 || columns == 0 {
        return Err(LayoutError::NoRoom);
    }
    for (index, block) in graph.blocks.iter().enumerate() {
        let outside = |p: &Pin| p.row < 0 || p.row >= block.rows || p.room < 0;
        let doubled = |i: usize, p: &Pin| {
            block.pins.iter().take(i).any(|o| o.side == p.side && o.row == p.row)
        };
        let bad = block.pins.iter().enumerate().any(|(i, p)| outside(p) || doubled(i, p));
        if bad || block.width < 1 || block.rows < 1 {
            return Err(LayoutError::Box(index));
        }
    }
    let mut taken = std::collections::BTreeSet::new();
    for (index, wire) in graph.wires.iter().enumerate() {
        for end in wire.ends {
            if graph.blocks.get(end.block).is_none_or(|b| end.pin >= b.pins.len()) {
                return Err(LayoutError::NoPin(index));
            }
            if !taken.insert(end) {
                return Err(LayoutError::Taken(index));
            }
        }
    }
    Ok(())
}

/// Steps across: where the channels begin, and where the boxes of a column may stand.
struct Across {
    channels: Vec<i32>,
    columns: Vec<[i32; 2]>,
    width: i32,
}

fn across(graph: &Graph, web: &Web, ways: &[Vec<Way>]) -> Across {
    let mut across = Across { channels: Vec::new(), columns: Vec::new(), width: 0 };
    let mut x = 0;
    for (index, way) in ways.iter().enumerate() {
        across.channels.push(x);
        let tracks = way.iter().flat_map(|w| w.risers.iter().map(|r| r.track + 1)).max();
        let used = i32::try_from(tracks.unwrap_or(0)).unwrap_or(i32::MAX);
        let between = index > 0 && index + 1 < ways.len();
        // Without an upright piece a channel still parts two columns.
        x += if used > 0 || between { (used + 1) * graph.track } else { 0 };
        let Some(items) = web.columns.get(index) else { break };
        let blocks = || items.iter().filter_map(|i| web.items[*i].block).map(|b| &graph.blocks[b]);
        let room =
            |side| blocks().flat_map(|b| &b.pins).filter(|p| p.side == side).map(|p| p.room).max();
        let wide = blocks().map(|b| b.width).max().unwrap_or(0);
        let left = x + room(Side::Left).unwrap_or(0);
        across.columns.push([left, wide]);
        x = left + wide + room(Side::Right).unwrap_or(0);
    }
    across.width = x;
    across
}

/// Corners of all wires, and the whole moved into the corner of the drawing.
fn routed(graph: &Graph, web: &Web, tops: &[i32]) -> Layout {
    let ways: Vec<Vec<Way>> =
        (0..=web.columns.len()).map(|c| channel::route(&web.nets(c, tops))).collect();
    let across = across(graph, web, &ways);
    let mut layout = Layout { size: [across.width, 0], ..Layout::default() };
    layout.blocks = vec![[0; 2]; graph.blocks.len()];
    for (column, items) in web.columns.iter().enumerate() {
        let [left, wide] = across.columns[column];
        for item in items {
            if let Some(block) = web.items[*item].block {
                layout.blocks[block] =
                    [left + (wide - graph.blocks[block].width) / 2, 2 * tops[*item]];
            }
        }
    }
    for wire in 0..graph.wires.len() {
        let corners = corners(graph, web, tops, wire, &across, &ways, &layout.blocks);
        layout.wires.push(corners);
    }
    into_corner(graph, &mut layout);
    layout
}

fn corners(
    graph: &Graph,
    web: &Web,
    tops: &[i32],
    wire: usize,
    across: &Across,
    ways: &[Vec<Way>],
    places: &[Spot],
) -> Vec<Spot> {
    let [start, goal] = graph.wires[wire].ends.map(|end| {
        let (block, at) = (&graph.blocks[end.block], places[end.block]);
        let pin = block.pins[end.pin];
        let x = if pin.side == Side::Left { at[0] } else { at[0] + block.width };
        [x, at[1] + 2 * pin.row + 1]
    });
    let mut points = vec![start];
    for hop in web.hops.iter().filter(|h| h.wire == wire) {
        let place = web.in_channel(hop.channel, wire, hop.number);
        let Some(way) = place.and_then(|p| ways[hop.channel].get(p)) else { continue };
        let x = |track: usize| {
            let tracks = i32::try_from(track + 1).unwrap_or(i32::MAX);
            across.channels[hop.channel] + tracks * graph.track
        };
        let [from, to] = hop.feet.map(|f| f.y(tops));
        let backwards = hop.feet[0].side == Side::Right;
        match (way.risers.as_slice(), way.dogleg) {
            ([one], _) => points.extend([[x(one.track), from], [x(one.track), to]]),
            ([a, b], Some(y)) => {
                let [a, b] = if backwards { [b, a] } else { [a, b] };
                points.extend([[x(a.track), from], [x(a.track), y]]);
                points.extend([[x(b.track), y], [x(b.track), to]]);
            }
            _ => {}
        }
    }
    points.push(goal);
    straightened(&points)
}

/// Corners only: no point twice, none in the middle of a straight piece.
fn straightened(points: &[Spot]) -> Vec<Spot> {
    let mut out: Vec<Spot> = Vec::new();
    for point in points {
        if out.last() == Some(point) {
            continue;
        }
        if let [.., a, b] = out.as_slice() {
            let level = a[1] == b[1] && b[1] == point[1];
            let upright = a[0] == b[0] && b[0] == point[0];
            if level || upright {
                out.pop();
            }
        }
        out.push(*point);
    }
    out
}

fn into_corner(graph: &Graph, layout: &mut Layout) {
    let boxes = layout.blocks.iter().zip(&graph.blocks);
    let low = boxes.clone().map(|(at, _)| at[1]).chain(layout.wires.iter().flatten().map(|p| p[1]));
    let top = low.min().unwrap_or(0);
    let high = boxes
        .map(|(at, b)| at[1] + 2 * b.rows)
        .chain(layout.wires.iter().flatten().map(|p| p[1] + 1));
    layout.size[1] = high.max().unwrap_or(0) - top;
    for point in layout.blocks.iter_mut().chain(layout.wires.iter_mut().flatten()) {
        point[1] -= top;
    }
}
