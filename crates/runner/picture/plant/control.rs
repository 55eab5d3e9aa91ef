//! The controller with what it goes by.

use thermal_network::spec::{LoopSpec, PumpDrive};

use super::field::Array;
use super::place::{Frame, LINE};
use super::solar_loop::pump_at;
use super::symbols::device;
use super::{DrawnPlant, TEXT, hand, note, wire, words};
use crate::picture::canvas::{Canvas, broken};
use crate::picture::style::At;
use crate::picture::units::{Units, percent};

/// Left end of the controller.
const LEFT: f64 = 40.0;

/// What stands in the controller, broken to lines of a width; nothing where there is none.
pub(super) fn lines(drawn: &DrawnPlant, units: Units, width: f64) -> Vec<String> {
    if !drawn.is_pumped() {
        return Vec::new();
    }
    drawn
        .circuit()
        .map(|solar| says(solar, units))
        .unwrap_or_default()
        .iter()
        .flat_map(|s| broken(s, TEXT, width))
        .collect()
}

/// What the controller does, a sentence each.
pub(super) fn says(solar: &LoopSpec, units: Units) -> Vec<String> {
    let control = &solar.controller;
    let duties = &control.duties;
    let level = |level_c: f64| words::level(units, level_c);
    let apart = |k: f64| words::difference(units, k);
    let pair = format!("pump on {} above tank, off {}", apart(control.on_k), apart(control.off_k));
    let mut says = vec![match duties.drive {
        PumpDrive::Differential => format!("Controller: {pair}"),
        PumpDrive::Proportional { least_frac, full_k } => {
            format!("Controller: {pair}; speed from {}, full at {}", percent(least_frac), apart(full_k))
        }
        PumpDrive::Timer => "A timer runs the pump".to_owned(),
        PumpDrive::Sun { start_w_m2, full_w_m2 } => {
            format!("A solar module runs the pump: from {start_w_m2:.0} W/m\u{b2}, full at {full_w_m2:.0}")
        }
    }];
    says.push(format!("Tank limit {}", level(control.high_limit_c)));
    if let Some(limit_c) = control.collector_limit_c {
        says.push(format!("Collector limit {}", level(limit_c)));
    }
    if let Some(start_c) = duties.start_below_c {
        says.push(format!("No start above {}", level(start_c)));
    }
    if let Some(freeze) = duties.freeze {
        says.push(format!("Against frost: on {}, off {}", level(freeze.on_c), level(freeze.off_c)));
    }
    if let Some(night) = duties.night_cooling {
        says.push(format!("Night cooling: on {}, off {}", level(night.on_c), level(night.off_c)));
    }
    if let Some(dump) = duties.dump {
        says.push(format!("Heat dump at {}", level(dump.on_c)));
    }
    says
}

/// True if the controller goes by the collectors' temperature.
pub(super) fn reads_collectors(solar: &LoopSpec) -> bool {
    let duties = &solar.controller.duties;
    matches!(duties.drive, PumpDrive::Differential | PumpDrive::Proportional { .. })
        || solar.controller.collector_limit_c.is_some()
        || duties.start_below_c.is_some()
        || duties.freeze.is_some()
        || duties.night_cooling.is_some()
        || duties.dump.is_some()
}

pub(super) fn draw(
    canvas: &mut Canvas,
    frame: &Frame,
    drawn: &DrawnPlant,
    solar: &LoopSpec,
    lines: &[String],
) {
    let (tank, top) = (&frame.tanks[0], frame.control_y());
    if reads_collectors(solar) {
        // The cable runs beside the pipe from the collectors.
        let array = Array::of(drawn, frame);
        let (right, lane) = (array.right() + 21.0, frame.return_x + 9.0);
        let over = array.headers().0;
        for sensor in array.sensors() {
            if sensor.0 + 30.0 < right {
                // The first plane's cable passes above the second.
                let path = [sensor, (sensor.0, over - 8.0), (right, over - 8.0), (right, over)];
                canvas.line(&path, wire(), "");
            }
        }
        canvas.line(
            &[(right - 18.0, over), (right, over), (right, 211.0), (lane, 211.0), (lane, top)],
            wire(),
            "",
        );
    }
    let sensor_y = tank.y(solar.controller.sensor_height_frac);
    canvas.line(
        &[(tank.left - 6.0, sensor_y), (tank.left - 12.0, sensor_y), (tank.left - 12.0, top)],
        wire(),
        "",
    );
    let pump = pump_at(frame);
    canvas.line(&[(pump.0 - 10.0, pump.1), (48.0, pump.1), (48.0, top)], wire(), "");
    let bottom = top + LINE * lines.len() as f64 + 8.0;
    device(canvas, ((LEFT, top), (frame.control_right(), bottom)), "");
    for (i, line) in lines.iter().enumerate() {
        let hand = if i == 0 { hand(At::Left) } else { note(At::Left) };
        canvas.text((LEFT + 8.0, top + 11.0 + LINE * i as f64), line, hand, "");
    }
}
