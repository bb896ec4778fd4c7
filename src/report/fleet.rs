//! Many plans, or one plan with values varied: what came of each, as rows, lines of data, or one table.

use serde_json::{Value, json};

use super::grid::{Grid, wrapped};
use super::spreadsheet::{finding, more_rows};
use super::{Layout, json as data};
use crate::assess::Assessment;
use crate::diagnostic::Diagnostic;
use crate::finding::{Finding, Verdict};

/// The word for a plan that was not understood, where a verdict stands for the others.
pub const NOT_UNDERSTOOD: &str = "not-understood";

/// What is wrong with a plan, or with the file that it should be in.
#[derive(Clone, Debug)]
pub struct Problem {
    /// File, line and column, where it has a place.
    pub place: Option<(String, usize, usize)>,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub help: Vec<String>,
}

impl From<&Diagnostic> for Problem {
    fn from(problem: &Diagnostic) -> Self {
        let placed = problem.placed();
        Self {
            place: Some((placed.file.to_owned(), placed.line, placed.column)),
            message: placed.message.to_owned(),
            help: placed.help.to_vec(),
        }
    }
}

/// One of many, and what came of it.
#[derive(Debug)]
pub struct Outcome<'o> {
    /// The path of the plan.
    pub plan: &'o str,
    /// The values that were varied, each behind its place.
    pub varied: Vec<(&'o str, &'o str)>,
    /// Its assessment, or why there is none.
    pub result: Result<Assessment, Vec<Problem>>,
}

/// What is written of each.
#[derive(Clone, Copy, Debug)]
pub enum Detail<'d> {
    /// How many findings there are of each verdict, and which fail.
    Counts,
    /// Every finding.
    Findings,
    /// The findings of these checks.
    Of(&'d [String]),
}

impl Detail<'_> {
    fn shows(self, finding: &Finding) -> bool {
        match self {
            Self::Counts => false,
            Self::Findings => true,
            Self::Of(codes) => codes.iter().any(|code| code == finding.code),
        }
    }
}

/// How one came out, without all that it rests on.
#[derive(Clone, Debug)]
pub struct Summary {
    /// The first columns: the plan, then the values that were varied.
    pub named: Vec<String>,
    /// The worst verdict, if it was understood.
    pub worst: Option<Verdict>,
    /// How many findings there are of each verdict, worst first.
    pub counts: [usize; 4],
    /// What fails, or the first problem.
    pub says: String,
}

impl Summary {
    /// The exit status that it asks for.
    pub fn status(&self, strict: bool) -> u8 {
        match self.worst {
            None => 2,
            Some(Verdict::Fail) => 1,
            Some(worst) => u8::from(strict && worst != Verdict::Ok),
        }
    }

    fn cells(&self) -> Vec<String> {
        let word = self.worst.map_or(NOT_UNDERSTOOD, Verdict::word).to_owned();
        let count = |c: &usize| self.worst.map_or(String::new(), |_| c.to_string());
        let mut cells = self.named.clone();
        cells.push(word);
        cells.extend(self.counts.iter().map(count));
        cells.push(self.says.clone());
        cells
    }
}

/// Heads of the columns behind the names, where each is counted.
const COUNTED: [&str; 6] = ["verdict", "fail", "caution", "open", "ok", "says"];

impl Outcome<'_> {
    /// How it came out.
    pub fn summary(&self) -> Summary {
        let mut named = vec![self.plan.to_owned()];
        named.extend(self.varied.iter().map(|(_, value)| (*value).to_owned()));
        match &self.result {
            Err(problems) => {
                Summary { named, worst: None, counts: [0; 4], says: first_problem(problems) }
            }
            Ok(assessment) => Summary {
                named,
                worst: Some(assessment.worst()),
                counts: Verdict::WORST_FIRST.map(|v| assessment.count(v)),
                says: failing(assessment),
            },
        }
    }

    /// Its rows as CSV. A plan that was not understood has one for each problem.
    pub fn rows(&self, detail: Detail<'_>) -> String {
        let summary = self.summary();
        let named = |rest: Vec<String>| [summary.named.clone(), rest].concat();
        match (&self.result, detail) {
            (_, Detail::Counts) => more_rows(core::iter::once(summary.cells())),
            (Ok(assessment), _) => {
                let shown = assessment.findings.iter().filter(|f| detail.shows(f));
                more_rows(shown.map(|f| named(finding::cells(f))))
            }
            (Err(problems), _) => more_rows(problems.iter().map(|p| named(problem_cells(p)))),
        }
    }

    /// One line of JSON. Of a plan that was understood it holds the findings asked for, or the whole report.
    pub fn line(&self, detail: Detail<'_>) -> String {
        let summary = self.summary();
        let mut line = json!({
            "plan": self.plan,
            "verdict": summary.worst.map_or(NOT_UNDERSTOOD, Verdict::word),
        });
        if !self.varied.is_empty() {
            let varied = self.varied.iter().map(|(at, value)| json!({ "at": at, "value": value }));
            line["varied"] = varied.collect();
        }
        match &self.result {
            Err(problems) => line["problems"] = problems.iter().map(problem_data).collect(),
            Ok(assessment) => {
                for (verdict, count) in Verdict::WORST_FIRST.iter().zip(summary.counts) {
                    line["count"][verdict.word()] = json!(count);
                }
                match detail {
                    Detail::Counts => line["says"] = json!(summary.says),
                    Detail::Findings => line["report"] = data::check(assessment, None),
                    Detail::Of(_) => {
                        let shown = assessment.findings.iter().filter(|f| detail.shows(f));
                        line["findings"] = shown.map(|f| json!(f)).collect();
                    }
                }
            }
        }
        format!("{line}\n")
    }
}

