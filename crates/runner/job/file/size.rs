//! `[size]`: what else `suncask size` tries, and where more collectors stop being worth it.

use super::section::Section;
use crate::job::Sizing;
use crate::job::quantity::words::direction;
use crate::job::quantity::{Kind, parse};

/// Share of the first collector's saving that the next one must bring, unless the job says otherwise. No rule is agreed on; a
/// quarter is this program's choice, told with the result.
const LEAST_FRAC: f64 = 0.25;

pub(super) fn read(root: &Section<'_>) -> Sizing {
    let section = root.section("size");
    if !section.is_given() {
        return Sizing { next_saves_frac: LEAST_FRAC, ..Sizing::default() };
    }
    let tilt = |text: &str| parse(text, &[Kind::Angle]).map(|_| text.trim().to_owned());
    let facing = |text: &str| direction(text).map(|_| text.trim().to_owned());
    Sizing {
        tilts: section.texts("tilts", tilt).unwrap_or_default(),
        azimuths: section.texts("azimuths", facing).unwrap_or_default(),
        next_saves_frac: section
            .ask("next_saves_at_least", &[Kind::Share])
            .possible("0 %", "100 %")
            .or("25 %", "of what the first collector saves: this program's choice"),
    }
}
