//! The loop between collectors and tank: pipes, pump, valve, exchanger, and what else sits in it.

use thermal_network::spec::{ExchangerSpec, LoopKind, LoopSpec, PipeRunSpec, PumpDrive, Surroundings};

use super::field::Array;
use super::place::{Frame, Vessel};
use super::symbols::{Heat, arrow, check_valve, device, pipe, pump};
use super::{DrawnPlant, hand, note, wire, words};
use crate::picture::canvas::{Canvas, Pen, Point};
use crate::picture::style::{At, GRID, INK, SKY};
use crate::picture::units::Units;

/// Level at which the pipe from the collectors turns to the tank.
const JOG_Y: f64 = 202.0;
/// From here down the pipe from the collectors holds devices.
const DEVICES_Y: f64 = 270.0;
/// Height of a device with its gap.
const DEVICE: f64 = 46.0;
/// Level above the floor of the pump.
const PUMP_ABOVE: f64 = 62.0;

pub(super) fn pump_at(frame: &Frame) -> Point {
    (frame.supply_x, frame.floor - PUMP_ABOVE)
}

pub(super) fn draw(canvas: &mut Canvas, frame: &Frame, drawn: &DrawnPlant, solar: &LoopSpec, units: Units) {
    let array = Array::of(drawn, frame);
    let tank = &frame.tanks[0];
    if !drawn.is_pumped() {
        return natural(canvas, solar, &array, tank, units);
    }
    let (over, under) = array.headers();
    let Some(first) = array.stands.first() else { return };
    let right = array.right() + 12.0;
    let mut back = vec![(first.left + 2.0, over), (right, over), (right, JOG_Y), (frame.return_x, JOG_Y)];
    let used = devices(solar);
    let free_y = DEVICES_Y - 6.0 + DEVICE * used as f64;
    let mut to = Vec::new();
    match &solar.exchanger {
        ExchangerSpec::Plate { .. } => {
            let plate = Plate::beside(frame);
            back.extend([(frame.return_x, plate.hot_y), (plate.left, plate.hot_y)]);
            to.extend([(plate.left, plate.cool_y), (plate.left - 10.0, plate.cool_y)]);
            to.push((plate.left - 10.0, frame.floor - 14.0));
            to.push((frame.supply_x, frame.floor - 14.0));
        }
        exchanger => {
            let (hot, cool) = ends(exchanger, tank);
            if hot.1 >= free_y {
                back.push((frame.return_x, hot.1));
            } else {
                let lane = tank.left - 30.0;
                back.extend([(frame.return_x, free_y), (lane, free_y), (lane, hot.1)]);
            }
            back.push(hot);
            to.push(cool);
            if cool.1 < frame.floor - 30.0 {
                to.extend([(tank.left - 20.0, cool.1), (tank.left - 20.0, frame.floor - 14.0)]);
                to.push((frame.supply_x, frame.floor - 14.0));
            } else {
                to.push((frame.supply_x, cool.1));
            }
        }
    }
    let last = array.stands.last().map_or(0.0, |stand| stand.right - 2.0);
    to.extend([(frame.supply_x, under), (last, under)]);
    pipe(canvas, &to, Heat::Cool, Some("supply"));
    pipe(canvas, &back, Heat::Hot, Some("return"));
    arrow(canvas, (frame.supply_x, 300.0), (0.0, -1.0), Heat::Cool);
    arrow(canvas, (frame.return_x, 218.0), (0.0, 1.0), Heat::Hot);
    run_label(canvas, (frame.supply_x + 10.0, 228.0), "Supply", &solar.supply, units);
    run_label(canvas, (frame.return_x + 16.0, 228.0), "Return", &solar.ret, units);
    moved(canvas, frame, solar, units);
    in_the_return(canvas, frame, solar, units);
    if let ExchangerSpec::Plate { tank_flow_kg_s, tank_pump_w, .. } = solar.exchanger {
        let water_kg_m3 = drawn.plant.tanks[0].water_kg_m3;
        let flow = words::flow(units, tank_flow_kg_s / water_kg_m3);
        plate(canvas, frame, solar, [flow, words::power(tank_pump_w)]);
    }
}

