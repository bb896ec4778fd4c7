//! How far the results of a plan move when the quantities behind its `±` do: worst case, samples, and the
//! input that dominates.

mod moved;
mod reading;
mod runs;

use std::collections::BTreeMap;
use std::sync::Arc;

pub use moved::{Moved, Sampled};
pub use reading::{Key, Reading};

use crate::assess::Assessment;
use crate::check::About;
use crate::diagnostic::SourceText;
use crate::finding::Verdict;
use crate::plan::Uncertain;
use crate::table::Tables;
use crate::uncertainty::draw::Draws;
use reading::{Cased, Item, Unsolved, readings};
use runs::{Ground, Run};

/// What the uncertainty is and how it is found; `hosewright explain uncertainty` prints it.
pub const ABOUT: About = About {
    code: "uncertainty",
    looks_at: "every result that moves when a quantity with ± in the plan is off by its amount",
    why: "a line that is right on paper fails when a bore, a loss or a flow is not what was typed",
    number: "worst case: each input alone at both ends of its ±, its larger change in each direction, and \
             the changes added up (a linear worst case). Samples: every input drawn at random from a \
             rectangular distribution of that half-width, independent of the others, also where \
             the same figure stands in several places, from a fixed beginning; their mean, standard deviation, the range that holds 90 % of them and the share \
             that fails. Dominating input: the largest share of the variance",
    limit_from: "the limits of the checks themselves, which move with their own ±. Rectangular \
                 distribution: JCGM 100:2008, 4.3.7; variance: its 5.1.2 (from-memory)",
    open_when: "an input cannot be moved to an end of its ±, or the network has no answer there: both are \
                counted and named",
    remedy: "measure the dominating input better, write the smaller ±, and run again",
};

/// Samples that are drawn unless another number is asked for.
pub const SAMPLES: u32 = 200;
/// Fewest and most samples.
pub const SAMPLES_RANGE: (u32, u32) = (20, 100_000);

/// How the samples are drawn and judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Number of samples, within [`SAMPLES_RANGE`].
    pub samples: u32,
    /// Whether results that rest on weak figures are cautions, as [`Assessment::tighten`] makes them.
    pub strict: bool,
}

/// What the uncertain quantities do to the results.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Samples that were drawn.
    pub samples: u32,
    /// Of them, those that could be read as a plan.
    pub read: u32,
    /// The uncertain quantities, in the order of the plan.
    pub inputs: Vec<Input>,
    /// The results that move, worst first.
    pub moved: Vec<Moved>,
    /// How many results do not move.
    pub still: usize,
    /// Samples that were no plan any more, by reason.
    pub unread: Vec<Lost>,
    /// Runs in which the network has no answer where it has one as planned.
    pub unsolved: Vec<Lost>,
    /// The input to measure next, by index: the one that dominates the most results that may fail, or else
    /// that may change their verdict, or else that move.
    pub measure_next: Option<usize>,
}

/// An uncertain quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Where it stands, in words.
    pub what: String,
    /// As written.
    pub written: String,
    /// Its line in the plan.
    pub line: usize,
    /// Why the plan cannot be read with it at the lower and at the upper end.
    pub refused: [Option<String>; 2],
    /// Results whose verdict may change and that it dominates.
    pub dominates: usize,
}

/// Runs that are lost in one way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lost {
    /// What is lost.
    pub what: String,
    /// Why, in one of them.
    pub why: String,
    /// How many runs.
    pub count: usize,
}

impl Spread {
    /// The worst verdict that any result had in any run.
    pub fn worst(&self) -> Verdict {
        self.moved.iter().filter_map(|m| m.worst).max().unwrap_or(Verdict::Ok)
    }

    /// The results whose verdict is not the same in every run.
    pub fn changing(&self) -> impl Iterator<Item = &Moved> {
        self.moved.iter().filter(|m| m.changes())
    }
}

/// Moves every uncertain quantity of a plan, alone and together with the others.
///
/// The nominal assessment has to be that of the same text, and tightened if the settings say so.
///
/// ```
/// use hosewright::assess::{read_and_assess, spread::{SAMPLES, Settings, spread}};
/// use hosewright::{diagnostic::SourceText, table::Tables};
/// let text = hosewright::plan::starter::STARTER.replace("\"90 L/h\"", "\"90 L/h ± 10 %\"");
/// let (file, tables) = (SourceText::new("plan.toml", text), Tables::builtin());
/// let nominal = read_and_assess(&file, &tables).unwrap();
/// let settings = Settings { samples: SAMPLES, strict: false };
/// let spread = spread(&file, &tables, &nominal, settings);
/// let velocity = spread.moved.iter().find(|m| m.key.code == "hydraulics.velocity").unwrap();
/// let [low, high] = velocity.worst_case.unwrap();
/// assert!((high / low - 1.1 / 0.9).abs() < 1e-9);
/// ```
pub fn spread(
    file: &Arc<SourceText>,
    tables: &Tables,
    nominal: &Assessment,
    settings: Settings,
) -> Spread {
    let uncertain: Vec<&Uncertain> =
        nominal.plan.uncertain.iter().filter(|u| u.amount > 0.0).collect();
    let cased = Cased::of(nominal);
    let mut results = readings(nominal, &cased);
    if uncertain.is_empty() {
        return nothing(settings.samples, results.len());
    }
    let ground = Ground {
        file,
        tables,
        places: uncertain.iter().map(|u| u.span.start).collect(),
        strict: settings.strict,
        index: results.iter().enumerate().map(|(i, item)| (item.key.clone(), i)).collect(),
        cased,
        unsolved: Unsolved::of(nominal),
    };
    let count = uncertain.len();
    let ends = ground.runs(&moved::one_at_a_time(count));
    let nominals: Vec<Reading> = results.iter().map(|item| item.reading).collect();
    let corners = ground.runs(&moved::corners(&nominals, &ends));
    let mut draws = Draws::default();
    let drawn: Vec<Vec<f64>> = (0..settings.samples).map(|_| draws.shifts(count)).collect();
    let samples = ground.runs(&drawn);
    let mut all = All { ends, corners, samples };
    let added = all.add_what_comes_up(results.len());
    results.extend(added);
    let inputs = uncertain.iter().enumerate().map(|(i, u)| all.input(file, u, i)).collect();
    all.summed_up(results, inputs)
}

