//! Tables in a terminal: as wide as they may be, never losing a cell.

use core::fmt::Write;

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::peaker::Peaker;
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Alignment, Padding, Style, Width};

/// Below this width a table is written as blocks, one a row.
const NARROWEST: usize = 60;

/// Rows under a head; `right` names the columns of numbers.
#[derive(Clone, Debug, Default)]
pub struct Grid {
    /// Heads of the columns.
    pub head: Vec<&'static str>,
    /// Rows of cells.
    pub rows: Vec<Vec<String>>,
    /// Columns that hold numbers.
    pub right: Vec<usize>,
}

impl Grid {
    /// An empty grid.
    pub fn new(head: &[&'static str], right: &[usize]) -> Self {
        Self { head: head.to_vec(), rows: Vec::new(), right: right.to_vec() }
    }

    /// The grid as text that is at most `width` wide.
    pub fn to_text(&self, width: usize) -> String {
        self.to_text_with(&self.head, width)
    }

    /// The grid under another head, without the columns that say nothing.
    pub fn to_text_with<H: AsRef<str>>(&self, head: &[H], width: usize) -> String {
        if self.rows.is_empty() {
            return String::new();
        }
        let says = |column: &usize| {
            self.rows
                .iter()
                .any(|r| r.get(*column).is_some_and(|c| !matches!(c.as_str(), "" | "-")))
        };
        let kept: Vec<usize> = (0..head.len()).filter(says).collect();
        let grid = self.only(&kept);
        let head: Vec<&str> = kept.iter().map(|c| head[*c].as_ref()).collect();
        // Every column needs room for a few letters.
        let narrowest = NARROWEST.max(7 * head.len());
        if width < narrowest { grid.blocks(&head, width) } else { grid.parts(&head, width) }
    }

    /// Some of the columns, without their heads.
    fn only(&self, kept: &[usize]) -> Self {
        let pick = |row: &Vec<String>| {
            kept.iter().map(|c| row.get(*c).cloned().unwrap_or_default()).collect()
        };
        Self {
            head: Vec::new(),
            rows: self.rows.iter().map(pick).collect(),
            right: (0..kept.len()).filter(|i| self.right.contains(&kept[*i])).collect(),
        }
    }

    /// One table, or where its words would break several below each other, each with the first column.
    fn parts(&self, head: &[&str], width: usize) -> String {
        let longest = self.words(head).longest;
        let mut parts: Vec<Vec<usize>> = Vec::new();
        let mut taken = usize::MAX;
        for column in 1..head.len() {
            let needed = 1 + longest[column];
            match parts.last_mut() {
                Some(part) if taken.saturating_add(needed) <= width => part.push(column),
                _ => {
                    parts.push(vec![0, column]);
                    taken = longest[0];
                }
            }
            taken += needed;
        }
        if parts.len() < 2 {
            return self.table(head, width);
        }
        let written = parts.iter().map(|part| {
            let head: Vec<&str> = part.iter().map(|c| head[*c]).collect();
            self.only(part).table(&head, width)
        });
        written.collect::<Vec<_>>().join("\n")
    }

    fn table<H: AsRef<str>>(&self, head: &[H], width: usize) -> String {
        let mut builder = Builder::default();
        builder.push_record(head.iter().map(AsRef::as_ref));
        for row in &self.rows {
            builder.push_record(row.iter().map(String::as_str));
        }
        let mut table = builder.build();
        // One rule under the head; a garage printer and a narrow screen have no room for boxes.
        let rule = HorizontalLine::new('-').intersection(' ');
        table.with(Style::empty().vertical(' ').horizontals([(1, rule)]));
        table.with(Padding::zero());
        for column in &self.right {
            table.modify(Columns::one(*column), Alignment::right());
        }
        table.with(Width::wrap(width).keep_words(true).priority(self.words(head)));
        let text = table.to_string();
        text.lines().fold(String::with_capacity(text.len()), |mut out, line| {
            let _ = writeln!(out, "{}", line.trim_end());
            out
        })
    }

    /// What each column needs so that no word in it is broken.
    fn words<H: AsRef<str>>(&self, head: &[H]) -> Words {
        let longest = |cell: &str| cell.split_whitespace().map(|w| w.chars().count()).max();
        let column = |(index, head): (usize, &H)| {
            let cells = self.rows.iter().filter_map(|row| row.get(index).and_then(|c| longest(c)));
            cells.chain(longest(head.as_ref())).max().unwrap_or(0)
        };
        Words { longest: head.iter().enumerate().map(column).collect() }
    }

    fn blocks<H: AsRef<str>>(&self, head: &[H], width: usize) -> String {
        let mut out = String::new();
        for row in &self.rows {
            for (head, cell) in head.iter().zip(row).filter(|(_, c)| !c.is_empty()) {
                out.push_str(&filled(&format!("{}: {cell}", head.as_ref()), width, 0, 2));
            }
            out.push('\n');
        }
        out
    }
}

/// Takes room from the widest column that can spare it without breaking a word; from the widest of all when none can.
#[derive(Clone, Debug)]
struct Words {
    longest: Vec<usize>,
}

impl Peaker for Words {
    fn peak(&mut self, least: &[usize], widths: &[usize]) -> Option<usize> {
        let open = |c: &usize| widths[*c] > least.get(*c).copied().unwrap_or(0);
        let spares = |c: &usize| widths[*c] > self.longest.get(*c).copied().unwrap_or(0);
        (0..widths.len()).filter(open).max_by_key(|c| (spares(c), widths[*c]))
    }
}

/// Words wrapped to a width, each line after an indent.
pub fn wrapped(text: &str, width: usize, indent: usize) -> String {
    filled(text, width, indent, indent)
}

/// Words wrapped to a width, the first line after one indent and the others after another.
fn filled(text: &str, width: usize, first: usize, others: usize) -> String {
    let mut out = String::new();
    let mut line = " ".repeat(first);
    let mut empty = true;
    for word in text.split_whitespace() {
        let needed = line.chars().count() + usize::from(!empty) + word.chars().count();
        if needed > width && !empty {
            out.push_str(&line);
            out.push('\n');
            line = " ".repeat(others);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    if !empty {
        out.push_str(&line);
        out.push('\n');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::Grid;

    #[test]
    fn a_word_is_broken_only_where_nothing_else_gives_room() {
        let mut grid = Grid::new(&["line", "regime of the flow", "what is found"], &[]);
        let found = "several short words that may stand below each other in their column";
        grid.rows.push(["F7", "transitional-regime", found].map(String::from).to_vec());
        let text = grid.to_text(60);
        assert!(text.lines().all(|l| l.chars().count() <= 60), "{text}");
        assert!(text.contains("transitional-regime"), "{text}");
        let mut wide = Grid::new(&["one", "two"], &[]);
        wide.rows.push(["x".repeat(50), "y".repeat(40)].to_vec());
        assert!(wide.to_text(60).lines().all(|l| l.chars().count() <= 60));
    }
}
