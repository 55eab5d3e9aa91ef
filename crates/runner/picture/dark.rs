//! Pictures on the dark paper of a page: every color of the style has another there.

use plotters::style::RGBColor;

use super::canvas::hex;
use super::style::{
    BACKUP, COLLECTOR, GRID, HOT, INK, LOSS, MUTED, NEUTRAL, PAPER, SECOND_TANK, SKY, SUN, TANK_BOTTOM,
    TANK_TOP, WATER,
};

/// Every color of the style, and the one in its place where a page is read on dark paper.
const DARK: [(RGBColor, RGBColor); 15] = [
    (INK, RGBColor(0xe8, 0xec, 0xf1)),
    (MUTED, RGBColor(0xa9, 0xb4, 0xc0)),
    (GRID, RGBColor(0x32, 0x3c, 0x48)),
    (PAPER, RGBColor(0x14, 0x19, 0x1f)),
    (SUN, SUN),
    // Tank middles have the same.
    (SKY, RGBColor(0x6b, 0xa6, 0xd6)),
    (BACKUP, RGBColor(0x46, 0x79, 0xb0)),
    (LOSS, RGBColor(0x85, 0x8f, 0x9b)),
    (WATER, RGBColor(0x5f, 0xb0, 0xb4)),
    (HOT, RGBColor(0xd0, 0x60, 0x2f)),
    (COLLECTOR, RGBColor(0xee, 0x84, 0x56)),
    (TANK_TOP, RGBColor(0xd6, 0xe4, 0xf5)),
    (TANK_BOTTOM, RGBColor(0x4f, 0x7f, 0xa8)),
    (SECOND_TANK, RGBColor(0xc0, 0x8f, 0xd0)),
    (NEUTRAL, RGBColor(0x28, 0x31, 0x3b)),
];

/// Rules of a style sheet that turn the colors of pictures within `place` into those for dark paper.
pub(crate) fn dark_rules(place: &str) -> String {
    let rule = |(light, dark): &(RGBColor, RGBColor)| {
        let (light, dark) = (hex(*light), hex(*dark));
        ["fill", "stroke"].map(|way| format!("{place} [{way}=\"{light}\" i] {{ {way}: {dark}; }}\n")).concat()
    };
    DARK.iter().filter(|(light, dark)| light != dark).map(rule).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::style::contrast;

    #[test]
    fn every_color_of_the_style_has_one_for_dark_paper() {
        let source = include_str!("style.rs");
        let named = source
            .lines()
            .filter(|line| line.starts_with("pub(crate) const") && line.contains(": RGBColor ="));
        let bytes = |line: &str| {
            let parts = line.split("0x").skip(1).map(|part| u8::from_str_radix(&part[..2], 16).expect("hex"));
            parts.collect::<Vec<_>>()
        };
        let mut count = 0;
        for line in named {
            let color = bytes(line);
            assert!(DARK.iter().any(|(light, _)| [light.0, light.1, light.2] == color[..]), "{line}");
            count += 1;
        }
        assert!(count >= DARK.len(), "{count}");
        let dark = |color| DARK.iter().find(|(light, _)| *light == color).expect("listed").1;
        for text in [INK, MUTED] {
            assert!(contrast(dark(text), dark(PAPER)) > 4.5);
        }
        // 3 : 1, the guideline's least contrast of a part of a picture with what is round it.
        for mark in [SUN, SKY, BACKUP, LOSS, WATER, HOT, COLLECTOR, TANK_TOP, TANK_BOTTOM, SECOND_TANK] {
            assert!(contrast(dark(mark), dark(PAPER)) > 3.0, "{mark:?}");
        }
    }
}
