//! Boxes and passing wires in their columns, and the pieces of wire between columns.

use super::Graph;
use super::channel::{Net, Side};

/// What stands in a column: a box, or the row of a wire that passes.
#[derive(Clone, Copy, Debug)]
pub struct Item {
    /// The box; none for a wire that passes.
    pub block: Option<usize>,
    /// Its height.
    pub rows: i32,
    /// Items of a lower group stand above it.
    pub group: usize,
}

/// Where a piece of wire meets an item.
#[derive(Clone, Copy, Debug)]
pub struct Foot {
    /// The item.
    pub item: usize,
    /// Its column.
    pub column: usize,
    /// The bank of the channel that it stands on.
    pub side: Side,
    /// Its row in the item.
    pub row: i32,
}

impl Foot {
    /// Its height, half rows.
    pub fn y(&self, tops: &[i32]) -> i32 {
        2 * (tops[self.item] + self.row) + 1
    }
}

/// The piece of a wire that runs in one channel.
#[derive(Clone, Copy, Debug)]
pub struct Hop {
    /// Its wire.
    pub wire: usize,
    /// Which of the wire's pieces it is.
    pub number: usize,
    /// Its channel; channel 0 is before column 0.
    pub channel: usize,
    /// Where it comes from and leads to.
    pub feet: [Foot; 2],
}

/// Columns of items, and the hops between them.
#[derive(Debug)]
pub struct Web {
    /// The items.
    pub items: Vec<Item>,
    /// The items of each column from above, by index.
    pub columns: Vec<Vec<usize>>,
    /// The hops, those of a wire one after the other.
    pub hops: Vec<Hop>,
    /// Hops in each channel, by index.
    channels: Vec<Vec<usize>>,
}

impl Web {
    /// Boxes put into columns by their layers, and wires led through them.
    pub fn new(graph: &Graph, layers: &[usize], columns: usize) -> Self {
        let columns = layers.iter().max().map_or(1, |l| l + 1).min(columns);
        let items = graph.blocks.iter().zip(layers).enumerate().map(|(block, (b, layer))| Item {
            block: Some(block),
            rows: b.rows,
            group: 2 * (layer / columns),
        });
        let mut web = Self {
            items: items.collect(),
            columns: vec![Vec::new(); columns],
            hops: Vec::new(),
            channels: vec![Vec::new(); columns + 1],
        };
        let mut order: Vec<usize> = (0..layers.len()).collect();
        order.sort_by_key(|b| layers[*b]);
        for block in order {
            web.columns[layers[block] % columns].push(block);
        }
        for wire in 0..graph.wires.len() {
            web.lead(graph, layers, wire);
        }
        for column in &mut web.columns {
            column.sort_by_key(|i| web.items[*i].group);
        }
        web
    }

    /// Leads a wire from channel to channel, with an item of its own in each column between.
    fn lead(&mut self, graph: &Graph, layers: &[usize], wire: usize) {
        let count = self.columns.len();
        let feet = graph.wires[wire].ends.map(|end| {
            let pin = graph.blocks[end.block].pins[end.pin];
            let side = if pin.side == Side::Left { Side::Right } else { Side::Left };
            Foot { item: end.block, column: layers[end.block] % count, side, row: pin.row }
        });
        let [start, goal] =
            feet.map(|f| if f.side == Side::Left { f.column + 1 } else { f.column });
        let strips = graph.wires[wire].ends.map(|end| layers[end.block] / count);
        let between = usize::from(strips[0] != strips[1]);
        let group = 2 * strips[0].min(strips[1]) + between;
        let mut from = feet[0];
        let mut channel = start;
        let mut number = 0;
        while channel != goal {
            let forward = channel < goal;
            let column = if forward { channel } else { channel - 1 };
            let item = self.items.len();
            self.items.push(Item { block: None, rows: 1, group });
            self.columns[column].push(item);
            let [near, far] =
                if forward { [Side::Right, Side::Left] } else { [Side::Left, Side::Right] };
            let foot = |side| Foot { item, column, side, row: 0 };
            self.hop(Hop { wire, number, channel, feet: [from, foot(near)] });
            from = foot(far);
            channel = if forward { channel + 1 } else { channel - 1 };
            number += 1;
        }
        self.hop(Hop { wire, number, channel, feet: [from, feet[1]] });
    }

    fn hop(&mut self, hop: Hop) {
        self.channels[hop.channel].push(self.hops.len());
        self.hops.push(hop);
    }

    /// The hops of a channel.
    pub fn hops_in(&self, channel: usize) -> impl Iterator<Item = &Hop> {
        self.channels[channel].iter().map(|h| &self.hops[*h])
    }

    /// Which hop of its channel the piece of a wire is.
    pub fn in_channel(&self, channel: usize, wire: usize, number: usize) -> Option<usize> {
        self.hops_in(channel).position(|h| h.wire == wire && h.number == number)
    }

    /// The nets of a channel where the items stand at these rows.
    pub fn nets(&self, channel: usize, tops: &[i32]) -> Vec<Net> {
        let net = |h: &Hop| Net { pins: h.feet.map(|f| (f.side, f.y(tops))).to_vec() };
        self.hops_in(channel).map(net).collect()
    }
}
