//! `geometry.clock-angle`: how the two angled ends of a hose stand to each other.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::solve::clocking::ClockFacts;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.clock-angle",
    looks_at: "the angle between the two angled ends of a hose, carried along its route without twist",
    why: "a hose with its elbows set wrong is twisted when it is fitted: it springs back, loosens its nuts and fails early",
    number: "the angle as made in degrees off the one the route wants, against the tolerance for its length",
    limit_from: "limit/installation, rules clock-tolerance-short and clock-tolerance-long; convention of MIL-DTL-83796/5, figure 3",
    open_when: "there is no route or no cut length",
    remedy: "set the elbows with a protractor before the last end is tightened, and check that the hose does not spring round when a nut is loosened",
};

/// Gives the clock angle, and judges the one that was made.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(makeup) = &look.own.makeup else {
        return vec![draft.open("there is no cut length", "see makeup.cut-length")];
    };
    let clock = match &makeup.clock {
        Ok(Some(clock)) => clock,
        Ok(None) => return vec![draft.ok("fewer than two angled ends: nothing to set")],
        Err(why) => return vec![draft.open(why, "see geometry.route")],
    };
    let cite = clock.tolerance.as_ref().map_or_else(|| Cite::plan("ends"), |t| t.cite.clone());
    let wanted = setting(clock);
    let (Some(made), Some(tolerance)) = (clock.made_rad, &clock.tolerance) else {
        return vec![draft.value(clock.angle_rad.to_degrees(), "deg").source(&cite).ok(wanted)];
    };
    let off = off_rad(made, clock.angle_rad).abs();
    let limit_deg = tolerance.value.to_degrees();
    let draft = draft.value(off.to_degrees(), "deg").most(limit_deg, &cite);
    let stored = (off * clock.twist_rad_m).to_degrees();
    let message = format!(
        "made at {:.1} deg, {:.1} deg off: {wanted}; fitted as it is, the hose keeps a twist of {stored:.0} deg for each metre",
        made.to_degrees(),
        off.to_degrees()
    );
    vec![if off <= tolerance.value + 1e-9 {
        draft.ok(message)
    } else {
        draft.fail(message, ABOUT.remedy)
    }]
}

/// From one angle to another by the shorter way.
fn off_rad(made: f64, wanted: f64) -> f64 {
    let turn = std::f64::consts::TAU;
    let off = (made - wanted).rem_euclid(turn);
    if off > 0.5 * turn { off - turn } else { off }
}

/// The angle in the standard's convention, and how to turn the end, in words.
pub fn setting(clock: &ClockFacts) -> String {
    let deg = clock.angle_rad.to_degrees();
    let (turn, hand) =
        if deg <= 180.0 { (deg, "anticlockwise") } else { (360.0 - deg, "clockwise") };
    let tolerance = clock.tolerance.as_ref();
    let within = tolerance.map_or(String::new(), |t| format!(" ± {:.0} deg", t.value.to_degrees()));
    format!(
        "clock angle {deg:.1} deg{within}: look from end A towards end B with the elbow of A at 6 o'clock; that of B stands {turn:.1} deg {hand} from it"
    )
}
