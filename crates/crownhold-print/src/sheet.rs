//! What a drawing stands on: its name on the page, its inks, its units and how wide it is shown.

use crownhold::types::UnitSystem;

use crate::palette::{Inks, LIGHT, SCREEN};
use crate::wording::Wording;

/// How wide a drawing is meant to be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// A page or a desk: [`Size::units`] drawing units, one about a CSS pixel.
    Wide,
    /// A phone: 360 drawing units.
    Narrow,
}

impl Size {
    /// Width of a chart of the desk, drawing units. No text is smaller than 11 units.
    pub fn units(self) -> f64 {
        match self {
            Self::Wide => 760.0,
            Self::Narrow => 360.0,
        }
    }
    /// One value or the other.
    pub(crate) fn pick<T>(self, wide: T, narrow: T) -> T {
        if self == Self::Wide { wide } else { narrow }
    }
}

/// What a drawing stands on.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// Prefix of every id inside the drawing: letters, digits and hyphens, and no other drawing of the page has it.
    pub id: &'a str,
    /// Colours and typeface.
    pub inks: &'a Inks,
    /// Units of its figures.
    pub units: UnitSystem,
    /// How wide it is shown.
    pub size: Size,
}

impl<'a> Sheet<'a> {
    /// For a paper: fixed colours.
    pub fn paper(id: &'a str, units: UnitSystem) -> Self {
        Self { id, inks: &LIGHT, units, size: Size::Wide }
    }
    /// For the desk: the colours of the page it stands in.
    pub fn screen(id: &'a str, units: UnitSystem, size: Size) -> Self {
        Self { id, inks: &SCREEN, units, size }
    }
    /// Words in the sheet's units.
    pub(crate) fn wording(&self) -> Wording {
        Wording::new(self.units)
    }
}
