//! How far a line is, by who did what in which order.

use hosewright::check::run_on_record;
use hosewright::finding::{Finding, Verdict};
use hosewright::record::Kind;
use hosewright::signed::{Hoses, LineState, Read, Recheck, Signed, Stage, Subject, Work};
use hosewright::table::Tables;

use super::{Done, Machine, example, record};

/// The press, and everything that can be signed of it.
struct Press {
    tables: Tables,
    machine: Machine,
    subjects: Vec<Subject>,
}

/// What was done by whom, on a line or on a port.
type Entry<'e> = (Kind, &'e str, &'e str);

impl Press {
    fn new() -> Self {
        let tables = Tables::builtin();
        let machine = Machine::of(&example("03-press"), &tables, false).unwrap();
        let subjects = machine.subjects(&tables);
        Self { tables, machine, subjects }
    }

    fn held(&self, done: &[Done<'_>]) -> Signed {
        self.machine.signed(&self.tables, record(&self.subjects, done))
    }

    fn judged(&self, held: &Signed) -> Vec<Finding> {
        let plan = &self.machine.assessment.plan;
        let day = "2026-05-01".parse().unwrap();
        run_on_record(held, &Hoses::on(day, plan, &self.tables, &held.read.entries), &[])
    }

    fn line(&self, entries: &[Entry<'_>], id: &str) -> LineState {
        let done: Vec<Done<'_>> = entries
            .iter()
            .map(|(what, key, by)| Done { what: *what, key, by, values: &[] })
            .collect();
        self.held(&done).line(id).unwrap().clone()
    }
}

fn stages(line: &LineState) -> Vec<Stage> {
    line.done.keys().copied().collect()
}

const MADE: Entry<'static> = (Kind::Made, "line P1", "A. Builder");
const TESTED: Entry<'static> = (Kind::Tested, "line P1", "A. Builder");
const FITTED: Entry<'static> = (Kind::Fitted, "line P1", "A. Builder");
const TIGHT_A: Entry<'static> = (Kind::Tightened, "joint PMP.OUT", "A. Builder");
const TIGHT_B: Entry<'static> = (Kind::Tightened, "joint MAN.P", "A. Builder");
const SEEN: Entry<'static> = (Kind::Inspected, "line P1", "B. Friend");

#[test]
fn a_line_goes_from_planned_to_inspected() {
    let press = Press::new();
    let all = [MADE, TESTED, FITTED, TIGHT_A, TIGHT_B, SEEN];
    let words = ["planned", "made", "tested", "fitted", "fitted", "tightened", "inspected"];
    for (count, word) in words.into_iter().enumerate() {
        assert_eq!(press.line(&all[..count], "P1").word(), word, "{count}");
    }
    // Its neighbour at the same component is not touched.
    assert_eq!(press.line(&all, "P2").word(), "planned");
}

#[test]
fn what_a_later_entry_undoes_is_to_be_done_again() {
    let press = Press::new();
    let all = [MADE, TESTED, FITTED, TIGHT_A, TIGHT_B, SEEN];
    let again = |more: Entry<'static>| press.line(&[&all[..], &[more]].concat(), "P1");
    let made = again(MADE);
    assert_eq!(stages(&made), [Stage::Made]);
    assert_eq!(made.recheck, Some(Recheck::WorkedOn(7)));
    let fitted = again(FITTED);
    assert_eq!(stages(&fitted), [Stage::Made, Stage::Tested, Stage::Fitted]);
    let uncapped = again((Kind::CapRemoved, "joint MAN.P", "A. Builder"));
    assert!(!stages(&uncapped).contains(&Stage::Inspected));
    assert_eq!(uncapped.word(), "re-check due");
    let seen_again = press.line(&[&all[..], &[TIGHT_B, SEEN]].concat(), "P1");
    assert_eq!((seen_again.word(), seen_again.recheck), ("inspected", None));
    let replaced = again((Kind::Replaced, "line P1", "C. Other"));
    assert_eq!((stages(&replaced), replaced.workers), (vec![Stage::Made], vec!["C. Other".into()]));
}

#[test]
fn who_worked_on_oil_under_pressure_is_no_second_person() {
    let press = Press::new();
    let finding = |by: &str, line: &str| {
        let key = format!("line {line}");
        let done: Vec<Done<'_>> = [(Kind::Made, "A. Builder"), (Kind::Inspected, by)]
            .iter()
            .map(|(what, by)| Done { what: *what, key: &key, by, values: &[] })
            .collect();
        let held = press.held(&done);
        let seen = held.line(line).unwrap().done.contains_key(&Stage::Inspected);
        let found = press.judged(&held);
        let of_people = found.iter().find(|f| f.code == "record.second-person");
        (seen, of_people.map(|f| f.verdict))
    };
    assert_eq!(finding("B. Friend", "P1"), (true, Some(Verdict::Ok)));
    assert_eq!(finding(" a.  BUILDER", "P1"), (false, Some(Verdict::Caution)));
    // A return line asks for no second person.
    assert_eq!(finding("A. Builder", "P6"), (true, None));
    let alone = press.line(&[MADE, TESTED, FITTED, TIGHT_A, TIGHT_B], "P1");
    assert!(!alone.has_second_person());
    // Whoever tightened it worked on it as well.
    let mine = (Kind::Tightened, "joint MAN.P", "B. Friend");
    assert!(!press.line(&[MADE, mine, SEEN], "P1").has_second_person());
}

#[test]
fn a_reading_outside_its_room_fails_and_one_without_its_word_is_open() {
    let press = Press::new();
    let rights = press.line(&[], "P1").rights;
    assert!(rights.iter().any(|r| r.reading.word() == "assembly"), "{rights:?}");
    let cut = press.machine.assessment.facts.lines.iter().find(|l| l.id == "P1").unwrap();
    let cut_mm = cut.makeup.as_ref().unwrap().cut.cut_mm;
    let verdict = |name: &'static str, value: &str| {
        let values = [(name, value), ("caps on", "2 caps")];
        let key = "line P1";
        let held = press.held(&[Done { what: Kind::Made, key, by: "A", values: &values }]);
        let found = press.judged(&held);
        let place = format!("P1, {name}");
        let of_it = found.into_iter().find(|f| f.place == place && f.code == "record.measured");
        of_it.map(|f| f.verdict)
    };
    assert_eq!(verdict("cut", &format!("{cut_mm} mm")), Some(Verdict::Ok));
    assert_eq!(verdict("cut", &format!("{} cm", cut_mm / 10.0)), Some(Verdict::Ok));
    assert_eq!(verdict("cut", &format!("{} mm", cut_mm + 60.0)), Some(Verdict::Fail));
    assert_eq!(verdict("cut", "12 N m"), Some(Verdict::Open));
    assert_eq!(verdict("caps off", "2 caps"), Some(Verdict::Ok));
    assert_eq!(verdict("caps off", "1 cap"), Some(Verdict::Fail));
    assert_eq!(verdict("torque", "12 N m"), None);
}

#[test]
fn jobs_come_in_the_order_of_the_work_and_one_for_each_line() {
    let press = Press::new();
    let done =
        [MADE, TESTED].map(|(what, key, by)| Done { what, key, by, values: &[("cut", "500 mm")] });
    let held = press.held(&done);
    let jobs = held.jobs(|line| line == "P0");
    assert_eq!(jobs.len(), held.lines.len());
    assert_eq!((jobs[0].place.as_str(), &jobs[0].work), ("P0", &Work::Settle));
    assert_eq!(
        jobs.last().map(|j| (j.place.as_str(), &j.work)),
        Some(("P1", &Work::Step(Stage::Fitted)))
    );
    assert!(jobs[1..jobs.len() - 1].iter().all(|j| j.work == Work::Step(Stage::Cut)), "{jobs:?}");
}

#[test]
fn a_piece_that_was_replaced_takes_its_void_entries_with_it() {
    let press = Press::new();
    let text = example("03-press");
    let at = text.find("id      = \"P1\"").unwrap();
    let other = text[at..].replacen("slack   = \"6 %\"", "slack   = \"7 %\"", 1);
    let other = format!("{}{other}", &text[..at]);
    assert_ne!(other, text);
    let now = Machine::of(&other, &press.tables, false).unwrap();
    let subjects = now.subjects(&press.tables);
    let lapsed = |anew: &[Entry<'_>]| {
        let by_old = [MADE, TESTED, FITTED, TIGHT_A, TIGHT_B, SEEN];
        let done = |(what, key, by): &Entry<'static>| Done { what: *what, key, by, values: &[] };
        let old = record(&press.subjects, &by_old.iter().map(done).collect::<Vec<_>>());
        let anew: Vec<Done<'_>> =
            anew.iter().map(|(what, key, by)| Done { what: *what, key, by, values: &[] }).collect();
        let new = record(&subjects, &anew);
        let entries = old.entries.into_iter().chain(new.entries).collect();
        let held = now.signed(&press.tables, Read { entries, ..new });
        let state = held.line("P1").unwrap().clone();
        (held.lapsed().count(), state.word())
    };
    assert_eq!(lapsed(&[]), (6, "re-check due"));
    assert_eq!(lapsed(&[(Kind::Fitted, "line P1", "A. Builder")]), (5, "re-check due"));
    assert_eq!(lapsed(&[(Kind::Replaced, "line P1", "A. Builder")]), (0, "made"));
    assert_eq!(lapsed(&[(Kind::Made, "line P1", "A. Builder")]), (0, "made"));
}
