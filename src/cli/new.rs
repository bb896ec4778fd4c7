//! `hosewright new`: a commented starter plan and its schema.

use super::args::New;
use super::file::{printable, write_new};
use super::{Answer, Trouble};
use crate::plan::{schema, starter};

/// Name of the schema file beside a plan.
const SCHEMA_FILE: &str = "plan.schema.json";

pub fn run(args: &New) -> Result<Answer, Trouble> {
    if args.file.as_os_str() == "-" {
        return Ok(Answer::plain(starter::STARTER.to_owned()));
    }
    write_new(&args.file, starter::STARTER)?;
    let name = printable(&args.file);
    let schema_path = args.file.with_file_name(SCHEMA_FILE);
    let schema = format!("{:#}\n", schema::schema());
    let schema_note = if schema_path.exists() {
        String::new()
    } else {
        write_new(&schema_path, &schema)?;
        format!(" and {}, which lets an editor complete and check it", printable(&schema_path))
    };
    Ok(Answer::plain(format!("wrote {name}{schema_note}\nnext: hosewright check {name}\n")))
}
