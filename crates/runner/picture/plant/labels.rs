//! Labels beside a tank, each led to its height and none over another.

use super::place::Vessel;
use super::{TEXT, hand, note};
use crate::picture::canvas::{Canvas, Hand, Pen, cut, text_width};
use crate::picture::style::{At, MUTED};

/// A label of something in a tank.
pub(super) struct Label {
    /// Where the line to it begins.
    pub from: (f64, f64),
    /// What it is.
    pub head: String,
    /// Its figures.
    pub detail: String,
}

impl Label {
    /// Width of the wider of its two lines.
    fn widest(&self, size: f64) -> f64 {
        text_width(&self.head, size).max(text_width(&self.detail, size))
    }

    /// On one line where it fits into the width, else on two.
    fn lines(&self, size: f64, width: f64) -> Vec<String> {
        if self.detail.is_empty() {
            return vec![cut(&self.head, size, width)];
        }
        let one = format!("{}, {}", self.head, self.detail);
        if text_width(&one, size) <= width {
            return vec![one];
        }
        vec![cut(&self.head, size, width), cut(&self.detail, size, width)]
    }
}

/// Distance of lines in a label, in shares of its letters' height.
const LINE: f64 = 1.18;
/// Highest a label may stand.
const HIGHEST: f64 = 251.0;

/// Draws labels in the column that the tank leaves them.
pub(super) fn draw(canvas: &mut Canvas, vessel: &Vessel, mut labels: Vec<Label>) {
    labels.sort_by(|a, b| a.from.1.total_cmp(&b.from.1));
    let (left, right) = vessel.labels;
    let limits = (HIGHEST, vessel.lowest + 12.0);
    let needed =
        |size: f64| -> f64 { labels.iter().map(|label| size * deep(&label.lines(size, right - left))).sum() };
    // A tank with very much in it takes smaller letters, and so do words too wide for their column.
    let whole = |size: f64| labels.iter().all(|label| label.widest(size) <= right - left);
    let size = [TEXT, 10.0, 9.0, 8.0, 7.0]
        .into_iter()
        .find(|size| needed(*size) <= limits.1 - limits.0 && (*size <= 8.0 || whole(*size)));
    let size = size.unwrap_or(6.0);
    let lines: Vec<Vec<String>> = labels.iter().map(|label| label.lines(size, right - left)).collect();
    let heights: Vec<f64> = lines.iter().map(|lines| size * deep(lines)).collect();
    let wanted: Vec<f64> = labels.iter().map(|label| label.from.1).collect();
    for ((label, lines), y) in labels.iter().zip(&lines).zip(spread(&wanted, &heights, limits)) {
        let elbow = left - 12.0;
        let path = [label.from, (vessel.right + 4.0, label.from.1), (elbow, y), (left - 4.0, y)];
        canvas.line(&path, Pen::solid(MUTED, 0.8), "");
        let first = y - 0.5 * LINE * size * (lines.len() - 1) as f64;
        for (i, line) in lines.iter().enumerate() {
            let hand = if i == 0 { hand(At::Left) } else { note(At::Left) };
            canvas.text((left, first + LINE * size * i as f64), line, Hand { size, ..hand }, "");
        }
    }
}

/// Height of a label in shares of its letters'.
fn deep(lines: &[String]) -> f64 {
    LINE * lines.len() as f64 + 0.18
}

/// Middles of boxes of these heights, near where each is wanted (rising), within limits and without overlap.
fn spread(wanted: &[f64], heights: &[f64], limits: (f64, f64)) -> Vec<f64> {
    let mut places = wanted.to_vec();
    let mut free = limits.0;
    for (place, height) in places.iter_mut().zip(heights) {
        *place = place.max(free + 0.5 * height);
        free = *place + 0.5 * height;
    }
    let mut free = limits.1;
    for (place, height) in places.iter_mut().zip(heights).rev() {
        *place = place.min(free - 0.5 * height);
        free = *place - 0.5 * height;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn boxes_keep_apart_and_near_their_place() {
        assert_eq!(spread(&[50.0, 80.0], &[10.0, 10.0], (0.0, 100.0)), [50.0, 80.0]);
        // Two at one place: the second goes down by a height.
        assert_eq!(spread(&[50.0, 50.0], &[10.0, 10.0], (0.0, 100.0)), [50.0, 60.0]);
        // At the end the first makes room instead.
        assert_eq!(spread(&[99.0, 99.0], &[10.0, 10.0], (0.0, 100.0)), [85.0, 95.0]);
    }
}