/// The head of the columns as CSV; `varied` are the places.
pub fn head<'v>(varied: impl Iterator<Item = &'v str>, detail: Detail<'_>) -> String {
    let columns: &[&str] = match detail {
        Detail::Counts => &COUNTED,
        Detail::Findings | Detail::Of(_) => &finding::HEAD,
    };
    let names = core::iter::once("plan").chain(varied).chain(columns.iter().copied());
    more_rows(core::iter::once(names.map(str::to_owned).collect()))
}

/// All as one table for a person, with a count at the end.
pub fn text(varied: &[&str], all: &[Summary], layout: Layout) -> String {
    let names = ["plan"].into_iter().chain(varied.iter().copied());
    let head: Vec<&str> = names.chain(COUNTED).collect();
    let right = (varied.len() + 2..varied.len() + 6).collect();
    let grid = Grid { head: Vec::new(), rows: all.iter().map(Summary::cells).collect(), right };
    let of = |wanted: Option<Verdict>| all.iter().filter(|s| s.worst == wanted).count();
    let mut counts: Vec<String> = Verdict::WORST_FIRST
        .iter()
        .map(|v| (v.word(), of(Some(*v))))
        .chain([(NOT_UNDERSTOOD, of(None))])
        .filter(|(_, count)| *count > 0)
        .map(|(word, count)| format!("{word} {count}"))
        .collect();
    counts.insert(0, format!("{} checked:", all.len()));
    let closing =
        "A planning aid: inspect and test before use; local codes and licensed practice decide.";
    grid.to_text_with(&head, layout.width)
        + "\n"
        + &wrapped(&counts.join("  "), layout.width, 0)
        + &wrapped(closing, layout.width, 0)
}

/// The codes that fail, each with the places where it does.
fn failing(assessment: &Assessment) -> String {
    let fails = assessment.findings.iter().filter(|f| f.verdict == Verdict::Fail);
    let mut said: Vec<String> = Vec::new();
    for finding in fails {
        let one = format!("{} {}", finding.code, finding.subject());
        if !said.contains(&one) {
            said.push(one);
        }
    }
    said.join("; ")
}

fn first_problem(problems: &[Problem]) -> String {
    let Some(first) = problems.first() else { return String::new() };
    let place = first.place.as_ref().map(|(_, line, column)| format!("{line}:{column}: "));
    let more = match problems.len() - 1 {
        0 => String::new(),
        more => format!(" (and {more} more)"),
    };
    format!("{}{}{more}", place.unwrap_or_default(), first.message)
}

/// A problem in the columns of a finding.
fn problem_cells(problem: &Problem) -> Vec<String> {
    let mut cells = vec![String::new(); finding::HEAD.len()];
    let mut put = |column: &str, text: String| {
        if let Some(at) = finding::HEAD.iter().position(|h| *h == column) {
            cells[at] = text;
        }
    };
    let place = problem.place.as_ref();
    put(
        "where",
        place.map_or(String::new(), |(file, line, column)| format!("{file}:{line}:{column}")),
    );
    put("verdict", NOT_UNDERSTOOD.to_owned());
    put("message", problem.message.clone());
    put("do", problem.help.join("; "));
    cells
}

fn problem_data(problem: &Problem) -> Value {
    let place = problem.place.as_ref();
    json!({
        "file": place.map(|p| &p.0),
        "line": place.map(|p| p.1),
        "column": place.map(|p| p.2),
        "message": problem.message,
        "help": problem.help,
    })
}
