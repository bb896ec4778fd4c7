//! Drawings as SVG (W3C SVG 1.1): a page in real millimetres, or a picture without a page.

use core::fmt::Write;

use super::sheet::{MARGIN_MM, Page};
use super::{Anchor, Drawing, Piece, Point, Stroke, decimal};

/// White round a picture without a page, mm.
const ROUND_MM: f64 = 3.0;

/// A page at full size: its own pieces, and the part of the drawing that it shows.
pub fn page(drawing: &Drawing, page: &Page) -> String {
    let mut out = head(&drawing.title, page.size);
    let [width, height] = page.size.map(decimal);
    let room = decimal(page.size[0] - 2.0 * MARGIN_MM);
    let _ = writeln!(
        out,
        "<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\" stroke=\"none\"/>"
    );
    // A picture within the picture shows nothing beyond its edges, and needs no name that a second page would share.
    let left = decimal(MARGIN_MM);
    let _ = writeln!(
        out,
        "<svg x=\"{left}\" y=\"0\" width=\"{room}\" height=\"{height}\" viewBox=\"{left} 0 {room} {height}\">"
    );
    let paper = Paper { shift: page.shift, height: page.size[1] };
    drawing.pieces.iter().for_each(|p| piece(&mut out, p, &paper));
    out.push_str("</svg>\n");
    let paper = Paper { shift: [0.0, 0.0], height: page.size[1] };
    page.frame.iter().for_each(|p| piece(&mut out, p, &paper));
    out.push_str("</svg>\n");
    out
}

/// The drawing alone, as large as it is, without page, bars and notes: for a picture in a text. An empty
/// drawing gives an empty picture.
pub fn picture(drawing: &Drawing) -> String {
    let [low, high] = drawing.bounds().unwrap_or([[0.0; 2]; 2]);
    let size = [high[0] - low[0] + 2.0 * ROUND_MM, high[1] - low[1] + 2.0 * ROUND_MM];
    let mut out = head(&drawing.title, size);
    let paper = Paper { shift: [ROUND_MM - low[0], ROUND_MM - low[1]], height: size[1] };
    drawing.pieces.iter().for_each(|p| piece(&mut out, p, &paper));
    out.push_str("</svg>\n");
    out
}

fn head(title: &str, size: Point) -> String {
    let [width, height] = size.map(decimal);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" fill=\"none\" stroke=\"#000\" font-family=\"sans-serif\">\n\
         <title>{}</title>\n",
        escaped(title)
    )
}

/// Where the pieces lie; on paper y counts downwards.
struct Paper {
    shift: Point,
    height: f64,
}

impl Paper {
    fn place(&self, point: Point) -> [String; 2] {
        let [x, y] = [point[0] + self.shift[0], self.height - point[1] - self.shift[1]];
        [decimal(x), decimal(y)]
    }
}

fn piece(out: &mut String, piece: &Piece, paper: &Paper) {
    let written = match piece {
        Piece::Line { from, to, stroke } => {
            let ([x1, y1], [x2, y2]) = (paper.place(*from), paper.place(*to));
            let pen = pen(*stroke);
            writeln!(out, "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"{pen}/>")
        }
        Piece::Circle { centre, radius, stroke } => {
            let ([x, y], r) = (paper.place(*centre), decimal(*radius));
            let pen = pen(*stroke);
            writeln!(out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"{pen}/>")
        }
        Piece::Arc { centre, radius, start, sweep, stroke } => {
            let on = |angle: f64| {
                let (x, y) =
                    (centre[0] + radius * libm::cos(angle), centre[1] + radius * libm::sin(angle));
                paper.place([x, y])
            };
            let ([x1, y1], [x2, y2]) = (on(*start), on(start + sweep));
            let large = u8::from(*sweep > std::f64::consts::PI);
            let (r, pen) = (decimal(*radius), pen(*stroke));
            // Anticlockwise, seen with y upwards, is sweep flag 0 on paper.
            writeln!(out, "<path d=\"M{x1} {y1}A{r} {r} 0 {large} 0 {x2} {y2}\"{pen}/>")
        }
        Piece::Text { at, height, turn, anchor, words } => {
            let ([x, y], size) = (paper.place(*at), decimal(*height));
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            let degrees = decimal(-turn.to_degrees());
            let turned = if degrees == "0" {
                String::new()
            } else {
                format!(" transform=\"rotate({degrees} {x} {y})\"")
            };
            writeln!(
                out,
                "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" text-anchor=\"{anchor}\"{turned} \
                 fill=\"#000\" stroke=\"none\">{}</text>",
                escaped(words)
            )
        }
    };
    // Writing to a text cannot fail.
    let _ = written;
}

fn pen(stroke: Stroke) -> String {
    let width = decimal(stroke.width_mm());
    let dash = stroke.dash_mm().map_or(String::new(), |[dash, gap]| {
        format!(" stroke-dasharray=\"{} {}\"", decimal(dash), decimal(gap))
    });
    format!(" stroke-width=\"{width}\"{dash}")
}

/// A text as it may stand in XML: what marks up is spelt out, what cannot stand there is replaced.
///
/// ```
/// use hosewright::report::drawing::svg::escaped;
/// assert_eq!(escaped("<b a=\"1\"> & 'c'\u{7}"), "&lt;b a=&quot;1&quot;&gt; &amp; &#39;c&#39;\u{fffd}");
/// ```
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\t' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}
