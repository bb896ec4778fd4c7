//! The state of the page: the plan as last read, what became of it, and who waits for news.

use std::sync::{Arc, Mutex, PoisonError};

use serde_json::{Value, json};
use tokio::sync::watch;

use super::change::{Change, apply};
use super::shown::{BookShown, Shown};
use super::{OnDisk, Setting, counts, scene};
use crate::assess::{Assessment, assess};
use crate::book::Book;
use crate::diagnostic::{Diagnostic, SourceText};
use crate::finding::{Finding, Verdict};
use crate::plan::Plan;
use crate::table::Tables;

/// The plan as last understood.
#[derive(Clone)]
struct Good {
    file: Arc<SourceText>,
    tables: Arc<Tables>,
    /// What told the state of the record.
    record: String,
    assessment: Arc<Assessment>,
}

/// The one room in which everything of a bench page is kept.
pub struct Room {
    setting: Setting,
    good: Mutex<Option<Good>>,
    /// One at a time: what a page asks in a flood is worked off in a row.
    busy: Mutex<()>,
    shown: watch::Sender<Arc<Shown>>,
}

impl Room {
    /// A room with the plan read for the first time.
    pub fn new(setting: Setting) -> Self {
        let none = Shown { number: 0, book: None, problems: Vec::new() };
        let room = Self {
            setting,
            good: Mutex::new(None),
            busy: Mutex::new(()),
            shown: watch::Sender::new(Arc::new(none)),
        };
        room.read_again(true);
        room
    }

    /// The plan's file.
    pub fn plan(&self) -> &std::path::Path {
        &self.setting.plan
    }

    /// What is shown now.
    pub fn shown(&self) -> Arc<Shown> {
        Arc::clone(&self.shown.borrow())
    }

    /// News of it.
    pub fn news(&self) -> watch::Receiver<Arc<Shown>> {
        self.shown.subscribe()
    }

    /// Reads the plan again, and shows what became of it if it is not the same text. Where it is not understood and may
    /// be half written, that is left for later, and told.
    pub fn read_again(&self, whole: bool) -> bool {
        let _one = self.busy.lock().unwrap_or_else(PoisonError::into_inner);
        let (book, problems) = match (self.setting.load)() {
            Err(why) => (None, vec![json!({ "message": why })]),
            Ok(found) if self.is_known(&found) => return true,
            Ok(found) => self.understood(found),
        };
        if book.is_none() && !whole {
            return false;
        }
        self.show(book, problems);
        true
    }

    /// Whether what is on the disk is what is shown.
    fn is_known(&self, found: &OnDisk) -> bool {
        let good = self.good.lock().unwrap_or_else(PoisonError::into_inner);
        let same = good.as_ref().is_some_and(|good| {
            good.file.text == found.file.text
                && good.file.name == found.file.name
                && good.record == found.record
        });
        same && self.shown().problems.is_empty()
    }

    fn understood(&self, found: OnDisk) -> (Option<BookShown>, Vec<Value>) {
        let OnDisk { file, tables, record } = found;
        let plan = match Plan::read(&file, &tables) {
            Ok(plan) => plan,
            Err(problems) => return (None, problems.iter().map(problem).collect()),
        };
        let mut assessment = assess(plan, &tables);
        let shown = self.shown();
        let (book, problems) = self.book(&file, &tables, &mut assessment, &shown);
        let (tables, assessment) = (Arc::new(tables), Arc::new(assessment));
        let good = Good { file, tables, record, assessment };
        *self.good.lock().unwrap_or_else(PoisonError::into_inner) = Some(good);
        (Some(book), problems)
    }

    fn show(&self, book: Option<BookShown>, problems: Vec<Value>) {
        self.shown.send_modify(|shown| {
            let book = book.map(Arc::new).or_else(|| shown.book.clone());
            *shown = Arc::new(Shown { number: shown.number + 1, book, problems });
        });
    }

    /// The book of an assessment with the record held against it, as the state of the page after another one; and what
    /// is wrong with the record.
    fn book(
        &self,
        file: &Arc<SourceText>,
        tables: &Tables,
        assessment: &mut Assessment,
        after: &Shown,
    ) -> (BookShown, Vec<Value>) {
        let (signed, problems) = match (self.setting.judge)(file, tables, assessment) {
            Ok(signed) => (signed, Vec::new()),
            Err(why) => (None, vec![json!({ "message": why })]),
        };
        let look = self.setting.look;
        let book =
            Book { signed: signed.as_ref(), ..Book::of(assessment, tables, &file.text, look) };
        (BookShown::new(&book, after.number + 1, after.book.as_deref()), problems)
    }