/// Pump and check valve in the pipe to the collectors.
fn moved(canvas: &mut Canvas, frame: &Frame, solar: &LoopSpec, units: Units) {
    let at = pump_at(frame);
    pump(canvas, at, (0.0, -1.0), "loop");
    let lines = ["Pump".to_owned(), words::loop_flow(solar, units), words::power(solar.pump.power_w)];
    stack(canvas, (at.0 + 16.0, at.1 - 13.0), &lines);
    let valve = (at.0, at.1 - 52.0);
    let words: &[&str] = match &solar.kind {
        LoopKind::Filled => &["Check valve"],
        LoopKind::Leaking(leak) if leak.back_frac >= 1.0 => &["No check valve"],
        LoopKind::Leaking(_) => &["Check valve", "leaks"],
        _ => return,
    };
    if words[0].starts_with("Check") {
        check_valve(canvas, valve);
    }
    stack(
        canvas,
        (valve.0 + 16.0, valve.1 - 2.0),
        &words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>(),
    );
    if matches!(solar.controller.duties.drive, PumpDrive::Sun { .. }) {
        let (left, right, top, bottom) = (22.0, 52.0, 124.0, 160.0);
        canvas.line(&[(48.0, bottom), (48.0, at.1), (at.0 - 10.0, at.1)], wire(), "");
        device(canvas, ((left, top), (right, bottom)), "");
        for i in 1..3 {
            let x = left + 10.0 * f64::from(i);
            let y = top + 12.0 * f64::from(i);
            canvas.line(&[(x, top), (x, bottom)], Pen::solid(INK, 0.8), "");
            canvas.line(&[(left, y), (right, y)], Pen::solid(INK, 0.8), "");
        }
        canvas.text((left - 2.0, top - 8.0), "Module", hand(At::Left), "");
    }
}

/// How many devices sit in the pipe from the collectors.
fn devices(solar: &LoopSpec) -> usize {
    usize::from(matches!(solar.kind, LoopKind::Drainback(_)))
        + usize::from(solar.controller.duties.dump.is_some())
}

fn in_the_return(canvas: &mut Canvas, frame: &Frame, solar: &LoopSpec, units: Units) {
    let x = frame.return_x;
    let mut y = DEVICES_Y;
    if let Some(dump) = &solar.controller.duties.dump {
        device(canvas, ((x - 14.0, y), (x + 14.0, y + 26.0)), "");
        for i in 0..5 {
            let fin = x - 9.0 + 4.5 * f64::from(i);
            canvas.line(&[(fin, y + 4.0), (fin, y + 22.0)], Pen::solid(INK, 1.2), "");
        }
        let lines = ["Heat dump".to_owned(), format!("at {}", words::level(units, dump.on_c))];
        stack(canvas, (x + 22.0, y + 7.0), &lines);
        y += DEVICE;
    }
    if let LoopKind::Drainback(drainback) = &solar.kind {
        device(canvas, ((x - 18.0, y), (x + 18.0, y + 36.0)), "");
        canvas.rect(((x - 17.0, y + 18.0), (x + 17.0, y + 35.0)), Some(GRID), None, "");
        canvas.line(&[(x - 17.0, y + 18.0), (x + 17.0, y + 18.0)], Pen::solid(SKY, 1.2), "");
        let lines = ["Reservoir".to_owned(), words::volume(units, drainback.reservoir_m3)];
        stack(canvas, (x + 26.0, y + 12.0), &lines);
    }
}

fn stack(canvas: &mut Canvas, at: Point, lines: &[String]) {
    for (i, line) in lines.iter().enumerate() {
        let hand = if i == 0 { hand(At::Left) } else { note(At::Left) };
        canvas.text((at.0, at.1 + 13.0 * i as f64), line, hand, "");
    }
}

fn run_label(canvas: &mut Canvas, at: Point, name: &str, runs: &[PipeRunSpec], units: Units) {
    let length = |outdoors: Option<bool>| {
        let counts =
            |run: &&PipeRunSpec| outdoors.is_none_or(|o| (run.surroundings == Surroundings::Outdoor) == o);
        runs.iter().filter(counts).map(|run| run.length_m).sum::<f64>()
    };
    let all = length(None);
    let mut lines = vec![format!("{name} {}", words::length(units, all))];
    if all > 0.0 {
        lines.push(format!("{} outdoors", words::length(units, length(Some(true)))));
    }
    stack(canvas, at, &lines);
}

