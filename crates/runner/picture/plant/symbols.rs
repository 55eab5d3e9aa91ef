//! Pipes, pumps and valves.

use std::f64::consts::FRAC_1_SQRT_2;

use super::{NEUTRAL, hand};
use crate::picture::canvas::{Canvas, Pen, Point};
use crate::picture::style::{At, HOT, INK, PAPER, SKY};

/// Which water a pipe holds.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Heat {
    Hot,
    Cool,
}

impl Heat {
    fn color(self) -> plotters::style::RGBColor {
        match self {
            Heat::Hot => HOT,
            Heat::Cool => SKY,
        }
    }

    fn width(self) -> f64 {
        match self {
            Heat::Hot => 3.2,
            Heat::Cool => 4.4,
        }
    }
}

/// A run of pipe on a rim of paper, which shows where it passes over another; with a name its path carries `data-pipe`.
pub(super) fn pipe(canvas: &mut Canvas, points: &[Point], heat: Heat, name: Option<&str>) {
    canvas.line(&shortened(points), Pen::solid(PAPER, heat.width() + 4.0), "");
    bare_pipe(canvas, points, heat, name);
}

/// A run of pipe without the rim.
pub(super) fn bare_pipe(canvas: &mut Canvas, points: &[Point], heat: Heat, name: Option<&str>) {
    let attribute = name.map(|name| format!("data-pipe=\"{name}\"")).unwrap_or_default();
    canvas.line(points, Pen::solid(heat.color(), heat.width()), &attribute);
    if heat == Heat::Cool {
        canvas.line(points, Pen::solid(PAPER, 1.8), "");
    }
}

/// The points with both ends drawn back a little, so that the rim leaves what the pipe joins whole.
fn shortened(points: &[Point]) -> Vec<Point> {
    const BACK: f64 = 7.0;
    let toward = |from: Point, to: Point| {
        let length = libm::hypot(to.0 - from.0, to.1 - from.1).max(1e-9);
        let share = (BACK / length).min(0.5);
        (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1))
    };
    let mut points = points.to_vec();
    let last = points.len() - 1;
    points[0] = toward(points[0], points[1]);
    points[last] = toward(points[last], points[last - 1]);
    points
}

/// Where pipes meet.
pub(super) fn joint(canvas: &mut Canvas, at: Point, heat: Heat) {
    canvas.circle(at, 3.2, heat.color(), Pen::solid(heat.color(), 0.5), "");
}

/// Which way it flows: a head at `at`, pointing along `way`.
pub(super) fn arrow(canvas: &mut Canvas, at: Point, way: Point, heat: Heat) {
    let length = libm::hypot(way.0, way.1);
    let (dx, dy) = (way.0 / length, way.1 / length);
    let point = |along: f64, across: f64| (at.0 + along * dx - across * dy, at.1 + along * dy + across * dx);
    canvas.area(&[point(6.5, 0.0), point(-5.0, 5.2), point(-5.0, -5.2)], heat.color(), "");
}

/// A pump that drives along `way`.
pub(super) fn pump(canvas: &mut Canvas, at: Point, way: Point, name: &str) {
    const RADIUS: f64 = 10.0;
    canvas.circle(at, RADIUS, PAPER, Pen::solid(INK, 1.5), &format!("data-pump=\"{name}\""));
    let length = libm::hypot(way.0, way.1);
    let (dx, dy) = (way.0 / length, way.1 / length);
    let point = |along: f64, across: f64| (at.0 + along * dx - across * dy, at.1 + along * dy + across * dx);
    let side = RADIUS * FRAC_1_SQRT_2;
    canvas.line(&[point(-side, side), point(RADIUS, 0.0), point(-side, -side)], Pen::solid(INK, 1.5), "");
}

/// A check valve that lets pass upwards.
pub(super) fn check_valve(canvas: &mut Canvas, at: Point) {
    let (x, y) = at;
    canvas.rect(((x - 7.0, y - 8.0), (x + 7.0, y + 8.0)), Some(PAPER), None, "");
    canvas.area(&[(x - 7.0, y + 8.0), (x + 7.0, y + 8.0), (x, y - 6.0)], INK, "");
    canvas.line(&[(x - 7.0, y - 8.0), (x + 7.0, y - 8.0)], Pen::solid(INK, 2.0), "");
}

/// A valve with a triangle towards each of these ways.
pub(super) fn valve(canvas: &mut Canvas, at: Point, ways: &[Point]) {
    for (dx, dy) in ways {
        let end = (at.0 + 9.0 * dx, at.1 + 9.0 * dy);
        let (a, b) = ((end.0 - 6.0 * dy, end.1 + 6.0 * dx), (end.0 + 6.0 * dy, end.1 - 6.0 * dx));
        canvas.area(&[a, b, at], NEUTRAL, "");
        canvas.line(&[at, a, b, at], Pen::solid(INK, 1.4), "");
    }
}

/// A tap hanging from `at`.
pub(super) fn tap(canvas: &mut Canvas, at: Point) {
    let (x, y) = at;
    let pen = Pen::solid(INK, 2.0);
    canvas.line(&[(x, y), (x, y + 9.0), (x - 11.0, y + 9.0), (x - 11.0, y + 17.0)], pen, "");
    canvas.line(&[(x - 10.0, y + 4.0), (x - 2.0, y + 4.0)], Pen::solid(INK, 1.4), "");
    canvas.line(&[(x - 6.0, y + 4.0), (x - 6.0, y + 9.0)], Pen::solid(INK, 1.4), "");
}

/// A box with lines of text in it, and its middle.
pub(super) fn device(canvas: &mut Canvas, corners: (Point, Point), attributes: &str) {
    canvas.rect(corners, Some(PAPER), Some(Pen::solid(INK, 1.4)), attributes);
}

/// Turns of a heated wire from the right wall of a tank at `right` to `inner`.
pub(super) fn element(canvas: &mut Canvas, (right, inner, y): (f64, f64, f64), number: usize) {
    let bend = format!(
        "M{right:.1} {:.1}L{inner:.1} {:.1}A3.5 3.5 0 0 0 {inner:.1} {:.1}L{right:.1} {:.1}",
        y - 3.5,
        y - 3.5,
        y + 3.5,
        y + 3.5
    );
    canvas.path(&bend, None, Some(Pen::solid(PAPER, 5.5)), "");
    canvas.path(&bend, Some(PAPER), None, &format!("data-element=\"{number}\""));
    canvas.path(&bend, None, Some(Pen::solid(INK, 2.2)), "");
    canvas.rect(((right, y - 7.0), (right + 6.0, y + 7.0)), Some(INK), None, "");
}

/// An empty text for a reading.
pub(super) fn reading(canvas: &mut Canvas, at: Point, side: At, name: &str) {
    canvas.text(at, "", hand(side), &format!("data-reading=\"{name}\""));
}
