//! `hosewright log`: the record beside the plan, added to, shown, verified, and held against the plan.

mod built;
mod cover;
mod left;
mod life;
mod place;
mod value;

use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

use super::args::{Log, LogAdd, LogShow, LogVerify, LogWhat};
use super::day::time;
use super::file::{printable, read_plan, tables_beside};
use super::recorded::Drawn;
use super::{Answer, Trouble};
use crate::diagnostic::{Diagnostic, SourceText, hides, nearest, visible};
use crate::finding::Verdict;
use crate::plan::Plan;
use crate::record::{self, CardHead, Digest, Draft, Entry, Kind, Refusal, Summing};
use crate::report::record::{Shown, added, shown, verified};
use crate::report::{Format, Layout};
use crate::solve::lines;

/// Bytes of a picture that are read at once.
const PIECE: usize = 1 << 16;

pub fn run(log: &Log, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    match &log.what {
        LogWhat::Add(args) => add(args, format, layout),
        LogWhat::Show(args) => show(args, format, layout),
        LogWhat::Verify(args) => verify(args, format, layout),
        LogWhat::Left(args) => left::left(args, format, layout),
        LogWhat::Pack(args) => left::pack(args, format, layout),
        LogWhat::Built(args) => built::run(args, format, layout),
        LogWhat::Life(args) => life::run(args, format, layout),
    }
}

fn add(args: &LogAdd, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let path = beside(&args.plan)?;
    let what = Kind::ALL.into_iter().find(|k| k.word() == args.what);
    let what = what.ok_or_else(|| Trouble::plain("what was done is not known"))?;
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let plan = Plan::read(&file, &tables).map_err(Trouble::Problems)?;
    let mut draft = Draft::new(what, time(args.time.as_deref())?, shown_text("by", &args.by)?);
    let test = args.place.as_deref().and_then(|text| text.strip_prefix("test:"));
    if let (Some(text), None) = (&args.place, test) {
        place::put(&mut draft, &plan, text)?;
    }
    draft.values = value::values(&args.value)?;
    draft.note = args.note.as_deref().map(|n| shown_text("note", n)).transpose()?;
    draft.photos = photos(&args.photo)?;
    let lines = lines(&plan, &tables);
    let drawn = Drawn { file: &file, tables: &tables, plan: &plan, lines: &lines };
    cover::cover(&mut draft, drawn, test)?;
    let done = record::add(&path, &draft).map_err(|r| trouble(&path, &args.plan, &r))?;
    Ok(Answer::plain(added(&printable(&path), &done, format, layout)))
}

fn show(args: &LogShow, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let path = beside(&args.plan)?;
    let bytes = record::load(&path).map_err(|r| trouble(&path, &args.plan, &r))?;
    let (mut entries, unread) = record::entries(&bytes);
    let mut bonds = cover::bonds(&args.plan, &bytes);
    if let Some(id) = &args.line {
        let file = read_plan(&args.plan)?;
        let plan = Plan::read(&file, &tables_beside(&args.plan)?).map_err(Trouble::Problems)?;
        let of_line = of_line(&plan, &entries, id)?;
        let mut chosen = of_line.iter().copied();
        entries.retain(|_| chosen.next().unwrap_or(false));
        let mut chosen = of_line.iter().copied();
        if let Some(bonds) = &mut bonds {
            bonds.retain(|_| chosen.next().unwrap_or(false));
        }
    }
    let answer = Shown {
        file: &printable(&path),
        line: args.line.as_deref(),
        entries: &entries,
        bonds: bonds.as_deref(),
        unread: &unread,
        verified: &record::verify(&bytes, None),
    };
    let status = u8::from(!answer.verified.faults.is_empty() || !unread.is_empty());
    Ok(Answer { text: shown(&answer, format, layout), status })
}

/// Whether each entry is on a line, or on a joint at its ends.
fn of_line(plan: &Plan, entries: &[Entry], id: &str) -> Result<Vec<bool>, Trouble> {
    let line = plan.lines.iter().find(|l| l.id == id);
    let recorded = || entries.iter().filter_map(|e| e.line.as_deref());
    // A line that was taken out of the plan still has its entries.
    if line.is_none() && !recorded().any(|l| l == id) {
        let known: Vec<&str> = plan.lines.iter().map(|l| l.id.as_str()).chain(recorded()).collect();
        let help = match nearest(id, known.iter().copied()) {
            Some(near) => format!("did you mean \"{}\"?", visible(near)),
            None => format!("lines of the plan: {}", place::list(plan.lines.iter().map(|l| &l.id))),
        };
        let message = format!("neither the plan nor its record has a line \"{}\"", visible(id));
        return Err(Trouble::hint(message, help));
    }
    let ends = line.map(|l| [l.from, l.to].map(|end| place::port_name(plan, end)));
    let ends = ends.iter().flatten().flatten().collect::<Vec<_>>();
    let concerns = |entry: &Entry| {
        entry.line.as_deref() == Some(id)
            || entry.joint.as_ref().is_some_and(|joint| ends.contains(&joint))
    };
    Ok(entries.iter().map(concerns).collect())
}

fn verify(args: &LogVerify, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let path = beside(&args.plan)?;
    let card: Option<CardHead> = match &args.head {
        None => None,
        Some(text) => Some(text.parse().map_err(|e: record::NoCardHead| {
            let message = format!("--head \"{}\" is no beginning of a digest", visible(text));
            Trouble::hint(message, e.to_string())
        })?),
    };
    let bytes = record::load(&path).map_err(|r| trouble(&path, &args.plan, &r))?;
    let found = record::verify(&bytes, card.clone());
    let status = u8::from(!found.faults.is_empty());
    let text = verified(&printable(&path), &found, card.as_ref(), format, layout);
    Ok(Answer { text, status })
}

