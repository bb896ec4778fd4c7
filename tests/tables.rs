//! Every table file: reads, cites, adds up as stored, keeps the order of physics, and springs no known trap.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::sync::OnceLock;

use hosewright::diagnostic::SourceText;
use hosewright::source::Standing;
use hosewright::table::end::End;
use hosewright::table::file::read as read_table;
use hosewright::table::{Cell, Row, TableFile, Tables};
use hosewright::units::{
    self, AbsolutePressure, Angle, Conductivity, Density, DynamicViscosity, Flow, GaugePressure,
    KinematicViscosity, Length, LinearMass, PressureDifference, Quantity, Ratio, SpecificHeat,
    Stress, Temperature, Time, Torque, Velocity,
};
use serde::Deserialize;

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
        assert!(tables.names(kind).contains(name), "{kind}/{name}");
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
            let sources: Vec<Standing> =
                row.sources.iter().filter_map(|id| table.sources.get(id)).map(|s| s.standing).collect();
            let weakest = sources.iter().max().copied();
            let Some((own, weakest)) = row.standing.zip(weakest) else { continue };
            let agree = own == Standing::CrossChecked && sources.len() >= 2 && !weakest.is_weak();
            let place = format!("{}, row {}", table.id(), key_of(&table, row));
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
            assert_eq!(demo, invented, "{}, row {}", table.id(), key_of(&table, row));
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
                assert!(row.cells.contains_key(column), "{}: a row without {column}", table.id());
            }
            let key = key_of(&table, row);
            assert!(keys.insert(key.clone()), "{}: {key} stands twice", table.id());
        }
    }
}

#[test]
fn every_column_is_filled_somewhere() {
    for table in tables() {
        for column in table.columns.keys() {
            let filled = table.rows.iter().any(|r| r.cells.contains_key(column));
            assert!(filled, "{}: column {column} is empty", table.id());
        }
    }
}

