//! Every table file: reads, cites, adds up as stored, keeps the order of physics, and springs no known trap.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

mod order;
mod retyped;
mod traps;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::sync::OnceLock;

use hosewright::diagnostic::SourceText;
use hosewright::source::Standing;
use hosewright::table::reading::read as read_table;
use hosewright::table::{Cell, Row, TableFile, Tables};
use hosewright::units::{
    self, AbsolutePressure, Angle, Conductivity, Density, DynamicViscosity, Flow, GaugePressure,
    KinematicViscosity, Length, LinearMass, PressureDifference, Quantity, Ratio, SpecificHeat,
    Stress, Temperature, Time, Torque, Velocity, Volume,
};

use crate::house::{assert_stored, files_below, read};

/// Path, folder and file name of every table file.
fn files() -> Vec<(String, String, String)> {
    let part = |path: &str| {
        let inside = path.strip_prefix("tables/")?.strip_suffix(".toml")?;
        let (kind, name) = inside.split_once('/')?;
        Some((path.to_owned(), kind.to_owned(), name.to_owned()))
    };
    files_below("tables").iter().filter_map(|p| part(p)).collect()
}

/// Every table, read from its file once.
fn tables() -> &'static [TableFile] {
    static TABLES: OnceLock<Vec<TableFile>> = OnceLock::new();
    TABLES.get_or_init(read_all)
}

fn read_all() -> Vec<TableFile> {
    let one = |(path, kind, _): (String, String, String)| {
        let file = SourceText::new(path.as_str(), read(&path));
        read_table(&file, Some(&kind)).unwrap_or_else(|problems| {
            let all: Vec<String> = problems.iter().map(|p| p.message.clone()).collect();
            panic!("{path}: {}", all.join("; "))
        })
    };
    files().into_iter().map(one).collect()
}

fn table(id: &str) -> &'static TableFile {
    tables().iter().find(|t| t.id() == id).unwrap_or_else(|| panic!("no table {id}"))
}

/// A row by its first key column.
fn row<'t>(table: &'t TableFile, key: &str) -> &'t Row {
    let found = table.row(&[(table.key[0].as_str(), key)]);
    found.unwrap_or_else(|| panic!("{} has no row {key}", table.id()))
}

/// A cell as a quantity of one kind, in SI.
fn si<Q: Quantity>(table: &TableFile, row: &Row, column: &str) -> Option<f64> {
    table.quantity::<Q>(row, column).map(|q| q.value.si())
}

type Reader = fn(&TableFile, &Row, &str) -> Option<f64>;

/// Every kind of quantity that a column can hold; the first that reads is meant.
const KINDS: &[(&str, Reader)] = &[
    (Length::NAME, si::<Length>),
    (AbsolutePressure::NAME, si::<AbsolutePressure>),
    (GaugePressure::NAME, si::<GaugePressure>),
    (PressureDifference::NAME, si::<PressureDifference>),
    (Stress::NAME, si::<Stress>),
    (Temperature::NAME, si::<Temperature>),
    (Density::NAME, si::<Density>),
    (LinearMass::NAME, si::<LinearMass>),
    (KinematicViscosity::NAME, si::<KinematicViscosity>),
    (DynamicViscosity::NAME, si::<DynamicViscosity>),
    (Velocity::NAME, si::<Velocity>),
    (Torque::NAME, si::<Torque>),
    (Angle::NAME, si::<Angle>),
    (SpecificHeat::NAME, si::<SpecificHeat>),
    (Conductivity::NAME, si::<Conductivity>),
    (Time::NAME, si::<Time>),
    (Flow::NAME, si::<Flow>),
    (Volume::NAME, si::<Volume>),
    (Ratio::NAME, si::<Ratio>),
];

/// Kind and SI value of a cell; a bare number of a `-` or `1/K` column is a plain number.
fn value(table: &TableFile, row: &Row, column: &str) -> Option<(&'static str, f64)> {
    let plain = matches!(table.columns.get(column).map(String::as_str), Some("-" | "1/K"));
    if plain {
        match row.cells.get(column)? {
            Cell::Number(n) => return Some(("plain number", *n)),
            Cell::Text(text) => {
                if let Ok(n) = units::read_number(text) {
                    return Some(("plain number", n));
                }
            }
            _ => return None,
        }
    }
    KINDS.iter().find_map(|(name, read)| Some((*name, read(table, row, column)?)))
}

fn numeric_columns(table: &TableFile) -> impl Iterator<Item = &str> {
    table.columns.iter().filter(|(_, unit)| *unit != "text").map(|(name, _)| name.as_str())
}

fn key_of(table: &TableFile, row: &Row) -> String {
    let cell = |k: &String| row.cells.get(k).map_or("(nothing)".to_owned(), Cell::to_text);
    table.key.iter().map(cell).collect::<Vec<_>>().join(", ")
}

