//! How a rigid tube is bent: its bend table, the angles to set, marks, walls, room, and the order of work.

mod operations;

use crate::geometry::bend_table::{BendTable, MirrorImage, bend_table};
use crate::geometry::{Route, TubeBend};
use crate::makeup::tube::collision::{self, Hit, Obstacle, first_hit};
use crate::makeup::tube::marks::{MarkAt, marks_mm, stretch_mm};
use crate::makeup::tube::springback::{
    Calibration, TestBend, ThinTube, bent_radius_mm, calibration, share_left,
};
use crate::makeup::tube::wall::{ovality, wall_change};
use crate::plan::{Bender, Carrier, Line, Mark, Plan, Tube};
use crate::source::{Cite, Sourced};
use crate::table::{Tables, limit};
use crate::units::{Angle, Length, Quantity};

use super::LineFacts;
use super::geometry::GeometryFacts;

/// Why a tube has neither marks nor a known room.
const NO_BENDER: &str = "the line names no bender for this tube";

/// How an angle to set was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SetBy {
    /// From test bends on this bender.
    TestBends,
    /// From yield strength and modulus: a first guess.
    Strength,
}

/// The angle to set for one bend.
#[derive(Clone, Debug)]
pub struct SetAngle {
    /// Degrees.
    pub angle_deg: f64,
    /// How it was found.
    pub by: SetBy,
    /// Where its figures come from.
    pub cite: Cite,
}

/// The wall in one bend.
#[derive(Clone, Copy, Debug)]
pub struct WallFacts {
    /// Loss at the outside of the bend, as a share of the wall.
    pub thinning: f64,
    /// Least wall there, mm, with the tolerance of the tube.
    pub left_mm: f64,
}

/// One bend, counted from the end at which the table begins.
#[derive(Clone, Debug)]
pub struct BendRow {
    /// Where, in words.
    pub place: String,
    /// Straight, rotation, angle and radius.
    pub bend: TubeBend,
    /// Where the inside of the bend lies on the circumference, degrees.
    pub dial_deg: f64,
    /// The angle to set, or why there is none.
    pub set: Result<SetAngle, String>,
    /// The wall outside of the bend; none where the radius is too small for any.
    pub wall: Option<WallFacts>,
}

/// The tube bent in one order: the end that is named leads.
#[derive(Debug)]
pub struct Side {
    /// End A or end B, at which the table begins and the marks count.
    pub end: &'static str,
    /// The bends in the order in which they are made.
    pub rows: Vec<BendRow>,
    /// Straight behind the last bend, mm.
    pub last_straight_mm: f64,
    /// Marks on the straight tube, mm, or why there are none.
    pub marks_mm: Result<Vec<f64>, String>,
    /// What is in the way first, or why that is not known.
    pub hit: Result<Option<HitFacts>, String>,
}

/// What a bent part hits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HitFacts {
    /// The bend that cannot be made, counted from 1 in the order of the side.
    pub bend: usize,
    /// What is in the way, in words.
    pub by: &'static str,
    /// The place on the tube that hits it, mm from the end that leads.
    pub station_mm: f64,
    /// Angle bent when it hits, degrees; 0 where the tube cannot even be laid in.
    pub at_deg: f64,
}

/// Another tube of the machine with the same straights, bends and radii.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Twin {
    /// The other line.
    pub line: String,
    /// Whether it is the mirror image; the same part otherwise.
    pub mirrored: bool,
}

/// Everything on the bending of one tube.
#[derive(Debug)]
pub struct TubeFacts {
    /// The table from end A.
    table: BendTable,
    /// Angles and lengths this near are equal: rad, mm.
    noise: [f64; 2],
    /// Index of the bender.
    pub bender: Option<usize>,
    /// From end A and from end B.
    pub sides: [Side; 2],
    /// The side to bend from: the first with room for every bend, or where neither is known to have it, A.
    pub chosen: usize,
    /// What is missing behind its last bend, since it was cut short, mm; below zero where it was cut long.
    pub cut_short_mm: f64,
    /// Length of the centre line, mm.
    pub length_mm: f64,
    /// Length from corner to corner, mm.
    pub polyline_mm: f64,
    /// How much longer bending makes the tube, mm; not known without a bender that says so.
    pub stretch_mm: Option<f64>,
    /// Clips that the tube passes straight though the route turns a little there, with its distance, mm.
    pub passed: Vec<(String, f64)>,
    /// Whether the mirror image is the same part.
    pub mirror: MirrorImage,
    /// Ovality of a test bend as a share of the outside diameter.
    pub ovality: Option<f64>,
    /// How far test bends lie off their line at most, degrees.
    pub scatter_deg: Option<f64>,
    /// What to do, one step after the other.
    pub operations: Vec<String>,
}