#[test]
fn every_cell_of_a_numeric_column_reads_and_the_column_is_of_one_kind() {
    for table in tables() {
        for column in numeric_columns(&table) {
            let mut kinds = BTreeSet::new();
            for row in table.rows.iter().filter(|r| r.cells.contains_key(column)) {
                let place = format!("{}, row {}, {column}", table.id(), key_of(&table, row));
                let (kind, number) = value(&table, row, column)
                    .unwrap_or_else(|| panic!("{place}: {:?} cannot be read", row.cells[column]));
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
        for column in numeric_columns(&table) {
            let cells: Vec<f64> =
                table.rows.iter().filter_map(|r| Some(value(&table, r, column)?.1)).collect();
            let sum: f64 = cells.iter().sum();
            let _ = writeln!(text, "{column} = {{ cells = {}, sum = {sum:.9e} }}", cells.len());
        }
    }
    assert_stored("tests/tables-sums.toml", &text);
}

/// Two columns of lengths or of pressures in every row that fills both.
fn pairs(kind: &str, a: &str, b: &str, mut judge: impl FnMut(&str, f64, f64)) {
    let mut seen = 0;
    for table in tables().iter().filter(|t| t.kind == kind) {
        for row in &table.rows {
            if let (Some((_, a)), Some((_, b))) = (value(table, row, a), value(table, row, b)) {
                judge(&format!("{}, row {}", table.id(), key_of(table, row)), a, b);
                seen += 1;
            }
        }
    }
    assert!(seen > 3, "only {seen} rows of {kind} have both {a} and {b}");
}

/// Rows whose printed end bore is wider than the tube itself, and are carried as printed.
const DOUBTED_END_BORES: &[(&str, &str)] = &[("tube/inch-cres-annealed", "3/4 in x 0.083 in")];

#[test]
fn a_bore_lies_inside_its_outside_and_a_wall_leaves_a_bore() {
    pairs("hose", "bore", "outside", |row, bore, outside| assert!(bore < outside, "{row}"));
    pairs("hose", "bore_least", "bore", |row, least, bore| assert!(least <= bore, "{row}"));
    pairs("hose", "end_bore", "bore", |row, end, bore| assert!(end < bore, "{row}"));
    pairs("tube", "wall", "outside", |row, wall, outside| assert!(2.0 * wall < outside, "{row}"));
    for table in tables().iter().filter(|t| t.kind == "tube") {
        for row in &table.rows {
            let of = |column| value(table, row, column).map(|v| v.1);
            let (Some(outside), Some(wall), Some(end)) = (of("outside"), of("wall"), of("end_bore"))
            else {
                continue;
            };
            let (id, key) = (table.id(), key_of(table, row));
            let doubted = DOUBTED_END_BORES.contains(&(id.as_str(), key.as_str()));
            assert!(doubted || end < outside - 2.0 * wall, "{id}, row {key}");
        }
    }
}

#[test]
fn working_pressure_is_at_most_proof_and_proof_less_than_burst() {
    pairs("hose", "working", "proof", |row, working, proof| assert!(working <= proof, "{row}"));
    pairs("hose", "proof", "burst", |row, proof, burst| assert!(proof < burst, "{row}"));
    pairs("hose", "working", "burst", |row, working, burst| assert!(2.0 * working < burst, "{row}"));
    pairs("material", "yield", "ultimate", |row, low, high| assert!(low < high, "{row}"));
}

#[test]
fn a_least_figure_is_at_most_the_greatest() {
    let ends = [
        ("fluid", "density_min", "density15"),
        ("fluid", "density15", "density_max"),
        ("fluid", "reid_min", "reid_max"),
        ("limit", "min", "max"),
        ("limit", "kv40_min", "kv40_max"),
        ("roughness", "low", "high"),
        ("roughness", "low", "typical"),
        ("roughness", "typical", "high"),
        ("torque", "hose_min", "hose_max"),
        ("torque", "steel_tube_min", "steel_tube_max"),
        ("torque", "aluminium_tube_min", "aluminium_tube_max"),
        ("torque", "min", "max"),
        ("thread", "minor", "major"),
    ];
    for (kind, low, high) in ends {
        let mut seen = 0;
        for table in tables().iter().filter(|t| t.kind == kind) {
            for row in &table.rows {
                if let (Some((_, l)), Some((_, h))) = (value(table, row, low), value(table, row, high)) {
                    let key = key_of(table, row);
                    assert!(l <= h, "{}, row {key}: {low} {l} and {high} {h}", table.id());
                    seen += 1;
                }
            }
        }
        assert!(seen > 0, "no row of {kind} has both {low} and {high}");
    }
}

/// Columns that rise from row to row, strictly or at least never fall, by kind of table.
const RISING: &[(&str, &str, bool)] = &[
    ("hose", "bore", true),
    ("hose", "bore_least", true),
    ("hose", "end_bore", true),
    ("hose", "outside", true),
    ("hose", "tube_outside", true),
    ("hose", "bend_radius", false),
    ("hose", "mass", true),
    ("end", "bore", true),
    ("end", "drop", false),
    ("tube", "outside", false),
    ("thread", "tube_outside", true),
    ("thread", "major", true),
    ("torque", "tube_outside", true),
    ("torque", "hose_min", false),
    ("support", "aluminium", false),
    ("support", "steel", false),
];

/// Columns that do not rise, or `*` for all of a table, each with the reason.
const UNEVEN: &[(&str, &str, &str)] = &[
    (
        "hose/demo-coolant",
        "bend_radius",
        "invented: the 12.7 mm hose was made more supple than its smaller brothers for an example",
    ),
    ("tube/demo-metric", "*", "metric sizes first, inch sizes after them"),
    ("hose/demo-hydraulic", "*", "several hoses of one bore: full pressure, low, return, suction"),
];

#[test]
fn figures_that_must_rise_with_the_size_do() {
    let mut seen = BTreeSet::new();
    for table in tables() {
        for (_, column, strict) in RISING.iter().filter(|(kind, _, _)| *kind == table.kind) {
            let id = table.id();
            if UNEVEN.iter().any(|(t, c, _)| *t == id && (c == column || *c == "*")) {
                continue;
            }
            let cells: Vec<(String, f64)> = table
                .rows
                .iter()
                .filter_map(|r| Some((key_of(&table, r), value(&table, r, column)?.1)))
                .collect();
            for pair in cells.windows(2) {
                let rises = if *strict { pair[0].1 < pair[1].1 } else { pair[0].1 <= pair[1].1 };
                assert!(rises, "{}: {column} from {:?} to {:?}", table.id(), pair[0], pair[1]);
                seen.insert((table.kind.clone(), *column));
            }
        }
    }
    assert_eq!(seen.len(), RISING.len(), "a column was found in no table: {seen:?}");
}

#[test]
fn temperatures_rise_within_a_grade_or_material_and_strength_never_does() {
    for table in tables().iter().filter(|t| t.key.iter().any(|k| k == "temperature")) {
        let group = table.key.iter().find(|k| *k != "temperature");
        let mut last: BTreeMap<String, (f64, Option<f64>)> = BTreeMap::new();
        for row in &table.rows {
            let name = group.and_then(|g| row.cells.get(g)).map(Cell::to_text).unwrap_or_default();
            let Some((_, kelvin)) = value(table, row, "temperature") else { continue };
            let strength = value(table, row, "allowable").map(|v| v.1);
            if let Some((before, stronger)) = last.get(&name) {
                assert!(*before < kelvin, "{} {name} at {kelvin} K", table.id());
                let falls = strength.zip(*stronger).is_none_or(|(now, was)| now <= was);
                assert!(falls, "{} {name} at {kelvin} K is stronger than when colder", table.id());
            }
            last.insert(name, (kelvin, strength));
        }
    }
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
            let row = table.row(&[("material", material), ("fluid_class", class)]);
            let rating = row.and_then(|r| r.cells.get("rating")).map(Cell::to_text);
            let known = rating.as_ref().is_some_and(|r| ratings.contains(r));
            assert!(known, "{material} with {class}: {rating:?}");
        }
    }
    assert_eq!(table.rows.len(), materials.len() * classes.len());
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
            assert!(strengths.row(&[("material", &material)]).is_some(), "{}: {material}", table.id());
        }
    }
}