    /// The machine in space, for the view that is turned.
    ///
    /// # Errors
    /// In words: no plan is understood.
    pub fn scene(&self) -> Result<Value, String> {
        Ok(scene::scene(&self.last_good()?.assessment))
    }

    /// What can be tried out.
    ///
    /// # Errors
    /// In words: no plan is understood.
    pub fn knobs(&self) -> Result<Value, String> {
        let good = self.last_good()?;
        Ok(knobs(&good.assessment, &good.tables))
    }

    /// What a change would do; nothing is written.
    ///
    /// # Errors
    /// In words: no plan is understood, or the change is none.
    pub fn what_if(&self, changes: &[Change]) -> Result<Value, String> {
        let _one = self.busy.lock().unwrap_or_else(PoisonError::into_inner);
        let Good { file, tables, assessment: before, .. } = self.last_good()?;
        let mut plan = before.plan.clone();
        changes.iter().try_for_each(|change| apply(change, &mut plan, &tables))?;
        let mut after = assess(plan, &tables);
        let none = Shown { number: 0, book: None, problems: Vec::new() };
        let (book, _) = self.book(&file, &tables, &mut after, &none);
        Ok(json!({
            "before": counts(&before), "after": counts(&after),
            "worse": told(&after.findings, &before.findings),
            "better": told(&before.findings, &after.findings),
            "book": book.told(0), "scene": scene::scene(&after),
        }))
    }

    /// Writes a change into the plan's file, if that is still as it was last understood.
    ///
    /// # Errors
    /// In words: the file has changed since, the change cannot be written, or the disk refuses.
    pub fn write(&self, changes: &[Change]) -> Result<(), String> {
        let (file, tables) = {
            let _one = self.busy.lock().unwrap_or_else(PoisonError::into_inner);
            let Good { file, tables, .. } = self.last_good()?;
            if (self.setting.load)()?.file.text != file.text {
                return Err(
                    "the plan on the disk has changed meanwhile: look at it again first".into()
                );
            }
            (file, tables)
        };
        let text = super::change::written(&file.text, changes)?;
        let new = SourceText::new(file.name.clone(), text.clone());
        Plan::read(&new, &tables).map_err(|p| {
            let first = p.first().map_or("", |d| d.message.as_str());
            format!("the plan would not be understood any more: {first}")
        })?;
        (self.setting.save)(&text)
    }

    fn last_good(&self) -> Result<Good, String> {
        let good = self.good.lock().unwrap_or_else(PoisonError::into_inner);
        good.clone().ok_or_else(|| "no plan has been understood yet".to_owned())
    }
}

/// A problem of the file with its place.
fn problem(diagnostic: &Diagnostic) -> Value {
    let (line, column) = diagnostic.file.position(diagnostic.span.start);
    json!({
        "file": diagnostic.file.name, "line": line, "column": column,
        "message": diagnostic.message, "help": diagnostic.help,
    })
}

/// Findings that are not well and that the others do not have.
fn told(findings: &[Finding], others: &[Finding]) -> Vec<Value> {
    let same = |a: &Finding, b: &Finding| {
        (a.code, &a.place, &a.case, a.verdict) == (b.code, &b.place, &b.case, b.verdict)
    };
    let bad = findings.iter().filter(|f| f.verdict != Verdict::Ok);
    bad.filter(|f| !others.iter().any(|o| same(f, o)))
        .map(|f| json!({ "code": f.code, "where": f.place, "verdict": f.verdict, "message": f.message }))
        .collect()
}

/// What can be turned in the what-if panel.
fn knobs(assessment: &Assessment, tables: &Tables) -> Value {
    let plan = &assessment.plan;
    let ports = plan.components.iter().flat_map(|c| {
        c.ports.iter().map(move |p| json!({ "component": c.id, "port": p.name, "at": p.at_mm }))
    });
    let lines = plan.lines.iter().map(
        |line| json!({ "id": line.id, "of": line.carrier.label(), "sizes": line.sizes(tables) }),
    );
    let filters = plan.components.iter().filter(|c| !c.paths.is_empty()).map(|c| c.id.as_str());
    json!({
        "ports": ports.collect::<Vec<_>>(), "lines": lines.collect::<Vec<_>>(),
        "components": filters.collect::<Vec<_>>(),
    })
}