impl TubeFacts {
    /// The side to bend from.
    pub fn side(&self) -> &Side {
        &self.sides[self.chosen]
    }

    /// Straights in the order from end A: at the end, between the bends, and at the other end. Marks count from the end
    /// that is bent first, so what was cut off too much is missing at the other.
    pub fn straights_mm(&self) -> Vec<f64> {
        let [from_a, _] = &self.sides;
        let before = from_a.rows.iter().map(|r| r.bend.straight_mm);
        let mut straights: Vec<f64> = before.chain([from_a.last_straight_mm]).collect();
        let last = if self.chosen == 0 { straights.last_mut() } else { straights.first_mut() };
        if let Some(straight) = last {
            *straight -= self.cut_short_mm;
        }
        straights
    }

    /// Why a bend has no angle to set, for the first that has none.
    pub fn set_missing(&self) -> Option<&str> {
        self.sides[0].rows.iter().find_map(|r| r.set.as_ref().err()).map(String::as_str)
    }
}

/// Other tubes of the machine, cut from the same, that are the same part or its mirror image.
pub fn twins(lines: &[LineFacts], own: &LineFacts) -> Vec<Twin> {
    let Some(Ok(tube)) = &own.tube else { return Vec::new() };
    let [angle_rad, length_mm] = tube.noise;
    let others = lines.iter().filter(|l| l.id != own.id && l.carrier == own.carrier);
    others
        .filter_map(|other| {
            let table = &other.tube.as_ref()?.as_ref().ok()?.table;
            let same = tube.table.matches(table, angle_rad, length_mm);
            let mirrored = !same && tube.table.mirrored().matches(table, angle_rad, length_mm);
            (same || mirrored).then(|| Twin { line: other.id.clone(), mirrored })
        })
        .collect()
}

/// The bender of a line, where it is made for its tube.
pub fn bender_of<'p>(plan: &'p Plan, line: &Line) -> Option<&'p Bender> {
    let Carrier::Tube(tube) = &line.carrier else { return None };
    plan.benders.get(line.bender?).filter(|b| b.takes(tube))
}

/// How much longer bending makes a line, mm; 0 where nobody measured it.
pub fn stretch_of(plan: &Plan, line: &Line, route: &Route) -> f64 {
    let angle_rad = route.bends.iter().map(|b| b.angle_rad).sum();
    let right_angle_mm = bender_of(plan, line).and_then(|b| b.stretch_mm);
    right_angle_mm.and_then(|mm| stretch_mm(mm, angle_rad).ok()).unwrap_or(0.0)
}

/// How the tube of a line is bent; none for a hose.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    line: &Line,
    geometry: Option<&GeometryFacts>,
) -> Option<Result<TubeFacts, String>> {
    let Carrier::Tube(tube) = &line.carrier else { return None };
    Some(bent(plan, tables, line, tube, geometry))
}

fn bent(
    plan: &Plan,
    tables: &Tables,
    line: &Line,
    tube: &Tube,
    geometry: Option<&GeometryFacts>,
) -> Result<TubeFacts, String> {
    let geometry = geometry.ok_or("there is no route to bend to")?;
    let noise_rad = limit::installation::<Angle>(tables, "tube-bend-noise");
    let noise_rad = noise_rad.ok_or("limit/installation has no rule tube-bend-noise")?.value.si();
    let noise_mm = limit::installation::<Length>(tables, "tube-length-noise");
    let noise_mm = noise_mm.ok_or("limit/installation has no rule tube-length-noise")?;
    let noise_mm = noise_mm.value.si() * 1e3;
    let table = table_of(geometry, noise_rad)?;
    let bender = bender_of(plan, line);
    let calibrated = bender.filter(|b| !b.test_bends_rad.is_empty()).map(calibrated).transpose()?;
    let rows = rows(tube, bender, calibrated.as_ref(), &table, &geometry.route);
    let sides = sides(bender, tube, &table, &rows);
    let free = |side: &Side| matches!(side.hit, Ok(None));
    let chosen = usize::from(!free(&sides[0]) && free(&sides[1]));
    let mut facts = TubeFacts {
        bender: bender.and(line.bender),
        chosen,
        cut_short_mm: line.cut_short_mm,
        length_mm: table.length_mm(),
        polyline_mm: table.polyline_mm(),
        stretch_mm: bender
            .and_then(|b| b.stretch_mm)
            .and_then(|mm| stretch_mm(mm, table.bends.iter().map(|b| b.angle_rad).sum()).ok()),
        passed: passed(&table, &geometry.route),
        mirror: table.mirror_image(noise_rad, noise_mm),
        ovality: bender.and_then(|b| {
            ovality(tube.outside.value.si() * 1e3, b.smallest_mm?, b.largest_mm?).ok()
        }),
        scatter_deg: calibrated
            .filter(|_| bender.is_some_and(|b| b.test_bends_rad.len() > 2))
            .map(|c| c.scatter_rad.to_degrees()),
        sides,
        operations: Vec::new(),
        noise: [noise_rad, noise_mm],
        table,
    };
    facts.operations = operations::operations(line, bender, &facts);
    Ok(facts)
}

