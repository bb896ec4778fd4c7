//! Reading plans, the tables beside them, and points; writing files whole or not at all.

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::Trouble;
use crate::diagnostic::{Diagnostic, SourceText, visible};
use crate::plan::LARGEST_BYTES;
use crate::table::Tables;

/// A plan's text; `-` is standard input.
pub fn read_plan(path: &Path) -> Result<Arc<SourceText>, Trouble> {
    let missing = |name: &str| format!("hosewright new {name} writes a starter plan");
    read_named(path, "a plan", "plan.toml", missing)
}

/// The text of a pile of measured pipes; `-` is standard input.
pub fn read_pile(path: &Path) -> Result<Arc<SourceText>, Trouble> {
    let missing = |_: &str| "write [pile] with a name, then one [[pipe]] for each pipe".to_owned();
    read_named(path, "a pile", "pile.toml", missing)
}

/// The text of a file of points; `-` is standard input.
pub fn read_points(path: &Path) -> Result<Arc<SourceText>, Trouble> {
    let missing = |_: &str| "write one point a row: 512.5,0,45".to_owned();
    read_named(path, "a file of points", "points.csv", missing)
}

/// The text of a file; what it should be, a name for one, and what to do where there is none.
fn read_named(
    path: &Path,
    what: &str,
    example: &str,
    missing: impl Fn(&str) -> String,
) -> Result<Arc<SourceText>, Trouble> {
    if path.as_os_str() == "-" {
        let mut bytes = Vec::new();
        let limit = LARGEST_BYTES as u64 + 1;
        std::io::stdin()
            .lock()
            .take(limit)
            .read_to_end(&mut bytes)
            .map_err(|e| Trouble::plain(format!("standard input could not be read: {e}")))?;
        return text("<stdin>", bytes);
    }
    let name = printable(path);
    if path.is_dir() {
        return Err(Trouble::hint(
            format!("{name} is a folder, not {what}"),
            format!("name the file in it, for example {name}/{example}"),
        ));
    }
    if !path.exists() {
        return Err(Trouble::hint(format!("there is no file {name}"), missing(&name)));
    }
    read_text(path)
}

fn read_text(path: &Path) -> Result<Arc<SourceText>, Trouble> {
    let name = printable(path);
    let failed = |e: std::io::Error| Trouble::plain(format!("{name} could not be read: {e}"));
    let metadata = std::fs::metadata(path).map_err(failed)?;
    if metadata.is_dir() {
        return Err(Trouble::plain(format!("{name} is a folder, not a file")));
    }
    if metadata.len() > LARGEST_BYTES as u64 {
        let message = format!("{name} has {} bytes; a plan or a table is smaller", metadata.len());
        return Err(Trouble::hint(message, "is this the right file?"));
    }
    let mut bytes = Vec::new();
    std::fs::File::open(path)
        .and_then(|f| f.take(LARGEST_BYTES as u64 + 1).read_to_end(&mut bytes))
        .map_err(failed)?;
    text(&name, bytes)
}

/// A path as it can be shown: without control characters.
pub fn printable(path: &Path) -> String {
    visible(&path.to_string_lossy())
}

fn text(name: &str, bytes: Vec<u8>) -> Result<Arc<SourceText>, Trouble> {
    if bytes.len() > LARGEST_BYTES {
        return Err(Trouble::plain(format!("{name} is larger than a plan or a table can be")));
    }
    match String::from_utf8(bytes) {
        // An editor's byte order mark is no part of the plan.
        Ok(text) => Ok(SourceText::new(name, text.strip_prefix('\u{feff}').unwrap_or(&text))),
        Err(error) => {
            let good = error.utf8_error().valid_up_to();
            let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
            let file = SourceText::new(name, text);
            Err(Trouble::Problems(vec![Diagnostic {
                span: good..good + char::REPLACEMENT_CHARACTER.len_utf8(),
                file,
                message: "the file is not UTF-8 text".into(),
                label: "from here".into(),
                help: vec!["save it as UTF-8 in your editor".into()],
            }]))
        }
    }
}

/// The built-in tables, with those of the `tables` folder beside the plan in front of them.
pub fn tables_beside(plan: &Path) -> Result<Tables, Trouble> {
    let folder = folder_beside(plan);
    let Some(folder) = folder.filter(|f| f.is_dir()) else {
        return Ok(Tables::builtin());
    };
    let mut files = Vec::new();
    for kind in sorted(&folder)?.into_iter().filter(|p| p.is_dir()) {
        let name = kind.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let tables = sorted(&kind)?;
        for path in tables.into_iter().filter(|p| p.extension().is_some_and(|e| e == "toml")) {
            files.push((name.clone(), read_text(&path)?));
        }
    }
    Tables::with_user(&files).map_err(Trouble::Problems)
}

fn folder_beside(plan: &Path) -> Option<PathBuf> {
    (plan.as_os_str() != "-").then(|| plan.parent().unwrap_or(Path::new("")).join("tables"))
}

/// What is in a folder, in the order of the names.
pub fn sorted(folder: &Path) -> Result<Vec<PathBuf>, Trouble> {
    let failed =
        |e: std::io::Error| Trouble::plain(format!("{} could not be read: {e}", printable(folder)));
    let entries = std::fs::read_dir(folder).map_err(failed)?;
    let mut paths =
        entries.map(|e| e.map(|e| e.path())).collect::<Result<Vec<_>, _>>().map_err(failed)?;
    paths.sort();
    Ok(paths)
}

/// Writes a new file whole, or not at all; never over one that is there.
pub fn write_new(path: &Path, text: &str) -> Result<(), Trouble> {
    let name = printable(path);
    whole(path, text)?.persist_noclobber(path).map_err(|e| {
        if e.error.kind() == std::io::ErrorKind::AlreadyExists {
            Trouble::hint(format!("{name} is there already"), "choose another name")
        } else {
            not_written(&name, &e.error)
        }
    })?;
    Ok(())
}

/// Writes a file whole, or not at all; over an older one of its own kind only.
pub fn write_over(
    path: &Path,
    text: &str,
    is_older: impl Fn(&str) -> bool,
    kind: &str,
) -> Result<(), Trouble> {
    if !path.exists() {
        return write_new(path, text);
    }
    let name = printable(path);
    if !path.is_file() || !is_older(&read_text(path)?.text) {
        let message = format!("{name} is there already and is not {kind} written by hosewright");
        return Err(Trouble::hint(message, "choose another name"));
    }
    replace(path, text)
}

/// Puts another text in the place of a file, whole or not at all.
pub fn replace(path: &Path, text: &str) -> Result<(), Trouble> {
    // A link stays a link: what it leads to is replaced.
    let path = &path.canonicalize().map_err(|e| not_written(&printable(path), &e))?;
    whole(path, text)?.persist(path).map_err(|e| not_written(&printable(path), &e.error))?;
    Ok(())
}

/// A file without a name yet, beside the place where it will stand, with all of the text in it.
fn whole(path: &Path, text: &str) -> Result<tempfile::NamedTempFile, Trouble> {
    let name = printable(path);
    let failed = |e: std::io::Error| not_written(&name, &e);
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    // An ordinary file, readable as the user's other files are.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o644));
    let mut file = builder.tempfile_in(folder).map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)?;
    file.as_file().sync_all().map_err(failed)?;
    Ok(file)
}

fn not_written(name: &str, error: &std::io::Error) -> Trouble {
    Trouble::plain(format!("{name} could not be written: {error}"))
}
