//! Cold water in, hot water to the taps, and what lies between.

use thermal_network::spec::Energy;

use super::place::{Frame, HOT_Y, Vessel};
use super::symbols::{Heat, arrow, device, joint, pipe, pump, reading, tap, valve};
use super::{DrawnPlant, hand, note, words};
use crate::picture::canvas::{Canvas, Pen, Point};
use crate::picture::style::{At, HOT, INK};
use crate::picture::units::Units;

/// Where cold and hot water meet.
const VALVE_X: f64 = 812.0;
/// Level of the pipe over the taps.
const TAPS_Y: f64 = 112.0;
/// Where the house's loop leaves the hot pipe.
const LOOP_X: f64 = 776.0;
/// Outlets below this share of the height leave at the side.
const AT_THE_TOP: f64 = 0.97;

pub(super) fn leaves_at_top(frac: f64) -> bool {
    frac >= AT_THE_TOP
}

pub(super) fn draw(canvas: &mut Canvas, frame: &Frame, drawn: &DrawnPlant, units: Units) {
    cold(canvas, frame);
    let tanks = &frame.tanks;
    if let [first, second, ..] = &tanks[..] {
        between(canvas, drawn, (first, second), units);
        transfer(canvas, frame, drawn, units);
    }
    hot(canvas, frame, drawn, units);
    recirculation(canvas, frame, drawn, units);
    taps(canvas, drawn, units);
}

fn cold(canvas: &mut Canvas, frame: &Frame) {
    let (tank, y) = (&frame.tanks[0], frame.cold_y());
    let lane = tank.right + 11.0;
    let over = tank.top - 15.0;
    let path = [(820.0, y), (lane, y), (lane, over), (tank.dip, over), (tank.dip, tank.top)];
    pipe(canvas, &path, Heat::Cool, Some("cold"));
    arrow(canvas, (690.0, y), (-1.0, 0.0), Heat::Cool);
    canvas.text((800.0, y - 12.0), "Cold water in", hand(At::Right), "");
    reading(canvas, (706.0, y - 12.0), At::Right, "cold");
}

/// Points from a tank's hot outlet up to the hot pipe.
fn up(tank: &Vessel, outlet_frac: f64) -> Vec<Point> {
    if leaves_at_top(outlet_frac) {
        return vec![(tank.riser, tank.top), (tank.riser, HOT_Y)];
    }
    let (y, lane) = (tank.y(outlet_frac), tank.right + 25.0);
    vec![(tank.right, y), (lane, y), (lane, HOT_Y)]
}

fn between(canvas: &mut Canvas, drawn: &DrawnPlant, (first, second): (&Vessel, &Vessel), units: Units) {
    let mut path = up(first, drawn.plant.tanks[0].hot_outlet_frac);
    let turn = (second.dip, HOT_Y);
    path.extend([turn, (second.dip, second.top)]);
    pipe(canvas, &path, Heat::Hot, Some("between"));
    let middle = 0.5 * (first.right + second.left);
    arrow(canvas, (middle, HOT_Y), (1.0, 0.0), Heat::Hot);
    if let Some(run) = &drawn.plant.plumbing.between {
        let text = format!("Pipe {}", words::length(units, run.length_m));
        canvas.text((middle, HOT_Y + 14.0), &text, note(At::Center), "");
    }
    if let Some(bypass) = &drawn.plant.plumbing.bypass {
        pipe(canvas, &[turn, (second.riser, HOT_Y)], Heat::Hot, Some("bypass"));
        joint(canvas, turn, Heat::Hot);
        joint(canvas, (second.riser, HOT_Y), Heat::Hot);
        valve(canvas, (second.middle(), HOT_Y), &[(-1.0, 0.0), (1.0, 0.0)]);
        let text = if bypass.opens_c.is_finite() {
            format!("Bypass above {}", words::level(units, bypass.opens_c))
        } else {
            "Bypass by hand".to_owned()
        };
        canvas.text((second.right + 8.0, HOT_Y - 16.0), &text, hand(At::Right), "");
    }
}

fn transfer(canvas: &mut Canvas, frame: &Frame, drawn: &DrawnPlant, units: Units) {
    let Some(spec) = &drawn.plant.plumbing.transfer else { return };
    let (first, second) = (&frame.tanks[0], &frame.tanks[1]);
    let (upper, lower) = (frame.floor + 40.0, frame.floor + 52.0);
    let (take, give) = (first.y(spec.take_frac), second.y(spec.give_frac));
    let (out, into) = (first.right + 18.0, second.left - 14.0);
    let path =
        [(first.right, take), (out, take), (out, upper), (into, upper), (into, give), (second.left, give)];
    pipe(canvas, &path, Heat::Hot, Some("transfer"));
    let (from, back) = (second.y(spec.back_from_frac), first.y(spec.back_to_frac));
    let (down, home) = (second.left - 22.0, first.right + 26.0);
    let path =
        [(second.left, from), (down, from), (down, lower), (home, lower), (home, back), (first.right, back)];
    pipe(canvas, &path, Heat::Cool, Some("transfer-back"));
    let middle = 0.5 * (home + down);
    pump(canvas, (middle, upper), (1.0, 0.0), "transfer");
    let flow = words::flow(units, spec.pump.flow_m3_s);
    canvas.text((middle, frame.floor + 23.0), &format!("Transfer {flow}"), hand(At::Center), "");
}

