//! A line in another size of its own table, read from the tables as the plan would read it.

use super::{Carrier, Line, Tube};
use crate::table::end::End;
use crate::table::hose::Hose;
use crate::table::material::TubeSize;
use crate::table::{Cell, SizeRow, TableFile, Tables};

/// A line in another size.
#[derive(Clone, Debug)]
pub struct Resized {
    /// The line.
    pub line: Line,
    /// Ends at A and B that stay as they are, since their table does not have the size or the builder
    /// describes them.
    pub kept_ends: [bool; 2],
}

impl Carrier {
    /// Where it stands in the tables: the kind of the table and the row; none where the plan describes it.
    pub fn row(&self) -> Option<(&'static str, &SizeRow)> {
        match self {
            Self::Hose(hose) => hose.row.as_ref().map(|r| ("hose", r)),
            Self::Tube(tube) => tube.row.as_ref().map(|r| ("tube", r)),
        }
    }

    /// The same hose or tube in another size; none where its table does not have it.
    fn resized(&self, table: &TableFile, size: &str) -> Option<Self> {
        match self {
            Self::Hose(_) => Hose::from_table(table, size).map(Self::Hose),
            Self::Tube(tube) => {
                let row = TubeSize::from_table(table, size)?;
                Some(Self::Tube(Tube {
                    label: format!("{} {size}", table.name),
                    row: Some(SizeRow { table: table.name.clone(), size: size.to_owned() }),
                    outside: row.outside,
                    wall: row.wall,
                    bend_radius: row.bend_radius,
                    end_bore: row.end_bore,
                    ..tube.clone()
                }))
            }
        }
    }
}

impl Line {
    /// The sizes of the table of its hose or tube, in the order of the table; none where the plan
    /// describes it.
    pub fn sizes(&self, tables: &Tables) -> Vec<String> {
        let table = self.carrier.row().and_then(|(kind, row)| tables.get(kind, &row.table));
        let rows = table.into_iter().flat_map(|t| &t.rows);
        let mut sizes: Vec<String> = Vec::new();
        for size in rows.filter_map(|r| r.cells.get("size")).map(Cell::to_text) {
            if !sizes.contains(&size) {
                sizes.push(size);
            }
        }
        sizes
    }

    /// The line in another size of its table, its ends in that size where their tables have it; none where
    /// the table of the hose or tube does not.
    pub fn resized(&self, tables: &Tables, size: &str) -> Option<Resized> {
        let (kind, row) = self.carrier.row()?;
        let carrier = self.carrier.resized(tables.get(kind, &row.table)?, size)?;
        let mut ends = self.ends.clone();
        let mut kept_ends = [false; 2];
        if size != row.size {
            for (end, kept) in ends.iter_mut().zip(&mut kept_ends) {
                let Some(before) = end.as_ref() else { continue };
                match end_of(before, tables, size) {
                    Some(after) => *end = Some(after),
                    None => *kept = true,
                }
            }
        }
        Some(Resized { line: Self { carrier, ends, ..self.clone() }, kept_ends })
    }
}

fn end_of(end: &End, tables: &Tables, size: &str) -> Option<End> {
    End::from_table(tables.get("end", end.table.as_ref()?)?, size)
}
