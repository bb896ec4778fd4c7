//! One plan with values varied: what is varied, which combinations there are, and the text of each.

mod place;

use toml_edit::{DocumentMut, Key, Value};

/// So many variants are made of one plan.
pub const MOST_VARIANTS: usize = 100_000;

/// A place of a plan and the values that it takes one after the other.
///
/// ```
/// use hosewright::sweep::Vary;
/// let vary = Vary::read("line.F1.clips.2=[650, -80, 320],[650, -90, 320]").unwrap();
/// assert_eq!(vary.address, "line.F1.clips.2");
/// assert_eq!(vary.values, ["[650, -80, 320]", "[650, -90, 320]"]);
/// assert!(Vary::read("line.F1.size").unwrap_err().contains("PLACE=VALUES"));
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Vary {
    /// The place as it was typed.
    pub address: String,
    /// The values as they were typed.
    pub values: Vec<String>,
    keys: Vec<String>,
}

impl Vary {
    /// Reads `PLACE=VALUE,VALUE`. A place is a section, the id or name of one of several, and keys, with dots
    /// between; a number counts the items of a list from 1.
    ///
    /// # Errors
    /// In words: no `=`, a place that is no list of keys, a value that is missing.
    pub fn read(text: &str) -> Result<Self, String> {
        let (address, values) = place::split_first(text, '=')
            .ok_or_else(|| format!("\"{text}\" is not PLACE=VALUES, such as line.F1.size=-6,-8"))?;
        let address = address.trim();
        let keys = Key::parse(address)
            .map_err(|_| format!("\"{address}\" is no place: names with blanks need quotes"))?;
        let values: Vec<String> =
            place::split(values, ',').into_iter().map(|v| v.trim().to_owned()).collect();
        if values.iter().any(String::is_empty) {
            return Err(format!("a value is missing in \"{text}\""));
        }
        let keys = keys.iter().map(|key| key.get().to_owned()).collect();
        Ok(Self { address: address.to_owned(), values, keys })
    }
}

/// One combination of values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Variant<'s> {
    /// Each place with its value, as typed.
    pub given: Vec<(&'s str, &'s str)>,
    /// The plan that says so; all else stands as it was typed.
    pub text: String,
}

/// A plan with all combinations of values that its places take.
#[derive(Clone, Debug)]
pub struct Sweep {
    document: DocumentMut,
    varied: Vec<Vary>,
    count: usize,
}

impl Sweep {
    /// Holds the places against the plan.
    ///
    /// # Errors
    /// In words: a text that is not TOML, a place where the plan says nothing, one that is varied twice, a
    /// value of another kind than the one that stands there, more than [`MOST_VARIANTS`] combinations.
    ///
    /// ```
    /// use hosewright::{plan::starter::STARTER, sweep::{Sweep, Vary}};
    /// let varied = ["line.F1.size=-6,-8", "case.\"level, sea level\".altitude=0 m,3000 m"];
    /// let varied = varied.map(|v| Vary::read(v).unwrap());
    /// let sweep = Sweep::new(STARTER, varied.into()).unwrap();
    /// assert_eq!(sweep.count(), 4);
    /// let second = sweep.variant(1).unwrap();
    /// assert_eq!(second.given[0], ("line.F1.size", "-6"));
    /// assert_eq!(second.given[1].1, "3000 m");
    /// assert!(second.text.contains("\"3000 m\""));
    /// let wrong = Vary::read("line.F9.size=-6").unwrap();
    /// let why = Sweep::new(STARTER, vec![wrong]).unwrap_err();
    /// assert_eq!(why, "the plan says nothing at line.F9");
    /// ```
    pub fn new(text: &str, varied: Vec<Vary>) -> Result<Self, String> {
        let mut document: DocumentMut =
            text.parse().map_err(|_| "the plan is not TOML: check it first".to_owned())?;
        let mut count = 1_usize;
        for (index, vary) in varied.iter().enumerate() {
            if varied[..index].iter().any(|earlier| earlier.keys == vary.keys) {
                return Err(format!("{} is varied twice", vary.address));
            }
            count = count.saturating_mul(vary.values.len());
            for value in &vary.values {
                give(&mut document, vary, value)?;
            }
        }
        if count > MOST_VARIANTS {
            return Err(format!("{count} variants; {MOST_VARIANTS} at most"));
        }
        Ok(Self { document, varied, count })
    }

    /// How many combinations there are.
    pub fn count(&self) -> usize {
        self.count
    }

    /// The places, in their order.
    pub fn addresses(&self) -> impl Iterator<Item = &str> {
        self.varied.iter().map(|vary| vary.address.as_str())
    }

    /// A combination by its number from 0: the place that was named last takes its values fastest.
    ///
    /// # Errors
    /// As [`Sweep::new`]; what that one let pass is not refused here.
    pub fn variant(&self, number: usize) -> Result<Variant<'_>, String> {
        let mut document = self.document.clone();
        let mut given = Vec::with_capacity(self.varied.len());
        let mut left = number % self.count;
        for vary in self.varied.iter().rev() {
            let value = &vary.values[left % vary.values.len()];
            left /= vary.values.len();
            give(&mut document, vary, value)?;
            given.push((vary.address.as_str(), value.as_str()));
        }
        given.reverse();
        Ok(Variant { given, text: document.to_string() })
    }
}

/// Writes a value where the plan says one of its kind already; blanks and comments around it stay.
fn give(document: &mut DocumentMut, vary: &Vary, text: &str) -> Result<(), String> {
    let found = place::find(document.as_item_mut(), &vary.keys);
    let old = found.map_err(|known| {
        let upto: Vec<&str> = vary.keys[..=known].iter().map(String::as_str).collect();
        format!("the plan says nothing at {}", upto.join("."))
    })?;
    let parsed = text.parse::<Value>().ok();
    let mut new = match (&*old, parsed) {
        (Value::String(_), Some(value @ Value::String(_))) => value,
        // Most values of a plan are texts, and nobody wants to quote a quote for the shell.
        (Value::String(_), _) => Value::from(text),
        (_, Some(value)) if same_kind(old, &value) => value,
        _ => {
            let (at, kind) = (&vary.address, old.type_name());
            return Err(format!(
                "{at} is of the kind \"{kind}\" in the plan, and \"{text}\" is not"
            ));
        }
    };
    *new.decor_mut() = old.decor().clone();
    *old = new;
    Ok(())
}

fn same_kind(old: &Value, new: &Value) -> bool {
    let number = |v: &Value| v.is_integer() || v.is_float();
    old.type_name() == new.type_name() || number(old) && number(new)
}
