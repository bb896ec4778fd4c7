//! Arguments of the command line as quantities.

use super::Trouble;
use crate::units::{self, Quantity};

/// An argument as a quantity.
pub fn read<Q: Quantity>(name: &str, text: &str) -> Result<Q, Trouble> {
    units::read(text).map_err(|e| Trouble::Plain(format!("--{name}: {}", e.message), e.help))
}

/// An argument as a quantity greater than zero.
pub fn positive<Q: Quantity>(name: &str, text: &str) -> Result<Q, Trouble> {
    let quantity: Q = read(name, text)?;
    if quantity.si() > 0.0 {
        return Ok(quantity);
    }
    Err(Trouble::plain(format!("--{name} must be greater than zero")))
}
