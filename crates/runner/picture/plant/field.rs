//! The collectors: on the roof, beside a tank that stands above them, or round a tank that is one.

use thermal_network::spec::LoopKind;

use super::control::reads_collectors;
use super::place::Frame;
use super::symbols::{Heat, joint, pipe, reading};
use super::{DrawnPlant, Field, NEUTRAL, hand, note, words};
use crate::picture::canvas::{Canvas, Pen, Point};
use crate::picture::style::{At, GRID, INK, PAPER, SUN};
use crate::picture::units::Units;

/// Where collectors on one plane stand.
pub(super) struct Stand {
    pub left: f64,
    pub right: f64,
}

/// Where all collectors stand.
pub(super) struct Array {
    pub stands: Vec<Stand>,
    pub top: f64,
    pub bottom: f64,
}

impl Array {
    pub(super) fn of(drawn: &DrawnPlant, frame: &Frame) -> Self {
        let solar = drawn.circuit();
        let natural = solar.and_then(|solar| match &solar.kind {
            LoopKind::Thermosiphon(natural) => Some(natural),
            _ => None,
        });
        let (top, bottom) = match natural {
            Some(natural) => (frame.y(natural.collector_m).min(frame.y(0.0) - 12.0), frame.y(0.0)),
            None => (116.0, 178.0),
        };
        let two = drawn.fields.len() > 1;
        let room = match (natural, two) {
            (Some(_), _) => 88.0,
            (None, true) => 180.0,
            (None, false) => 390.0,
        };
        let mut stands = Vec::new();
        for (i, field) in drawn.fields.iter().enumerate() {
            let width = (pitch(field, room) * f64::from(field.count)).min(room);
            let left = match (natural, i) {
                (Some(_), _) => 84.0,
                (None, 0) => 96.0_f64.max(frame.return_x + 30.0 - width),
                _ => 310.0,
            };
            stands.push(Stand { left, right: left + width });
        }
        Self { stands, top, bottom }
    }

    /// Levels of the pipes over and under the collectors.
    pub(super) fn headers(&self) -> (f64, f64) {
        (self.top - 7.0, self.bottom + 8.0)
    }

    pub(super) fn right(&self) -> f64 {
        self.stands.last().map_or(0.0, |stand| stand.right)
    }

    /// Where the sensor of each plane sits: at its outlet.
    pub(super) fn sensors(&self) -> Vec<Point> {
        self.stands.iter().map(|stand| (stand.right + 2.0, self.headers().0)).collect()
    }
}

/// From one collector to the next.
fn pitch(field: &Field, room: f64) -> f64 {
    (room / f64::from(field.count)).min(44.0)
}

pub(super) fn draw(canvas: &mut Canvas, frame: &Frame, drawn: &DrawnPlant, units: Units) {
    sun(canvas, (38.0, 92.0));
    if drawn.is_batch() {
        for (i, line) in words::plane(&drawn.fields[0], units).into_iter().enumerate() {
            canvas.text(
                (64.0, 76.0 + 14.0 * i as f64),
                &line,
                if i == 0 { hand(At::Left) } else { note(At::Left) },
                "",
            );
        }
        return glass(canvas, frame);
    }
    let array = Array::of(drawn, frame);
    let natural = !drawn.is_pumped();
    let solar = drawn.circuit().filter(|_| !natural);
    for (i, (field, stand)) in drawn.fields.iter().zip(&array.stands).enumerate() {
        let x = if i == 0 { 64.0 } else { stand.left };
        let first_y = if natural { frame.floor + 28.0 } else { 74.0 };
        for (line_number, line) in words::plane(field, units).into_iter().enumerate() {
            let hand = if line_number == 0 { hand(At::Left) } else { note(At::Left) };
            canvas.text((x, first_y + 13.5 * line_number as f64), &line, hand, "");
        }
        panels(canvas, field, stand, &array, i + 1);
        if solar.is_some_and(reads_collectors) {
            canvas.circle(array.sensors()[i], 3.8, INK, Pen::solid(PAPER, 1.2), "");
        }
        let name = if i == 0 { "collector".to_owned() } else { format!("collector-{}", i + 1) };
        let middle = (0.5 * (stand.left + stand.right), 0.5 * (array.top + array.bottom));
        reading(canvas, middle, At::Center, &name);
    }
}