// --- traps that a published table sets for whoever copies it

fn length_in(table: &TableFile, key: &str, column: &str) -> f64 {
    let metres = si::<Length>(table, row(table, key), column);
    metres.unwrap_or_else(|| panic!("{} {key} {column}", table.id())) / 0.0254
}

fn psi(table: &TableFile, key: &str, column: &str) -> Option<f64> {
    // Exact: pound force over square inch.
    const PSI_PA: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);
    si::<GaugePressure>(table, row(table, key), column).map(|pa| pa / PSI_PA)
}

/// Equal but for the last bits of a conversion there and back.
fn same(found: f64, known: f64) -> bool {
    (found - known).abs() <= 1e-12 * known.abs()
}

#[test]
fn the_cut_off_of_a_pair_is_twice_that_of_one_fitting_in_every_size() {
    let (one, pair) = (table("end/ptfe-flare-straight"), table("end/ptfe-flare-straight-pair"));
    assert_eq!(pair.rows.len(), 9);
    for row in &pair.rows {
        let size = key_of(&pair, row);
        let (a, b) = (length_in(&one, &size, "cut_off"), length_in(&pair, &size, "cut_off"));
        assert!(same(b, 2.0 * a), "{size}: {a} and {b}");
        let halved = End::from_table(&pair, &size).and_then(|e| e.cut_off).map(|c| c.value.si());
        let single = End::from_table(&one, &size).and_then(|e| e.cut_off).map(|c| c.value.si());
        assert!(same(halved.unwrap(), single.unwrap()), "{size}: an end takes one fitting's share");
    }
}

#[test]
fn dash_6_of_the_37_degree_flare_is_9_16_18_and_5_8_18_belongs_to_45_degrees() {
    let tables = Tables::builtin();
    let thread = |family: &str, size: &str| {
        hosewright::table::end::thread(&tables, family, size).map(|t| t.value)
    };
    assert_eq!(thread("flare-37", "-6").as_deref(), Some("9/16-18"));
    assert_eq!(thread("flare-45", "-6").as_deref(), Some("5/8-18"));
    for shared in ["-4", "-5", "-8", "-10"] {
        assert_eq!(thread("flare-37", shared), thread("flare-45", shared), "{shared}");
    }
}