/// All that stands in the record beside a plan.
struct Kept {
    entries: Vec<Entry>,
    /// What is wrong with it, in one sentence; none where it holds and all of it can be read.
    doubt: Option<String>,
}

fn kept(plan: &Path) -> Result<Kept, Trouble> {
    let path = beside(plan)?;
    let bytes = record::load(&path).map_err(|r| trouble(&path, plan, &r))?;
    let (entries, unread) = record::entries(&bytes);
    let faults = record::verify(&bytes, None).faults.len();
    let doubt = (faults > 0 || !unread.is_empty()).then(|| {
        let plan = printable(plan);
        format!("the record does not hold or cannot be read whole: hosewright log verify {plan}")
    });
    Ok(Kept { entries, doubt })
}

/// An answer out of a record, which is never better than the record.
fn out_of(kept: &Kept, text: String, worst: Verdict) -> Answer {
    let answer = Answer::judged(text, worst, false);
    Answer { status: answer.status.max(u8::from(kept.doubt.is_some())), ..answer }
}

/// The record beside a plan.
fn beside(plan: &Path) -> Result<PathBuf, Trouble> {
    if plan.as_os_str() == "-" {
        let message = "a record stands beside a plan, and standard input has no place";
        return Err(Trouble::hint(message, "name the file of the plan"));
    }
    if plan.extension().is_some_and(|e| e == "log") {
        let message = format!("{} is a record, not a plan", printable(plan));
        let plan = printable(&plan.with_extension("toml"));
        return Err(Trouble::hint(message, format!("name the plan beside it, such as {plan}")));
    }
    Ok(plan.with_extension("log"))
}

/// A text of the command line that everybody can see in full.
fn shown_text(name: &str, text: &str) -> Result<String, Trouble> {
    if text.contains(hides) {
        let message = format!("--{name} holds a line break or another character that is not seen");
        return Err(Trouble::hint(message, "write it in one line of plain text"));
    }
    if text.trim().is_empty() {
        return Err(Trouble::plain(format!("--{name} is empty")));
    }
    Ok(text.trim().to_owned())
}

/// Names and digests of pictures.
fn photos(files: &[PathBuf]) -> Result<BTreeMap<String, Digest>, Trouble> {
    let mut photos = BTreeMap::new();
    for path in files {
        let whole = printable(path);
        let name = path.file_name().map(|n| visible(&n.to_string_lossy())).unwrap_or_default();
        let failed = |e| Trouble::plain(format!("the picture {whole} could not be read: {e}"));
        if path.is_dir() || name.is_empty() {
            return Err(Trouble::plain(format!("{whole} is a folder, not a picture")));
        }
        if photos.insert(name.clone(), digest_of(path).map_err(failed)?).is_some() {
            let message = format!("two pictures are called {name}");
            return Err(Trouble::hint(message, "rename one, or make two entries"));
        }
    }
    Ok(photos)
}

fn digest_of(path: &Path) -> std::io::Result<Digest> {
    let mut file = File::open(path)?;
    let mut sum = Summing::new();
    let mut piece = vec![0; PIECE];
    loop {
        match file.read(&mut piece)? {
            0 => return Ok(sum.digest()),
            read => sum.add(piece.get(..read).unwrap_or_default()),
        }
    }
}

/// Why the record was not touched, with the place in it where there is one.
fn trouble(path: &Path, plan: &Path, refusal: &Refusal) -> Trouble {
    let name = printable(path);
    let verify = format!("hosewright log verify {} looks at all of it", printable(plan));
    if let Some((line, column)) = refusal.place()
        && let Ok(bytes) = record::load(path)
    {
        return placed(&name, &bytes, (line, column), refusal.to_string(), verify);
    }
    let message = visible(&format!("{name}: {refusal}"));
    match refusal {
        Refusal::Missing => {
            let help = format!("hosewright log add {} begins a record", printable(plan));
            Trouble::hint(format!("there is no record {name}"), help)
        }
        Refusal::Folder | Refusal::SymbolicLink | Refusal::Special => {
            Trouble::hint(message, "move it out of the way, or rename the plan")
        }
        Refusal::TooLarge(_) => Trouble::hint(message, "is this a record?"),
        Refusal::NotAdded(_) | Refusal::NotSetAside { .. } | Refusal::NotTakenBack { .. } => {
            Trouble::hint(message, "make room on the disk, then add the entry again")
        }
        _ => Trouble::plain(message),
    }
}

/// A problem at a line and a column of the record.
fn placed(name: &str, bytes: &[u8], at: (usize, usize), message: String, help: String) -> Trouble {
    let text = String::from_utf8_lossy(bytes).into_owned();
    let line = text.split_inclusive('\n').take(at.0 - 1).map(str::len).sum::<usize>();
    let rest = text.get(line..).unwrap_or_default();
    let within = rest.char_indices().nth(at.1 - 1).map_or(rest.len(), |(index, _)| index);
    let start = line + within;
    let file = SourceText::new(name, text);
    let span = start..file.text.ceil_char_boundary(start + 1);
    let label = "from here".to_owned();
    Trouble::Problems(vec![Diagnostic { file, span, message, label, help: vec![help] }])
}
