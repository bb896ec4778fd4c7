//! Circuits as drawn: every line and port is named, nothing lies on writing, and paper holds it.

#![expect(clippy::unwrap_used, reason = "a drawing that cannot be read fails its test")]

use std::fmt::Write;
use std::sync::LazyLock;

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::book::{Book, Look, circuit};
use hosewright::diagnostic::SourceText;
use hosewright::report::drawing::sheet::Paper;
use hosewright::table::Tables;

const EXAMPLES: [&str; 3] = ["01-amphibian", "02-river-launch", "03-press"];

/// The examples with their texts, assessed once.
static ASSESSED: LazyLock<Vec<(&str, String, Assessment)>> = LazyLock::new(|| {
    let example = |name: &&'static str| {
        let text = crate::house::read(&format!("examples/{name}/plan.toml"));
        let assessment = assessed(&text);
        (*name, text, assessment)
    };
    EXAMPLES.iter().map(example).collect()
});

fn assessed(text: &str) -> Assessment {
    read_and_assess(&SourceText::new("plan.toml", text), &Tables::builtin()).unwrap()
}

fn drawn(assessment: &Assessment, text: &str, paper: Paper) -> String {
    let tables = Tables::builtin();
    let look = Look { paper, ..Look::default() };
    let book = Book::of(assessment, &tables, text, look);
    circuit::part(&book).body.into_string()
}

/// The drawings of a part, without the one that explains the lines.
fn drawings(html: &str) -> Vec<&str> {
    let before_key = html.split("<h3>What the drawings mean</h3>").next().unwrap_or_default();
    let all = before_key.split("<svg ").skip(1);
    all.map(|s| s.split("</svg>").next().unwrap_or_default()).collect()
}

fn attribute<'a>(tag: &'a str, name: &str) -> &'a str {
    let start = format!("{name}=\"");
    tag.split_once(&start).map_or("", |(_, rest)| rest.split('"').next().unwrap_or_default())
}

fn number(text: &str) -> f64 {
    text.trim_end_matches("mm").parse().unwrap()
}

/// A line of writing: its box and its words.
#[derive(Clone, Debug)]
struct Writing {
    order: usize,
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
    words: String,
}

/// A straight piece or a covered area, in the order of drawing.
#[derive(Debug, Default)]
struct Drawing {
    size: [f64; 2],
    writing: Vec<Writing>,
    strokes: Vec<(usize, [f64; 4])>,
    covers: Vec<(usize, [f64; 4])>,
}

/// Widths of letters in the narrower of the two fonts, as shares of their height.
fn width(words: &str, height: f64) -> f64 {
    let share = |c: char| match c {
        'i' | 'l' | 'j' | '.' | ',' | ' ' | '\u{a0}' | ':' | '\'' => 0.3,
        'm' | 'w' | 'M' | 'W' => 0.9,
        'A'..='Z' => 0.65,
        _ => 0.55,
    };
    words.chars().map(share).sum::<f64>() * height
}

fn read(svg: &str) -> Drawing {
    let mut drawing = Drawing {
        size: ["width", "height"].map(|n| number(attribute(svg, n))),
        ..Drawing::default()
    };
    for (order, tag) in svg.split('<').enumerate() {
        let class = attribute(tag, "class");
        if tag.starts_with("text ") {
            let words = tag.split_once('>').map_or("", |t| t.1).replace("&amp;", "&");
            let height = if class == "small" { 2.5 } else { 3.2 };
            let wide = width(&words, height) * if class == "strong" { 1.1 } else { 1.0 };
            let [x, y] = ["x", "y"].map(|n| number(attribute(tag, n)));
            let left = match attribute(tag, "text-anchor") {
                "start" => x,
                "middle" => x - wide / 2.0,
                _ => x - wide,
            };
            let top = y - 0.7 * height;
            if !words.is_empty() {
                drawing.writing.push(Writing {
                    order,
                    left,
                    top,
                    right: left + wide,
                    bottom: y,
                    words,
                });
            }
        } else if tag.starts_with("path ") && !attribute(tag, "d").contains('A') {
            let data = attribute(tag, "d");
            let mut points: Vec<[f64; 2]> = data
                .trim_end_matches('Z')
                .split(['M', 'L'])
                .skip(1)
                .map(|p| p.split_once(' ').map(|(x, y)| [number(x), number(y)]).unwrap())
                .collect();
            if data.ends_with('Z') {
                points.push(points[0]);
                if class.contains("paper") || class.contains("filled") {
                    drawing.covers.push((order, bounds(&points)));
                }
            }
            drawing.strokes.extend(points.windows(2).map(|w| (order, bounds(w))));
        }
    }
    drawing
}

fn bounds(points: &[[f64; 2]]) -> [f64; 4] {
    let of =
        |i: usize, pick: fn(f64, f64) -> f64| points.iter().map(|p| p[i]).reduce(pick).unwrap();
    [of(0, f64::min), of(1, f64::min), of(0, f64::max), of(1, f64::max)]
}

fn meets(w: &Writing, [left, top, right, bottom]: [f64; 4]) -> bool {
    left < w.right && right > w.left && top < w.bottom && bottom > w.top
}

