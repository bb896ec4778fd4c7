//! Any text, handed to the reader of a user's tables.

use hosewright::diagnostic::SourceText;
use hosewright::table::Tables;

use super::refused;

/// A table of any of the kinds is read, or refused with problems that can be shown. The first byte chooses the kind.
pub fn feed(bytes: &[u8]) {
    let Some((first, text)) = bytes.split_first() else { return };
    let builtin = Tables::builtin();
    let kinds = builtin.kinds();
    let kind = kinds[usize::from(*first) % kinds.len()].to_owned();
    let file = SourceText::new("own.toml", String::from_utf8_lossy(text));
    match Tables::with_user(&[(kind.clone(), file.clone())]) {
        Err(problems) => refused(&file, &problems),
        Ok(tables) => {
            for id in tables.user_tables() {
                let table = tables.get(&kind, &id.name);
                let written =
                    table.is_some_and(|t| t.rows.iter().all(|r| r.cells.iter().count() > 0));
                assert!(written, "{} has a row without a cell", id.name);
            }
        }
    }
}
