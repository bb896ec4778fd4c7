//! Points written as rows of a CSV text: x, y and z, each row with its place.

use core::ops::Range;
use std::sync::Arc;

use super::{Placed, shorten};
use crate::diagnostic::{Diagnostic, Problems, SourceText, hides};

/// The three columns.
const COLUMNS: [&str; 3] = ["x", "y", "z"];
/// Coordinates beyond this are a slip of the keyboard, whatever the unit.
const FARTHEST: f64 = 1e12;

/// A field of a row, without the blanks and quotes around it.
struct Field<'t> {
    text: &'t str,
    span: Range<usize>,
}

impl Field<'_> {
    /// Whether it may be the name of a column: it does not begin as a number does.
    fn is_name(&self) -> bool {
        let begins = |c: char| c.is_ascii_digit() || "+-.".contains(c);
        !self.text.starts_with(begins) && self.text.parse::<f64>().is_err()
    }
}

/// Reads points from rows of three numbers, or of more columns that the first row names.
///
/// Columns are parted by commas, numbers have a decimal point, and lines that are empty or begin with `#`
/// are passed over. A first row of names may stand in any order; of other columns than x, y and z nothing
/// is read.
///
/// # Errors
/// All problems of the text, in its order: columns parted otherwise, rows of another width, what is no
/// finite number, a point that stands twice in a row, fewer than two points or more than `most`.
///
/// ```
/// use hosewright::{diagnostic::SourceText, document::points::read_points};
/// let file = SourceText::new("points.csv", "mark,z,x,y\na,0,330,-2\nb,380,330.5,0\n");
/// let points = read_points(&file, 100).unwrap();
/// assert_eq!(points[1].value, [330.5, 0.0, 380.0]);
/// let file = SourceText::new("points.csv", "1;2;3\n4;5;6\n");
/// assert!(read_points(&file, 100).unwrap_err()[0].message.contains("semicolon"));
/// ```
pub fn read_points(
    file: &Arc<SourceText>,
    most: usize,
) -> Result<Vec<Placed<[f64; 3]>>, Vec<Diagnostic>> {
    let mut rows =
        Rows { problems: Problems::new(Arc::clone(file)), columns: None, points: Vec::new() };
    let mut start = 0;
    for line in file.text.split_inclusive('\n') {
        let bare = line.trim_end_matches('\n').trim_end_matches('\r');
        let span = start..start + bare.len();
        start += line.len();
        let text = bare.trim();
        if text.is_empty() || text.starts_with('#') {
            continue;
        }
        if !rows.row(bare, &span) {
            break;
        }
        if rows.points.len() > most {
            let message = format!("more than {most} points; a line that was taped has some dozens");
            rows.problem(span, message, "one too many", "is this the right file?");
            break;
        }
    }
    rows.finished(file)
}

/// What was read so far.
struct Rows {
    problems: Problems,
    /// The columns of x, y and z and how many there are; none before the first row.
    columns: Option<([usize; 3], usize)>,
    points: Vec<Placed<[f64; 3]>>,
}

impl Rows {
    fn problem(&mut self, span: Range<usize>, message: String, label: &str, help: &str) {
        self.problems.add(span, message, label, vec![help.to_owned()]);
    }

    /// Reads a row; whether it makes sense to go on.
    fn row(&mut self, line: &str, span: &Range<usize>) -> bool {
        let hidden = line.char_indices().find(|(_, c)| hides(*c) && *c != '\t');
        if let Some((at, letter)) = hidden {
            let place = span.start + at..span.start + at + letter.len_utf8();
            let message = "the file holds a control character".to_owned();
            self.problem(place, message, "not printable", "save it as plain CSV text");
            return false;
        }
        let Some(fields) = fields(line, span.start) else {
            let message = "a quote is not closed in this row".to_owned();
            self.problem(span.clone(), message, "a quote is missing", "numbers need no quotes");
            return true;
        };
        if let Some(field) = fields.iter().find(|f| f.text.contains([';', '\t'])) {
            let (at, name) = match field.text.find(';') {
                Some(at) => (at, "semicolons"),
                None => (field.text.find('\t').unwrap_or(0), "tabs"),
            };
            let place = field.span.start + at..field.span.start + at + 1;
            let help =
                "save it with a comma between the columns and a point in the numbers: 512.5,0,45";
            let message = format!("the columns are parted by {name}, not by commas");
            self.problem(place, message, "no comma", help);
            return false;
        }
        match self.columns {
            None if fields.iter().all(Field::is_name) => self.header(&fields, span),
            None => {
                self.columns = Some(([0, 1, 2], 3));
                self.point(&fields, span, [0, 1, 2], 3);
                true
            }
            Some((columns, count)) => {
                self.point(&fields, span, columns, count);
                true
            }
        }
    }

