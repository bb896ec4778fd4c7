//! The hoses of a machine, piece by piece, out of its record.

use crate::diagnostic::visible;
use crate::plan::{Carrier, Plan};
use crate::record::{Date, Entry, Kind};
use crate::units::{Quantity, Time, read_uncertain};

/// One piece of hose.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Piece {
    /// The line it is, or was.
    pub line: String,
    /// What it was cut from, as the plan says today; none where the plan has no such line.
    pub hose: Option<String>,
    /// Its liner, where a table names it.
    pub liner: Option<String>,
    /// Delivery that it is of.
    pub batch: Option<String>,
    /// Cure of its rubber.
    pub cure: Option<Date>,
    /// When it was made up.
    pub made: Option<Date>,
    /// When it was tested last.
    pub tested: Option<Date>,
    /// When it was fitted.
    pub fitted: Option<Date>,
    /// When somebody looked at it last.
    pub inspected: Option<Date>,
    /// What the hour meter showed when it was fitted, h.
    pub hours: Option<f64>,
    /// When another took its place.
    pub gone: Option<Date>,
}

impl Piece {
    /// Whether anything is known of when it was made, fitted or looked at.
    pub fn is_dated(&self) -> bool {
        let days = [self.cure, self.made, self.tested, self.fitted, self.inspected];
        days.iter().any(Option::is_some)
    }
}

/// All pieces in the order in which they came, and what could not be used.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pieces {
    /// The pieces.
    pub pieces: Vec<Piece>,
    /// What could not be used, by entry, and why.
    pub not_used: Vec<(u64, String)>,
}

impl Pieces {
    /// Follows the hoses through the entries; hoses of the plan of which nothing is written come last.
    pub fn of(plan: &Plan, entries: &[Entry]) -> Self {
        let mut all = Self::default();
        let rigid = |id: &str| {
            plan.lines.iter().any(|l| l.id == id && matches!(l.carrier, Carrier::Tube(_)))
        };
        for entry in entries {
            if let Some(line) = entry.whole_line().filter(|id| !rigid(id)) {
                all.follow(entry, line);
            }
        }
        for line in &plan.lines {
            let Carrier::Hose(hose) = &line.carrier else { continue };
            if !all.pieces.iter().any(|p| p.line == line.id && p.gone.is_none()) {
                all.pieces.push(Piece { line: line.id.clone(), ..Piece::default() });
            }
            for piece in all.pieces.iter_mut().filter(|p| p.line == line.id) {
                piece.hose = Some(hose.label.clone());
                piece.liner = hose.liner.as_ref().map(|l| l.value.clone());
            }
        }
        all
    }

    fn follow(&mut self, entry: &Entry, line: &str) {
        let day = entry.time.date();
        let current = self.pieces.iter().rposition(|p| p.line == line && p.gone.is_none());
        let begins = match (entry.what, current) {
            (Kind::Made | Kind::Replaced, Some(at)) => {
                self.pieces[at].gone = Some(day);
                true
            }
            (_, None) => true,
            _ => false,
        };
        if begins {
            self.pieces.push(Piece { line: line.to_owned(), ..Piece::default() });
        }
        let [cure, made, fitted] = ["cure", "made", "fitted"].map(|name| self.date(entry, name));
        let hours = hours(entry, &mut self.not_used);
        let at = current.filter(|_| !begins).unwrap_or(self.pieces.len() - 1);
        let piece = &mut self.pieces[at];
        piece.cure = cure.or(piece.cure);
        piece.batch = entry.values.get("batch").cloned().or(piece.batch.take());
        let on_the_day = |is: bool| is.then_some(day);
        piece.made = made.or(piece.made).or(on_the_day(entry.what == Kind::Made));
        let fits = matches!(entry.what, Kind::Fitted | Kind::Replaced);
        piece.fitted = fitted.or(piece.fitted).or(on_the_day(fits));
        piece.hours = hours.filter(|_| fits).or(piece.hours);
        piece.tested = on_the_day(entry.what == Kind::Tested).or(piece.tested);
        piece.inspected = on_the_day(entry.what == Kind::Inspected).or(piece.inspected);
    }

    fn date(&mut self, entry: &Entry, name: &str) -> Option<Date> {
        let text = entry.values.get(name)?;
        text.parse()
            .map_err(|e| {
                self.not_used.push((entry.number, format!("{name} \"{}\": {e}", visible(text))));
            })
            .ok()
    }
}

/// What the hour meter showed, h.
pub fn hours(entry: &Entry, not_used: &mut Vec<(u64, String)>) -> Option<f64> {
    let text = entry.values.get("hours")?;
    let read = read_uncertain::<Time>(text).map(|(time, _)| time.si() / 3600.0);
    read.map_err(|e| {
        let why = format!("hours \"{}\": {}", visible(text), visible(&e.message));
        not_used.push((entry.number, why));
    })
    .ok()
}
