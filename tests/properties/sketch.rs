//! A plan of one line with everything that the laws vary, in three spellings.

use std::sync::{Arc, OnceLock};

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::diagnostic::SourceText;
use hosewright::table::Tables;

fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(Tables::builtin)
}

pub fn assessed(plan: &str) -> Assessment {
    let file: Arc<SourceText> = SourceText::new("plan.toml", plan);
    read_and_assess(&file, tables()).unwrap_or_else(|problems| {
        let all: Vec<String> = problems.iter().map(|p| p.message.clone()).collect();
        panic!("{}\nin\n{plan}", all.join("\n"))
    })
}

/// How a plan spells its lengths and quantities.
#[derive(Clone, Copy, PartialEq)]
pub enum Spelling {
    Millimetre,
    Metre,
    Inch,
}

impl Spelling {
    fn word(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Metre => "m",
            Self::Inch => "in",
        }
    }

    fn coordinate(self, mm: f64) -> f64 {
        match self {
            Self::Millimetre => mm,
            Self::Metre => mm / 1000.0,
            Self::Inch => mm / 25.4,
        }
    }

    fn point(self, at: [f64; 3]) -> String {
        let [x, y, z] = at.map(|c| self.coordinate(c));
        format!("[{x}, {y}, {z}]")
    }

    fn length(self, mm: f64) -> String {
        format!("\"{} {}\"", self.coordinate(mm), self.word())
    }

    fn pressure(self, bar: f64) -> String {
        // Exact: pound force over square inch in bar.
        const PSI_BAR: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254) / 1e5;
        match self {
            Self::Inch => format!("\"{} psi\"", bar / PSI_BAR),
            Self::Metre => format!("\"{} MPa\"", bar / 10.0),
            Self::Millimetre => format!("\"{bar} bar\""),
        }
    }

    fn flow(self, l_min: f64) -> String {
        match self {
            // Exact: the US gallon is 231 cubic inches.
            Self::Inch => format!("\"{} gal(US)/min\"", l_min / 3.785_411_784),
            Self::Metre => format!("\"{} m3/h\"", l_min * 0.06),
            Self::Millimetre => format!("\"{l_min} L/min\""),
        }
    }

    fn temperature(self, celsius: f64) -> String {
        match self {
            Self::Inch => format!("\"{} degF\"", celsius * 1.8 + 32.0),
            Self::Metre => format!("\"{} K\"", celsius + 273.15),
            Self::Millimetre => format!("\"{celsius} degC\""),
        }
    }
}

/// A plan of one line, with everything that the laws vary.
#[derive(Clone)]
pub struct Sketch {
    pub spelling: Spelling,
    pub from: [f64; 3],
    pub to: [f64; 3],
    pub clips: Vec<[f64; 3]>,
    pub swapped: bool,
    pub bore: f64,
    pub working: f64,
    pub bend_radius: f64,
    pub drawn_radius: f64,
    pub hottest: f64,
    pub vacuum: f64,
    pub flow: f64,
    pub temperature: f64,
    pub pressure: f64,
    pub more: String,
}

impl Default for Sketch {
    fn default() -> Self {
        Self {
            spelling: Spelling::Millimetre,
            from: [0.0, 0.0, 400.0],
            to: [700.0, 300.0, 250.0],
            clips: vec![[350.0, 0.0, 380.0], [700.0, -60.0, 300.0]],
            swapped: false,
            bore: 8.0,
            working: 40.0,
            bend_radius: 60.0,
            drawn_radius: 80.0,
            hottest: 100.0,
            vacuum: 0.5,
            flow: 4.0,
            temperature: 40.0,
            pressure: 3.0,
            more: String::new(),
        }
    }
}

impl Sketch {
    pub fn text(&self) -> String {
        let s = self.spelling;
        let mut clips: Vec<String> = self.clips.iter().map(|c| s.point(*c)).collect();
        let (mut from, mut to) = ("TANK.OUT", "PUMP.IN");
        if self.swapped {
            clips.reverse();
            (from, to) = (to, from);
        }
        format!(
            "[plan]\nname = \"law\"\nlength_unit = \"{unit}\"\n\
             axes = {{ x = \"aft\", y = \"right\", z = \"up\" }}\n\
             cut_step = {step}\n\
             [[fluid]]\nid = \"oil\"\ntable = \"engine-oil\"\ngrade = \"15W-40\"\n\
             {hose}{tank}{pump}\
             [[case]]\nname = \"level\"\naltitude = {sea}\n\
             [[line]]\nid = \"L1\"\nsystem = \"oil\"\nfluid = \"oil\"\nservice = \"pressure\"\n\
             from = \"{from}\"\nto = \"{to}\"\nhose = \"mine\"\nzone = \"open\"\n\
             end_a = \"demo-flare-straight -6\"\nend_b = \"demo-flare-straight -6\"\n\
             bend_radius = {drawn}\nclips = [{clips}]\n{more}\n\
             [[line.duty]]\nflow = {flow}\ntemperature = {temperature}\npressure_from = {pressure}\n",
            unit = s.word(),
            step = s.length(1.0),
            hose = self.hose(),
            tank = port(s, "TANK", "tank", "OUT", self.from, "[1, 0, 0]"),
            pump = port(s, "PUMP", "pump", "IN", self.to, "[0, -1, 0]"),
            sea = s.length(0.0),
            drawn = s.length(self.drawn_radius),
            clips = clips.join(", "),
            more = self.more,
            flow = s.flow(self.flow),
            temperature = s.temperature(self.temperature),
            pressure = s.pressure(self.pressure),
        )
    }

    fn hose(&self) -> String {
        let s = self.spelling;
        format!(
            "[[hose]]\nid = \"mine\"\nbore = {}\noutside = {}\nworking = {}\nproof = {}\nburst = {}\n\
             bend_radius = {}\nbend_to = \"centre-line\"\ntemperature_min = {}\ntemperature_max = {}\n\
             full_pressure_when_hot = true\nvacuum = {}\nsurface = \"smooth rubber hose\"\n\
             liner = \"NBR\"\nsource = \"measured\"\n",
            s.length(self.bore),
            s.length(self.bore + 8.0),
            s.pressure(self.working),
            s.pressure(self.working * 2.0),
            s.pressure(self.working * 4.0),
            s.length(self.bend_radius),
            s.temperature(-30.0),
            s.temperature(self.hottest),
            s.pressure(self.vacuum),
        )
    }

    pub fn assessed(&self) -> Assessment {
        assessed(&self.text())
    }
}

fn port(s: Spelling, id: &str, kind: &str, name: &str, at: [f64; 3], faces: &str) -> String {
    format!(
        "[[component]]\nid = \"{id}\"\nkind = \"{kind}\"\n[component.ports.{name}]\nat = {}\n\
         faces = {faces}\ntolerance = {}\n\
         end = {{ family = \"flare-37\", size = \"-6\", gender = \"male\", bore = {} }}\n",
        s.point(at),
        s.length(3.0),
        s.length(7.5),
    )
}