#[test]
fn every_table_file_reads_and_bears_the_names_of_its_folder_and_file() {
    assert!(files().len() > 80, "only {} files", files().len());
    for ((path, kind, name), table) in files().into_iter().zip(tables()) {
        assert_eq!((&table.kind, &table.name), (&kind, &name), "{path}");
    }
}

#[test]
fn the_built_in_list_and_the_folder_hold_the_same_tables() {
    let listed: BTreeMap<String, &str> = Tables::builtin_texts()
        .iter()
        .map(|(kind, name, text)| (format!("tables/{kind}/{name}.toml"), *text))
        .collect();
    assert_eq!(listed.len(), Tables::builtin_texts().len(), "a table is listed twice");
    let on_disk: BTreeSet<String> = files().into_iter().map(|(path, _, _)| path).collect();
    let known: BTreeSet<String> = listed.keys().cloned().collect();
    let forgotten: Vec<_> = on_disk.difference(&known).collect();
    assert!(forgotten.is_empty(), "not in src/table/builtin.rs: {forgotten:?}");
    assert_eq!(known, on_disk);
    for (path, text) in listed {
        assert_eq!(text, read(&path), "{path}");
    }
}

#[test]
fn every_built_in_table_can_be_asked_for() {
    let tables = Tables::builtin();
    for (kind, name, _) in Tables::builtin_texts() {
        assert!(tables.get(kind, name).is_some(), "{kind}/{name}");
        assert!(tables.names(kind).contains(&name), "{kind}/{name}");
    }
}

#[test]
fn every_source_is_used() {
    for table in tables() {
        let rows = table.rows.iter().flat_map(|r| &r.sources);
        let facts = table.facts.values().flat_map(|f| &f.sources);
        let used: BTreeSet<&String> = rows.chain(facts).collect();
        let idle: Vec<&String> = table.sources.keys().filter(|id| !used.contains(id)).collect();
        assert!(idle.is_empty(), "{}: nothing rests on {idle:?}", table.id());
    }
}

#[test]
fn every_source_says_when_it_was_read_if_and_only_if_it_was() {
    for table in tables() {
        for (id, source) in &table.sources {
            let place = format!("{}, source {id}", table.id());
            assert!(source.document.len() > 5, "{place}");
            match source.standing {
                Standing::Read | Standing::CrossChecked | Standing::QuotedElsewhere => {
                    assert!(source.read_on.is_some(), "{place}: when was it read?");
                }
                Standing::FromMemory | Standing::Demo => {
                    assert!(source.read_on.is_none(), "{place}: nothing was read");
                }
                _ => {}
            }
        }
    }
}

#[test]
fn a_row_stands_no_higher_than_its_sources_unless_several_agree() {
    for table in tables() {
        for row in &table.rows {
            let sources: Vec<Standing> = row
                .sources
                .iter()
                .filter_map(|id| table.sources.get(id))
                .map(|s| s.standing)
                .collect();
            let weakest = sources.iter().max().copied();
            let Some((own, weakest)) = row.standing.zip(weakest) else { continue };
            let agree = own == Standing::CrossChecked && sources.len() >= 2 && !weakest.is_weak();
            let place = format!("{}, row {}", table.id(), key_of(table, row));
            assert!(own >= weakest || agree, "{place}: {own} on {sources:?}");
        }
    }
}

#[test]
fn only_invented_tables_stand_as_demo_and_their_names_say_so() {
    for table in tables() {
        let invented = table.name.starts_with("demo-");
        for row in &table.rows {
            let demo = table.cite(row).standing == Standing::Demo;
            assert_eq!(demo, invented, "{}, row {}", table.id(), key_of(table, row));
        }
    }
}

#[test]
fn every_row_is_named_by_its_key_and_no_key_stands_twice() {
    for table in tables() {
        assert!(!table.key.is_empty() && !table.rows.is_empty(), "{}", table.id());
        let mut keys = BTreeSet::new();
        for row in &table.rows {
            for column in &table.key {
                assert!(row.cells.get(column).is_some(), "{}: a row without {column}", table.id());
            }
            let key = key_of(table, row);
            assert!(keys.insert(key.clone()), "{}: {key} stands twice", table.id());
        }
    }
}

#[test]
fn every_column_is_filled_somewhere() {
    for table in tables() {
        for column in table.columns.keys() {
            let filled = table.rows.iter().any(|r| r.cells.get(column).is_some());
            assert!(filled, "{}: column {column} is empty", table.id());
        }
    }
}

