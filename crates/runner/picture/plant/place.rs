//! Where the parts of the drawing stand.

use thermal_network::spec::{ExchangerSpec, LoopKind};

use super::{DrawnPlant, faint, note};
use crate::job::quantity::size::FOOT_M;
use crate::picture::canvas::{Canvas, Hand};
use crate::picture::style::{At, WIDTH};
use crate::picture::units::Units;

/// Upper end of the tallest tank.
const TOP: f64 = 266.0;
/// What the lowest thing stands on.
const FLOOR: f64 = 528.0;
/// Level of the hot pipes above the tanks.
pub(super) const HOT_Y: f64 = 230.0;
/// From floor to the cold pipe under it.
const COLD_BELOW: f64 = 66.0;
/// From floor to the controller.
const CONTROL_BELOW: f64 = 48.0;
/// Lines of the controller.
pub(super) const LINE: f64 = 14.0;

/// A tank on the sheet.
#[derive(Clone, Copy)]
pub(super) struct Vessel {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    /// From where to where its labels may run, and how low.
    pub labels: (f64, f64),
    pub lowest: f64,
    /// Where cold water goes down and hot water comes up.
    pub dip: f64,
    pub riser: f64,
}

impl Vessel {
    /// Place of a height given as a share of the tank's.
    pub(super) fn y(&self, frac: f64) -> f64 {
        self.bottom - frac.clamp(0.0, 1.0) * (self.bottom - self.top)
    }

    /// Place of a pipe through its side.
    pub(super) fn port_y(&self, frac: f64) -> f64 {
        self.y(frac).max(self.top + 3.0).min(self.bottom - 3.0)
    }

    /// A place across the tank: 0 left, 1 right.
    pub(super) fn x(&self, share: f64) -> f64 {
        self.left + share * (self.right - self.left)
    }

    pub(super) fn middle(&self) -> f64 {
        self.x(0.5)
    }
}

/// Places of everything.
pub(super) struct Frame {
    points_per_m: f64,
    /// Height on the floor line, in m above the collectors' inlet or the tanks' bottom.
    lowest_m: f64,
    tallest_m: f64,
    pub floor: f64,
    pub tanks: Vec<Vessel>,
    /// The pipe to the collectors and the one from them.
    pub supply_x: f64,
    pub return_x: f64,
}

impl Frame {
    pub(super) fn new(drawn: &DrawnPlant) -> Self {
        let tanks = &drawn.plant.tanks;
        let natural = drawn.circuit().and_then(|solar| match &solar.kind {
            LoopKind::Thermosiphon(natural) => Some((natural, &solar.exchanger)),
            _ => None,
        });
        let mut bases_m = vec![0.0; tanks.len()];
        let (mut lowest_m, mut tallest_m) = (0.0_f64, 0.0_f64);
        if let Some((natural, exchanger)) = natural {
            let frac = match exchanger {
                ExchangerSpec::Coil { bottom_frac, .. } => *bottom_frac,
                ExchangerSpec::Plate { draw_from_frac, .. }
                | ExchangerSpec::OpenLoop { draw_from_frac, .. } => *draw_from_frac,
            };
            bases_m[0] = natural.cold_end_m - frac * tanks[0].height_m;
            (lowest_m, tallest_m) = (bases_m[0].min(0.0), natural.collector_m);
        }
        for (tank, base_m) in tanks.iter().zip(&bases_m) {
            tallest_m = tallest_m.max(base_m + tank.height_m);
        }
        let points_per_m = (FLOOR - TOP) / (tallest_m - lowest_m);
        let two = tanks.len() > 1;
        let plate = drawn.circuit().is_some_and(|s| matches!(s.exchanger, ExchangerSpec::Plate { .. }));
        let widest = match (two, plate) {
            (false, _) => 124.0,
            (true, false) => 88.0,
            (true, true) => 74.0,
        };
        let first_left = match (two, plate, natural.is_some()) {
            (false, ..) => 350.0,
            (true, true, _) => 336.0,
            (true, _, true) => 312.0,
            (true, ..) => 264.0,
        };
        let mut vessels = Vec::new();
        for (i, (tank, base_m)) in tanks.iter().zip(&bases_m).enumerate() {
            let diameter_m = (4.0 * tank.volume_m3 / (std::f64::consts::PI * tank.height_m)).sqrt();
            let left = if i == 0 { first_left } else { vessels_end(&vessels) };
            let width = (points_per_m * diameter_m).clamp(64.0, widest);
            let bottom = FLOOR - (base_m - lowest_m) * points_per_m;
            let (right, top) = (left + width, bottom - points_per_m * tank.height_m);
            let labels = match (two, i) {
                (false, _) => (right + 40.0, 800.0),
                (true, 0) => (right + 38.0, right + if plate || natural.is_some() { 124.0 } else { 152.0 }),
                _ => (right + 30.0, 798.0),
            };
            let share = |share: f64| left + share * width;
            let (dip, riser) = if i == 0 { (share(0.85), share(0.3)) } else { (share(0.2), share(0.8)) };
            vessels.push(Vessel { left, right, top, bottom, labels, lowest: FLOOR, dip, riser });
        }
        Self {
            points_per_m,
            lowest_m,
            tallest_m,
            floor: FLOOR,
            tanks: vessels,
            supply_x: 64.0,
            return_x: if two { 168.0 } else { 190.0 },
        }
    }

    /// Place of a height in m above the collectors' inlet, or above the tanks' bottom.
    pub(super) fn y(&self, height_m: f64) -> f64 {
        self.floor - (height_m - self.lowest_m) * self.points_per_m
    }

    pub(super) fn cold_y(&self) -> f64 {
        self.floor + COLD_BELOW
    }

    pub(super) fn control_y(&self) -> f64 {
        self.floor + CONTROL_BELOW
    }

    /// Right end of the controller.
    pub(super) fn control_right(&self) -> f64 {
        self.tanks[0].right.clamp(340.0, 420.0)
    }

    pub(super) fn control_width(&self) -> f64 {
        self.control_right() - 40.0 - 16.0
    }

    /// Lower end of everything but the legend, with so many lines in the controller.
    pub(super) fn below(&self, control_lines: usize) -> f64 {
        let control = self.control_y() + LINE * control_lines as f64 + 12.0;
        control.max(self.cold_y() + 12.0)
    }

    /// Heights at the left, with faint lines across.
    pub(super) fn ruler(&self, canvas: &mut Canvas, units: Units) {
        let (unit_m, unit) = match units {
            Units::Us => (FOOT_M, "ft"),
            Units::Si => (1.0, "m"),
        };
        let span = (self.tallest_m - self.lowest_m) / unit_m;
        let step = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0].into_iter().find(|step| span / step <= 8.0);
        let step = step.unwrap_or(50.0);
        let first = (self.lowest_m / unit_m / step).ceil() as i32;
        let last = (self.tallest_m / unit_m / step + 1e-6).floor() as i32;
        for tick in first..=last {
            let value = f64::from(tick) * step;
            let y = self.y(value * unit_m);
            canvas.line(&[(46.0, y), (WIDTH - 20.0, y)], faint(), "");
            let decimals = usize::from(step < 1.0);
            let text = format!("{value:.decimals$} {unit}").replace('-', "\u{2212}");
            canvas.text((43.0, y), &text, Hand { size: 10.0, ..note(At::Right) }, "");
        }
    }
}

/// Left end of a tank behind these: room for their labels, and for the pipes between.
fn vessels_end(vessels: &[Vessel]) -> f64 {
    vessels.last().map_or(0.0, |vessel| vessel.labels.1 + 40.0)
}
