//! One quiet style for every picture: colors, sizes, and the sheet they are drawn on.
//!
//! Colors differ by lightness first, so that they stay apart in gray print and for color-blind eyes; wherever two could
//! meet, form (fill or outline, dash pattern) or a direct label tells them apart as well.

use plotters::coord::Shift;
use plotters::element::DashedPathElement;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

/// Text and outlines.
pub(crate) const INK: RGBColor = RGBColor(0x1c, 0x24, 0x30);
/// Secondary text.
pub(crate) const MUTED: RGBColor = RGBColor(0x56, 0x60, 0x6d);
/// Grid lines.
pub(crate) const GRID: RGBColor = RGBColor(0xdd, 0xe1, 0xe6);
/// Paper.
pub(crate) const PAPER: RGBColor = RGBColor(0xff, 0xff, 0xff);
/// Sun and solar heat: light.
pub(crate) const SUN: RGBColor = RGBColor(0xf2, 0xb1, 0x34);
/// Sky light: darker than the sun.
pub(crate) const SKY: RGBColor = RGBColor(0x3f, 0x7c, 0xac);
/// Backup heat: dark.
pub(crate) const BACKUP: RGBColor = RGBColor(0x1d, 0x4b, 0x78);
/// Losses: gray, darker than the sun.
pub(crate) const LOSS: RGBColor = RGBColor(0x93, 0x9c, 0xa8);
/// Hot water at the taps: between sun and backup in lightness.
pub(crate) const WATER: RGBColor = RGBColor(0x3d, 0x86, 0x8a);
/// Hot pipes: darker than cool ones, which have the color of sky light and are hollow.
pub(crate) const HOT: RGBColor = RGBColor(0x96, 0x36, 0x0f);
/// Collector temperature.
pub(crate) const COLLECTOR: RGBColor = RGBColor(0xb8, 0x4a, 0x1b);
/// Tank top.
pub(crate) const TANK_TOP: RGBColor = RGBColor(0x12, 0x2b, 0x4a);
/// Tank middle.
pub(crate) const TANK_MIDDLE: RGBColor = RGBColor(0x3f, 0x7c, 0xac);
/// Tank bottom.
pub(crate) const TANK_BOTTOM: RGBColor = RGBColor(0x7f, 0xae, 0xd4);
/// Top of a second tank.
pub(crate) const SECOND_TANK: RGBColor = RGBColor(0x7d, 0x4a, 0x8c);
/// Tank water and collectors without a temperature.
pub(crate) const NEUTRAL: RGBColor = RGBColor(0xee, 0xf1, 0xf5);

/// Height of a picture's title.
pub(crate) const TITLE: f64 = 19.0;
/// Height of the line under the title and of labels that carry the message.
pub(crate) const BODY: f64 = 13.5;
/// Height of axis numbers and notes.
pub(crate) const SMALL: f64 = 12.0;
/// Margin round a picture.
pub(crate) const MARGIN: f64 = 20.0;
/// Width of every picture in points.
pub(crate) const WIDTH: f64 = 840.0;

/// The backend places everything on whole pixels; drawing larger by this factor keeps lines smooth.
const FINE: f64 = 4.0;

/// Short names of the months.
pub(crate) const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// Which point of a text is placed.
#[derive(Clone, Copy)]
pub(crate) enum At {
    /// Its left end.
    Left,
    /// Its middle.
    Center,
    /// Its right end.
    Right,
}

/// Dash pattern of a line.
#[derive(Clone, Copy)]
pub(crate) enum Dash {
    /// Unbroken.
    Solid,
    /// Dash and gap in points.
    Broken(f64, f64),
}

/// Words every picture carries: shown on it, and read aloud in its place.
pub(crate) struct Words<'a> {
    /// What is shown.
    pub title: &'static str,
    /// Whose it is; behind the title, or on a line of its own where both are long.
    pub name: &'a str,
    /// Line under the title.
    pub subtitle: String,
    /// The picture in words with its key figures, for those who cannot see it.
    pub description: String,
}