fn assert_readable(drawing: &Drawing, what: &str) {
    let [wide, high] = drawing.size;
    for (index, a) in drawing.writing.iter().enumerate() {
        let inside = a.left >= 0.0 && a.top >= 0.0 && a.right <= wide && a.bottom <= high;
        assert!(inside, "{what}: \"{}\" stands outside the drawing", a.words);
        for b in &drawing.writing[..index] {
            let over = meets(a, [b.left, b.top, b.right, b.bottom]);
            assert!(!over, "{what}: \"{}\" stands on \"{}\"", a.words, b.words);
        }
        let hidden = |order: usize| {
            let hides = |(cover, c): &(usize, [f64; 4])| {
                *cover > order
                    && *cover < a.order
                    && c[0] <= a.left
                    && c[1] <= a.top
                    && c[2] >= a.right
            };
            drawing.covers.iter().any(hides)
        };
        for (order, stroke) in &drawing.strokes {
            let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
            let level_or_upright = same(stroke[0], stroke[2]) || same(stroke[1], stroke[3]);
            let through = level_or_upright && meets(a, *stroke) && !hidden(*order);
            assert!(!through, "{what}: {stroke:?} runs through \"{}\" {a:?}", a.words);
        }
    }
}

#[test]
fn nothing_lies_on_writing_and_paper_holds_every_drawing() {
    for (name, text, assessment) in &*ASSESSED {
        for (paper, room) in [(Paper::A4, [271.0, 184.0]), (Paper::Letter, [253.4, 189.9])] {
            let html = drawn(assessment, text, paper);
            assert!(!html.contains("larger than the paper"));
            for (index, svg) in drawings(&html).into_iter().enumerate() {
                let drawing = read(svg);
                let fits = [room, [room[1], room[0]]]
                    .iter()
                    .any(|room| drawing.size[0] <= room[0] && drawing.size[1] <= room[1]);
                assert!(fits, "{:?}", drawing.size);
                assert_readable(&drawing, &format!("{name}, drawing {index}"));
            }
        }
    }
}

#[test]
fn every_line_and_every_port_in_use_is_named() {
    for (name, text, assessment) in &*ASSESSED {
        let html = drawn(assessment, text, Paper::A4);
        let plan = &assessment.plan;
        let words: Vec<String> =
            drawings(&html).iter().flat_map(|s| read(s).writing).map(|w| w.words).collect();
        for line in &plan.lines {
            assert!(words.contains(&line.id), "{name}: line {} is not named", line.id);
            for port in [line.from, line.to] {
                let component = &plan.components[port.component];
                assert!(words.contains(&component.id), "{name}: {} is not named", component.id);
                assert!(words.contains(&component.ports[port.port].name));
            }
            let row = format!("<th scope=\"row\">{}</th>", line.id);
            assert_eq!(html.matches(&row).count(), 1, "{name}: {} in the table", line.id);
        }
    }
}

#[test]
fn the_same_plan_gives_the_same_drawing() {
    let (_, text, assessment) = &ASSESSED[1];
    let again = assessed(text);
    assert_eq!(drawn(assessment, text, Paper::A4), drawn(&again, text, Paper::A4));
}

/// A plan of water between components with so many ports, every port wired to one of the next components.
fn made_up(components: usize, ports: usize, step: usize) -> String {
    let mut text = String::from(
        "[plan]\nname = \"made up\"\nlength_unit = \"mm\"\naxes = { x = \"aft\", y = \"right\", z = \"up\" }\n\
         cut_step = \"1 mm\"\n[[case]]\nname = \"level\"\naltitude = \"0 m\"\n[[fluid]]\nid = \"water\"\ntable = \"water\"\n",
    );
    for c in 0..components {
        let kind = ["other", "valve", "tee", "engine"][c % 4];
        let _ = write!(text, "[[component]]\nid = \"C{c}\"\nkind = \"{kind}\"\n");
        for p in 0..ports {
            let _ = writeln!(
                text,
                "ports.P{p} = {{ at = [{}, {}, 0], faces = [0, 0, 1], end = {{ family = \"spigot\", \
                 outside = \"25.4 mm\", insertion = \"40 mm\", bead = true, bore = \"22 mm\" }} }}",
                400 * c,
                100 * p
            );
        }
        let half = ports / 2;
        let through = (0..half)
            .map(|p| format!("{{ from = \"P{}\", to = \"P{p}\", kv = \"Kv 9\" }}", half + p));
        let across = (1..half).map(|p| {
            format!("{{ from = \"P{half}\", to = \"P{p}\", name = \"x{p}\", free = true }}")
        });
        let paths: Vec<String> = through.chain(across).collect();
        if kind != "tee" {
            let _ = writeln!(text, "path = [{}]", paths.join(", "));
        }
    }
    for c in 0..components {
        for p in 0..ports / 2 {
            let to = (c + 1 + p * step) % components;
            let _ = write!(
                text,
                "[[line]]\nid = \"L{c}-{p}\"\nsystem = \"water\"\nfluid = \"water\"\nservice = \"pressure\"\n\
                 from = \"C{c}.P{p}\"\nto = \"C{to}.P{}\"\nhose = \"demo-suction-spiral\"\nsize = \"25.4 mm\"\n",
                ports / 2 + p
            );
        }
    }
    text
}

#[test]
fn large_circuits_are_parted_and_no_line_is_lost() {
    for (components, ports, step) in [(2, 12, 1), (7, 12, 5), (30, 4, 7), (1, 12, 1)] {
        let text = made_up(components, ports, step);
        let assessment = assessed(&text);
        let html = drawn(&assessment, &text, Paper::A4);
        assert!(!html.contains("larger than the paper"));
        let sheets: Vec<Drawing> = drawings(&html).into_iter().map(read).collect();
        let count = sheets.len();
        let mut named = 0;
        for (index, sheet) in sheets.iter().enumerate() {
            assert_readable(sheet, &format!("{components} components, drawing {index} of {count}"));
            named += sheet.writing.iter().filter(|w| w.words.starts_with('L')).count();
        }
        let flags =
            sheets.iter().flat_map(|s| &s.writing).filter(|w| w.words.contains(", drawing "));
        assert_eq!(named, components * (ports / 2) + flags.count() / 2, "{components} components");
        assert_eq!(count > 1, components > 2, "{components} components in {count} drawings");
    }
}
