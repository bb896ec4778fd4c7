//! Threads and seats from a calliper, a pitch gauge and a look at the cone.

use super::reading::Reading;
use super::{IdentifyError, above_zero};

/// Diameters closer than this, mm, and pitches closer than a five-hundredth are those of one thread.
const SAME_DIAMETER_MM: f64 = 0.02;
const SAME_PITCH: f64 = 0.002;

/// Which side of a joint the thread is cut on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// On the outside.
    Male,
    /// On the inside.
    Female,
}

/// A thread with the seat of its family.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadForm {
    /// Nominal outside diameter.
    pub major_mm: f64,
    /// Pitch.
    pub pitch_mm: f64,
    /// Whether the flanks stand at 55 degrees (pipe threads), not at 60.
    pub whitworth: bool,
    /// Angle of the sealing cone against the axis; none where the family seals without a cone.
    pub cone_deg: Option<f64>,
}

/// What was read on a thread.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ThreadReading {
    /// Over the crests of a male thread, or between those of a female one, mm.
    pub diameter: Option<Reading>,
    /// Pitch, mm.
    pub pitch: Option<Reading>,
    /// Angle of the cone against the axis, degrees.
    pub cone: Option<Reading>,
    /// Side.
    pub side: Option<Side>,
}

/// What would be read next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Next {
    /// The pitch, with a gauge.
    Pitch,
    /// The angle of the cone.
    Cone,
    /// The diameter over or between the crests.
    Diameter,
    /// Whether the thread is male or female.
    Side,
}

/// A form that the readings leave possible, on one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Possible {
    /// Index of the form.
    pub form: usize,
    /// Its side.
    pub side: Side,
    /// Its share of the likelihood of all that is possible.
    pub share: f64,
}

/// What readings say about a thread.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// What is possible, likeliest first.
    pub possible: Vec<Possible>,
    /// The one reading that tells most among them, with the bits to expect; none where nothing would.
    pub next: Option<(Next, f64)>,
}

/// How two threads can be taken for one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Confusion {
    /// They screw together, and the seats do not match: no seal.
    OtherSeat,
    /// They start on one another, and jam or strip.
    NearThread,
}

impl ThreadForm {
    /// # What it gives
    ///
    /// Between which diameters the crests of a sound thread lie, mm.
    ///
    /// # Formula
    ///
    /// Male: `d - (15 + 11 P) um - (180 P^(2/3) - 3.15 / sqrt(P)) um` to `d`. Female: `D1 = D - 1.0825 P`
    /// (55 degree flanks: `D - 1.2807 P`) to `D1 + (230 P^0.7) um`, below 1 mm of pitch
    /// `(433 P - 190 P^1.22) um`, with 55 degree flanks `P / 3`.
    ///
    /// # Valid for
    ///
    /// Diameters and pitches above zero, mm.
    ///
    /// # Source
    ///
    /// ISO 965-1, position g and grades 6 and 6; ISO 68-1 and ISO 228-1 for the profiles (from memory).
    ///
    /// # Notes
    ///
    /// Inch threads of the Unified form have tolerances within some hundredths of a millimetre of these.
    /// A worn or plated thread may lie outside by more than that.
    ///
    /// # Errors
    ///
    /// [`IdentifyError`] for numbers at or below zero.
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::identify::thread::{Side, ThreadForm};
    ///
    /// let m22 = ThreadForm { major_mm: 22.0, pitch_mm: 1.5, whitworth: false, cone_deg: None };
    /// let (least, most) = m22.crests(Side::Male)?;
    /// assert!((least - 21.732).abs() < 6e-3 && most == 22.0);
    /// # Ok::<(), hosewright::identify::IdentifyError>(())
    /// ```
    pub fn crests(&self, side: Side) -> Result<(f64, f64), IdentifyError> {
        let major = above_zero("major_mm", self.major_mm)?;
        let pitch = above_zero("pitch_mm", self.pitch_mm)?;
        Ok(match side {
            Side::Male => {
                let grade = 180.0 * libm::pow(pitch, 2.0 / 3.0) - 3.15 / libm::sqrt(pitch);
                (major - (15.0 + 11.0 * pitch + grade) / 1e3, major)
            }
            Side::Female if self.whitworth => {
                let minor = major - 1.2807 * pitch;
                (minor, minor + pitch / 3.0)
            }
            Side::Female => {
                let minor = major - 1.0825 * pitch;
                let grade = if pitch < 1.0 {
                    433.0 * pitch - 190.0 * libm::pow(pitch, 1.22)
                } else {
                    230.0 * libm::pow(pitch, 0.7)
                };
                (minor, minor + grade / 1e3)
            }
        })
    }

    /// Whether the other is the same thread, whatever its seat.
    pub fn same_thread(&self, other: &Self) -> bool {
        (self.major_mm - other.major_mm).abs() <= SAME_DIAMETER_MM
            && (self.pitch_mm / other.pitch_mm - 1.0).abs() <= SAME_PITCH
    }

    fn likelihood(&self, read: &ThreadReading, side: Side) -> Result<Option<f64>, IdentifyError> {
        if read.side.is_some_and(|s| s != side) {
            return Ok(None);
        }
        let mut likelihood = 1.0;
        if let Some(diameter) = read.diameter {
            let (low, high) = self.crests(side)?;
            if diameter.off(low, high).is_some() {
                return Ok(None);
            }
            likelihood *= diameter.in_window(low, high)?;
        }
        if let Some(pitch) = read.pitch {
            if pitch.off(self.pitch_mm, self.pitch_mm).is_some() {
                return Ok(None);
            }
            likelihood *= pitch.at(self.pitch_mm)?;
        }
        if let Some(cone) = read.cone {
            let Some(own) = self.cone_deg else { return Ok(None) };
            if cone.off(own, own).is_some() {
                return Ok(None);
            }
            likelihood *= cone.at(own)?;
        }
        Ok(Some(likelihood))
    }
}