/// The table from tip to tip of the bare tube.
fn table_of(geometry: &GeometryFacts, noise_rad: f64) -> Result<BendTable, String> {
    let [Some(cut_a_mm), Some(cut_b_mm)] = geometry.cut_off_mm else {
        return Err("the cut-off of an end is not known".into());
    };
    let route = &geometry.route;
    let mut points = vec![route.measuring_a + route.hose_dir_a * cut_a_mm];
    points.extend(route.bends.iter().map(|b| b.at));
    points.push(route.measuring_b + route.hose_dir_b * cut_b_mm);
    let radii_mm: Vec<f64> = route.bends.iter().map(|b| b.radius_mm).collect();
    bend_table(&points, &radii_mm, noise_rad).map_err(|e| e.to_string())
}

fn calibrated(bender: &Bender) -> Result<Calibration, String> {
    let test = |[set_rad, got_rad]: &[f64; 2]| TestBend { set_rad: *set_rad, got_rad: *got_rad };
    let tests: Vec<TestBend> = bender.test_bends_rad.iter().map(test).collect();
    calibration(&tests).map_err(|e| e.to_string())
}

fn passed(table: &BendTable, route: &Route) -> Vec<(String, f64)> {
    let name = |corner: usize| {
        route.bends.get(corner.wrapping_sub(1)).map_or(String::new(), |b| b.place.to_string())
    };
    table.passed.iter().map(|p| (name(p.corner), p.off_mm)).collect()
}

/// The bends from end A.
fn rows(
    tube: &Tube,
    bender: Option<&Bender>,
    calibrated: Option<&Calibration>,
    table: &BendTable,
    route: &Route,
) -> Vec<BendRow> {
    let is_passed = |index: &usize| table.passed.iter().any(|p| p.corner == index + 1);
    let kept = (0..route.bends.len()).filter(|index| !is_passed(index));
    kept.zip(table.bends.iter().zip(table.dial_rad()))
        .map(|(index, (bend, dial_rad))| BendRow {
            place: route.bends[index].place.to_string(),
            bend: *bend,
            dial_deg: dial_rad.to_degrees(),
            set: set_angle(tube, bender, calibrated, bend),
            wall: wall_of(tube, bend),
        })
        .collect()
}

fn set_angle(
    tube: &Tube,
    bender: Option<&Bender>,
    calibrated: Option<&Calibration>,
    bend: &TubeBend,
) -> Result<SetAngle, String> {
    if let (Some(bender), Some(calibrated)) = (bender, calibrated) {
        let Ok(set_rad) = calibrated.set_angle_rad(bend.angle_rad) else {
            return Err(format!(
                "the test bends of {} left {:.1} to {:.1} deg: make one that leaves {} {:.1} deg",
                bender.id,
                calibrated.least_rad.to_degrees(),
                calibrated.most_rad.to_degrees(),
                if bend.angle_rad < calibrated.least_rad { "no more than" } else { "at least" },
                bend.angle_rad.to_degrees()
            ));
        };
        let cite = bender.cite.clone();
        return Ok(SetAngle { angle_deg: set_rad.to_degrees(), by: SetBy::TestBends, cite });
    }
    by_strength(tube, bend)
}

