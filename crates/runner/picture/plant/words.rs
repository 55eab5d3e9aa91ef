//! What the drawing says.

use thermal_network::spec::{ExchangerSpec, LoopKind, LoopSpec, PumpFlow, SourceSpec, TankSpec};

use super::house::leaves_at_top;
use super::labels::Label;
use super::place::Frame;
use super::{DrawnPlant, Field, TEXT, control, hand, note};
use crate::job::quantity::size::{BTU_J, FOOT_M, INCH_M, SQUARE_FOOT_M2};
use crate::picture::canvas::{Canvas, cut, text_width};
use crate::picture::style::At;
use crate::picture::units::{Units, grouped};

pub(super) fn length(units: Units, m: f64) -> String {
    let (value, unit) = match units {
        Units::Us => (m / FOOT_M, "ft"),
        Units::Si => (m, "m"),
    };
    format!("{} {unit}", grouped(value, usize::from(value < 9.95 && (value - value.round()).abs() > 0.05)))
}

/// A height in a tank.
pub(super) fn height(units: Units, m: f64) -> String {
    match units {
        Units::Us => format!("{} in", grouped(m / INCH_M, 0)),
        Units::Si => format!("{} m", grouped(m, 2)),
    }
}

pub(super) fn level(units: Units, c: f64) -> String {
    units.shown_level(c)
}

pub(super) fn difference(units: Units, k: f64) -> String {
    let (value, unit) = match units {
        Units::Us => (1.8 * k, "\u{b0}F"),
        Units::Si => (k, "K"),
    };
    format!("{} {unit}", grouped(value, usize::from((value - value.round()).abs() > 0.05)))
}

pub(super) fn volume(units: Units, m3: f64) -> String {
    let (unit, unit_m3) = units.volume();
    let value = m3 / unit_m3;
    format!("{} {unit}", grouped(value, usize::from(value < 9.95 && (value - value.round()).abs() > 0.05)))
}

pub(super) fn flow(units: Units, m3_s: f64) -> String {
    let (unit, unit_m3) = units.volume();
    format!("{} {unit}/min", grouped(m3_s * 60.0 / unit_m3, 1))
}

pub(super) fn power(w: f64) -> String {
    format!("{} W", grouped(w, 0))
}

/// Power of something that burns.
pub(super) fn fired(units: Units, w: f64) -> String {
    match units {
        Units::Us => format!("{} Btu/h", grouped((w * 3600.0 / BTU_J / 100.0).round() * 100.0, 0)),
        Units::Si => format!("{} kW", grouped(w / 1000.0, 1)),
    }
}

fn area(units: Units, m2: f64) -> String {
    match units {
        Units::Us => format!("{} ft\u{b2}", grouped(m2 / SQUARE_FOOT_M2, 0)),
        Units::Si => format!("{} m\u{b2}", grouped(m2, 1)),
    }
}

pub(super) fn loop_flow(solar: &LoopSpec, units: Units) -> String {
    /// A loop at work.
    const USUAL_C: f64 = 40.0;
    let m3_s = match solar.pump.flow {
        PumpFlow::VolumeM3S(m3_s) => m3_s,
        PumpFlow::MassKgS(kg_s) => kg_s / solar.fluid.density_kg_m3(USUAL_C),
    };
    flow(units, m3_s)
}

/// The nearest of sixteen directions.
fn facing(azimuth_deg: f64) -> &'static str {
    const WORDS: [&str; 16] = [
        "north",
        "north-northeast",
        "northeast",
        "east-northeast",
        "east",
        "east-southeast",
        "southeast",
        "south-southeast",
        "south",
        "south-southwest",
        "southwest",
        "west-southwest",
        "west",
        "west-northwest",
        "northwest",
        "north-northwest",
    ];
    WORDS[(azimuth_deg / 22.5).round().rem_euclid(16.0) as usize]
}

/// Collectors of a plane: how many, how piped, how they look at the sun.
pub(super) fn plane(field: &Field, units: Units) -> Vec<String> {
    let area = area(units, field.area_m2);
    let rows = field.count / field.in_series;
    let piped = match (field.in_series, rows) {
        (1, 1) => String::new(),
        (1, _) => ", side by side".to_owned(),
        (_, 1) => ", one after the other".to_owned(),
        (row, rows) => format!(", {rows} rows of {row}"),
    };
    let s = if field.count == 1 { "" } else { "s" };
    vec![
        format!("{} collector{s}, {area}{piped}", field.count),
        format!(
            "tilt {}\u{b0}, facing {} ({}\u{b0})",
            grouped(field.tilt_deg, 0),
            facing(field.azimuth_deg),
            grouped(field.azimuth_deg, 0)
        ),
    ]
}

