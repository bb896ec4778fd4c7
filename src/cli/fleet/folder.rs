//! The plans of a folder.

use std::path::{Path, PathBuf};

use crate::cli::Trouble;
use crate::cli::file::{printable, read_plan, sorted};

/// Folders within folders are followed so far.
const DEEPEST: usize = 16;

/// What was found in a folder, each list in the order of the names.
#[derive(Default)]
pub struct Found {
    pub plans: Vec<PathBuf>,
    /// Files that end as a plan does but have no section `[plan]`.
    pub passed_over: Vec<PathBuf>,
}

/// All files below a folder that end in `.toml` and have a section `[plan]`. Folders of tables, hidden ones and
/// links are left out.
pub fn plans(folder: &Path) -> Result<Found, Trouble> {
    let mut found = Found::default();
    gather(folder, DEEPEST, &mut found)?;
    Ok(found)
}

fn gather(folder: &Path, deeper: usize, found: &mut Found) -> Result<(), Trouble> {
    for path in sorted(folder)? {
        let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let kind = std::fs::symlink_metadata(&path).map(|m| m.file_type());
        let is_folder = kind.as_ref().is_ok_and(std::fs::FileType::is_dir);
        if is_folder && name != "tables" && !name.starts_with('.') {
            let Some(left) = deeper.checked_sub(1) else {
                return Err(Trouble::plain(format!("{} lies too deep", printable(&path))));
            };
            gather(&path, left, found)?;
        } else if !is_folder && path.extension().is_some_and(|e| e == "toml") {
            if kind.is_ok_and(|k| k.is_file()) && says_plan(&path) {
                found.plans.push(path);
            } else {
                found.passed_over.push(path);
            }
        }
    }
    Ok(())
}

/// Whether a line of the file begins the section `[plan]`. What cannot be read is taken for a plan, so that it is
/// told with the others.
fn says_plan(path: &Path) -> bool {
    let begins = |line: &str| line.trim_start().starts_with("[plan]");
    read_plan(path).map_or(true, |file| file.text.lines().any(begins))
}
