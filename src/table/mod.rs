//! Tables of published figures: the built-in ones, the user's in front of them, and how to look up.
//!
//! A table is read when it is first asked for. A user's table with the same kind and name hides the
//! built-in one as a whole; rows are never mixed, since nobody could say what was used.

mod builtin;
mod checksum;
mod column;
pub mod end;
pub mod file;
pub mod fluid;
pub mod hose;
pub mod joint;
pub mod life;
pub mod limit;
pub mod material;
pub mod reading;
pub mod step;
pub mod thread;
pub mod torque;

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

/// A row of a table that lists sizes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SizeRow {
    /// Name of the table.
    pub table: String,
    /// The size.
    pub size: String,
}

/// A built-in table, made when it is first asked for.
#[derive(Debug)]
struct BuiltIn {
    kind: &'static str,
    name: &'static str,
    stored: &'static str,
    made: OnceLock<Option<TableFile>>,
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
        let entry = |&(kind, name, _, stored): &(_, _, _, _)| BuiltIn {
            kind,
            name,
            stored,
            made: OnceLock::new(),
        };
        let builtin = builtin::LIST.iter().map(entry).collect();
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
            match reading::read(file, Some(kind)) {
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
        let mine = self.user.iter().find(|(id, _)| id.kind == kind && id.name == name);
        if let Some((_, table)) = mine {
            return Some(table);
        }
        let index = self.builtin.binary_search_by_key(&(kind, name), |b| (b.kind, b.name)).ok()?;
        let entry = &self.builtin[index];
        entry.made.get_or_init(|| builtin::table(entry.stored)).as_ref()
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
    pub fn builtin_texts() -> Vec<(&'static str, &'static str, &'static str)> {
        builtin::LIST.iter().map(|(kind, name, text, _)| (*kind, *name, *text)).collect()
    }
}
