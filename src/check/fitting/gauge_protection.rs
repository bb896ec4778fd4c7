//! `fitting.gauge-protection`: a gauge line has a restrictor where it leaves the system.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::plan::Service;
use crate::source::{Cite, Standing};

/// What the check is about.
pub const ABOUT: About = About {
    code: "fitting.gauge-protection",
    looks_at: "lines to gauges",
    why: "pulses wreck a gauge, and a broken gauge line empties the system through its whole bore",
    number: "whether the line declares a snubber",
    limit_from: "common practice",
    open_when: "never: a gauge line that does not say it has a restrictor counts as one without",
    remedy: "fit a snubber at the source of the line, guard the tube, and set snubber = true",
};

/// Judges gauge lines; other lines have nothing to say.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    if look.line.service != Service::Gauge {
        return Vec::new();
    }
    let draft = look.draft(&ABOUT).source(&Cite::new("common practice", Standing::CommonPractice));
    vec![if look.line.snubber == Some(true) {
        draft.ok("the gauge line has a snubber")
    } else {
        draft.caution("no snubber is declared on this gauge line", ABOUT.remedy)
    }]
}