/// The collectors of a plane with the stubs to their pipes.
fn panels(canvas: &mut Canvas, field: &Field, stand: &Stand, array: &Array, number: usize) {
    let (over, under) = array.headers();
    let pitch = (stand.right - stand.left) / f64::from(field.count);
    let gap = (0.14 * pitch).min(5.0);
    for i in 0..field.count {
        let in_row = i % field.in_series;
        let (first, last) = (in_row == 0, in_row + 1 == field.in_series);
        let left = stand.left + pitch * f64::from(i) + 0.5 * gap;
        let right = left + pitch - gap;
        let middle = 0.5 * (left + right);
        if first {
            pipe(canvas, &[(middle, under), (middle, array.bottom - 2.0)], Heat::Cool, None);
            joint(canvas, (middle, under), Heat::Cool);
        }
        if last {
            pipe(canvas, &[(middle, array.top + 2.0), (middle, over)], Heat::Hot, None);
            joint(canvas, (middle, over), Heat::Hot);
        }
        let corners = ((left, array.top), (right, array.bottom));
        canvas.rect(corners, Some(NEUTRAL), None, &format!("data-collector=\"{number}\""));
        if pitch > 16.0 {
            for share in [0.25, 0.5, 0.75] {
                let x = left + share * (right - left);
                canvas.line(&[(x, array.top + 4.0), (x, array.bottom - 4.0)], Pen::solid(GRID, 1.5), "");
            }
        }
        canvas.rect(corners, None, Some(Pen::solid(INK, 1.2)), "");
    }
    if field.in_series > 1 {
        for i in (0..field.count).filter(|i| (i + 1) % field.in_series != 0) {
            // The way through a row: out at the top of one, in at the bottom of the next.
            let edge = stand.left + pitch * f64::from(i + 1);
            let reach = 0.5 * pitch - 1.0;
            let path = [
                (edge - reach.min(8.0), array.top + 8.0),
                (edge, array.top + 8.0),
                (edge, array.bottom - 8.0),
                (edge + reach.min(8.0), array.bottom - 8.0),
            ];
            canvas.line(&path, Pen::solid(PAPER, 4.0), "");
            canvas.line(&path, Pen::solid(INK, 1.8), "");
        }
    }
}

/// A tank behind glass.
fn glass(canvas: &mut Canvas, frame: &Frame) {
    let tank = &frame.tanks[0];
    let (left, right) = (tank.left - 26.0, tank.right + 6.0);
    let corners = ((left, tank.top - 8.0), (right, tank.bottom + 8.0));
    canvas.rect(corners, Some(GRID), Some(Pen::solid(INK, 1.4)), "");
    let pane = ((left - 4.0, tank.top - 4.0), (left + 4.0, tank.bottom + 2.0));
    canvas.rect(pane, Some(NEUTRAL), Some(Pen::solid(INK, 1.2)), "data-collector=\"1\"");
    for share in [0.2, 0.5, 0.8] {
        let y = tank.top + share * (tank.bottom - tank.top);
        let ray = [(left - 60.0, y - 30.0), (left - 10.0, y)];
        canvas.line(&ray, Pen::solid(SUN, 2.2), "");
        canvas.area(&[(left - 8.0, y + 1.0), (left - 19.0, y - 1.0), (left - 14.5, y - 9.0)], SUN, "");
    }
    canvas.text((left - 14.0, tank.bottom - 2.0), "Glass", hand(At::Right), "");
    reading(canvas, (left - 14.0, tank.bottom - 18.0), At::Right, "collector");
}

fn sun(canvas: &mut Canvas, at: Point) {
    let pen = Pen::solid(SUN, 2.2);
    for step in 0..8 {
        let turn = f64::from(step) * std::f64::consts::FRAC_PI_4;
        let (dx, dy) = (libm::cos(turn), libm::sin(turn));
        canvas.line(&[(at.0 + 12.0 * dx, at.1 + 12.0 * dy), (at.0 + 16.5 * dx, at.1 + 16.5 * dy)], pen, "");
    }
    canvas.circle(at, 8.5, SUN, Pen::solid(INK, 1.0), "");
}
