//! A tank with what is in it, at true heights.

use thermal_network::spec::{ExchangerSpec, SourceSpec};

use super::place::{Frame, Vessel};
use super::symbols::{Heat, bare_pipe, device, element, reading};
use super::{DrawnPlant, NEUTRAL};
use crate::picture::canvas::{Canvas, Pen, Point};
use crate::picture::style::{At, GRID, HOT, INK, LOSS, MUTED, PAPER, SUN};

/// Draws tank `index`; `element_count` counts what heats through all tanks.
pub(super) fn draw(
    canvas: &mut Canvas,
    frame: &Frame,
    drawn: &DrawnPlant,
    index: usize,
    element_count: &mut usize,
) {
    let (vessel, spec) = (&frame.tanks[index], &drawn.plant.tanks[index]);
    if index > 0 || !drawn.is_batch() {
        let jacket = ((vessel.left - 6.0, vessel.top - 6.0), (vessel.right + 6.0, vessel.bottom + 6.0));
        canvas.rect(jacket, Some(GRID), Some(Pen::solid(LOSS, 0.8)), "rx=\"5\"");
    }
    let height = (vessel.bottom - vessel.top) / spec.slices as f64;
    for slice in 0..spec.slices {
        let bottom = vessel.bottom - height * slice as f64;
        let corners = ((vessel.left, bottom - height), (vessel.right, bottom));
        let name = format!(
            "data-tank=\"{}\" data-slice=\"{}\" shape-rendering=\"crispEdges\"",
            index + 1,
            slice + 1
        );
        canvas.rect(corners, Some(NEUTRAL), None, &name);
    }
    let outline = ((vessel.left, vessel.top), (vessel.right, vessel.bottom));
    canvas.rect(outline, None, Some(Pen::solid(INK, 1.5)), "");
    // A tank drawn very low has no room for two.
    let high = vessel.bottom - vessel.top;
    let readings = [("top", vessel.top + 12.0, 8.0), ("bottom", vessel.bottom - 10.0, 35.0)];
    for (name, y, _) in readings.into_iter().filter(|(_, _, least)| high >= *least) {
        reading(canvas, (vessel.x(0.5), y), At::Center, &format!("tank-{}-{name}", index + 1));
    }
    dip(canvas, vessel, vessel.y(spec.cold_inlet_frac), if index == 0 { Heat::Cool } else { Heat::Hot });
    if index == 0 {
        exchanger(canvas, drawn, vessel);
    }
    let flue = spec.elements.iter().any(|heat| matches!(heat.source, SourceSpec::Burner(_)));
    if flue {
        let x = vessel.middle();
        for side in [-5.0, 5.0] {
            canvas.line(
                &[(x + side, vessel.bottom), (x + side, vessel.top - 22.0)],
                Pen::solid(MUTED, 1.2),
                "",
            );
        }
    }
    for heat in &spec.elements {
        *element_count += 1;
        let y = vessel.y(heat.height_frac);
        match heat.source {
            SourceSpec::Electric => element(canvas, (vessel.right, vessel.x(0.42), y), *element_count),
            SourceSpec::Burner(_) => flame(canvas, (vessel.middle(), vessel.bottom + 7.0), *element_count),
            SourceSpec::HeatPump(pump) => {
                bumps(canvas, vessel, (y, vessel.y(pump.condenser_top_frac)));
                heat_pump(canvas, vessel, *element_count);
            }
        }
        thermostat(canvas, (vessel.right - 6.0, vessel.y(heat.thermostat_frac)));
    }
    if let (0, true, Some(solar)) = (index, drawn.is_pumped(), drawn.circuit()) {
        let y = vessel.y(solar.controller.sensor_height_frac);
        canvas.line(&[(vessel.left - 6.0, y), (vessel.x(0.5), y)], Pen::solid(INK, 1.2), "");
        canvas.circle((vessel.x(0.5), y), 3.6, INK, Pen::solid(PAPER, 1.0), "");
    }
}

/// The tube that lets cold water out at its height.
fn dip(canvas: &mut Canvas, vessel: &Vessel, y: f64, heat: Heat) {
    let end = y.max(vessel.top + 4.0).min(vessel.bottom - 3.0);
    bare_pipe(canvas, &[(vessel.dip, vessel.top - 7.0), (vessel.dip, end)], heat, None);
}

