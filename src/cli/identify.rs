//! `hosewright identify` and `hosewright quick thread`: pipes and threads from readings.

use std::mem::ManuallyDrop;

use super::args::{Identify, Thread};
use super::argument::positive;
use super::file::{printable, read_pile, read_plan, tables_beside};
use super::{Answer, Trouble};
use crate::assess::read_and_assess;
use crate::diagnostic::visible;
use crate::identify::reading::Reading;
use crate::identify::thread::{Side, ThreadReading};
use crate::pile::rules::Rules;
use crate::pile::{Pile, identify};
use crate::report::{Format, Layout, identify as identify_text, json, spreadsheet, thread};
use crate::table::Tables;
use crate::table::thread::{all, pitch_mm};
use crate::units::{Angle, Length, Quantity};

pub fn run(args: &Identify, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let dash = |path: &std::path::Path| path.as_os_str() == "-";
    if dash(&args.plan) && dash(&args.pile) {
        return Err(Trouble::plain("only one of plan and pile can be standard input"));
    }
    let file = read_plan(&args.plan)?;
    if file.text.lines().any(|line| matches!(line.trim(), "[pile]" | "[[pipe]]")) {
        let message = format!("{} is a pile and no plan", printable(&args.plan));
        return Err(Trouble::hint(message, "the plan comes first: hosewright identify PLAN PILE"));
    }
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let pile = read_pile(&args.pile)?;
    let assessment = read_and_assess(&file, &tables).map_err(Trouble::Problems)?;
    let rules = Rules::read(&tables).map_err(Trouble::plain)?;
    let threads = all(&tables);
    let pile = Pile::read(&pile, &assessment.plan, &threads, &rules).map_err(Trouble::Problems)?;
    let (plan, facts) = (&assessment.plan, &assessment.facts);
    let outcome =
        identify(plan, facts, &tables, &threads, (pile, rules)).map_err(Trouble::plain)?;
    let text = match format {
        Format::Text => identify_text::text(&assessment, &outcome, layout),
        Format::Json => format!("{:#}\n", json::identify(&assessment, &outcome)),
        Format::Csv => spreadsheet::identify(&outcome),
    };
    Ok(Answer::judged(text, outcome.worst(), false))
}

/// `quick thread`.
pub fn quick_thread(args: &Thread, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let tables = Tables::builtin();
    let rules = Rules::read(&tables).map_err(Trouble::plain)?;
    let read = thread_reading(args, &rules)?;
    let told = crate::pile::thread(&tables, &read, &rules).map_err(Trouble::plain)?;
    Ok(Answer::plain(thread::write(&told, format, layout)))
}

fn thread_reading(args: &Thread, rules: &Rules) -> Result<ThreadReading, Trouble> {
    let text = |option: &Option<String>| option.clone().unwrap_or_default();
    let mm = |name: &str, text: &str| positive::<Length>(name, text).map(|l| l.si() * 1e3);
    let degrees =
        |name: &str, text: &str| positive::<Angle>(name, text).map(|a| a.si().to_degrees());
    let made = |value: f64, error: f64| {
        Reading::new(value, error).map_err(|e| Trouble::plain(e.to_string()))
    };
    let mut read = ThreadReading::default();
    if let Some(outside) = &args.outside {
        let error = mm("error", &text(&args.error))?;
        read.diameter = Some(made(mm("outside", outside)?, error)?);
    }
    if let Some(written) = &args.pitch {
        let Some(pitch) = pitch_mm(written) else {
            let message = format!("--pitch \"{}\" is not a pitch", visible(written));
            return Err(Trouble::hint(message, "for example \"1.5 mm\" or \"16 tpi\""));
        };
        let given = args.pitch_error.as_deref().map(|e| mm("pitch-error", e)).transpose()?;
        read.pitch = Some(made(pitch, given.unwrap_or(pitch * rules.pitch_gauge))?);
    }
    if let Some(cone) = &args.cone {
        let error = degrees("cone-error", &text(&args.cone_error))?;
        read.cone = Some(made(degrees("cone", cone)?, error)?);
    }
    read.side = args.gender.as_deref().map(|g| if g == "male" { Side::Male } else { Side::Female });
    if read.diameter.is_none() && read.pitch.is_none() && read.cone.is_none() {
        let message = "nothing was read: --outside, --pitch or --cone is needed";
        return Err(Trouble::hint(message, "for example --outside \"19.0 mm\" --error \"0.1 mm\""));
    }
    Ok(read)
}
