//! One pipe held against one line: what speaks against it, and how well the readings fit.

use super::line::{Wanted, WantedEnd};
use super::read::{Pipe, PipeEnd};
use super::rules::Rules;
use crate::identify::IdentifyError;
use crate::identify::reading::Reading;
use crate::identify::thread::{Confusion, Side, ThreadForm, confusion};
use crate::solve::rating::compatibility;
use crate::table::Tables;
use crate::table::thread::ThreadSize;

/// Angles that ends are made in, degrees; a stranger has one of these or any other.
const USUAL_ANGLES: [f64; 3] = [0.0, 45.0, 90.0];

/// What speaks against a pipe on a line.
#[derive(Clone, Debug, PartialEq)]
pub enum Objection {
    /// The thread of an end differs.
    Thread {
        /// End of the pipe.
        end: usize,
        /// What the pipe has.
        has: String,
        /// What the line wants.
        wants: String,
        /// How the two could still be screwed together.
        goes_on: Option<Confusion>,
    },
    /// The thread is the right one, and the seat is not: screws together and does not seal.
    Seat {
        /// End of the pipe.
        end: usize,
        /// What the pipe has.
        has: String,
        /// What the line wants.
        wants: String,
    },
    /// Both male or both female.
    Gender {
        /// End of the pipe.
        end: usize,
    },
    /// The fluid attacks the material.
    Fluid {
        /// What touches the fluid.
        material: String,
        /// Class of the fluid.
        class: String,
    },
    /// Outside of the window of lengths, mm: above zero too long.
    Length(f64),
    /// Off the bore, mm.
    Bore(f64),
    /// Off the outside, mm.
    Outside(f64),
    /// Off the angle of an end, degrees.
    Angle {
        /// End of the pipe.
        end: usize,
        /// By how much.
        off: f64,
    },
}

impl Objection {
    /// Whether the pipe must never go on the line, however well it fits else.
    pub fn is_never(&self) -> bool {
        matches!(
            self,
            Self::Thread { .. } | Self::Seat { .. } | Self::Gender { .. } | Self::Fluid { .. }
        )
    }

    /// A short name of what is objected to.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Thread { .. } => "thread",
            Self::Seat { .. } => "seat",
            Self::Gender { .. } => "gender",
            Self::Fluid { .. } => "fluid",
            Self::Length(_) => "length",
            Self::Bore(_) => "bore",
            Self::Outside(_) => "outside",
            Self::Angle { .. } => "angle",
        }
    }
}

/// A pipe on a line.
#[derive(Clone, Debug)]
pub struct Pair {
    /// Logarithm of how much better the line explains the readings than a stranger does; none where
    /// something speaks against it.
    pub log_ratio: Option<f64>,
    /// What speaks against it, the way round that has least.
    pub objections: Vec<Objection>,
    /// Whether end A of the pipe goes to end B of the line.
    pub turned: bool,
}

/// What pairs are judged with.
pub struct Bench<'b> {
    /// The tables.
    pub tables: &'b Tables,
    /// Every known thread.
    pub threads: &'b [ThreadSize],
    /// Different threads among them.
    pub different: &'b [ThreadForm],
    /// Different cones among them, and none.
    pub cones: &'b [Option<f64>],
    /// The rules.
    pub rules: &'b Rules,
}

/// What was found of one way round.
#[derive(Default)]
struct Tally {
    log: f64,
    objections: Vec<Objection>,
}

impl Tally {
    /// A reading by its densities on the line and on a stranger.
    fn weigh(&mut self, line: f64, stranger: f64) {
        // Beyond this nothing is told apart; objections exclude long before.
        self.log += libm::log(line.max(1e-300)) - libm::log(stranger.max(1e-300));
    }
}