#[test]
fn every_cell_of_a_numeric_column_reads_and_the_column_is_of_one_kind() {
    for table in tables() {
        for column in numeric_columns(table) {
            let mut kinds = BTreeSet::new();
            for row in table.rows.iter().filter(|r| r.cells.get(column).is_some()) {
                let place = format!("{}, row {}, {column}", table.id(), key_of(table, row));
                let (kind, number) = value(table, row, column).unwrap_or_else(|| {
                    panic!("{place}: {:?} cannot be read", row.cells.get(column))
                });
                assert!(number.is_finite(), "{place}");
                kinds.insert(kind);
            }
            // A plain column of rules may hold a figure of any kind, with its unit.
            let plain = table.columns[column] == "-";
            assert!(plain || kinds.len() == 1, "{}: {column} holds {kinds:?}", table.id());
        }
    }
}

#[test]
fn row_counts_and_column_sums_are_the_stored_ones() {
    let mut text = String::from(
        "# Rows of every table, and the sum of every column of figures in SI units with the number\n\
         # of its cells. A changed figure changes a sum: `UPDATE=1 cargo test` rewrites this file.\n",
    );
    for table in tables() {
        let _ = writeln!(text, "\n[\"{}\"]\nrows = {}", table.id(), table.rows.len());
        for column in numeric_columns(table) {
            let cells: Vec<f64> =
                table.rows.iter().filter_map(|r| Some(value(table, r, column)?.1)).collect();
            let sum: f64 = cells.iter().sum();
            let _ = writeln!(text, "{column} = {{ cells = {}, sum = {sum:.9e} }}", cells.len());
        }
    }
    assert_stored("tests/tables-sums.toml", &text);
}

fn compatibility() -> (&'static TableFile, BTreeSet<String>, BTreeSet<String>) {
    let table = table("compatibility/hose-materials");
    let list = |fact: &str| table.fact_list(fact).map(|l| l.value).unwrap_or_default();
    let classes: BTreeSet<String> = list("fluid_classes").into_iter().collect();
    let cells = table.rows.iter().filter_map(|r| r.cells.get("material"));
    let materials: BTreeSet<String> = cells.map(Cell::to_text).collect();
    (table, materials, classes)
}

#[test]
fn every_material_is_paired_with_every_fluid_class() {
    let (table, materials, classes) = compatibility();
    assert!(materials.len() >= 12 && classes.len() >= 15, "{materials:?} {classes:?}");
    let ratings = table.fact_list("ratings").map(|l| l.value).unwrap_or_default();
    for material in &materials {
        for class in &classes {
            let speaks = |row: &&Row| {
                let cell = |name: &str| row.cells.get(name);
                cell("material").is_some_and(|c| c.says(material))
                    && cell("fluid_classes").is_some_and(|c| c.lists(class))
            };
            let rows: Vec<&Row> = table.rows.iter().filter(speaks).collect();
            assert_eq!(rows.len(), 1, "{material} with {class} is said once");
            let rating = rows[0].cells.get("rating").map(Cell::to_text);
            let known = rating.as_ref().is_some_and(|r| ratings.contains(r));
            assert!(known, "{material} with {class}: {rating:?}");
        }
    }
}

#[test]
fn every_material_class_and_surface_that_a_table_names_is_known() {
    let (_, materials, classes) = compatibility();
    let bores = table("roughness/bores");
    let surfaces: BTreeSet<String> =
        bores.rows.iter().filter_map(|r| r.cells.get("surface")).map(Cell::to_text).collect();
    let strengths = table("material/tube-strength");
    for table in tables() {
        let fact = |name: &str| table.fact_words(name).map(|w| w.value);
        let cells = |name: &str| -> Vec<String> {
            table.rows.iter().filter_map(|r| r.cells.get(name)).map(Cell::to_text).collect()
        };
        for name in ["wetted", "liner"] {
            for material in cells(name).into_iter().chain(fact(name)) {
                assert!(materials.contains(&material), "{}: {name} {material}", table.id());
            }
        }
        for class in cells("compat").into_iter().chain(fact("compat")) {
            assert!(classes.contains(&class), "{}: compat {class}", table.id());
        }
        let surface = fact("roughness");
        let known = surface.as_ref().is_none_or(|s| surfaces.contains(s));
        assert!(known, "{}: roughness {surface:?}", table.id());
        if table.kind == "tube"
            && let Some(material) = fact("material")
        {
            assert!(
                strengths.row(&[("material", &material)]).is_some(),
                "{}: {material}",
                table.id()
            );
        }
    }
}

#[test]
fn what_the_build_stored_is_what_the_reader_makes_of_the_file() {
    let stored = Tables::builtin();
    for (kind, name, text) in Tables::builtin_texts() {
        let path = format!("<builtin>/{kind}/{name}.toml");
        let read = read_table(&SourceText::new(path, text), Some(kind)).expect("it reads");
        assert_eq!(stored.get(kind, name), Some(&read), "{kind}/{name}");
    }
}