fn exchanger(canvas: &mut Canvas, drawn: &DrawnPlant, vessel: &Vessel) {
    let Some(solar) = drawn.circuit() else { return };
    match &solar.exchanger {
        ExchangerSpec::Coil { bottom_frac, top_frac, .. } => {
            let span = (vessel.y(*bottom_frac), vessel.y(*top_frac));
            if drawn.immersed { turns(canvas, vessel, span) } else { bumps(canvas, vessel, span) }
        }
        ExchangerSpec::Plate { draw_from_frac, return_to_frac, .. }
        | ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac } => {
            for (frac, heat) in [(draw_from_frac, Heat::Cool), (return_to_frac, Heat::Hot)] {
                let y = vessel.port_y(*frac);
                bare_pipe(canvas, &[(vessel.left - 7.0, y), (vessel.x(0.14), y)], heat, None);
            }
        }
    }
}

/// A tube round the tank, from `bottom` to `top`.
fn bumps(canvas: &mut Canvas, vessel: &Vessel, (bottom, top): (f64, f64)) {
    let rounds = ((bottom - top) / 11.0).round().max(1.0) as usize;
    let pitch = (bottom - top) / rounds as f64;
    let (left, right) = (vessel.left - 3.0, vessel.right + 3.0);
    for i in 0..=rounds {
        let y = bottom - pitch * i as f64;
        if i < rounds {
            let path = [(left, y), (right, y - 0.5 * pitch)];
            canvas.line(&path, Pen::solid(HOT, 1.0), "");
            canvas.circle((right, y - 0.5 * pitch), 2.8, PAPER, Pen::solid(HOT, 1.6), "");
        }
        canvas.circle((left, y), 2.8, PAPER, Pen::solid(HOT, 1.6), "");
    }
}

/// A tube in the water, from `bottom` to `top`.
fn turns(canvas: &mut Canvas, vessel: &Vessel, (bottom, top): (f64, f64)) {
    let rounds = ((bottom - top) / 14.0).round().max(1.0) as usize;
    let pitch = (bottom - top) / rounds as f64;
    let (left, right) = (vessel.x(0.12), vessel.x(0.62));
    let mut path: Vec<Point> = vec![(vessel.left - 6.0, top), (left, top)];
    for i in 0..rounds {
        let y = top + pitch * i as f64;
        path.extend([(right, y + 0.25 * pitch), (left, y + pitch)]);
    }
    path.push((vessel.left - 6.0, bottom));
    canvas.line(&path, Pen::solid(PAPER, 4.4), "");
    canvas.line(&path, Pen::solid(HOT, 2.2), "");
}

fn thermostat(canvas: &mut Canvas, (x, y): Point) {
    canvas.circle((x, y), 4.2, PAPER, Pen::solid(INK, 1.3), "");
    canvas.line(&[(x, y + 2.4), (x, y - 2.4)], Pen::solid(INK, 1.6), "");
}

fn flame(canvas: &mut Canvas, (x, y): Point, number: usize) {
    let body = format!(
        "M{:.1} {:.1}C{:.1} {:.1} {:.1} {:.1} {x:.1} {y:.1}C{:.1} {:.1} {:.1} {:.1} {:.1} {:.1}Z",
        x - 9.0,
        y + 11.0,
        x - 9.0,
        y + 5.0,
        x - 1.0,
        y + 6.0,
        x + 1.0,
        y + 6.0,
        x + 9.0,
        y + 5.0,
        x + 9.0,
        y + 11.0
    );
    canvas.path(&body, Some(SUN), Some(Pen::solid(INK, 1.2)), &format!("data-element=\"{number}\""));
}

fn heat_pump(canvas: &mut Canvas, vessel: &Vessel, number: usize) {
    let (left, right) = (vessel.x(0.32), vessel.x(0.68));
    let (top, bottom) = (vessel.top - 27.0, vessel.top - 6.0);
    device(canvas, ((left, top), (right, bottom)), &format!("data-element=\"{number}\""));
    let middle = (0.5 * (left + right), 0.5 * (top + bottom));
    canvas.circle(middle, 8.0, PAPER, Pen::solid(INK, 1.2), "");
    for (dx, dy) in [(5.5, 2.0), (-2.0, 5.5), (-5.5, -2.0), (2.0, -5.5)] {
        canvas.line(&[middle, (middle.0 + dx, middle.1 + dy)], Pen::solid(INK, 1.6), "");
    }
}