fn tank_kind(drawn: &DrawnPlant, index: usize) -> &'static str {
    let elements = &drawn.plant.tanks[index].elements;
    let has = |wanted: fn(&SourceSpec) -> bool| elements.iter().any(|heat| wanted(&heat.source));
    if drawn.is_batch() && index == 0 {
        "Tank behind the glass"
    } else if index == 0 {
        if drawn.plant.tanks.len() > 1 { "Solar tank" } else { "Tank" }
    } else if has(|source| matches!(source, SourceSpec::HeatPump(_))) {
        "Heat pump"
    } else if has(|source| matches!(source, SourceSpec::Burner(_))) {
        "Gas heater"
    } else {
        "Heater"
    }
}

pub(super) fn name_tank(
    canvas: &mut Canvas,
    frame: &Frame,
    drawn: &DrawnPlant,
    index: usize,
    spec: &TankSpec,
    units: Units,
) {
    let vessel = &frame.tanks[index];
    let burner = spec.elements.iter().any(|heat| matches!(heat.source, SourceSpec::Burner(_)));
    let y = vessel.bottom + if burner { 25.0 } else { 16.0 };
    let width = vessel.right - vessel.left + 12.0;
    let high = height(units, spec.height_m);
    let mut lines = vec![tank_kind(drawn, index).to_owned()];
    let (volume, both) =
        (volume(units, spec.volume_m3), format!("{}, {high}", volume(units, spec.volume_m3)));
    if text_width(&both, TEXT) <= width {
        lines.push(both)
    } else {
        lines.extend([volume, high])
    }
    for (i, line) in lines.iter().enumerate() {
        let hand = if i == 0 { hand(At::Center) } else { note(At::Center) };
        canvas.text((vessel.middle(), y + 13.0 * i as f64), &cut(line, TEXT, width), hand, "");
    }
}

/// What is at which height in a tank.
pub(super) fn heights(drawn: &DrawnPlant, index: usize, units: Units, frame: &Frame) -> Vec<Label> {
    let (vessel, spec) = (&frame.tanks[index], &drawn.plant.tanks[index]);
    let plumbing = &drawn.plant.plumbing;
    let mut labels = Vec::new();
    let at = |frac: f64| height(units, frac * spec.height_m);
    let mut add = |x: f64, frac: f64, head: &str, detail: String| {
        labels.push(Label { from: (x, vessel.y(frac)), head: head.to_owned(), detail });
    };
    let inside = vessel.x(0.14);
    let stirs = if plumbing.inlet_mixing[index].is_some() { ", stirs" } else { "" };
    let inlet = if index == 0 { "Cold in" } else { "From solar tank" };
    add(vessel.dip, spec.cold_inlet_frac, inlet, at(spec.cold_inlet_frac) + stirs);
    if !leaves_at_top(spec.hot_outlet_frac) {
        add(vessel.right, spec.hot_outlet_frac, "Hot out", at(spec.hot_outlet_frac));
    }
    if let (0, Some(solar)) = (index, drawn.circuit()) {
        match solar.exchanger {
            ExchangerSpec::Coil { bottom_frac, top_frac, .. } => {
                let (head, x) = if drawn.immersed {
                    ("Immersed coil", vessel.x(0.5))
                } else {
                    ("Wrap-around coil", vessel.right + 5.0)
                };
                let span = format!("{} to {}", at(bottom_frac), at(top_frac));
                add(x, 0.5 * (bottom_frac + top_frac), head, span);
            }
            ExchangerSpec::Plate { draw_from_frac, return_to_frac, .. } => {
                add(inside, draw_from_frac, "To plate", at(draw_from_frac));
                add(inside, return_to_frac, "From plate", at(return_to_frac));
            }
            ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac } => {
                add(inside, draw_from_frac, "To collectors", at(draw_from_frac));
                add(inside, return_to_frac, "From collectors", at(return_to_frac));
            }
        }
        if drawn.is_pumped() {
            let frac = solar.controller.sensor_height_frac;
            add(vessel.x(0.5), frac, "Tank sensor", at(frac));
        }
    }
    for heat in &spec.elements {
        let frac = heat.height_frac;
        match heat.source {
            SourceSpec::Electric => {
                add(vessel.right + 6.0, frac, &format!("Element {}", power(heat.power_w)), at(frac));
            }
            SourceSpec::Burner(burner) => {
                let input = fired(units, heat.power_w / burner.efficiency_frac);
                add(vessel.middle() + 9.0, 0.0, "Burner", input);
            }
            SourceSpec::HeatPump(pump) => {
                let top = pump.condenser_top_frac;
                let span = format!("{} to {}", at(frac), at(top));
                add(
                    vessel.right + 5.0,
                    0.5 * (frac + top),
                    &format!("Heat pump {}", power(heat.power_w)),
                    span,
                );
            }
        }
        let head = format!("Thermostat {}", level(units, heat.set_c));
        add(vessel.right - 2.0, heat.thermostat_frac, &head, at(heat.thermostat_frac));
    }
    if let Some(line) = plumbing.recirculation.filter(|line| line.return_tank == index) {
        add(vessel.right, line.return_frac, "House loop back", at(line.return_frac));
    }
    if let Some(transfer) = &plumbing.transfer {
        let (words, fracs, x) = if index == 0 {
            (["Transfer out", "Transfer back"], [transfer.take_frac, transfer.back_to_frac], vessel.right)
        } else {
            (["Transfer in", "Transfer back"], [transfer.give_frac, transfer.back_from_frac], vessel.left)
        };
        for (word, frac) in words.iter().zip(fracs) {
            add(x, frac, word, at(frac));
        }
    }
    labels
}