fn hot(canvas: &mut Canvas, frame: &Frame, drawn: &DrawnPlant, units: Units) {
    let last = frame.tanks.len() - 1;
    let tank = &frame.tanks[last];
    let mut path = up(tank, drawn.plant.tanks[last].hot_outlet_frac);
    let end = if drawn.mixing_valve { VALVE_X - 9.0 } else { VALVE_X - 14.0 };
    path.push((end, HOT_Y));
    if !drawn.mixing_valve {
        path.extend([(end, TAPS_Y + 10.0), (716.0, TAPS_Y + 10.0)]);
    }
    pipe(canvas, &path, Heat::Hot, Some("hot"));
    arrow(canvas, (752.0, HOT_Y), (1.0, 0.0), Heat::Hot);
    if let Some(heater) = &drawn.plant.flow_heater {
        let x = if last == 0 { 610.0 } else { tank.riser + 56.0 };
        device(canvas, ((x - 20.0, HOT_Y - 17.0), (x + 20.0, HOT_Y + 17.0)), "data-flow-heater=\"1\"");
        let (kind, power) = match heater.energy {
            Energy::Electricity => ("Electric flow-through heater", words::power(heater.power_w)),
            Energy::Fuel => {
                ("Gas flow-through heater", words::fired(units, heater.power_w / heater.efficiency_frac))
            }
        };
        let turns: Vec<Point> = (0..7)
            .map(|i| (x - 15.0 + 5.0 * f64::from(i), HOT_Y + if i % 2 == 0 { 6.0 } else { -6.0 }))
            .collect();
        canvas.line(&turns, Pen::solid(HOT, 2.0), "");
        canvas.text((x, HOT_Y - 47.0), kind, hand(At::Center), "");
        let text = format!("{power}, to {}", words::level(units, heater.set_c));
        canvas.text((x, HOT_Y - 34.0), &text, note(At::Center), "");
    }
}

fn recirculation(canvas: &mut Canvas, frame: &Frame, drawn: &DrawnPlant, units: Units) {
    let Some(spec) = &drawn.plant.plumbing.recirculation else { return };
    let tank = &frame.tanks[spec.return_tank.min(frame.tanks.len() - 1)];
    let (lane, y) = (tank.right + 18.0, tank.y(spec.return_frac));
    let (far, high, low) = (540.0_f64.max(lane), 166.0, HOT_Y - 14.0);
    let mut path = vec![(LOOP_X, HOT_Y), (LOOP_X, high), (far, high)];
    if far > lane {
        path.extend([(far, low), (lane, low)]);
    }
    path.extend([(lane, y), (tank.right, y)]);
    pipe(canvas, &path, Heat::Hot, Some("recirculation"));
    joint(canvas, (LOOP_X, HOT_Y), Heat::Hot);
    let middle = 0.5 * (far + LOOP_X);
    pump(canvas, (middle, high), (-1.0, 0.0), "recirculation");
    let length = words::length(units, spec.pipe.length_m);
    let flow = words::flow(units, spec.pump.flow_m3_s);
    canvas.text((LOOP_X + 4.0, high - 18.0), &format!("House loop {length}, {flow}"), hand(At::Right), "");
}

fn taps(canvas: &mut Canvas, drawn: &DrawnPlant, units: Units) {
    let cold_bottom = 528.0 + 66.0;
    let level = drawn.tap_c.map(|level_c| words::level(units, level_c));
    if drawn.mixing_valve {
        pipe(canvas, &[(VALVE_X, cold_bottom), (VALVE_X, HOT_Y)], Heat::Cool, Some("cold"));
        let mixed = [(VALVE_X, HOT_Y), (VALVE_X, TAPS_Y), (716.0, TAPS_Y)];
        pipe(canvas, &mixed, Heat::Hot, Some("hot"));
        valve(canvas, (VALVE_X, HOT_Y), &[(-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]);
        let setting = level.as_ref().map(|level| format!(" at {level}")).unwrap_or_default();
        canvas.text((VALVE_X - 14.0, HOT_Y + 14.0), &format!("Mixing valve{setting}"), hand(At::Right), "");
    } else {
        let path = [(VALVE_X, cold_bottom), (VALVE_X, TAPS_Y - 2.0), (716.0, TAPS_Y - 2.0)];
        pipe(canvas, &path, Heat::Cool, Some("cold"));
        canvas.text((VALVE_X - 14.0, HOT_Y + 14.0), "No mixing valve", hand(At::Right), "");
    }
    joint(canvas, (VALVE_X, cold_bottom), Heat::Cool);
    for x in [730.0, 758.0, 786.0] {
        if drawn.mixing_valve {
            tap(canvas, (x, TAPS_Y + 2.0));
        } else {
            // Hot and cold meet at the tap.
            canvas.line(&[(x, TAPS_Y - 2.0), (x, TAPS_Y + 12.0)], Pen::solid(INK, 2.0), "");
            tap(canvas, (x, TAPS_Y + 12.0));
        }
    }
    let daily = words::volume(units, drawn.daily_m3);
    let at = level.map(|level| format!(" at {level}")).unwrap_or_default();
    canvas.text((820.0, TAPS_Y - 22.0), &format!("Taps: {daily} a day{at}"), hand(At::Right), "");
    reading(canvas, (706.0, TAPS_Y + 8.0), At::Right, "tap");
}
