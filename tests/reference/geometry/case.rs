//! Published cases as data: reading a file of them, and comparing a kernel with each.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on must fail loudly")]

use serde::Deserialize;

use crate::reference::compared::Compared;

/// Pascals in a pound-force per square inch: 0.45359237 kg x 9.80665 m/s2 over (0.0254 m)2.
const PSI_PA: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);
const STANDINGS: [&str; 6] =
    ["read", "cross-checked", "quoted-elsewhere", "from-memory", "common-practice", "demo"];

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    case: Vec<Case>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    pub name: String,
    source: Source,
    pub call: String,
    given: toml::Table,
    expect: Expect,
    because: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    document: String,
    place: String,
    url: Option<String>,
    standing: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Expect {
    value: toml::Value,
    within: f64,
    /// Unit of the value where it is not the kernel's own.
    unit: Option<String>,
}

fn as_number(value: &toml::Value) -> f64 {
    match value {
        toml::Value::Integer(whole) => f64::from(i32::try_from(*whole).expect("a small number")),
        other => other.as_float().expect("a number"),
    }
}

fn as_numbers(value: &toml::Value) -> Vec<f64> {
    value
        .as_array()
        .map_or_else(|| vec![as_number(value)], |list| list.iter().map(as_number).collect())
}

impl Case {
    fn value(&self, key: &str) -> (&toml::Value, f64) {
        let stem = key.trim_end_matches("_mm").trim_end_matches("_pa");
        let spellings = [
            (key.to_owned(), 1.0),
            (format!("{stem}_in"), 25.4),
            (format!("{stem}_psi"), PSI_PA),
            (format!("{}_deg", key.trim_end_matches("_rad")), std::f64::consts::PI / 180.0),
        ];
        spellings
            .iter()
            .find_map(|(spelt, factor)| Some((self.given.get(spelt)?, *factor)))
            .unwrap_or_else(|| panic!("{}: {key} is not given", self.name))
    }

    /// A number in the kernel's unit; the file may give inches, psi or degrees instead.
    pub fn number(&self, key: &str) -> f64 {
        let (value, factor) = self.value(key);
        as_number(value) * factor
    }

    /// A list of numbers in the kernel's unit.
    pub fn numbers(&self, key: &str) -> Vec<f64> {
        let (value, factor) = self.value(key);
        as_numbers(value).into_iter().map(|number| number * factor).collect()
    }

    /// A list of lists of numbers, such as points.
    pub fn rows(&self, key: &str) -> Vec<Vec<f64>> {
        let (value, factor) = self.value(key);
        let rows = value.as_array().expect("a list");
        rows.iter()
            .map(|row| as_numbers(row).into_iter().map(|number| number * factor).collect())
            .collect()
    }

    /// The answers in the unit of the document, each held against what it prints.
    fn compared(&self, path: &str, got: &[f64]) -> Result<Vec<Compared>, String> {
        let unit = match self.expect.unit.as_deref() {
            None => 1.0,
            Some("in") => 25.4,
            Some("psi") => PSI_PA,
            Some("deg") => std::f64::consts::PI / 180.0,
            Some(other) => return Err(format!("{}: unit {other} is not known", self.name)),
        };
        let wanted = as_numbers(&self.expect.value);
        if wanted.len() != got.len() {
            return Err(format!("{}: {wanted:?} wanted, {got:?} got", self.name));
        }
        let Source { document, place, url, standing } = &self.source;
        let one = |(printed, got): (&f64, &f64)| Compared {
            subject: path.to_owned(),
            name: self.name.clone(),
            what: self.call.clone(),
            unit: self.expect.unit.clone().unwrap_or_default(),
            printed: *printed,
            ours: got / unit,
            within: self.expect.within,
            because: self.because.clone(),
            differs: None,
            document: document.clone(),
            place: place.clone(),
            url: url.clone(),
            standing: standing.clone(),
        };
        Ok(wanted.iter().zip(got).map(one).collect())
    }

    fn complaints(&self) -> Vec<String> {
        let Source { document, place, url, standing } = &self.source;
        let mut complaints = Vec::new();
        if [document, place, &self.because].into_iter().any(|text| text.trim().is_empty()) {
            complaints.push(format!("{}: source or reason is empty", self.name));
        }
        if !STANDINGS.contains(&standing.as_str()) {
            complaints.push(format!("{}: standing {standing} is not known", self.name));
        }
        if url.as_ref().is_some_and(|url| !url.starts_with("http")) {
            complaints.push(format!("{}: the url is none", self.name));
        }
        complaints
    }
}

/// A file of cases, and the kernel that answers them.
pub struct CaseFile {
    /// Its path below this folder, without the ending.
    pub path: &'static str,
    /// What it holds.
    pub text: &'static str,
    /// The answers to a case.
    pub kernel: fn(&Case) -> Vec<f64>,
}

impl CaseFile {
    fn cases(&self) -> Vec<Case> {
        let file: File = toml::from_str(self.text).expect("a file of cases");
        assert!(!file.case.is_empty(), "no cases");
        file.case
    }

    /// Every case with its answer.
    pub fn compared(&self) -> Vec<Compared> {
        let one = |case: &Case| case.compared(self.path, &(self.kernel)(case));
        self.cases()
            .iter()
            .flat_map(|case| one(case).unwrap_or_else(|why| panic!("{why}")))
            .collect()
    }

    /// Fails with all differences at once.
    pub fn agree(&self) {
        let mut faults: Vec<String> = self.cases().iter().flat_map(Case::complaints).collect();
        faults.extend(self.compared().iter().filter_map(Compared::fault));
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct NotCovered {
    not_covered: Vec<LeftOut>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct LeftOut {
    name: String,
    because: String,
}

/// Every example that is left out says why.
pub fn all_give_a_reason(text: &str) {
    let file: NotCovered = toml::from_str(text).expect("a list of what is not covered");
    for left_out in &file.not_covered {
        assert!(!left_out.because.trim().is_empty(), "{} gives no reason", left_out.name);
    }
}
