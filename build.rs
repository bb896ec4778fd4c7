//! Stores the tables in a form that is quick to read: TOML is for people, JSON for every start.
//!
//! What it writes is included by `src/table/builtin.rs`. A file that is no TOML stops the build with
//! its name; everything else about the tables is for the tests to find.
#![expect(clippy::disallowed_methods, reason = "a build script reads and writes files")]
#![expect(clippy::disallowed_macros, reason = "a build script speaks to cargo by printing")]

#[path = "src/table/checksum.rs"]
mod checksum;

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

type Failure = Box<dyn std::error::Error>;

fn main() -> Result<(), Failure> {
    println!("cargo::rerun-if-changed=tables");
    let root = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR")?).join("tables");
    let out = PathBuf::from(std::env::var("OUT_DIR")?);
    let mut entries = Vec::new();
    for kind in sorted(&root)?.iter().filter(|p| p.is_dir()) {
        for path in sorted(kind)?.iter().filter(|p| p.extension().is_some_and(|e| e == "toml")) {
            let text = fs::read_to_string(path)?;
            let mut table: toml::Table =
                text.parse().map_err(|error| format!("{}: {error}", path.display()))?;
            table.insert("checksum".into(), checksum::checksum(&text).into());
            let stored_rows =
                rows(&table).ok_or_else(|| format!("{}: no table file", path.display()))?;
            let mut data = serde_json::to_value(&table)?;
            data["rows"] = stored_rows;
            let (kind, name) = (stem(kind), stem(path));
            let stored = out.join(format!("{kind}-{name}.json"));
            fs::write(&stored, data.to_string())?;
            let (path, stored) = (path.display().to_string(), stored.display().to_string());
            let (text, stored) =
                (format!("include_str!({path:?})"), format!("include_str!({stored:?})"));
            entries.push((kind, name, text, stored));
        }
    }
    // Looked up by halving, so the order of kind and name counts, not that of the paths.
    entries.sort();
    let mut list = String::from("&[\n");
    for (kind, name, text, stored) in entries {
        writeln!(list, "({kind:?}, {name:?}, {text}, {stored}),")?;
    }
    list.push_str("]\n");
    fs::write(out.join("tables.rs"), list)?;
    Ok(())
}

/// Each row as its cells in the order of the sorted columns, its sources, standing and note.
fn rows(table: &toml::Table) -> Option<serde_json::Value> {
    let columns = table.get("columns")?.as_table()?;
    let list = table.get("rows")?.get("list")?.as_array()?;
    let rows = list.iter().map(|row| {
        let cells: Vec<_> = columns.keys().map(|name| row.get(name)).collect();
        serde_json::json!([cells, row.get("source"), row.get("standing"), row.get("note")])
    });
    Some(rows.collect())
}

fn sorted(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let entries = fs::read_dir(folder)?.map(|entry| entry.map(|e| e.path()));
    let mut paths = entries.collect::<Result<Vec<_>, _>>()?;
    paths.sort();
    Ok(paths)
}

fn stem(path: &Path) -> String {
    path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default()
}
