//! `record.proof`: what a finished line was tested at is what its proof test asks of it now.

use crate::check::rating::pressure_to;
use crate::check::{About, Draft, Recorded};
use crate::finding::Finding;
use crate::signed::LineState;
use crate::source::Sourced;
use crate::units::{GaugePressure, Quantity, read_uncertain};

/// What the check is about.
pub const ABOUT: About = About {
    code: "record.proof",
    looks_at: "the highest value `pressure` of the entries `tested` on a line, since it was made as it is now, by its present card",
    why: "a plan that goes on may ask more of a hose than it was ever tested at, and a hose that was tested too hard may burst in service",
    number: "pressure in kPa gauge, against the test pressure as the plan is now, and against the pressure that hose or tube stands without harm",
    limit_from: "`hosewright test proof`, by the rules of its tables",
    open_when: "a test has no pressure written down, or one that is no gauge pressure; or the test pressure is not known",
    remedy: "test it again at the pressure of hosewright test proof, before it is used",
};

const BURST: &str = "do not use it: make it anew, or ask its maker what it stands";
const WRITE: &str = "write it down: hosewright log add PLAN tested LINE --value pressure=\"12 bar\"; or test it again";
/// A pressure is printed, and read off a gauge, with three digits.
const PRINTED_TO: f64 = 0.005;

/// What the proof test of a line asks.
#[derive(Clone, Debug)]
pub struct ProofAsked {
    /// Index of the line.
    pub line: usize,
    /// The pressures, or why they are not known.
    pub pressures: Result<ProofPressures, String>,
}

/// The pressures of a proof test.
#[derive(Clone, Debug)]
pub struct ProofPressures {
    /// At least, Pa gauge.
    pub least: Sourced<f64>,
    /// What that follows from, in words.
    pub by: String,
    /// Whether the line may see more in a case whose pressure is not known.
    pub may_be_more: bool,
    /// What the line stands without harm, Pa gauge.
    pub stands: Option<Sourced<f64>>,
}

/// A pressure as it was written down, Pa gauge.
#[derive(Clone, Copy)]
struct Tested {
    pa: f64,
    off_pa: f64,
}

/// Judges every line that was tested and whose proof test is known here.
pub fn check(recorded: &Recorded<'_>) -> Vec<Finding> {
    let of_line = |asked: &ProofAsked| {
        let line = recorded.signed.lines.get(asked.line).filter(|l| !l.tests.is_empty())?;
        Some(one(*recorded, line, &asked.pressures))
    };
    recorded.proofs.iter().filter_map(of_line).collect()
}

fn one(
    recorded: Recorded<'_>,
    line: &LineState,
    asked: &Result<ProofPressures, String>,
) -> Finding {
    let draft = recorded.draft(&ABOUT, &line.id);
    let tested = match highest(recorded.signed.pressures(line)) {
        Ok(tested) => tested,
        Err(why) => return draft.open(why, WRITE),
    };
    let draft = draft.value(tested.pa / 1e3, "kPa");
    match asked {
        Ok(wanted) => judge(draft, tested, wanted),
        Err(why) => {
            let message = format!("tested at {}: {why}", text(tested.pa));
            draft.open(message, "see hosewright test proof")
        }
    }
}

/// The highest pressure that was written down, or why there is none to go by.
fn highest<'t>(texts: impl Iterator<Item = &'t str>) -> Result<Tested, String> {
    let mut highest: Option<Tested> = None;
    for text in texts {
        let (pressure, off) = read_uncertain::<GaugePressure>(text)
            .map_err(|_| format!("cannot be told: \"{text}\" is no gauge pressure"))?;
        let found = Tested { pa: pressure.si(), off_pa: off.map_or(0.0, Quantity::si) };
        highest = highest.filter(|before| before.pa >= found.pa).or(Some(found));
    }
    highest.ok_or_else(|| "tested, but no pressure is written down".to_owned())
}

fn judge(draft: Draft, tested: Tested, wanted: &ProofPressures) -> Finding {
    let at = text(tested.pa);
    let [low_pa, high_pa] = [tested.pa - tested.off_pa, tested.pa + tested.off_pa];
    if let Some(stands) = &wanted.stands
        && low_pa > stands.value * (1.0 + PRINTED_TO)
    {
        let message =
            format!("tested at {at}, more than the {} that it stands", text(stands.value));
        return draft.most(stands.value / 1e3, &stands.cite).fail(message, BURST);
    }
    let draft = draft.least(wanted.least.value / 1e3, &wanted.least.cite);
    let least_pa = wanted.least.value * (1.0 - PRINTED_TO);
    let asks = format!("{}: {}", text(wanted.least.value), wanted.by);
    let says = format!("tested at {at}; the plan as it is now asks for {asks}");
    if high_pa < least_pa {
        draft.fail(says, ABOUT.remedy)
    } else if low_pa < least_pa {
        draft.caution(
            format!("{says}; by the error of the gauge it may have been less"),
            ABOUT.remedy,
        )
    } else if wanted.may_be_more {
        let says = format!("{says}; its pressure is not known in every case");
        draft.open(says, "give the line a duty with pressure_max in those cases")
    } else {
        draft.ok(says)
    }
}

fn text(pascal: f64) -> String {
    pressure_to(pascal, 1)
}