    fn header(&mut self, fields: &[Field<'_>], span: &Range<usize>) -> bool {
        let mut columns = [0; 3];
        for (column, name) in columns.iter_mut().zip(COLUMNS) {
            let mut named =
                fields.iter().enumerate().filter(|(_, f)| f.text.eq_ignore_ascii_case(name));
            let Some((index, _)) = named.next() else {
                self.problem(
                    span.clone(),
                    format!("the first row names no column {name}"),
                    "no such column",
                    "name three columns x, y and z, or leave the names out",
                );
                return false;
            };
            if let Some((_, again)) = named.next() {
                let message = format!("column {name} stands twice in the first row");
                self.problem(again.span.clone(), message, "again", "rename one of the two");
                return false;
            }
            *column = index;
        }
        self.columns = Some((columns, fields.len()));
        true
    }

    fn point(
        &mut self,
        fields: &[Field<'_>],
        span: &Range<usize>,
        columns: [usize; 3],
        count: usize,
    ) {
        if fields.len() != count {
            let found = fields.len();
            let noun = if found == 1 { "column" } else { "columns" };
            let help = if found > count {
                "a decimal comma parts a number in two: write 512.5; more columns need names in the first row"
            } else {
                "a row is x,y,z such as 512.5,0,45"
            };
            let message = format!("the row has {found} {noun}, but needs {count}");
            return self.problem(span.clone(), message, "another width", help);
        }
        let mut at = [0.0; 3];
        for (coordinate, (column, name)) in at.iter_mut().zip(columns.into_iter().zip(COLUMNS)) {
            let Some(field) = fields.get(column) else { return };
            match number(field.text) {
                Ok(number) => *coordinate = number,
                Err((why, help)) => {
                    let message = format!("{name} is {why}");
                    return self.problem(field.span.clone(), message, "no coordinate", help);
                }
            }
        }
        if self.points.last().is_some_and(|before| same(before.value, at)) {
            let message = "the same point as in the row before".to_owned();
            self.problem(span.clone(), message, "again", "take one of the two out");
        }
        self.points.push(Placed { value: at, span: span.clone() });
    }

    fn finished(mut self, file: &SourceText) -> Result<Vec<Placed<[f64; 3]>>, Vec<Diagnostic>> {
        if self.problems.is_empty() && self.points.len() < 2 {
            let end = file.text.trim_end().len();
            let span = self.points.first().map_or(end..end, |p| p.span.clone());
            let message = match self.points.len() {
                0 => "the file holds no point",
                _ => "the file holds one point, and a line needs two or more",
            };
            self.problem(span, message.into(), "", "write one point a row: 512.5,0,45");
        }
        if self.problems.is_empty() { Ok(self.points) } else { Err(self.problems.into_sorted()) }
    }
}

/// Whether two points are one.
fn same(a: [f64; 3], b: [f64; 3]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() <= 0.0)
}

/// A bare number, or why it is none and what would be right.
fn number(text: &str) -> Result<f64, (String, &'static str)> {
    let shown = || format!("\"{}\"", shorten(text));
    if text.is_empty() {
        return Err(("empty".into(), "write a number in each of the three columns"));
    }
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() && number.abs() < FARTHEST => Ok(number),
        Ok(number) if number.is_finite() => {
            Err((format!("{}, which is too large", shown()), "coordinates are below 1e12"))
        }
        Ok(_) => Err((
            format!("{}, which is no finite number", shown()),
            "measure it, or take the row out",
        )),
        Err(_) if text.contains(',') && text.replace(',', ".").parse::<f64>().is_ok() => Err((
            format!("{}, with a decimal comma", shown()),
            "write a decimal point, such as 512.5",
        )),
        Err(_) => Err((
            format!("{}, which is no number", shown()),
            "a bare number; its unit is told by --unit",
        )),
    }
}

/// The fields of a row; none where a quote is not closed.
fn fields(line: &str, start: usize) -> Option<Vec<Field<'_>>> {
    let mut ends = Vec::new();
    let mut quoted = false;
    for (at, letter) in line.char_indices() {
        match letter {
            '"' => quoted = !quoted,
            ',' if !quoted => ends.push(at),
            _ => {}
        }
    }
    if quoted {
        return None;
    }
    ends.push(line.len());
    let mut from = 0;
    let field = |end: usize| {
        let raw = line.get(from..end).unwrap_or_default();
        let before = from;
        from = end + 1;
        let text = raw.trim();
        let blanks = |text: &str| text.len() - text.trim_start().len();
        let at = before + blanks(raw);
        let bare = text.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
        let (text, at) = bare.map_or((text, at), |bare| (bare.trim(), at + 1 + blanks(bare)));
        Field { text, span: start + at..start + at + text.len() }
    };
    Some(ends.into_iter().map(field).collect())
}