fn by_strength(tube: &Tube, bend: &TubeBend) -> Result<SetAngle, String> {
    let strength = &tube.strength;
    let (Some(yields), Some(modulus)) = (&strength.yield_strength, &strength.modulus) else {
        return Err(format!("yield strength and modulus of {} are not known", tube.material));
    };
    let thin = ThinTube {
        mean_radius_mm: 0.5e3 * (tube.outside.value.si() - tube.wall.value.si()),
        yield_pa: yields.value.si(),
        modulus_pa: modulus.value.si(),
    };
    let bent_mm = bent_radius_mm(&thin, bend.radius_mm).map_err(|e| e.to_string())?;
    let share = share_left(&thin, bent_mm).map_err(|e| e.to_string())?;
    let angle_deg = (bend.angle_rad / share).to_degrees();
    Ok(SetAngle { angle_deg, by: SetBy::Strength, cite: yields.cite.and(&modulus.cite) })
}

fn wall_of(tube: &Tube, bend: &TubeBend) -> Option<WallFacts> {
    let thinning = wall_change(tube.outside.value.si() * 1e3, bend.radius_mm).ok()?.thinning;
    let missing = tube.wall_tolerance.as_ref().map_or(0.0, |t: &Sourced<f64>| t.value);
    let left_mm = tube.wall.value.si() * 1e3 * (1.0 - missing) * (1.0 - thinning);
    Some(WallFacts { thinning, left_mm })
}

/// Both orders: the table as it is, and from the other end.
fn sides(bender: Option<&Bender>, tube: &Tube, table: &BendTable, rows: &[BendRow]) -> [Side; 2] {
    let reversed = table.reversed();
    let back: Vec<BendRow> = rows
        .iter()
        .rev()
        .zip(reversed.bends.iter().zip(reversed.dial_rad()))
        .map(|(row, (bend, dial_rad))| BendRow {
            bend: *bend,
            dial_deg: dial_rad.to_degrees(),
            ..row.clone()
        })
        .collect();
    [("end A", table, rows.to_vec()), ("end B", &reversed, back)].map(|(end, table, rows)| Side {
        end,
        last_straight_mm: table.last_straight_mm,
        marks_mm: marks(bender, table),
        hit: hit(bender, tube, table, &rows),
        rows,
    })
}

fn marks(bender: Option<&Bender>, table: &BendTable) -> Result<Vec<f64>, String> {
    let bender = bender.ok_or(NO_BENDER)?;
    let id = &bender.id;
    let stretch_mm = bender.stretch_mm.ok_or_else(|| {
        format!("bender {id} gives no stretch: measure it on a test bend of 90 deg")
    })?;
    let mark = match bender.mark {
        Some(Mark::Start) => MarkAt::Start,
        Some(Mark::Centre) => MarkAt::Centre,
        Some(Mark::Corner) => MarkAt::Corner,
        None => return Err(format!("bender {id} does not say what a mark is brought to")),
    };
    marks_mm(table, stretch_mm, mark).map_err(|e| e.to_string())
}

fn hit(
    bender: Option<&Bender>,
    tube: &Tube,
    table: &BendTable,
    rows: &[BendRow],
) -> Result<Option<HitFacts>, String> {
    // Before the first bend nothing is bent that could hit.
    if table.bends.len() < 2 {
        return Ok(None);
    }
    let bender = bender.ok_or(NO_BENDER)?;
    let room = bender.room.ok_or_else(|| format!("bender {} gives no room", bender.id))?;
    let clamp_mm = bender.clamp_mm.ok_or_else(|| format!("bender {} gives no clamp", bender.id))?;
    let mut set_rad = Vec::with_capacity(rows.len());
    for row in rows {
        let set = row.set.as_ref().map_err(Clone::clone)?;
        set_rad.push(set.angle_deg.to_radians());
    }
    let room = collision::Room {
        thickness_mm: room.thickness_mm,
        clamp_mm,
        block_mm: room.block_mm,
        width_mm: room.width_mm,
        bench: room.bench.map(|b| collision::Bench {
            below_mm: b.below_mm,
            reach_mm: b.reach_mm,
            turn: if b.left { collision::Turn::Left } else { collision::Turn::Right },
        }),
    };
    let found = first_hit(table, &set_rad, tube.outside.value.si() * 1e3, &room);
    found.map(|hit| hit.map(in_words)).map_err(|e| e.to_string())
}

fn in_words(hit: Hit) -> HitFacts {
    let by = match hit.by {
        Obstacle::Former => "the former",
        Obstacle::Clamp => "the clamp",
        Obstacle::Block => "the block behind the bend",
        Obstacle::Bench => "the bench",
        Obstacle::Tube => "the straight tube behind the bend",
    };
    let at_deg = hit.at_rad.to_degrees();
    HitFacts { bend: hit.bend + 1, by, station_mm: hit.station_mm, at_deg }
}
