//! A sheet for pictures that a page's script may color and fill while it is looked at: shapes carry names, and everything is
//! in points. For charts there is [`Sheet`](super::style::Sheet).

use std::fmt::Write as _;

use plotters::style::RGBColor;

use super::style::{At, BODY, Dash, INK, MARGIN, MUTED, PAPER, SECOND_LINE, WIDTH, Words, document, escaped};

/// A point, in points from the top left corner.
pub(crate) type Point = (f64, f64);

/// How a line is drawn.
#[derive(Clone, Copy)]
pub(crate) struct Pen {
    /// Its color.
    pub color: RGBColor,
    /// Its width.
    pub width: f64,
    /// Its dashes.
    pub dash: Dash,
}

impl Pen {
    /// An unbroken line.
    pub(crate) fn solid(color: RGBColor, width: f64) -> Self {
        Self { color, width, dash: Dash::Solid }
    }
}

/// What a text looks like.
#[derive(Clone, Copy)]
pub(crate) struct Hand {
    /// Its height.
    pub size: f64,
    /// Its color.
    pub color: RGBColor,
    /// Which of its points is placed.
    pub at: At,
}

/// Shapes so far, and the texts that lie on top of them.
pub(crate) struct Canvas {
    shapes: String,
    texts: String,
}

/// A color as SVG writes it.
pub(crate) fn hex(color: RGBColor) -> String {
    format!("#{:02x}{:02x}{:02x}", color.0, color.1, color.2)
}

/// Writing to a string does not fail.
const IN_MEMORY: &str = "writing to memory";

impl Canvas {
    /// A picture of [`WIDTH`] by `height` with title and subtitle; `paint` adds the rest below them.
    pub(crate) fn picture(height: f64, words: &Words<'_>, paint: impl FnOnce(&mut Canvas)) -> String {
        let heading = words.heading();
        let down = SECOND_LINE * (heading.len() - 1) as f64;
        let mut canvas = Self { shapes: String::new(), texts: String::new() };
        let paper =
            format!("<rect width=\"{WIDTH}\" height=\"{}\" fill=\"{}\"/>\n", height + down, hex(PAPER));
        canvas.shapes.push_str(&paper);
        for (i, (line, size)) in heading.iter().enumerate() {
            let hand = Hand { size: *size, color: INK, at: At::Left };
            canvas.text((MARGIN, 26.0 + SECOND_LINE * i as f64), line, hand, "");
        }
        let heading = std::mem::take(&mut canvas.texts);
        canvas.text((MARGIN, 49.0), &words.subtitle, Hand { size: BODY, color: MUTED, at: At::Left }, "");
        let mut whole = std::mem::take(&mut canvas.shapes);
        paint(&mut canvas);
        let below = canvas.shapes + &canvas.texts;
        whole.push_str(&heading);
        if down > 0.0 {
            whole.push_str(&format!("<g transform=\"translate(0 {down})\">\n{below}</g>\n"));
        } else {
            whole.push_str(&below);
        }
        document(height + down, 1.0, words, &whole)
    }

    /// Text centred on the line through `at`, on a thin rim of paper that keeps lines off it.
    pub(crate) fn text(&mut self, at: Point, text: &str, hand: Hand, attributes: &str) {
        let anchor = match hand.at {
            At::Left => "",
            At::Center => " text-anchor=\"middle\"",
            At::Right => " text-anchor=\"end\"",
        };
        // Digits and capitals are 0.73 of the size high.
        let base = at.1 + 0.36 * hand.size;
        writeln!(
            self.texts,
            "<text x=\"{:.1}\" y=\"{base:.1}\" font-family=\"sans-serif\" font-size=\"{}\" fill=\"{}\" stroke=\"{}\" \
             stroke-width=\"2.5\" paint-order=\"stroke\"{anchor}{}>{}</text>",
            at.0,
            hand.size,
            hex(hand.color),
            hex(PAPER),
            spaced(attributes),
            escaped(text)
        )
        .expect(IN_MEMORY);
    }

    /// Line through points.
    pub(crate) fn line(&mut self, points: &[Point], pen: Pen, attributes: &str) {
        let path: Vec<String> = points.iter().map(|p| format!("{:.1} {:.1}", p.0, p.1)).collect();
        self.path(&format!("M{}", path.join("L")), None, Some(pen), attributes);
    }

