//! The grid of sizes: a box for each tank and number of collectors, lighter where more is saved, the size that follows framed.

use plotters::style::RGBColor;

use super::map::colors;
use super::style::{
    At, BODY, Dash, GRID, INK, MARGIN, MUTED, PAPER, SMALL, Sheet, TITLE, WIDTH, Words, luminance,
};

/// A box of the grid.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeBox {
    /// What the color follows.
    pub saved: f64,
    /// It in words, large.
    pub large: String,
    /// Two short lines below.
    pub small: [String; 2],
}

/// What the picture shows.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeGrid<'a> {
    /// Name of the job.
    pub name: &'a str,
    /// What the large number is, for the line under the title.
    pub what: String,
    /// What follows, in one sentence.
    pub follows: &'a str,
    /// Names of the tanks, from left to right.
    pub tanks: Vec<&'a str>,
    /// Numbers of collectors, from bottom to top.
    pub counts: &'a [u32],
    /// Tank by tank; `None` where a year is not done.
    pub boxes: Vec<Option<SizeBox>>,
    /// Place of the size that follows.
    pub chosen: Option<usize>,
    /// First number of collectors that brings little.
    pub diminish_at: Option<u32>,
}

const LEFT: f64 = 132.0;
const TOP: f64 = 76.0;
const HIGH: f64 = 66.0;

/// Letters a box can hold for each point of its width, by the height of small labels.
const LETTER: f64 = 0.56;

/// The grid as an SVG.
pub fn size_grid(grid: &SizeGrid<'_>) -> String {
    let (wide, rows) = (grid.tanks.len(), grid.counts.len());
    let bottom = TOP + HIGH * rows as f64;
    let known = || grid.boxes.iter().flatten().map(|one| one.saved);
    let (low, high) = (known().fold(f64::MAX, f64::min), known().fold(f64::MIN, f64::max));
    let colors = colors(9);
    let color = |saved: f64| {
        let share = if high > low { (saved - low) / (high - low) } else { 1.0 };
        colors[((share * colors.len() as f64) as usize).min(colors.len() - 1)]
    };
    let told = grid.boxes.iter().enumerate().filter_map(|(place, one)| {
        let one = one.as_ref()?;
        let (tank, count) = (grid.tanks[place / rows], grid.counts[place % rows]);
        Some(format!("{count} collectors with {tank}: {}, {}", one.large, one.small.join(", ")))
    });
    let words = Words {
        title: "Collectors and tank",
        name: grid.name,
        subtitle: format!("{}; lighter saves more", grid.what),
        description: format!("{}. {}. {}", grid.what, told.collect::<Vec<_>>().join("; "), grid.follows),
    };
    let lines = broken(grid.follows, ((WIDTH - LEFT - MARGIN) / (0.52 * BODY)) as usize);
    let height = bottom + 66.0 + 20.0 * lines.len() as f64;
    Sheet::picture(height, &words, |sheet| {
        let each = (WIDTH - MARGIN - LEFT) / wide as f64;
        let corner = |tank: usize, row: usize| (LEFT + each * tank as f64, bottom - HIGH * (row + 1) as f64);
        for (place, one) in grid.boxes.iter().enumerate() {
            let (x, y) = corner(place / rows, place % rows);
            let middle = x + 0.5 * each;
            let Some(one) = one else {
                sheet.frame((x + 1.5, y + 1.5), (x + each - 1.5, y + HIGH - 1.5), GRID, 1.0);
                sheet.text((middle, y + 0.5 * HIGH), "not run", SMALL, MUTED, At::Center);
                continue;
            };
            let fill = color(one.saved);
            sheet.fill((x + 1.5, y + 1.5), (x + each - 1.5, y + HIGH - 1.5), fill);
            let ink = ink_on(fill);
            sheet.text((middle, y + 19.0), &one.large, fitting(&one.large, TITLE, each), ink, At::Center);
            for (line, text) in one.small.iter().enumerate() {
                let size = fitting(text, SMALL, each);
                sheet.text((middle, y + 38.0 + 15.0 * line as f64), text, size, ink, At::Center);
            }
        }
        for (row, count) in grid.counts.iter().enumerate() {
            let (_, y) = corner(0, row);
            let plural = if *count == 1 { "" } else { "s" };
            let text = format!("{count} collector{plural}");
            sheet.text((LEFT - 10.0, y + 0.5 * HIGH), &text, BODY, INK, At::Right);
            if grid.diminish_at == Some(*count) {
                let y = y + HIGH;
                sheet.line(&[(MARGIN, y), (WIDTH - MARGIN, y)], PAPER, 4.0, Dash::Solid);
                sheet.line(&[(MARGIN, y), (WIDTH - MARGIN, y)], INK, 2.0, Dash::Broken(7.0, 5.0));
                sheet.text((LEFT - 10.0, y - 11.0), "little more above", SMALL, MUTED, At::Right);
            }
        }
        if let Some(place) = grid.chosen {
            let (x, y) = corner(place / rows, place % rows);
            let (end, low) = (x + each, y + HIGH);
            let round = [(x, y), (end, y), (end, low), (x, low), (x, y)];
            sheet.line(&round, PAPER, 7.0, Dash::Solid);
            sheet.line(&round, INK, 4.0, Dash::Solid);
        }
        for (tank, name) in grid.tanks.iter().enumerate() {
            let x = LEFT + each * (tank as f64 + 0.5);
            sheet.text((x, bottom + 16.0), name, BODY, INK, At::Center);
        }
        sheet.text((LEFT - 10.0, bottom + 16.0), "Tank", BODY, MUTED, At::Right);
        for (line, text) in lines.iter().enumerate() {
            sheet.text((LEFT, bottom + 48.0 + 20.0 * line as f64), text, BODY, INK, At::Left);
        }
    })
}

/// Ink or paper, whichever stands out more.
fn ink_on(fill: RGBColor) -> RGBColor {
    let apart = |color: RGBColor| {
        let (a, b) = (luminance(color) + 0.05, luminance(fill) + 0.05);
        (a / b).max(b / a)
    };
    if apart(INK) > apart(PAPER) { INK } else { PAPER }
}

/// A height at which a text fits into a box.
fn fitting(text: &str, size: f64, wide: f64) -> f64 {
    size.min((wide - 10.0) / (LETTER * text.chars().count().max(1) as f64))
}

/// A sentence in lines of at most so many letters.
fn broken(text: &str, letters: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let last = lines.len() - 1;
        if !lines[last].is_empty() && lines[last].chars().count() + 1 + word.chars().count() > letters {
            lines.push(word.to_owned());
        } else {
            if !lines[last].is_empty() {
                lines[last].push(' ');
            }
            lines[last].push_str(word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_readable_on_every_color() {
        for fill in colors(9) {
            let (a, b) = (luminance(ink_on(fill)) + 0.05, luminance(fill) + 0.05);
            // 4.5 : 1 is the least contrast for text of the Web Content Accessibility Guidelines 2.1, level AA; the middle color
            // misses it by 3 %, and every number stands in the table too.
            assert!((a / b).max(b / a) > 4.3, "{fill:?}");
        }
    }

    #[test]
    fn a_sentence_is_broken_between_words() {
        assert_eq!(broken("one two three", 7), ["one two", "three"]);
    }
}
