//! Dip marks of a tank: what its stick reads for a volume, level and in every attitude, and how poured points fit.

mod placed;

use super::geometry;
use super::network::matrix::angle_words;
use crate::geometry::vessel::poured::{Pour, PourErrors, PouredFit, poured_fit};
use crate::plan::{Component, Plan, Poured, Stick, Tank, TankShape};
use crate::source::{Cite, Sourced};
use crate::table::Tables;
use crate::units::{Quantity, Ratio, Volume};
pub use placed::{Placed, Reading};

/// More marks than a stick has room for.
const MOST_MARKS: usize = 400;
/// Attitudes whose ups are closer than this are one.
const SAME: f64 = 1e-9;
/// Places tried for the stick along the tank.
const PLACES: u32 = 200;

/// How the machine stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// In words, such as `nose up 12 deg`.
    pub name: String,
    /// Pitch and roll, rad.
    pub attitude_rad: [f64; 2],
    /// Up in the plan's coordinates.
    pub up: [f64; 3],
}

/// A volume with what the stick reads in each attitude.
#[derive(Clone, Debug)]
pub struct Mark {
    /// The volume, mm3.
    pub volume_mm3: f64,
    /// What the stick shows, by attitude.
    pub readings: Vec<Reading>,
    /// The volume that the level marks show there, mm3, where the line is wet.
    pub shown_mm3: Vec<Option<f64>>,
    /// The level wet line by the poured points, mm.
    pub as_poured_mm: Option<f64>,
}

/// The highest level that a chosen rule leaves.
#[derive(Clone, Debug)]
pub struct FullMark {
    /// The rule.
    pub rule: String,
    /// Its figure.
    pub cite: Cite,
    /// Space over it, mm3.
    pub space_mm3: f64,
    /// The mark.
    pub mark: Mark,
}

/// How far marks move with the attitude, for a place of the stick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// Where the stick meets the bottom, mm from the first end.
    pub at_mm: f64,
    /// Greatest difference of a mark from the level one, mm.
    pub most_mm: f64,
}

/// Dip marks of a tank.
#[derive(Debug)]
pub struct DipFacts {
    /// Index of the component.
    pub component: usize,
    /// Volume to the top, mm3.
    pub full_mm3: f64,
    /// Greatest change of a volume in the last round of its integral, as a share of the full tank; 0 in closed form.
    pub change: f64,
    /// How far the inside reaches along the stick, mm.
    pub reach_mm: f64,
    /// Attitudes, the level one first.
    pub standings: Vec<Standing>,
    /// The marks.
    pub marks: Vec<Mark>,
    /// The highest level by a chosen rule.
    pub full_mark: Option<FullMark>,
    /// Level wet lines between which the inner body takes room, mm.
    pub inner_mm: Option<(f64, f64)>,
    /// How far marks move with the attitude: as planned, at mid length, and where they move least.
    pub shifts: Option<[Shift; 3]>,
    /// How the poured points fit, or why they do not.
    pub poured: Option<Result<PouredFit, String>>,
    /// Whether attitudes were left out, since only the level tank was measured.
    pub only_level: bool,
}

/// What a tank holds by its measures and by the plan.
#[derive(Clone, Debug)]
pub struct CapacityFacts {
    /// Index of the component.
    pub component: usize,
    /// By the plan, m3.
    pub given_m3: f64,
    /// By its measures, m3, or why no tank has them.
    pub full_m3: Result<f64, String>,
}

/// What each tank holds that has both a capacity and measures; points that were poured or summed up may end below
/// the brim and say nothing of it.
pub fn capacities(plan: &Plan) -> Vec<CapacityFacts> {
    let one = |(component, owner): (usize, &Component)| {
        let tank = owner.tank.as_ref()?;
        let (given, shape) = tank.capacity.zip(tank.shape.as_ref())?;
        let full_m3 = placed::vessel_mm3(shape)?.map(|mm3| mm3 * 1e-9);
        Some(CapacityFacts { component, given_m3: given.si(), full_m3 })
    };
    plan.components.iter().enumerate().filter_map(one).collect()
}

