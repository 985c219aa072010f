//! A drawing as the pages carry it: once for a desk, once for a phone.

use crownhold_print::{Sheet, Size};

use crate::desk::state::Season;

/// A drawing for a desk and for a phone.
pub(super) struct Picture {
    wide: String,
    narrow: String,
}

impl Picture {
    /// Draws twice; ids of the second end in "-narrow".
    pub(super) fn of(season: &Season, id: &str, draw: impl Fn(&Sheet<'_>) -> String) -> Self {
        let narrow = format!("{id}-narrow");
        Self {
            wide: draw(&Sheet::screen(id, season.units(), Size::Wide)),
            narrow: draw(&Sheet::screen(&narrow, season.units(), Size::Narrow)),
        }
    }
    /// Both, each where it is wanted; safe to stand in a page.
    pub(super) fn html(&self) -> String {
        format!("<div class=\"on-wide\">{}</div><div class=\"on-narrow\">{}</div>", self.wide, self.narrow)
    }
}
