//! Tables of published figures: the built-in ones, the user's in front of them, and how to look up.
//!
//! A table is read when it is first asked for. A user's table with the same kind and name hides the
//! built-in one as a whole; rows are never mixed, since nobody could say what was used.

mod builtin;
mod column;
pub mod end;
pub mod file;
pub mod fluid;
pub mod hose;
pub mod limit;
pub mod material;

use std::collections::BTreeMap;
use std::sync::OnceLock;

pub use file::{Between, Cell, Row, TableFile};

use crate::diagnostic::{Diagnostic, SourceText};

/// Kind and name of a table, as in `hose/mil-h-8794`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TableId {
    /// The kind: hose, tube, fluid, limit and so on.
    pub kind: String,
    /// The name.
    pub name: String,
}

#[derive(Debug)]
struct BuiltIn {
    kind: &'static str,
    name: &'static str,
    text: &'static str,
    read: OnceLock<Option<TableFile>>,
}

/// All tables there are.
///
/// ```
/// use hosewright::table::Tables;
/// let tables = Tables::builtin();
/// let table = tables.get("hose", "mil-h-8794").unwrap();
/// assert!(table.rows.len() > 10);
/// ```
#[derive(Debug)]
pub struct Tables {
    builtin: Vec<BuiltIn>,
    user: BTreeMap<TableId, TableFile>,
}

impl Tables {
    /// The tables that come with the program.
    pub fn builtin() -> Self {
        let builtin = builtin::LIST
            .iter()
            .map(|&(kind, name, text)| BuiltIn { kind, name, text, read: OnceLock::new() })
            .collect();
        Self { builtin, user: BTreeMap::new() }
    }

    /// The built-in tables with the user's in front of them; `(kind, text)` of each user file.
    ///
    /// # Errors
    /// All problems of all user files.
    pub fn with_user(
        files: &[(String, std::sync::Arc<SourceText>)],
    ) -> Result<Self, Vec<Diagnostic>> {
        let mut tables = Self::builtin();
        let mut problems = Vec::new();
        for (kind, file) in files {
            match file::read(file, Some(kind)) {
                Ok(table) => {
                    let id = TableId { kind: table.kind.clone(), name: table.name.clone() };
                    tables.user.insert(id, table);
                }
                Err(mut list) => problems.append(&mut list),
            }
        }
        if problems.is_empty() { Ok(tables) } else { Err(problems) }
    }

    /// The table of a kind and name.
    pub fn get(&self, kind: &str, name: &str) -> Option<&TableFile> {
        let id = TableId { kind: kind.to_owned(), name: name.to_owned() };
        if let Some(table) = self.user.get(&id) {
            return Some(table);
        }
        let entry = self.builtin.iter().find(|b| b.kind == kind && b.name == name)?;
        entry
            .read
            .get_or_init(|| {
                let path = format!("<builtin>/{kind}/{name}.toml");
                file::read(&SourceText::new(path, entry.text), Some(kind)).ok()
            })
            .as_ref()
    }

    /// Reads the tables that almost every plan draws on.
    pub fn warm(&self) {
        for (kind, name) in [
            ("compatibility", "hose-materials"),
            ("limit", "installation"),
            ("limit", "velocity"),
            ("limit", "design-factor"),
            ("limit", "suction"),
            ("roughness", "bores"),
        ] {
            self.get(kind, name);
        }
    }

    /// The names of all tables of a kind, sorted.
    pub fn names(&self, kind: &str) -> Vec<&str> {
        let own = self.user.keys().filter(|id| id.kind == kind).map(|id| id.name.as_str());
        let built = self.builtin.iter().filter(|b| b.kind == kind).map(|b| b.name);
        let mut names: Vec<&str> = own.chain(built).collect();
        names.sort_unstable();
        names.dedup();
        names
    }

    /// The kinds there are, sorted.
    pub fn kinds(&self) -> Vec<&str> {
        let own = self.user.keys().map(|id| id.kind.as_str());
        let mut kinds: Vec<&str> = own.chain(self.builtin.iter().map(|b| b.kind)).collect();
        kinds.sort_unstable();
        kinds.dedup();
        kinds
    }

    /// The user's tables that hide a built-in one.
    pub fn hidden(&self) -> Vec<&TableId> {
        let hides =
            |id: &&TableId| self.builtin.iter().any(|b| b.kind == id.kind && b.name == id.name);
        self.user.keys().filter(hides).collect()
    }

    /// The user's own tables.
    pub fn user_tables(&self) -> impl Iterator<Item = &TableId> {
        self.user.keys()
    }

    /// Text of every built-in table as `(kind, name, text)`, for the tests of the tables.
    pub fn builtin_texts() -> &'static [(&'static str, &'static str, &'static str)] {
        builtin::LIST
    }
}