/// The dip marks of a tank, at every step of volume, with pitches besides those of the plan.
///
/// # Errors
/// In words: what is missing, or what no tank has.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    component: usize,
    step_m3: Option<f64>,
    pitches_rad: &[f64],
) -> Result<DipFacts, String> {
    let tank = plan.components[component].tank.as_ref().ok_or("it is not a tank")?;
    let (Some(shape), Some(stick)) = (&tank.shape, &tank.stick) else {
        return Err("it needs a shape and a stick".into());
    };
    let placed = Placed::new(plan, shape, stick)?;
    let standings = standings(plan, pitches_rad, placed.only_level())?;
    let level = standings[0].up;
    let fit = tank.poured.as_ref().map(|p| fitted(plan, &placed, p));
    let fit_ok = fit.as_ref().and_then(|f| f.as_ref().ok());
    let step = step_m3.map_or_else(|| usual_step(placed.full_mm3()), |s| s * 1e9);
    let mark = |volume: f64| one_mark(&placed, &standings, volume, fit_ok);
    let marks: Vec<Mark> =
        volumes(&placed, step)?.into_iter().map(mark).collect::<Result<_, _>>()?;
    let full_mark = match space(plan, tables, component, placed.full_mm3()) {
        Some((rule, cite, space_mm3)) if space_mm3 < placed.full_mm3() => {
            let mark = mark(placed.full_mm3() - space_mm3)?;
            Some(FullMark { rule, cite, space_mm3, mark })
        }
        _ => None,
    };
    let wet = marks.iter().filter_map(|m| m.readings[0].mm());
    let changes = wet.map(|mm| Ok(placed.volume_mm3(level, mm)?.1));
    let change = changes.collect::<Result<Vec<f64>, String>>()?.into_iter().fold(0.0, f64::max);
    Ok(DipFacts {
        component,
        full_mm3: placed.full_mm3(),
        change,
        reach_mm: placed.reach_mm,
        inner_mm: placed.inner_mm(level)?,
        shifts: shifts(plan, shape, stick, &standings, &marks)?,
        only_level: placed.only_level(),
        standings,
        marks,
        full_mark,
        poured: fit,
    })
}

/// The level attitude, those of the plan's cases and matrix, and further pitches, each once.
fn standings(plan: &Plan, pitches_rad: &[f64], only_level: bool) -> Result<Vec<Standing>, String> {
    let cases = plan.cases.iter().map(|c| [c.nose_up_rad, c.roll_right_rad]);
    let matrix = plan.matrix.iter().flat_map(|m| {
        let rolls = move |nose: &f64| {
            let nose = *nose;
            m.roll_right_rad.iter().map(move |roll| [nose, *roll])
        };
        m.nose_up_rad.iter().flat_map(rolls)
    });
    let asked = pitches_rad.iter().map(|pitch| [*pitch, 0.0]);
    let mut all: Vec<Standing> = Vec::new();
    for attitude_rad in std::iter::once([0.0, 0.0]).chain(asked).chain(cases).chain(matrix) {
        let up = geometry::up(&plan.axes, attitude_rad[0], attitude_rad[1])
            .ok_or("an attitude cannot be worked out")?;
        let same = |s: &Standing| s.up.iter().zip(up).all(|(a, b)| (a - b).abs() < SAME);
        if !all.iter().any(same) {
            all.push(Standing { name: words(attitude_rad), attitude_rad, up });
        }
        if only_level {
            break;
        }
    }
    Ok(all)
}

fn words([nose, roll]: [f64; 2]) -> String {
    let tenths = |rad: f64, sides: [&str; 2]| {
        let degrees = rad.to_degrees();
        // The words of the matrix have whole degrees.
        if (degrees - degrees.round()).abs() < 1e-6 {
            return angle_words(rad, sides);
        }
        let side = if degrees > 0.0 { sides[0] } else { sides[1] };
        Some(format!("{side} {:.1} deg", degrees.abs()))
    };
    let nose = tenths(nose, ["nose up", "nose down"]);
    let roll = tenths(roll, ["right side down", "left side down"]);
    let words: Vec<String> = nose.into_iter().chain(roll).collect();
    if words.is_empty() { "level".to_owned() } else { words.join(", ") }
}

/// A round step of volume that gives about ten marks, mm3.
fn usual_step(full_mm3: f64) -> f64 {
    let decade = libm::pow(10.0, libm::floor(libm::log10(full_mm3 / 10.0)));
    let fits = |step: &f64| full_mm3 / step <= 12.0;
    [1.0, 2.0, 5.0, 10.0].map(|s| s * decade).into_iter().find(fits).unwrap_or(full_mm3)
}

/// Every whole step that the tank holds, mm3.
fn volumes(placed: &Placed, step_mm3: f64) -> Result<Vec<f64>, String> {
    let (least, full) = (placed.least_mm3(), placed.full_mm3());
    let all = (1_u32..).map(|i| step_mm3 * f64::from(i)).take_while(|v| *v < full * (1.0 - 1e-9));
    let all: Vec<f64> = all.filter(|v| *v >= least).take(MOST_MARKS + 1).collect();
    if all.len() > MOST_MARKS {
        return Err(format!("this step gives more than {MOST_MARKS} marks"));
    }
    Ok(all)
}

fn one_mark(
    placed: &Placed,
    standings: &[Standing],
    volume_mm3: f64,
    fit: Option<&PouredFit>,
) -> Result<Mark, String> {
    let level = standings[0].up;
    let mut mark =
        Mark { volume_mm3, readings: Vec::new(), shown_mm3: Vec::new(), as_poured_mm: None };
    for standing in standings {
        let surface = placed.level(standing.up, volume_mm3)?;
        let reading = placed.reading(standing.up, surface)?;
        let shown = reading.mm().map(|mm| Ok::<f64, String>(placed.volume_mm3(level, mm)?.0));
        mark.readings.push(reading);
        mark.shown_mm3.push(shown.transpose()?);
    }
    if let Some(fit) = fit {
        let of_shape = volume_mm3 / fit.scale;
        if of_shape < placed.full_mm3() * (1.0 - 1e-9) && of_shape >= placed.least_mm3() {
            let surface = placed.level(level, of_shape)?;
            mark.as_poured_mm = Some(placed.on_stick_mm(level, surface)? - fit.offset_mm);
        }
    }
    Ok(mark)
}

