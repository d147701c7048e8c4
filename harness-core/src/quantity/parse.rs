//! Reading of quantities as the trade writes them: a number, a unit, nothing left out.

use super::Unit;

/// A quantity that was read.
pub type Quantity<U> = Result<U, QuantityError>;

/// Why a text is no quantity of the unit asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum QuantityError {
    /// A bare number.
    MissingUnit,
}

/// Reads `text` as a quantity of unit `U`.
pub fn parse<U: Unit>(_text: &str) -> Quantity<U> {
    Err(QuantityError::MissingUnit)
}
