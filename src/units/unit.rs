//! One accepted unit, the exact definitions units are built from, and how a written unit is found.

/// One unit that a quantity may be written in.
///
/// The value in SI is `value * factor + offset`; only temperatures have an offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// The way the unit is written by this library.
    pub symbol: &'static str,
    /// Other spellings that are read as the same unit.
    pub aliases: &'static [&'static str],
    /// SI per unit, a product of exact definitions.
    pub factor: f64,
    /// SI value of the unit's zero; 0 for all but temperatures.
    pub offset: f64,
    /// The exact definition in words.
    pub definition: &'static str,
}

impl Unit {
    /// The SI value of `value` in this unit.
    ///
    /// Where the SI unit is a whole number of these units, as with mm, the value is divided by that
    /// number: this rounds once, so that 12.7 mm is the same number as 0.0127 m.
    #[must_use]
    pub fn to_si(&self, value: f64) -> f64 {
        let scaled = match self.whole_in_si() {
            Some(count) => value / count,
            None => value * self.factor,
        };
        scaled + self.offset
    }

    /// The number that an SI value has in this unit.
    #[must_use]
    pub fn from_si(&self, si: f64) -> f64 {
        let above = si - self.offset;
        match self.whole_in_si() {
            Some(count) => above * count,
            None => above / self.factor,
        }
    }

    /// How many of these units make one SI unit, if that is a whole number.
    fn whole_in_si(&self) -> Option<f64> {
        let count = (1.0 / self.factor).round();
        let whole = count > 1.0 && (count * self.factor - 1.0).abs() < 4.0 * f64::EPSILON;
        whole.then_some(count)
    }

    /// The symbol followed by all other spellings.
    pub fn spellings(&self) -> impl Iterator<Item = &'static str> {
        core::iter::once(self.symbol).chain(self.aliases.iter().copied())
    }
}

/// A unit without an offset.
pub(super) const fn unit(
    symbol: &'static str,
    aliases: &'static [&'static str],
    factor: f64,
    definition: &'static str,
) -> Unit {
    Unit { symbol, aliases, factor, offset: 0.0, definition }
}

// The exact definitions, as NIST Special Publication 811 (2008), appendix B.8 and its notes, has them
// (standing: from-memory). The tests form every unit from them a second time in whole numbers.
pub(super) const INCH: f64 = 0.0254;
pub(super) const FOOT: f64 = 12.0 * INCH;
pub(super) const POUND: f64 = 0.453_592_37;
pub(super) const GRAVITY: f64 = 9.806_65;
pub(super) const POUND_FORCE: f64 = POUND * GRAVITY;
pub(super) const PSI: f64 = POUND_FORCE / (INCH * INCH);
pub(super) const LITRE: f64 = 0.001;
pub(super) const GALLON_US: f64 = 231.0 * INCH * INCH * INCH;
pub(super) const GALLON_UK: f64 = 4.546_09 * LITRE;
pub(super) const MINUTE: f64 = 60.0;
pub(super) const HOUR: f64 = 3600.0;
pub(super) const BTU: f64 = 1_055.055_852_62;
pub(super) const FAHRENHEIT_STEP: f64 = 5.0 / 9.0;

/// Finds the unit that a text names, first letter by letter, then by its plain form.
pub(super) fn find(units: &'static [Unit], text: &str) -> Option<&'static Unit> {
    let exact = units.iter().find(|unit| unit.spellings().any(|spelling| spelling == text));
    exact.or_else(|| {
        let wanted = plain(text);
        units.iter().find(|unit| unit.spellings().any(|spelling| plain(spelling) == wanted))
    })
}

/// The plain form of a unit: raised digits lowered, every product mark a point, signs spelled out.
pub(super) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.trim().chars() {
        match letter {
            '²' => out.push('2'),
            '³' => out.push('3'),
            'µ' | 'μ' => out.push('u'),
            '°' | 'º' => out.push_str("deg"),
            'Δ' | '∆' => out.push_str("delta_"),
            '″' | '”' => out.push('"'),
            '′' | '’' => out.push('\''),
            '^' => {}
            ' ' | '\t' | '\u{a0}' | '\u{202f}' | '·' | '⋅' | '*' | '×' | '.' | '-' => {
                if !out.ends_with('.') {
                    out.push('.');
                }
            }
            other => out.push(other),
        }
    }
    out
}
