//! `fitting.mating`: thread, seat, size and gender of both ends, and hose over spigot.

use crate::check::{About, Draft, Look};
use crate::finding::Finding;
use crate::rating::mating::{Mating, SpigotFit};
use crate::solve::fitting::{Joint, JointFacts};

/// What the check is about.
pub const ABOUT: About = About {
    code: "fitting.mating",
    looks_at: "both ends of the line and the ports they go on",
    why: "some wrong pairs screw together and do not seal; a hose too loose on its spigot blows off, one too tight splits",
    number: "family, thread, size and gender; for a spigot the stretch of the hose",
    limit_from: "the thread tables; limit/spigot",
    open_when: "a size, a gender, the bore of the hose or the bead of a spigot is not given",
    remedy: "choose the end fitting that belongs to the port; never force a thread and never seal a flare with tape",
};

/// Judges both joints.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    look.own.fitting.iter().map(|joint| judge(look, joint)).collect()
}

fn judge(look: &Look<'_>, joint: &JointFacts) -> Finding {
    let draft = look.draft(&ABOUT).at(&joint.port).source(&joint.cite);
    let pair = format!("{} on {}", joint.end, joint.wants);
    match &joint.joint {
        Joint::Threaded(mating) => threaded(draft, *mating, &pair),
        Joint::Spigot(fit) => spigot(draft, joint, *fit, &pair),
        Joint::TubeOnSpigot => draft.fail(
            format!("{pair}: a rigid tube cannot be pushed over a spigot"),
            "join them with a short hose, as a line of its own",
        ),
        Joint::Unknown(why) => draft.open(format!("{pair}: {why}"), "add what is missing"),
    }
}

fn threaded(draft: Draft, mating: Mating, pair: &str) -> Finding {
    let wrong = match mating {
        Mating::Mates => return draft.ok(format!("{pair}: mates")),
        Mating::WrongGender => "both are of the same gender",
        Mating::WrongSize => "the sizes differ",
        Mating::WrongThread => "the threads differ",
        Mating::SameThreadOtherSeat => {
            "the threads are the same but the seats are not: it screws together and does not seal"
        }
        Mating::NothingAlike => "thread and seat differ",
    };
    draft.fail(format!("{pair}: {wrong}"), ABOUT.remedy)
}

fn spigot(draft: Draft, joint: &JointFacts, fit: SpigotFit, pair: &str) -> Finding {
    match fit {
        SpigotFit::Loose { gap_mm } => draft.value(-gap_mm, "mm").fail(
            format!("{pair}: {gap_mm:.1} mm loose, no clip can seal that"),
            "use a hose of the spigot's size",
        ),
        SpigotFit::TooTight { stretch_fraction } => {
            draft.value(100.0 * stretch_fraction, "%").fail(
                format!("{pair}: the hose would have to stretch {:.0} %", 100.0 * stretch_fraction),
                "use a hose of the spigot's size",
            )
        }
        SpigotFit::Fits { .. } if joint.bead == Some(false) => draft.caution(
            format!("{pair}: fits, but the spigot has no bead to hold the hose"),
            "roll a bead, or use a spigot with one; the clip goes behind the bead",
        ),
        SpigotFit::Fits { .. } if joint.bead.is_none() => draft.open(
            format!("{pair}: fits, but whether the spigot has a bead is not said"),
            "look for the bead, and set bead on the port",
        ),
        SpigotFit::Fits { stretch_fraction } => draft
            .value(100.0 * stretch_fraction, "%")
            .ok(format!("{pair}: stretch {:.1} %", 100.0 * stretch_fraction)),
    }
}