impl Words<'_> {
    fn whole_title(&self) -> String {
        format!("{} \u{2013} {}", self.title, self.name)
    }

    /// Lines of the heading with the height of each: title and name on one, or on two where both are long.
    pub(super) fn heading(&self) -> Vec<(String, f64)> {
        let title = self.whole_title();
        if title.chars().count() <= letters(TITLE) {
            vec![(title, TITLE)]
        } else {
            vec![(self.title.to_owned(), TITLE), fitted(self.name)]
        }
    }
}

/// A picture being drawn; all lengths in points from the top left corner.
pub(crate) struct Sheet<'a> {
    area: DrawingArea<SVGBackend<'a>, Shift>,
    cells: String,
    /// How far everything below the title is moved down.
    down: f64,
}

/// Drawing into a string can only fail by a fault of this program.
const IN_MEMORY: &str = "drawing into memory";

fn fine(point: (f64, f64)) -> (i32, i32) {
    ((point.0 * FINE).round() as i32, (point.1 * FINE).round() as i32)
}

/// Room for a second line of the title.
pub(super) const SECOND_LINE: f64 = 25.0;

impl Sheet<'_> {
    /// Draws a picture of [`WIDTH`] by `height` with title and subtitle; `paint` adds the rest below them. Where title and
    /// name need two lines, the picture is that much higher.
    pub(crate) fn picture(height: f64, words: &Words<'_>, paint: impl FnOnce(&mut Sheet<'_>)) -> String {
        let heading = words.heading();
        let down = SECOND_LINE * (heading.len() - 1) as f64;
        let height = height + down;
        let mut drawn = String::new();
        let cells = {
            let size = fine((WIDTH, height));
            let area =
                SVGBackend::with_string(&mut drawn, (size.0 as u32, size.1 as u32)).into_drawing_area();
            area.fill(&PAPER).expect(IN_MEMORY);
            let mut sheet = Sheet { area, cells: String::new(), down };
            for (i, (line, size)) in heading.iter().enumerate() {
                sheet.text((MARGIN, 26.0 - down + SECOND_LINE * i as f64), line, *size, INK, At::Left);
            }
            sheet.text((MARGIN, 49.0), &words.subtitle, BODY, MUTED, At::Left);
            paint(&mut sheet);
            sheet.area.present().expect(IN_MEMORY);
            sheet.cells
        };
        // The backend's own frame makes way for one with the true size.
        let body = drawn.split_once(">\n").map_or("", |(_, body)| body);
        let body = body.trim_end().strip_suffix("</svg>").unwrap_or(body);
        document(height, FINE, words, &format!("{body}{cells}"))
    }

    /// Place of a point on the backend.
    fn place(&self, point: (f64, f64)) -> (i32, i32) {
        fine((point.0, point.1 + self.down))
    }

    /// Text centred on the line through `at`.
    pub(crate) fn text(&self, at: (f64, f64), text: &str, size: f64, color: RGBColor, side: At) {
        let side = match side {
            At::Left => HPos::Left,
            At::Center => HPos::Center,
            At::Right => HPos::Right,
        };
        // The backend writes the height divided by 1.24.
        let style = TextStyle::from(("sans-serif", size * FINE * 1.24).into_font())
            .color(&color)
            .pos(Pos::new(side, VPos::Center));
        self.area.draw(&Text::new(printable(text), self.place(at), style)).expect(IN_MEMORY);
    }

    /// Filled rectangle between two corners.
    pub(crate) fn fill(&self, corner: (f64, f64), opposite: (f64, f64), color: RGBColor) {
        let (a, b) = (self.place(corner), self.place(opposite));
        let shape = [(a.0.min(b.0), a.1.min(b.1)), (a.0.max(b.0), a.1.max(b.1))];
        self.area.draw(&Rectangle::new(shape, color.filled())).expect(IN_MEMORY);
    }

    /// Rectangle in outline on white paper.
    pub(crate) fn frame(&self, corner: (f64, f64), opposite: (f64, f64), color: RGBColor, width: f64) {
        let (a, b) = (corner, opposite);
        self.fill(a, b, PAPER);
        self.line(&[a, (b.0, a.1), b, (a.0, b.1), a], color, width, Dash::Solid);
    }

    /// Line through points.
    pub(crate) fn line(&self, points: &[(f64, f64)], color: RGBColor, width: f64, dash: Dash) {
        let points: Vec<_> = points.iter().map(|p| self.place(*p)).collect();
        let style = color.stroke_width((width * FINE).round() as u32);
        match dash {
            Dash::Solid => self.area.draw(&PathElement::new(points, style)),
            Dash::Broken(dash, gap) => {
                let length = |points: f64| (points * FINE).round() as i32;
                self.area.draw(&DashedPathElement::new(points, length(dash), length(gap), style))
            }
        }
        .expect(IN_MEMORY);
    }

    /// Filled outline.
    pub(crate) fn area(&self, points: &[(f64, f64)], color: RGBColor) {
        let points: Vec<_> = points.iter().map(|p| self.place(*p)).collect();
        self.area.draw(&Polygon::new(points, color.filled())).expect(IN_MEMORY);
    }

    /// A grid of many small cells in few colors between two corners. `color_of(column, row)` is asked once a cell.
    ///
    /// Written as one path a color, not one rectangle a cell: a tenth of the size for a year of hours.
    pub(crate) fn cells(
        &mut self,
        corner: (f64, f64),
        opposite: (f64, f64),
        size: (usize, usize),
        colors: &[RGBColor],
        color_of: impl Fn(usize, usize) -> usize,
    ) {
        let mut paths = vec![String::new(); colors.len()];
        for column in 0..size.0 {
            let mut row = 0;
            while row < size.1 {
                let color = color_of(column, row);
                let run = (row..size.1).take_while(|r| color_of(column, *r) == color).count();
                paths[color].push_str(&format!("M{column} {row}h1v{run}h-1z"));
                row += run;
            }
        }
        let (a, b) = (self.place(corner), self.place(opposite));
        self.cells.push_str(&format!(
            "<g shape-rendering=\"crispEdges\" transform=\"translate({} {}) scale({} {})\">\n",
            a.0,
            a.1,
            f64::from(b.0 - a.0) / size.0 as f64,
            f64::from(b.1 - a.1) / size.1 as f64
        ));
        for (path, color) in paths.iter().zip(colors).filter(|(path, _)| !path.is_empty()) {
            let RGBColor(r, g, b) = color;
            self.cells.push_str(&format!("<path fill=\"#{r:02x}{g:02x}{b:02x}\" d=\"{path}\"/>\n"));
        }
        self.cells.push_str("</g>\n");
    }
}