impl Bench<'_> {
    /// A pipe on a line, whichever way round fits.
    ///
    /// # Errors
    /// From the kernels; none for what was read from files.
    pub fn pair(&self, pipe: &Pipe, wanted: &Wanted) -> Result<Pair, IdentifyError> {
        let mut body = Tally::default();
        self.body(pipe, wanted, &mut body)?;
        let mut ways = Vec::new();
        for turned in [false, true] {
            let mut way = Tally { log: body.log, objections: body.objections.clone() };
            for end in 0..2 {
                let place = if turned { 1 - end } else { end };
                self.end(end, &pipe.ends[end], wanted.ends[place].as_ref(), &mut way)?;
            }
            ways.push(way);
        }
        let open: Vec<f64> =
            ways.iter().filter(|w| w.objections.is_empty()).map(|w| w.log).collect();
        let turned = usize::from(better(&ways[1], &ways[0]));
        // Each way round is as likely as the other before anything is read.
        let top = open.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = open.iter().map(|log| libm::exp(log - top) / 2.0).sum();
        Ok(Pair {
            log_ratio: (!open.is_empty()).then(|| top + libm::log(sum)),
            objections: ways.swap_remove(turned).objections,
            turned: turned == 1,
        })
    }

    /// Length, bore, outside, sleeve and material.
    fn body(&self, pipe: &Pipe, wanted: &Wanted, tally: &mut Tally) -> Result<(), IdentifyError> {
        if let (Some(length), Some((low, high))) = (pipe.length, wanted.window_mm) {
            match length.off(low, high) {
                Some(off) => tally.objections.push(Objection::Length(off)),
                None => tally.weigh(
                    length.in_window(low, high)?,
                    length.of_a_stranger(self.rules.length_span)?,
                ),
            }
        }
        self.diameter(pipe.bore, wanted.bore_mm, Objection::Bore, tally)?;
        self.diameter(pipe.outside, wanted.outside_mm, Objection::Outside, tally)?;
        if let Some(sleeved) = pipe.sleeved {
            let changed = self.rules.sleeve_changed;
            tally.weigh(if sleeved == wanted.sleeved { 1.0 - changed } else { changed }, 0.5);
        }
        if let (Some(material), Some(class)) = (&pipe.material, &wanted.fluid_class) {
            let found = compatibility(self.tables, material, class);
            if found.is_some_and(|(rating, _)| rating.value == "unsuitable") {
                let (material, class) = (material.clone(), class.clone());
                tally.objections.push(Objection::Fluid { material, class });
            }
        }
        Ok(())
    }

    fn diameter(
        &self,
        read: Option<Reading>,
        wanted: Option<f64>,
        objection: fn(f64) -> Objection,
        tally: &mut Tally,
    ) -> Result<(), IdentifyError> {
        if let (Some(read), Some(wanted)) = (read, wanted) {
            match read.off(wanted, wanted) {
                Some(off) => tally.objections.push(objection(off)),
                None => {
                    tally.weigh(read.at(wanted)?, read.of_a_stranger(self.rules.bore_span)?);
                }
            }
        }
        Ok(())
    }

    fn end(
        &self,
        end: usize,
        read: &PipeEnd,
        wanted: Option<&WantedEnd>,
        tally: &mut Tally,
    ) -> Result<(), IdentifyError> {
        let Some(wanted) = wanted else {
            if let Some(has) = written(read) {
                let wants = "no fitting, the hose is pushed over a spigot".to_owned();
                tally.objections.push(Objection::Thread { end, has, wants, goes_on: None });
            }
            return Ok(());
        };
        if let Some(angle) = read.angle {
            match angle.off(wanted.angle_deg, wanted.angle_deg) {
                Some(off) => tally.objections.push(Objection::Angle { end, off }),
                None => tally.weigh(angle.at(wanted.angle_deg)?, stranger_angle(angle)?),
            }
        }
        if matches!((read.side, wanted.side), (Some(a), Some(b)) if a != b) {
            tally.objections.push(Objection::Gender { end });
        }
        self.thread(end, read, wanted, tally)
    }

    fn thread(
        &self,
        end: usize,
        read: &PipeEnd,
        wanted: &WantedEnd,
        tally: &mut Tally,
    ) -> Result<(), IdentifyError> {
        let Some(thread) = &wanted.thread else { return Ok(()) };
        let form = thread.form;
        let side = read.side.or(wanted.side).unwrap_or(Side::Female);
        let (low, high) = form.crests(side)?;
        let named = named_form(read, form);
        let other = named.is_some_and(|n| !n.same_thread(&form))
            || read.diameter.is_some_and(|d| d.off(low, high).is_some())
            || read.pitch.is_some_and(|p| p.off(form.pitch_mm, form.pitch_mm).is_some());
        if other {
            let (near_mm, near) = (self.rules.near_diameter_mm, self.rules.near_pitch);
            let goes_on = named.and_then(|n| confusion(&n, &form, near_mm, near));
            let has = written(read).unwrap_or_default();
            let wants = thread.written.clone();
            tally.objections.push(Objection::Thread { end, has, wants, goes_on });
            return Ok(());
        }
        if named.is_some() {
            tally.weigh(1.0, 1.0 / count(self.different.len()));
        } else {
            if let Some(d) = read.diameter {
                tally.weigh(d.in_window(low, high)?, d.of_a_stranger(self.rules.bore_span)?);
            }
            if let Some(p) = read.pitch {
                tally.weigh(p.at(form.pitch_mm)?, p.of_a_stranger(self.rules.bore_span)?);
            }
        }
        self.cone(end, read, &wanted.label, form, tally)
    }

    fn cone(
        &self,
        end: usize,
        read: &PipeEnd,
        label: &str,
        form: ThreadForm,
        tally: &mut Tally,
    ) -> Result<(), IdentifyError> {
        let Some(cone) = read.cone else { return Ok(()) };
        match form.cone_deg.filter(|c| cone.off(*c, *c).is_none()) {
            Some(own) => {
                let all = count(self.cones.len());
                let known = self.cones.iter().flatten();
                let stranger: Result<Vec<f64>, _> = known.map(|c| cone.at(*c)).collect();
                tally.weigh(cone.at(own)?, stranger?.iter().sum::<f64>() / all);
            }
            None => tally.objections.push(Objection::Seat {
                end,
                has: format!("a cone of {:.0} deg", cone.value),
                wants: form.cone_deg.map_or_else(
                    || format!("{label}, which seals without a cone"),
                    |c| format!("{label}, a cone of {c:.0} deg"),
                ),
            }),
        }
        Ok(())
    }
}