#[test]
fn burst_is_not_four_times_working_in_every_size_of_mil_h_8794() {
    let table = table("hose/mil-h-8794");
    let ratio = |size: &str, of: &str| psi(&table, size, of).unwrap() / psi(&table, size, "working").unwrap();
    // As printed: 10 000 on 3000, 6000 on 1750, 9000 on 2000, 1000 on 200.
    assert!((ratio("-5", "burst") - 3.333).abs() < 0.001);
    assert!((ratio("-12", "burst") - 3.429).abs() < 0.001);
    assert!((ratio("-6", "burst") - 4.5).abs() < 1e-9);
    assert!((ratio("-40", "burst") - 5.0).abs() < 1e-9);
    assert!((ratio("-40", "proof") - 1.5).abs() < 1e-9);
    assert!((ratio("-6", "proof") - 2.25).abs() < 1e-9);
}

#[test]
fn a_dash_number_is_the_tube_it_stands_for_and_not_the_bore() {
    for id in ["hose/mil-h-8794", "hose/mil-h-8788", "hose/sae-100r5", "hose/as1946-bores"] {
        let table = table(id);
        for row in &table.rows {
            let size = key_of(&table, row);
            let sixteenths: f64 = size.trim_start_matches('-').parse().unwrap();
            let tube = length_in(&table, &size, "tube_outside");
            assert!(same(tube, sixteenths / 16.0), "{id} {size}: {tube}");
            // The largest size alone has a bore as wide as its tube.
            let narrower = length_in(&table, &size, "bore") < tube || size == "-48";
            assert!(narrower, "{id} {size}");
        }
    }
}

#[test]
fn the_burst_pressure_that_was_printed_wrong_is_not_carried() {
    let table = table("hose/mil-h-8788");
    assert_eq!(psi(&table, "-16", "burst"), None);
    assert!(same(psi(&table, "-12", "burst").unwrap(), 12_000.0));
    assert!(row(&table, "-16").note.as_ref().is_some_and(|n| n.contains("19,000")));
}

#[test]
fn the_high_temperature_of_mil_h_8794_is_the_lower_of_the_two_that_are_printed() {
    let table = table("hose/mil-h-8794");
    let hottest = table.fact_quantity::<Temperature>("temperature_max").unwrap().value.si();
    // 250 degF; 275 degF is printed for -16 and larger.
    assert!((hottest - (250.0 + 459.67) / 1.8).abs() < 1e-9);
    assert!(!table.columns.contains_key("temperature_max"));
}

#[test]
fn the_fitting_is_the_narrow_place_of_a_ptfe_hose() {
    let table = table("hose/as1946-bores");
    let (bore, end) = (length_in(&table, "-4", "bore"), length_in(&table, "-4", "end_bore"));
    // The note says 42 % less area: 1 - (0.132 / 0.173)^2.
    assert!((1.0 - (end / bore) * (end / bore) - 0.418).abs() < 0.001);
}

#[test]
fn proof_of_the_ptfe_hose_does_not_fall_steadily_with_size() {
    let table = table("hose/ptfe-medium-pressure");
    assert!(same(psi(&table, "-12", "proof").unwrap(), 2000.0));
    assert!(same(psi(&table, "-16Z", "proof").unwrap(), 2500.0));
    for row in &table.rows {
        assert_eq!(table.cite(row).standing, Standing::FromMemory, "its bend radius has no support");
    }
}

#[test]
fn the_cut_off_of_a_rubber_hose_fitting_falls_between_12_and_16() {
    let table = table("end/rubber-flare-straight-ms24587");
    assert!(same(length_in(&table, "-12", "cut_off"), 1.0));
    assert!(same(length_in(&table, "-16", "cut_off"), 0.94));
}

#[test]
fn a_suction_hose_bears_little_pressure_and_two_braids_more_than_one() {
    let (one, two, suction) =
        (table("hose/sae-100r1at"), table("hose/sae-100r2at"), table("hose/sae-100r4"));
    for row in &one.rows {
        let size = key_of(&one, row);
        assert!(psi(&one, &size, "working") < psi(&two, &size, "working"), "{size}");
        assert_eq!(length_in(&one, &size, "bend_radius"), length_in(&two, &size, "bend_radius"));
    }
    assert!(same(psi(&suction, "-16", "working").unwrap(), 250.0));
}

