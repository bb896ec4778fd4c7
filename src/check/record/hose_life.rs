//! `record.hose-life`: no hose is older than the rules that the plan chooses allow.

use crate::check::{About, Recorded};
use crate::finding::{Finding, Verdict};
use crate::signed::Due;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "record.hose-life",
    looks_at: "the dates of every hose that the record tells of, on the day that is asked for",
    why: "rubber ages on the shelf and in the machine, and a hose that is too old bursts without a sign",
    number: "the day on which the years of a rule are over, and the days left until then",
    limit_from: "limit/hose-life, the rules that hose_life in [plan] names; they differ by a factor of three, so none is chosen for the builder",
    open_when: "the plan chooses no rule, none of those chosen speaks of the hose, or the record does not say from when a rule counts",
    remedy: "replace the hose, or choose the rules that the manual of the machine gives: hosewright log life shows all of them",
};

/// Judges every hose of which anything is written by every chosen rule; says once that none is chosen.
pub fn check(recorded: &Recorded<'_>) -> Vec<Finding> {
    let hoses = recorded.hoses;
    if hoses.written == 0 {
        return Vec::new();
    }
    if !hoses.chosen {
        let draft = recorded.draft(&ABOUT, "record").source(&Cite::plan("hose_life"));
        let message = "the plan chooses no rule on the life of hose, so no age is judged";
        let remedy = "choose with hose_life in [plan]: hosewright log life shows every rule";
        return vec![draft.open(message, remedy)];
    }
    let unruled = hoses.unruled.iter().map(|line| {
        let draft = recorded.draft(&ABOUT, line).source(&Cite::plan("hose_life"));
        let message = "no rule that the plan chooses speaks of this hose and its liner";
        draft.open(
            message,
            "choose one that does: hosewright log life --rule NAME shows what each says",
        )
    });
    hoses.due.iter().map(|due| one(*recorded, due)).chain(unruled).collect()
}

fn one(recorded: Recorded<'_>, due: &Due) -> Finding {
    let rule = &due.rule;
    let draft = recorded.draft(&ABOUT, &due.line).at(&rule.name).source(&rule.cite);
    let draft = match rule.years {
        None => return draft.ok(rule.text.clone()),
        Some(_) => draft,
    };
    let (Some(since), Some(day), Some(left)) = (due.since, due.due, due.days_left) else {
        let message = format!("the record does not say when it was {}", rule.begins());
        return draft
            .open(message, "write it down with log add, as the markings of the hose give it");
    };
    let count = |days: i64| if days == 1 { "1 day".to_owned() } else { format!("{days} days") };
    let message = match (due.done, left < 0) {
        (Some(done), false) => {
            format!("{} {since}, {} {done}, due by {day}", rule.begins(), rule.to)
        }
        (Some(done), true) => {
            format!("{} {since}, {} {done}: {} after {day}", rule.begins(), rule.to, count(-left))
        }
        (None, false) => format!("{} {since}, due {day}, in {}", rule.begins(), count(left)),
        (None, true) => {
            format!(
                "{} {since}, due {day}: {} overdue on {}",
                rule.begins(),
                count(-left),
                recorded.hoses.at
            )
        }
    };
    match due.verdict {
        Verdict::Ok => draft.ok(message),
        verdict => draft.say(verdict, message, ABOUT.remedy),
    }
}