fn loop_words(drawn: &DrawnPlant) -> String {
    let Some(solar) = &drawn.plant.solar_loop else { return "No solar loop".to_owned() };
    let kind = match (&solar.kind, &solar.exchanger) {
        (LoopKind::Batch, _) => return "Batch collector".to_owned(),
        (LoopKind::Thermosiphon(_), _) => "Thermosiphon",
        (LoopKind::Drainback(_), _) => "Drainback loop",
        (_, ExchangerSpec::OpenLoop { .. }) => "Open loop",
        _ => "Closed loop",
    };
    let exchanger = match &solar.exchanger {
        ExchangerSpec::Coil { .. } if drawn.immersed => ", immersed coil",
        ExchangerSpec::Coil { .. } => ", wrap-around coil",
        ExchangerSpec::Plate { .. } => ", plate exchanger",
        ExchangerSpec::OpenLoop { .. } => "",
    };
    format!("{kind}{exchanger}")
}

pub(super) fn subtitle(drawn: &DrawnPlant, units: Units) -> String {
    let tanks: Vec<String> = (0..drawn.plant.tanks.len())
        .map(|i| {
            format!(
                "{} of {}",
                tank_kind(drawn, i).to_lowercase(),
                volume(units, drawn.plant.tanks[i].volume_m3)
            )
        })
        .collect();
    let heater = if drawn.plant.flow_heater.is_some() { ", flow-through heater" } else { "" };
    format!("{}; {}{heater}", loop_words(drawn), tanks.join(", then "))
}

/// The drawing in words, for those who cannot see it.
pub(super) fn description(drawn: &DrawnPlant, units: Units) -> String {
    let mut parts: Vec<String> = vec![loop_words(drawn)];
    parts.extend(drawn.fields.iter().map(|field| plane(field, units).join(", ")));
    if let Some(solar) = drawn.circuit() {
        let way = |runs: &[thermal_network::spec::PipeRunSpec]| {
            length(units, runs.iter().map(|run| run.length_m).sum::<f64>())
        };
        parts.push(format!("supply pipe {}, return pipe {}", way(&solar.supply), way(&solar.ret)));
        if drawn.is_pumped() {
            parts.push(format!("pump {}, {}", loop_flow(solar, units), power(solar.pump.power_w)));
            parts.extend(control::says(solar, units));
        }
        if let LoopKind::Drainback(drainback) = &solar.kind {
            parts.push(format!("reservoir {}", volume(units, drainback.reservoir_m3)));
        }
        if let Some(lift_m) = drawn.lift_m {
            parts.push(format!("top of the collectors {} above the gauge", length(units, lift_m)));
        }
    }
    let frame = Frame::new(drawn);
    for (i, tank) in drawn.plant.tanks.iter().enumerate() {
        let what: Vec<String> = heights(drawn, i, units, &frame)
            .into_iter()
            .map(|label| format!("{}, {}", label.head, label.detail))
            .collect();
        let (name, size) = (tank_kind(drawn, i), volume(units, tank.volume_m3));
        parts.push(format!("{name} of {size}, {} high: {}", height(units, tank.height_m), what.join("; ")));
    }
    if let Some(heater) = &drawn.plant.flow_heater {
        parts.push(format!("flow-through heater to {}", level(units, heater.set_c)));
    }
    if let Some(line) = &drawn.plant.plumbing.recirculation {
        parts.push(format!("house loop of {}", length(units, line.pipe.length_m)));
    }
    parts
        .push(if drawn.mixing_valve { "mixing valve before the taps" } else { "no mixing valve" }.to_owned());
    parts.join(". ") + "."
}