#[test]
fn drawn_tube_is_not_given_the_roughness_of_commercial_steel() {
    let table = table("roughness/bores");
    let typical = |surface: &str| si::<Length>(&table, row(&table, surface), "typical").unwrap();
    assert!(same(typical("drawn tube"), 1.5e-6));
    assert!(same(typical("commercial steel"), 45e-6));
}

#[test]
fn published_industrial_torques_contradict_each_other_and_both_are_kept() {
    let (engine, machine) =
        (table("torque/flare-37-industrial-engine"), table("torque/flare-37-industrial-machine"));
    let of = |t: &TableFile, column| si::<Torque>(t, row(t, "-10"), column).unwrap();
    assert!(of(&engine, "max") < of(&machine, "min"), "the bands at -10 do not meet");
}

// --- figures typed a second time

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Retyped {
    row: Vec<RetypedRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RetypedRow {
    table: String,
    key: BTreeMap<String, String>,
    from: String,
    cells: BTreeMap<String, String>,
}

/// Kinds whose published tables must each have two rows typed a second time.
const RETYPED_KINDS: &[&str] = &["hose", "tube", "end", "thread", "material"];

/// Published tables without a figure that could be typed again, with the reason.
const NOT_RETYPED: &[(&str, &str)] = &[
    ("hose/sae-j20-r3", "bores are nominal and remembered: no page with figures was read"),
    ("hose/sae-j20-r4", "bores are nominal and remembered: no page with figures was read"),
];

fn retyped() -> Vec<RetypedRow> {
    toml::from_str::<Retyped>(&read("tests/reference/tables.toml")).unwrap().row
}

/// A quantity with its unit, read as the first kind that takes it.
fn quantity_text(text: &str, kind: &str) -> Option<f64> {
    fn of<Q: Quantity>(text: &str, kind: &str) -> Option<f64> {
        (Q::NAME == kind).then(|| units::read::<Q>(text).ok().map(Q::si)).flatten()
    }
    of::<Length>(text, kind)
        .or_else(|| of::<GaugePressure>(text, kind))
        .or_else(|| of::<PressureDifference>(text, kind))
        .or_else(|| of::<Stress>(text, kind))
        .or_else(|| of::<Density>(text, kind))
        .or_else(|| of::<Temperature>(text, kind))
        .or_else(|| of::<Ratio>(text, kind))
        .or_else(|| units::read_number(text).ok().filter(|_| kind == "plain number"))
}

#[test]
fn rows_typed_a_second_time_agree_with_the_tables() {
    for again in retyped() {
        let table = table(&again.table);
        let wanted: Vec<(&str, &str)> =
            again.key.iter().map(|(c, t)| (c.as_str(), t.as_str())).collect();
        let row = table.row(&wanted).unwrap_or_else(|| panic!("{} {wanted:?}", again.table));
        for (column, text) in &again.cells {
            let place = format!("{} {wanted:?} {column} ({})", again.table, again.from);
            if table.columns.get(column).is_some_and(|u| u == "text") {
                assert_eq!(row.cells.get(column).map(Cell::to_text).as_ref(), Some(text), "{place}");
                continue;
            }
            let (kind, found) =
                value(&table, row, column).unwrap_or_else(|| panic!("{place} is not in the table"));
            let known = quantity_text(text, kind)
                .unwrap_or_else(|| panic!("{place}: \"{text}\" is no {kind}"));
            // Only the last bits of a conversion may differ.
            assert!((found - known).abs() <= 1e-12 * known.abs(), "{place}: {found}, not {known}");
        }
    }
}

#[test]
fn every_published_table_of_parts_has_two_rows_typed_a_second_time() {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for again in retyped() {
        assert!(!again.cells.is_empty() && again.from.len() > 5, "{}", again.table);
        *counts.entry(again.table).or_default() += 1;
    }
    for table in tables() {
        let published = !table.name.starts_with("demo-");
        let excused = NOT_RETYPED.iter().any(|(id, _)| *id == table.id());
        if published && RETYPED_KINDS.contains(&table.kind.as_str()) && !excused {
            let count = counts.get(&table.id()).copied().unwrap_or(0);
            assert!(count >= 2, "{} has {count} rows in tests/reference/tables.toml", table.id());
        }
    }
}
