//! Drawings as DXF, ASCII, release 12: pairs of a group code and a value, one unit a millimetre.

use core::fmt::Write;

use super::sheet::bars;
use super::{Anchor, Drawing, Piece, Point, Stroke, decimal};

/// Room between the drawing and the scale bars under it, mm.
const UNDER_MM: f64 = 15.0;
/// Height of the bars with their ticks, mm.
const BARS_MM: f64 = 105.0;

/// The whole drawing in one piece, at full size, with its title, its notes and the scale bars under it.
pub fn text(drawing: &Drawing) -> String {
    let whole = with_bars(drawing);
    let [low, high] = whole.bounds().unwrap_or([[0.0; 2]; 2]);
    let mut out = Pairs(String::new());
    out.pair(999, "one unit is one millimetre; scale 1:1");
    header(&mut out, low, high);
    tables(&mut out);
    out.section("ENTITIES");
    whole.pieces.iter().for_each(|p| entity(&mut out, p));
    out.pair(0, "ENDSEC");
    out.pair(0, "EOF");
    out.0
}

/// The drawing with bars, title and notes under it.
fn with_bars(drawing: &Drawing) -> Drawing {
    let mut whole = drawing.clone();
    let [low, _] = drawing.bounds().unwrap_or([[0.0; 2]; 2]);
    let corner = [low[0], low[1] - UNDER_MM - BARS_MM];
    bars(&mut whole, corner);
    let beside = corner[0] + 36.0;
    whole.text([beside, low[1] - UNDER_MM - 5.0], 4.0, drawing.title.as_str(), Anchor::Start);
    let mut y = low[1] - UNDER_MM - 12.0;
    let notes =
        core::iter::once("Scale 1:1, millimetres.").chain(drawing.notes.iter().map(String::as_str));
    for note in notes {
        whole.text([beside, y], 3.0, note, Anchor::Start);
        y -= 4.5;
    }
    whole
}

/// Pairs of a group code and a value, each on a line of its own.
struct Pairs(String);

impl Pairs {
    fn pair(&mut self, code: u16, value: &str) {
        // Writing to a text cannot fail.
        let _ = writeln!(self.0, "{code:>3}\n{value}");
    }

    fn number(&mut self, code: u16, value: f64) {
        let text = decimal(value);
        let real = if text.contains('.') { text } else { text + ".0" };
        self.pair(code, &real);
    }

    /// A point, by the code of its x; y and z follow ten further on each.
    fn point(&mut self, code: u16, [x, y]: Point) {
        self.number(code, x);
        self.number(code + 10, y);
        self.number(code + 20, 0.0);
    }

    fn section(&mut self, name: &str) {
        self.pair(0, "SECTION");
        self.pair(2, name);
    }

    fn table(&mut self, name: &str, count: usize) {
        self.pair(0, "TABLE");
        self.pair(2, name);
        self.pair(70, &count.to_string());
    }

    fn entity(&mut self, kind: &str, layer: &str) {
        self.pair(0, kind);
        self.pair(8, layer);
    }
}

fn header(out: &mut Pairs, low: Point, high: Point) {
    out.section("HEADER");
    out.pair(9, "$ACADVER");
    out.pair(1, "AC1009");
    out.pair(9, "$EXTMIN");
    out.point(10, low);
    out.pair(9, "$EXTMAX");
    out.point(10, high);
    out.pair(0, "ENDSEC");
}

/// Line types and layers that the entities name.
fn tables(out: &mut Pairs) {
    out.section("TABLES");
    let dashed: Vec<Stroke> = Stroke::ALL.into_iter().filter(|s| s.dash_mm().is_some()).collect();
    out.table("LTYPE", dashed.len() + 1);
    line_type(out, "CONTINUOUS", None);
    for stroke in &dashed {
        line_type(out, stroke.layer(), stroke.dash_mm());
    }
    out.pair(0, "ENDTAB");
    out.table("LAYER", Stroke::ALL.len() + 2);
    layer(out, "0", 7, "CONTINUOUS");
    layer(out, "TEXT", 7, "CONTINUOUS");
    for (stroke, colour) in Stroke::ALL.into_iter().zip([7, 5, 1, 3, 8, 2]) {
        let kind = if stroke.dash_mm().is_some() { stroke.layer() } else { "CONTINUOUS" };
        layer(out, stroke.layer(), colour, kind);
    }
    out.pair(0, "ENDTAB");
    out.pair(0, "ENDSEC");
}

fn line_type(out: &mut Pairs, name: &str, dash: Option<[f64; 2]>) {
    out.pair(0, "LTYPE");
    out.pair(2, name);
    out.pair(70, "0");
    out.pair(3, "");
    out.pair(72, "65");
    out.pair(73, if dash.is_some() { "2" } else { "0" });
    out.number(40, dash.map_or(0.0, |[dash, gap]| dash + gap));
    if let Some([dash, gap]) = dash {
        out.number(49, dash);
        out.number(49, -gap);
    }
}

fn layer(out: &mut Pairs, name: &str, colour: u8, line_type: &str) {
    out.pair(0, "LAYER");
    out.pair(2, name);
    out.pair(70, "0");
    out.pair(62, &colour.to_string());
    out.pair(6, line_type);
}

fn entity(out: &mut Pairs, piece: &Piece) {
    match piece {
        Piece::Line { from, to, stroke } => {
            out.entity("LINE", stroke.layer());
            out.point(10, *from);
            out.point(11, *to);
        }
        Piece::Circle { centre, radius, stroke } => {
            out.entity("CIRCLE", stroke.layer());
            out.point(10, *centre);
            out.number(40, *radius);
        }
        Piece::Arc { centre, radius, start, sweep, stroke } => {
            out.entity("ARC", stroke.layer());
            out.point(10, *centre);
            out.number(40, *radius);
            out.number(50, start.to_degrees());
            out.number(51, (start + sweep).to_degrees());
        }
        Piece::Text { at, height, turn, anchor, words } => {
            out.entity("TEXT", "TEXT");
            out.point(10, *at);
            out.number(40, *height);
            out.pair(1, &plain(words));
            out.number(50, turn.to_degrees());
            let place = match anchor {
                Anchor::Start => return,
                Anchor::Middle => "1",
                Anchor::End => "2",
            };
            out.pair(72, place);
            out.point(11, *at);
        }
    }
}

/// A text in ASCII, on one line, without letters that a reader would take for commands.
///
/// ```
/// use hosewright::report::drawing::dxf::plain;
/// assert_eq!(plain("90\u{b0} at 100 %"), "90\\U+00B0 at 100 %");
/// assert_eq!(plain("%%c\n^J"), "%%%%%%c ^ J");
/// ```
pub fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let doubled = text.contains("%%");
    for letter in text.chars() {
        match letter {
            '%' if doubled => out.push_str("%%%"),
            '^' => out.push_str("^ "),
            '\\' => out.push_str("\\U+005C"),
            c if c.is_control() => out.push(' '),
            c if c.is_ascii() => out.push(c),
            c => {
                let mut units = [0; 2];
                for unit in c.encode_utf16(&mut units) {
                    let _ = write!(out, "\\U+{unit:04X}");
                }
            }
        }
    }
    out
}