/// A whole SVG of [`WIDTH`] by `height` whose shapes are drawn larger by `fine`, with its words for those who cannot see it.
pub(super) fn document(height: f64, fine: f64, words: &Words<'_>, shapes: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{WIDTH}\" height=\"{height}\" \
         viewBox=\"0 0 {} {}\">\n<title>{}</title>\n<desc>{}</desc>\n{shapes}</svg>\n",
        WIDTH * fine,
        height * fine,
        escaped(&words.whole_title()),
        escaped(&words.description)
    )
}

/// How many letters fit across the picture in a wide typeface (0.6 of its height a letter).
fn letters(size: f64) -> usize {
    ((WIDTH - 2.0 * MARGIN) / (0.6 * size)) as usize
}

/// A name with the height at which it fits across the picture, cut where even that of small labels is too large.
fn fitted(name: &str) -> (String, f64) {
    let count = name.chars().count();
    if let Some(size) = [TITLE, BODY, SMALL].into_iter().find(|size| count <= letters(*size)) {
        return (name.to_owned(), size);
    }
    (name.chars().take(letters(SMALL) - 1).chain(['\u{2026}']).collect(), SMALL)
}

/// A text without what XML cannot hold: names come from files of all sorts.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') { ' ' } else { c })
        .collect()
}