/// Whether one way round has less against it than the other, or fits better.
fn better(one: &Tally, other: &Tally) -> bool {
    let (a, b) = (one.objections.len(), other.objections.len());
    a < b || (a == b && one.log > other.log + 1e-9)
}

/// A stranger has one of the usual angles, or any other.
fn stranger_angle(angle: Reading) -> Result<f64, IdentifyError> {
    let usual: Result<Vec<f64>, _> = USUAL_ANGLES.iter().map(|a| angle.at(*a)).collect();
    Ok((usual?.iter().sum::<f64>() + 1.0 / 180.0) / (count(USUAL_ANGLES.len()) + 1.0))
}

fn named_form(read: &PipeEnd, like: ThreadForm) -> Option<ThreadForm> {
    let name = read.thread.as_ref()?;
    let cone_deg = read.cone.map(|c| c.value);
    let (major_mm, pitch_mm) = (name.major_mm, name.pitch_mm);
    Some(ThreadForm { major_mm, pitch_mm, cone_deg, ..like })
}

/// What was read of a thread, in words.
fn written(read: &PipeEnd) -> Option<String> {
    if let Some(name) = &read.thread {
        return Some(name.written.clone());
    }
    let diameter = read.diameter.map(|d| format!("{:.2} mm over the crests", d.value));
    let pitch = read.pitch.map(|p| format!("a pitch of {:.3} mm", p.value));
    let parts: Vec<String> = diameter.into_iter().chain(pitch).collect();
    (!parts.is_empty()).then(|| parts.join(" and "))
}

/// A count as a number.
pub fn count(items: usize) -> f64 {
    u32::try_from(items).map_or(f64::from(u32::MAX), f64::from)
}