    /// Filled outline.
    pub(crate) fn area(&mut self, points: &[Point], fill: RGBColor, attributes: &str) {
        let path: Vec<String> = points.iter().map(|p| format!("{:.1} {:.1}", p.0, p.1)).collect();
        self.path(&format!("M{}Z", path.join("L")), Some(fill), None, attributes);
    }

    /// A path in SVG's own words.
    pub(crate) fn path(&mut self, path: &str, fill: Option<RGBColor>, pen: Option<Pen>, attributes: &str) {
        let fill = fill.map_or_else(|| "none".to_owned(), hex);
        let stroke = pen.map(stroke).unwrap_or_default();
        writeln!(self.shapes, "<path d=\"{path}\" fill=\"{fill}\"{stroke}{}/>", spaced(attributes))
            .expect(IN_MEMORY);
    }

    /// Rectangle between two corners, the upper left one first.
    pub(crate) fn rect(
        &mut self,
        corners: (Point, Point),
        fill: Option<RGBColor>,
        pen: Option<Pen>,
        attributes: &str,
    ) {
        let (a, b) = corners;
        writeln!(
            self.shapes,
            "<rect x=\"{:.1}\" y=\"{:.2}\" width=\"{:.1}\" height=\"{:.2}\" fill=\"{}\"{}{}/>",
            a.0,
            a.1,
            (b.0 - a.0).max(0.0),
            (b.1 - a.1).max(0.0),
            fill.map_or_else(|| "none".to_owned(), hex),
            pen.map(stroke).unwrap_or_default(),
            spaced(attributes)
        )
        .expect(IN_MEMORY);
    }

    /// Circle.
    pub(crate) fn circle(&mut self, center: Point, radius: f64, fill: RGBColor, pen: Pen, attributes: &str) {
        writeln!(
            self.shapes,
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"{radius}\" fill=\"{}\"{}{}/>",
            center.0,
            center.1,
            hex(fill),
            stroke(pen),
            spaced(attributes)
        )
        .expect(IN_MEMORY);
    }
}

fn spaced(attributes: &str) -> String {
    if attributes.is_empty() { String::new() } else { format!(" {attributes}") }
}

fn stroke(pen: Pen) -> String {
    let dash = match pen.dash {
        Dash::Solid => String::new(),
        Dash::Broken(dash, gap) => format!(" stroke-dasharray=\"{dash} {gap}\""),
    };
    format!(
        " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\" stroke-linecap=\"round\"{dash}",
        hex(pen.color),
        pen.width
    )
}

/// Width of a text in points, as the font of the PNG pictures has it, or a shade more; other typefaces are hardly wider.
pub(crate) fn text_width(text: &str, size: f64) -> f64 {
    // Advance widths of DejaVu Sans in shares of its size, by groups of letters.
    let width = |letter: char| match letter {
        'i' | 'j' | 'l' | '\'' | '|' => 0.28,
        ' ' | '.' | ',' => 0.33,
        'f' | 't' | 'r' | ':' | ';' | '(' | ')' | '/' | '-' | 'I' | 'J' => 0.42,
        'm' | 'W' | '%' | '\u{2026}' | '\u{2013}' => 0.99,
        'w' | 'M' | '+' | '=' | '~' => 0.87,
        'A'..='H' | 'K' | 'L' | 'N'..='V' | 'X'..='Z' => 0.74,
        '\u{b0}' => 0.5,
        'c' | 's' | 'z' => 0.56,
        _ => 0.64,
    };
    text.chars().map(width).sum::<f64>() * size
}

/// A text cut to a width, with an ellipsis where something is missing.
pub(crate) fn cut(text: &str, size: f64, width: f64) -> String {
    if text_width(text, size) <= width {
        return text.to_owned();
    }
    let mut kept = String::new();
    for letter in text.chars() {
        if text_width(&kept, size) + text_width(&letter.to_string(), size) + size > width {
            break;
        }
        kept.push(letter);
    }
    kept.trim_end().to_owned() + "\u{2026}"
}

/// A text broken between words to lines of at most this width; a longer word has a line of its own.
pub(crate) fn broken(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), size) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_broken_and_cut_to_a_width() {
        let lines = broken("one two three", 10.0, text_width("one two", 10.0));
        assert_eq!(lines, ["one two", "three"]);
        assert_eq!(broken("unbreakable word", 10.0, 5.0), ["unbreakable", "word"]);
        assert_eq!(cut("short", 10.0, 100.0), "short");
        let long = cut("a heat pump water heater", 10.0, 80.0);
        assert!(long.ends_with('\u{2026}') && text_width(&long, 10.0) <= 80.0, "{long}");
    }
}