/// # What it gives
///
/// Which threads readings leave possible, and the one reading that decides most among them.
///
/// # Formula
///
/// A form is out where a reading lies more than twice its stated error from it; the others share
/// out by the product of their densities. Each reading not yet taken sorts what is left into
/// groups, and `-sum s log2(s)` over their shares `s` is what it tells.
///
/// # Valid for
///
/// Any number of forms; every reading may be absent.
///
/// # Source
///
/// Derived here; two standard deviations as in [`Reading::in_window`].
///
/// # Notes
///
/// More than one form left means: cannot tell from these readings.
///
/// # Errors
///
/// [`IdentifyError`] for forms whose diameter or pitch is not above zero.
///
/// # Example
///
/// ```
/// use hosewright::identify::{reading::Reading, thread::{Next, Side, ThreadForm, ThreadReading, tell}};
///
/// let form = |cone| ThreadForm { major_mm: 19.05, pitch_mm: 1.5875, whitworth: false, cone_deg: Some(cone) };
/// let read = ThreadReading {
///     diameter: Some(Reading::new(19.0, 0.1)?),
///     side: Some(Side::Male),
///     ..ThreadReading::default()
/// };
/// let told = tell(&[form(37.0), form(45.0)], &read)?;
/// assert_eq!(told.possible.len(), 2);
/// assert_eq!(told.next.map(|(what, _)| what), Some(Next::Cone));
/// # Ok::<(), hosewright::identify::IdentifyError>(())
/// ```
pub fn tell(forms: &[ThreadForm], read: &ThreadReading) -> Result<Told, IdentifyError> {
    let mut possible = Vec::new();
    for (form, one) in forms.iter().enumerate() {
        for side in [Side::Male, Side::Female] {
            if let Some(share) = one.likelihood(read, side)? {
                possible.push(Possible { form, side, share });
            }
        }
    }
    let all: f64 = possible.iter().map(|p| p.share).sum();
    for one in &mut possible {
        one.share /= all;
    }
    possible.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.form.cmp(&b.form)));
    let next = next(forms, read, &possible);
    Ok(Told { possible, next })
}

fn next(forms: &[ThreadForm], read: &ThreadReading, left: &[Possible]) -> Option<(Next, f64)> {
    let one = left.iter().all(|p| p.form == left[0].form);
    let mut best: Option<(Next, f64)> = None;
    let untaken = [
        (Next::Pitch, read.pitch.is_none()),
        (Next::Cone, read.cone.is_none()),
        (Next::Diameter, read.diameter.is_none()),
        (Next::Side, read.side.is_none()),
    ];
    for (what, _) in untaken.into_iter().filter(|(_, open)| *open && !one) {
        let bits = told_by(forms, left, what);
        if bits > best.map_or(1e-9, |(_, most)| most + 1e-9) {
            best = Some((what, bits));
        }
    }
    best
}

/// Bits of the groups into which a reading sorts what is left.
fn told_by(forms: &[ThreadForm], left: &[Possible], what: Next) -> f64 {
    let alike = |a: &Possible, b: &Possible| {
        let (x, y) = (&forms[a.form], &forms[b.form]);
        match what {
            Next::Pitch => (x.pitch_mm / y.pitch_mm - 1.0).abs() <= SAME_PITCH,
            Next::Cone => x.cone_deg == y.cone_deg,
            Next::Diameter => (x.major_mm - y.major_mm).abs() <= SAME_DIAMETER_MM,
            Next::Side => a.side == b.side,
        }
    };
    let mut groups: Vec<(&Possible, f64)> = Vec::new();
    for one in left {
        match groups.iter_mut().find(|(first, _)| alike(first, one)) {
            Some((_, share)) => *share += one.share,
            None => groups.push((one, one.share)),
        }
    }
    groups.iter().filter(|(_, s)| *s > 0.0).map(|(_, s)| -s * libm::log2(*s)).sum()
}

/// # What it gives
///
/// Whether two threads can be screwed together, at least for some turns, without making a joint.
///
/// # Formula
///
/// The same diameter and pitch with another seat; or diameters within `near_mm` and pitches within
/// `near_share` of one another without being the same.
///
/// # Valid for
///
/// Diameters and pitches above zero.
///
/// # Source
///
/// Definition; the nearness is handed in.
///
/// # Notes
///
/// Families that both seal without a cone are told apart by the caller.
///
/// # Errors
///
/// None.
///
/// # Example
///
/// ```
/// use hosewright::identify::thread::{Confusion, ThreadForm, confusion};
///
/// let form = |d, p, cone| ThreadForm { major_mm: d, pitch_mm: p, whitworth: false, cone_deg: cone };
/// let inch = form(26.9875, 25.4 / 12.0, Some(37.0));
/// let metric = form(27.0, 2.0, None);
/// assert_eq!(confusion(&inch, &metric, 0.4, 0.07), Some(Confusion::NearThread));
/// assert_eq!(confusion(&inch, &form(26.9875, 25.4 / 12.0, Some(45.0)), 0.4, 0.07), Some(Confusion::OtherSeat));
/// ```
pub fn confusion(
    a: &ThreadForm,
    b: &ThreadForm,
    near_mm: f64,
    near_share: f64,
) -> Option<Confusion> {
    if a.same_thread(b) {
        return (a.cone_deg != b.cone_deg).then_some(Confusion::OtherSeat);
    }
    let near = (a.major_mm - b.major_mm).abs() <= near_mm
        && (a.pitch_mm / b.pitch_mm - 1.0).abs() <= near_share;
    near.then_some(Confusion::NearThread)
}