/// The largest expansion space that a chosen rule wants in this tank: the rule, its source and the space in mm3.
fn space(
    plan: &Plan,
    tables: &Tables,
    component: usize,
    full_mm3: f64,
) -> Option<(String, Cite, f64)> {
    let table = tables.get("limit", "regulation")?;
    let joined = |l: &&crate::plan::Line| {
        let at_tank = l.from.component == component || l.to.component == component;
        at_tank && !plan.fluids[l.fluid].fluid.gas
    };
    let uses: Vec<&str> = plan
        .lines
        .iter()
        .filter(joined)
        .map(|l| plan.fluids[l.fluid].fluid.use_.as_str())
        // The rule for a coolant counts by the system, which `network.room` judges.
        .filter(|u| *u != "coolant")
        .collect();
    let by_rule = plan.rules.iter().filter_map(|rule| {
        let row = table.row(&[("id", rule)])?;
        let of = table.words(row, "space")?.value;
        let share: Sourced<Ratio> =
            table.quantity(row, "value").filter(|_| uses.contains(&of.as_str()))?;
        let least = table.quantity::<Volume>(row, "least").map_or(0.0, |v| v.value.si());
        Some((rule.clone(), share.cite, (share.value.si() * full_mm3).max(least * 1e9)))
    });
    by_rule.max_by(|a, b| a.2.total_cmp(&b.2))
}

/// How far marks move with the attitude, for the stick as planned, at mid length and at its best place.
fn shifts(
    plan: &Plan,
    shape: &TankShape,
    stick: &Stick,
    standings: &[Standing],
    marks: &[Mark],
) -> Result<Option<[Shift; 3]>, String> {
    let mut moved = Placed::new(plan, shape, stick)?;
    let Some(length) = moved.length_mm(&shape.form) else { return Ok(None) };
    if standings.len() < 2 || marks.is_empty() {
        return Ok(None);
    }
    let levels = marks
        .iter()
        .map(|m| standings.iter().map(|s| moved.level(s.up, m.volume_mm3)).collect())
        .collect::<Result<Vec<Vec<f64>>, String>>()?;
    let mut shift = |at_mm: f64| {
        moved.stand(&Stick { at_mm, ..*stick })?;
        let mut most_mm: f64 = 0.0;
        for by_standing in &levels {
            let level = moved.on_stick_mm(standings[0].up, by_standing[0])?;
            for (standing, surface) in standings.iter().zip(by_standing) {
                most_mm = most_mm.max((moved.on_stick_mm(standing.up, *surface)? - level).abs());
            }
        }
        Ok::<Shift, String>(Shift { at_mm, most_mm })
    };
    let (now, middle) = (shift(stick.at_mm)?, shift(0.5 * length)?);
    let mut best = middle;
    for place in 0..=PLACES {
        // A stick that misses the tank or leans out of it stands nowhere.
        if let Ok(found) = shift(length * f64::from(place) / f64::from(PLACES))
            && found.most_mm < best.most_mm
        {
            best = found;
        }
    }
    Ok(Some([now, middle, best]))
}

fn fitted(plan: &Plan, placed: &Placed, poured: &Poured) -> Result<PouredFit, String> {
    let [nose, roll] = poured.attitude_rad;
    if placed.only_level() && [nose, roll].iter().any(|a| a.abs() > SAME) {
        return Err("only the level tank was measured, and these were poured on a slope".into());
    }
    let up = geometry::up(&plan.axes, nose, roll).ok_or("the attitude cannot be worked out")?;
    let outside =
        |p: &&(f64, f64)| p.1 < 0.0 || p.1 > placed.reach_mm || p.0 > 1.5 * placed.full_mm3();
    if let Some((_, dip)) = poured.points.iter().find(outside) {
        return Err(format!("the reading of {dip:.1} mm cannot be of this tank"));
    }
    let pour =
        |(volume_mm3, dip_mm): &(f64, f64)| Pour { volume_mm3: *volume_mm3, dip_mm: *dip_mm };
    let points: Vec<Pour> = poured.points.iter().map(pour).collect();
    let errors = PourErrors { lot_mm3: poured.lot_error_mm3, reading_mm: poured.reading_error_mm };
    let not_settled = crate::geometry::GeometryError::NotSettled { what: "the volume of the tank" };
    let volume_at = |dip: f64| placed.slope(up, dip).map_err(|_| not_settled.clone());
    poured_fit(&points, errors, &volume_at).map_err(|e| e.to_string())
}

/// Whether a tank can be dipped.
pub fn can_be_dipped(tank: &Tank) -> bool {
    tank.shape.is_some() && tank.stick.is_some()
}
