//! A made-up plan of as many lines as wanted, the same in every run: rows of coolers between two manifolds, each row
//! with a tank, a pump and a filter of its own. Nothing like it should be built.

use std::fmt::Write as _;

/// Lines of a row besides those of its coolers: from the tank, from the pump, to the filter and back.
const OWN_LINES: usize = 4;
/// From row to row, and from cooler to cooler, mm.
const ROW_MM: usize = 3000;
const COOLER_MM: usize = 120;
/// Where the first cooler stands along its row, mm.
const FIRST_MM: usize = 1000;

const HEAD: &str = r#"[plan]
name          = "Made-up rows of coolers"
revision      = "A"
length_unit   = "mm"
axes          = { x = "right", y = "forward", z = "up" }
cut_step      = "1 mm"
cut_tolerance = "2 mm"

[[fluid]]
id    = "coolant"
table = "water"

[[case]]
name     = "cool"
altitude = "0 m"
air      = "10 degC"
fluids   = { coolant = "20 degC" }
warm     = false

[[case]]
name     = "hot"
altitude = "500 m"
air      = "35 degC"
fluids   = { coolant = "60 degC" }
warm     = false
"#;

/// A plan of rows with so many coolers each: two lines for a cooler, and four more for its row.
pub fn plan(rows: usize, coolers: usize) -> String {
    let mut text = HEAD.to_owned();
    for row in 0..rows {
        Row { number: row, coolers, y: ROW_MM * row }.write(&mut text);
    }
    text
}

struct Row {
    number: usize,
    coolers: usize,
    y: usize,
}

impl Row {
    fn write(&self, text: &mut String) {
        self.ends(text);
        self.manifolds(text);
        (0..self.coolers).for_each(|cooler| self.cooler(text, cooler));
    }

    /// Tank, pump and filter, with the four lines of the row.
    fn ends(&self, text: &mut String) {
        let (n, y) = (self.number, self.y);
        let flow = 2 * self.coolers;
        component(text, &format!("T{n}"), "tank");
        port(text, "OUT", [0, y, 200], [1, 0, 0]);
        port(text, "RET", [0, y + 300, 700], [1, 0, 0]);
        let _ = writeln!(text, "surface = [0, {y}, 800]\npressure = \"0 bar\"");
        component(text, &format!("P{n}"), "pump");
        port(text, "IN", [400, y, 200], [-1, 0, 0]);
        port(text, "OUT", [500, y, 200], [1, 0, 0]);
        let pump = format!("flow = \"{flow} L/min\", slip = \"1 L/min\", at_rise = \"3 bar\"");
        let _ = writeln!(
            text,
            "path = [{{ from = \"IN\", to = \"OUT\", one_way = true, pump = {{ {pump} }} }}]"
        );
        component(text, &format!("F{n}"), "filter");
        port(text, "IN", [600, y + 600, 500], [1, 0, 0]);
        port(text, "OUT", [450, y + 600, 500], [-1, 0, 0]);
        let loss = format!("drop = \"0.2 bar\", at_flow = \"{flow} L/min\", law = \"linear\"");
        let _ = writeln!(text, "path = [{{ from = \"IN\", to = \"OUT\", {loss} }}]");
        let clip = |x: usize, dy: usize, z: usize| format!("[{x}, {}, {z}]", y + dy);
        self.line(text, 1, "suction", [format!("T{n}.OUT"), format!("P{n}.IN")], "");
        self.line(
            text,
            2,
            "pressure",
            [format!("P{n}.OUT"), format!("S{n}.IN")],
            &clip(700, 0, 300),
        );
        self.line(text, 3, "return", [format!("R{n}.OUT"), format!("F{n}.IN")], "");
        self.line(
            text,
            4,
            "return",
            [format!("F{n}.OUT"), format!("T{n}.RET")],
            &clip(250, 450, 600),
        );
    }

    /// What shares the flow out, and what gathers it.
    fn manifolds(&self, text: &mut String) {
        let (n, y) = (self.number, self.y);
        for (id, y, one, many) in [("S", y, "IN", "O"), ("R", y + 600, "OUT", "I")] {
            component(text, &format!("{id}{n}"), "other");
            port(text, one, [900, y, 400], [-1, 0, 0]);
            for cooler in 0..self.coolers {
                port(text, &format!("{many}{cooler}"), [along(cooler), y, 450], [0, 0, 1]);
            }
            let path = |cooler: usize| match id {
                "S" => format!("{{ from = \"IN\", to = \"O{cooler}\", kv = \"Kv 0.8\" }}"),
                _ => format!("{{ from = \"I{cooler}\", to = \"OUT\", kv = \"Kv 0.8\" }}"),
            };
            let paths: Vec<String> = (0..self.coolers).map(path).collect();
            let _ = writeln!(text, "path = [{}]", paths.join(", "));
        }
    }

    fn cooler(&self, text: &mut String, cooler: usize) {
        let (n, y, x) = (self.number, self.y, along(cooler));
        component(text, &format!("C{n}-{cooler}"), "radiator");
        port(text, "IN", [x, y + 100, 1200], [0, -1, -2]);
        port(text, "OUT", [x, y + 500, 1200], [0, 1, -2]);
        let loss = "drop = \"0.3 bar\", at_flow = \"2 L/min\", law = \"square\"";
        let _ = writeln!(text, "path = [{{ from = \"IN\", to = \"OUT\", {loss} }}]");
        let number = OWN_LINES + 2 * cooler + 1;
        let there = format!("[{x}, {y}, 700], [{x}, {}, 1000]", y + 10);
        let back = format!("[{x}, {0}, 1000], [{x}, {0}, 700]", y + 600);
        self.line(
            text,
            number,
            "pressure",
            [format!("S{n}.O{cooler}"), format!("C{n}-{cooler}.IN")],
            &there,
        );
        self.line(
            text,
            number + 1,
            "return",
            [format!("C{n}-{cooler}.OUT"), format!("R{n}.I{cooler}")],
            &back,
        );
    }

    fn line(
        &self,
        text: &mut String,
        number: usize,
        service: &str,
        [from, to]: [String; 2],
        clips: &str,
    ) {
        let row = self.number;
        let _ = write!(
            text,
            r#"
[[line]]
id      = "{row}.{number}"
system  = "row {row}"
fluid   = "coolant"
service = "{service}"
from    = "{from}"
to      = "{to}"
hose    = "demo-coolant"
size    = "19 mm"
slack   = "5 %"
zone    = "open"
clips   = [{clips}]
"#
        );
    }
}

fn along(cooler: usize) -> usize {
    FIRST_MM + COOLER_MM * cooler
}

fn component(text: &mut String, id: &str, kind: &str) {
    let _ = write!(
        text,
        "\n[[component]]\nid = \"{id}\"\nname = \"{kind} {id}\"\nkind = \"{kind}\"\nwetted = [\"aluminium\"]\n"
    );
}

fn port(text: &mut String, name: &str, at: [usize; 3], faces: [i32; 3]) {
    let end = r#"{ family = "spigot", outside = "19 mm", insertion = "30 mm", bead = true, bore = "16 mm" }"#;
    let _ = writeln!(text, "ports.{name} = {{ at = {at:?}, faces = {faces:?}, end = {end} }}");
}