/// Where the loop's fluid enters what heats the tank, and where it leaves: points at the tank's wall.
fn ends(exchanger: &ExchangerSpec, tank: &Vessel) -> (Point, Point) {
    match exchanger {
        ExchangerSpec::Coil { bottom_frac, top_frac, inlet, .. } => {
            let (low, high) = (tank.y(*bottom_frac), tank.y(*top_frac));
            let wall = tank.left - 6.0;
            match inlet {
                thermal_network::spec::CoilInlet::Top => ((wall, high), (wall, low)),
                thermal_network::spec::CoilInlet::Bottom => ((wall, low), (wall, high)),
            }
        }
        ExchangerSpec::Plate { draw_from_frac, return_to_frac, .. }
        | ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac } => {
            ((tank.left, tank.port_y(*return_to_frac)), (tank.left, tank.port_y(*draw_from_frac)))
        }
    }
}

/// Places of a plate exchanger.
struct Plate {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    hot_y: f64,
    cool_y: f64,
}

impl Plate {
    fn beside(frame: &Frame) -> Self {
        let left = frame.tanks[0].left - 140.0;
        let (top, bottom) = (frame.floor - 134.0, frame.floor - 44.0);
        Self { left, right: left + 22.0, top, bottom, hot_y: top + 12.0, cool_y: bottom - 12.0 }
    }
}

fn plate(canvas: &mut Canvas, frame: &Frame, solar: &LoopSpec, pump_words: [String; 2]) {
    let (plate, tank) = (Plate::beside(frame), &frame.tanks[0]);
    let (hot, cool) = ends(&solar.exchanger, tank);
    let lane = tank.left - 18.0;
    let taken = [cool, (lane, cool.1), (lane, plate.cool_y), (plate.right, plate.cool_y)];
    pipe(canvas, &taken, Heat::Cool, Some("tank-side"));
    let lane = tank.left - 28.0;
    let given = [(plate.right, plate.hot_y), (lane, plate.hot_y), (lane, hot.1), hot];
    pipe(canvas, &given, Heat::Hot, Some("tank-side"));
    device(canvas, ((plate.left, plate.top), (plate.right, plate.bottom)), "");
    for i in 1..6 {
        let y = plate.top + 15.0 * f64::from(i);
        canvas.line(&[(plate.left + 3.0, y + 5.0), (plate.right - 3.0, y - 5.0)], Pen::solid(INK, 1.0), "");
    }
    canvas.text((plate.left + 38.0, plate.top - 10.0), "Plate exchanger", hand(At::Center), "");
    let at = (plate.right + 44.0, plate.cool_y);
    pump(canvas, at, (-1.0, 0.0), "plate");
    let [flow, power] = pump_words;
    stack(canvas, (plate.right + 8.0, plate.hot_y + 16.0), &["Tank pump".to_owned(), flow, power]);
}

/// A loop that moves by itself.
fn natural(canvas: &mut Canvas, solar: &LoopSpec, array: &Array, tank: &Vessel, units: Units) {
    let (over, under) = array.headers();
    let Some(stand) = array.stands.first() else { return };
    let (hot, cool) = ends(&solar.exchanger, tank);
    let lane = stand.right + 16.0;
    pipe(canvas, &[(stand.left + 2.0, over), (lane, over), (lane, hot.1), hot], Heat::Hot, Some("return"));
    let down = tank.left - 20.0;
    let path = [cool, (down, cool.1), (down, under), (stand.left + 2.0, under)];
    pipe(canvas, &path, Heat::Cool, Some("supply"));
    arrow(canvas, (0.5 * (lane + tank.left), hot.1), (1.0, 0.0), Heat::Hot);
    arrow(canvas, (0.5 * (stand.right + down), under), (-1.0, 0.0), Heat::Cool);
    let low = under - 27.0;
    run_label(canvas, (lane + 12.0, low), "Supply", &solar.supply, units);
    let high = (hot.1 - 24.0).min(low - 36.0);
    run_label(canvas, (lane + 12.0, high), "Return", &solar.ret, units);
}