pub(super) fn escaped(text: &str) -> String {
    printable(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// A linear axis between a pair of values and a pair of places on the sheet.
#[derive(Clone, Copy)]
pub(crate) struct Axis {
    /// First and last value.
    pub values: (f64, f64),
    /// Where they lie.
    pub places: (f64, f64),
}

impl Axis {
    /// Place of a value.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let share = (value - self.values.0) / (self.values.1 - self.values.0);
        self.places.0 + share * (self.places.1 - self.places.0)
    }

    /// An axis over `low..high`, widened to round numbers, with about `wanted` steps.
    pub(crate) fn round(low: f64, high: f64, wanted: usize, places: (f64, f64)) -> (Axis, Vec<f64>) {
        let step = round_step(high - low, wanted);
        let (first, last) = ((low / step).floor(), (high / step).ceil());
        let ticks = (0..=(last - first) as usize).map(|i| (first + i as f64) * step).collect();
        (Axis { values: (first * step, last * step), places }, ticks)
    }
}

/// The smallest of 1, 2, 5, 10, 20 ... that covers `span` in at most `wanted` steps; axes carry whole numbers only.
fn round_step(span: f64, wanted: usize) -> f64 {
    // A shade less, so that a quotient rounded upwards does not take the next larger step.
    let least = span / wanted as f64 * 0.999;
    let mut decade = 1.0;
    while decade * 5.0 < least {
        decade *= 10.0;
    }
    if decade >= least {
        decade
    } else if 2.0 * decade >= least {
        2.0 * decade
    } else {
        5.0 * decade
    }
}

/// Relative luminance of a color (W3C, Web Content Accessibility Guidelines 2.1, "relative luminance").
pub(crate) fn luminance(color: RGBColor) -> f64 {
    let linear = |v: u8| {
        let v = f64::from(v) / 255.0;
        if v <= 0.040_45 { v / 12.92 } else { libm::pow((v + 0.055) / 1.055, 2.4) }
    };
    0.2126 * linear(color.0) + 0.7152 * linear(color.1) + 0.0722 * linear(color.2)
}

/// Contrast of two colors (the same guidelines, "contrast ratio").
#[cfg(test)]
pub(super) fn contrast(a: RGBColor, b: RGBColor) -> f64 {
    let (a, b) = (luminance(a) + 0.05, luminance(b) + 0.05);
    (a / b).max(b / a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_readable_on_paper() {
        // 4.5 : 1 is the least contrast for text of the Web Content Accessibility Guidelines 2.1, level AA.
        assert!(contrast(INK, PAPER) > 4.5);
        assert!(contrast(MUTED, PAPER) > 4.5);
    }

    #[test]
    fn neighbors_differ_in_lightness_alone() {
        // Fills that touch: 3 : 1, the guideline's least contrast between parts of a picture.
        assert!(contrast(SUN, BACKUP) > 3.0);
        // Sky light and sun touch as well, under their own row names; 2 : 1 is common practice for gray print.
        assert!(contrast(SUN, SKY) > 2.0);
        // Lines that cross also differ by dash pattern; a quarter apart still shows in gray print.
        for pair in [(TANK_TOP, TANK_MIDDLE), (TANK_MIDDLE, TANK_BOTTOM), (TANK_TOP, COLLECTOR)] {
            assert!(contrast(pair.0, pair.1) > 1.25, "{pair:?}");
        }
    }

    #[test]
    fn a_long_name_gets_a_line_and_a_smaller_size() {
        let shown = |name: &str| {
            let words = Words {
                title: "Top of the tank, every hour of the year",
                name,
                subtitle: "sub".into(),
                description: "description".into(),
            };
            Sheet::picture(100.0, &words, |_| ())
        };
        let short = shown("A house");
        assert!(
            short.contains("height=\"100\"")
                && short.contains(">\nTop of the tank, every hour of the year \u{2013} A house\n<"),
            "{short}"
        );
        // Nothing of a name up to three times as long as one that fits beside the title is lost.
        let name = format!("{}(made)", "Mildmeadow, invented ".repeat(4));
        let long = shown(&name);
        assert!(long.contains("height=\"125\"") && long.contains(&format!(">\n{name}\n<")), "{long}");
        assert!(fitted(&"long ".repeat(60)).0.ends_with('\u{2026}'));
    }

    #[test]
    fn axes_end_on_round_numbers() {
        let (axis, ticks) = Axis::round(3.0, 437.0, 5, (0.0, 100.0));
        assert_eq!(axis.values, (0.0, 500.0));
        assert_eq!(ticks, [0.0, 100.0, 200.0, 300.0, 400.0, 500.0]);
        assert_eq!(axis.at(250.0), 50.0);
        let step = |span| round_step(span, 5);
        assert_eq!(
            [0.0, 5.0, 6.0, 25.0, 26.0, 51.0, 260.0].map(step),
            [1.0, 1.0, 2.0, 5.0, 10.0, 20.0, 100.0]
        );
    }
}