/// The answer for a plan without uncertain quantities.
fn nothing(samples: u32, still: usize) -> Spread {
    Spread {
        samples,
        read: samples,
        inputs: Vec::new(),
        moved: Vec::new(),
        still,
        unread: Vec::new(),
        unsolved: Vec::new(),
        measure_next: None,
    }
}

/// Everything that was run.
struct All {
    /// Two for each input: at its lower and at its upper end.
    ends: Vec<Result<Run, String>>,
    corners: Vec<Result<Run, String>>,
    samples: Vec<Result<Run, String>>,
}

impl All {
    fn good(&self) -> impl Iterator<Item = &Run> {
        self.ends.iter().chain(&self.corners).chain(&self.samples).flatten()
    }

    /// Gives results that only come up after a shift a place behind the nominal ones.
    fn add_what_comes_up(&mut self, nominal: usize) -> Vec<Item> {
        let mut added: Vec<Item> = Vec::new();
        let mut place: BTreeMap<Key, usize> = BTreeMap::new();
        for item in self.good().flat_map(|run| &run.more) {
            if !place.contains_key(&item.key) {
                place.insert(item.key.clone(), nominal + added.len());
                added.push(Item { reading: Reading::NOTHING, ..item.clone() });
            }
        }
        let runs = self.ends.iter_mut().chain(&mut self.corners).chain(&mut self.samples);
        for run in runs.flatten() {
            run.known.resize(nominal + added.len(), None);
            for item in &run.more {
                if let Some(place) = place.get(&item.key) {
                    run.known[*place] = Some(item.reading);
                }
            }
        }
        added
    }

    fn input(&self, file: &SourceText, uncertain: &Uncertain, index: usize) -> Input {
        let refused = |end: usize| self.ends[2 * index + end].as_ref().err().cloned();
        let written = file.text.get(uncertain.span.clone()).unwrap_or_default();
        Input {
            what: uncertain.what.clone(),
            written: written.trim_matches(['"', '\'']).to_owned(),
            line: file.position(uncertain.span.start).0,
            refused: [refused(0), refused(1)],
            dominates: 0,
        }
    }

    fn summed_up(&self, results: Vec<Item>, mut inputs: Vec<Input>) -> Spread {
        let all = results.len();
        let mut moved: Vec<Moved> = Vec::new();
        for (place, item) in results.into_iter().enumerate() {
            let column = |runs: &[Result<Run, String>]| -> Vec<Option<Reading>> {
                runs.iter().map(|run| run.as_ref().ok().and_then(|r| r.known[place])).collect()
            };
            let samples: Vec<Option<Reading>> =
                self.samples.iter().flatten().map(|r| r.known[place]).collect();
            let runs = (column(&self.ends), column(&self.corners), samples);
            moved.extend(moved::judge(item, &runs.0, &runs.1, &runs.2));
        }
        moved.sort_by(Moved::worst_first);
        for result in moved.iter().filter(|m| m.changes()) {
            if let Some(input) = result.dominating() {
                inputs[input].dominates += 1;
            }
        }
        let read = self.samples.iter().flatten().count();
        Spread {
            samples: count_u32(self.samples.len()),
            read: count_u32(read),
            measure_next: measure_next(inputs.len(), &moved),
            still: all - moved.len(),
            inputs,
            moved,
            unread: by_reason(self.samples.iter().filter_map(|r| {
                let why = r.as_ref().err()?;
                Some((why.as_str(), ""))
            })),
            unsolved: by_reason(
                self.good().flat_map(|r| r.lost.iter().map(|(w, y)| (w.as_str(), y.as_str()))),
            ),
        }
    }
}

fn count_u32(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// What was lost, each with how often, the most frequent first.
fn by_reason<'l>(lost: impl Iterator<Item = (&'l str, &'l str)>) -> Vec<Lost> {
    let mut list: Vec<Lost> = Vec::new();
    let mut known: BTreeMap<&str, usize> = BTreeMap::new();
    for (what, why) in lost {
        let place = *known.entry(what).or_insert(list.len());
        if place == list.len() {
            list.push(Lost { what: what.to_owned(), why: why.to_owned(), count: 0 });
        }
        list[place].count += 1;
    }
    list.sort_by_key(|lost| core::cmp::Reverse(lost.count));
    list
}

/// What dominates the most results that may fail, then the most whose verdict may change, then the most that
/// move; of several, the one with the greater chances to fail, then the first of the plan.
fn measure_next(inputs: usize, moved: &[Moved]) -> Option<usize> {
    let mut scores = vec![([0_u32; 3], 0.0); inputs];
    for result in moved {
        let Some(input) = result.dominating() else { continue };
        let (counts, chance) = &mut scores[input];
        let fails = result.changes() && result.worst == Some(Verdict::Fail);
        counts[0] += u32::from(fails);
        counts[1] += u32::from(result.changes());
        counts[2] += 1;
        *chance += result.sampled.fail.filter(|_| fails).unwrap_or(0.0);
    }
    let ranked = scores.iter().enumerate().filter(|(_, (counts, _))| counts[2] > 0);
    let best =
        ranked.max_by(|(i, a), (j, b)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(j.cmp(i)));
    best.map(|(input, _)| input)
}
