//! A drawing of the plant as the job describes it: what is connected to what, and at which heights, so that a fault of wiring
//! or height is seen at once.
//!
//! Heights in the tanks are to scale, widths roughly; everything else is a sketch. Hot pipes are solid, cool ones hollow, sensor
//! lines dotted, so that nothing rests on hue alone.
//!
//! # For a page that fills the drawing while a day goes by
//!
//! Shapes that can show a state carry one of these attributes; a script sets their `fill` (pipes: `stroke`) and leaves the
//! outlines alone, which are shapes of their own.
//!
//! | attribute | on |
//! |---|---|
//! | `data-collector="1"`, `"2"` | the glass of each collector of the first or second plane |
//! | `data-tank="1" data-slice="7"` | a slice of a tank, from 1 at its bottom, as many as the model has |
//! | `data-pipe` = `supply`, `return`, `between`, `bypass`, `hot`, `cold`, `recirculation`, `transfer`, `transfer-back`, `tank-side` | a run of pipe; the `<path>` has a stroke and no fill. Cool pipes have a second, white path on top, without attribute |
//! | `data-pump` = `loop`, `plate`, `transfer`, `recirculation` | the disc of a pump |
//! | `data-element="1"` ... | what heats, counted through all tanks as in `Job::element_hours` |
//! | `data-flow-heater` | the flow-through heater |
//! | `data-reading` = `collector`, `collector-2`, `tank-1-top`, `tank-1-bottom`, `tank-2-top`, `tank-2-bottom`, `tap`, `cold` | an empty `<text>` with room for about six letters, e.g. `162 °F`; those of a tank are left out where it is drawn too low for them |

mod control;
mod field;
mod house;
mod labels;
mod place;
mod solar_loop;
mod symbols;
mod tank;
mod words;

use thermal_network::spec::{LoopKind, LoopSpec, PlantSpec};

use super::canvas::{Canvas, Hand, Pen};
use super::style::{At, Dash, GRID, INK, MUTED, NEUTRAL, Words};
use super::units::Units;
use crate::job::Job;
use place::Frame;
use symbols::{Heat, pipe};

/// Height of texts in the drawing.
const TEXT: f64 = 11.0;

/// Text of the drawing.
fn hand(at: At) -> Hand {
    Hand { size: TEXT, color: INK, at }
}

/// Less important text.
fn note(at: At) -> Hand {
    Hand { size: TEXT, color: MUTED, at }
}

/// Collectors on one plane.
#[derive(Clone, Debug, PartialEq)]
struct Field {
    count: u32,
    /// Collectors of a row, one behind the other.
    in_series: u32,
    /// Reference area of the field.
    area_m2: f64,
    tilt_deg: f64,
    azimuth_deg: f64,
}

/// What the drawing shows of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnPlant {
    name: String,
    plant: PlantSpec,
    fields: Vec<Field>,
    /// The coil is in the water, not round the tank.
    immersed: bool,
    mixing_valve: bool,
    /// Hottest water asked for at a tap, in degC; `None` if none is.
    tap_c: Option<f64>,
    daily_m3: f64,
    lift_m: Option<f64>,
}

impl DrawnPlant {
    /// What is drawn of `job`.
    pub fn of(job: &Job) -> Self {
        let arrangement = job.collectors.arrangement;
        let mut fields = Vec::new();
        if let Some(solar) = &job.plant.solar_loop {
            let first_m2 = solar.collector.area_m2;
            let field = |aspect: &crate::job::Aspect, area_m2: f64, count: u32, in_series: u32| Field {
                count,
                in_series,
                area_m2,
                tilt_deg: aspect.tilt_deg,
                azimuth_deg: aspect.azimuth_deg,
            };
            fields.push(field(&job.aspect, first_m2, arrangement.count(), arrangement.in_series));
            if let (Some(second), Some(aspect)) = (&solar.second_field, &job.second_aspect) {
                let area_m2 = second.collector.area_m2;
                let count = (area_m2 / first_m2 * f64::from(arrangement.count())).round().max(1.0) as u32;
                fields.push(field(aspect, area_m2, count, 1));
            }
        }
        let coil = job.echo.iter().find(|echo| echo.key == "tank.coil.kind");
        let tap_c = job.water_use.pattern.hottest_use_c();
        Self {
            name: job.name.clone(),
            plant: job.plant.clone(),
            fields,
            immersed: coil.is_some_and(|echo| echo.written.starts_with("immersed")),
            mixing_valve: job.protection.mixing_valve,
            tap_c: tap_c.is_finite().then_some(tap_c),
            daily_m3: job.water_use.pattern.daily_m3(),
            lift_m: job.protection.lift_m,
        }
    }

    /// The loop, unless the tank stands in the collector.
    fn circuit(&self) -> Option<&LoopSpec> {
        self.plant.solar_loop.as_ref().filter(|solar| solar.kind != LoopKind::Batch)
    }

    fn is_batch(&self) -> bool {
        self.plant.solar_loop.is_some() && self.circuit().is_none()
    }

    fn is_pumped(&self) -> bool {
        self.circuit().is_some_and(|solar| !matches!(solar.kind, LoopKind::Thermosiphon(_)))
    }
}

/// The plant as an SVG; see the module for the attributes its shapes carry.
pub fn plant_drawing(drawn: &DrawnPlant, units: Units) -> String {
    let words = Words {
        title: "How it is connected",
        name: &drawn.name,
        subtitle: words::subtitle(drawn, units),
        description: words::description(drawn, units),
    };
    let frame = Frame::new(drawn);
    let control = control::lines(drawn, units, frame.control_width());
    let bottom = frame.below(control.len());
    Canvas::picture(bottom + 34.0, &words, |canvas| {
        frame.ruler(canvas, units);
        if let Some(solar) = drawn.circuit() {
            if drawn.is_pumped() {
                control::draw(canvas, &frame, drawn, solar, &control);
            }
            solar_loop::draw(canvas, &frame, drawn, solar, units);
        }
        house::draw(canvas, &frame, drawn, units);
        field::draw(canvas, &frame, drawn, units);
        let mut element = 0;
        for (index, spec) in drawn.plant.tanks.iter().enumerate() {
            tank::draw(canvas, &frame, drawn, index, &mut element);
            labels::draw(canvas, &frame.tanks[index], words::heights(drawn, index, units, &frame));
            words::name_tank(canvas, &frame, drawn, index, spec, units);
        }
        legend(canvas, bottom + 16.0, drawn);
    })
}

/// What the kinds of line mean.
fn legend(canvas: &mut Canvas, y: f64, drawn: &DrawnPlant) {
    let mut x = 20.0;
    let mut item = |canvas: &mut Canvas, heat: Option<Heat>, text: &str| {
        let points = [(x, y), (x + 26.0, y)];
        match heat {
            Some(heat) => pipe(canvas, &points, heat, None),
            None => canvas.line(&points, wire(), ""),
        }
        canvas.text((x + 33.0, y), text, note(At::Left), "");
        x += 33.0 + super::canvas::text_width(text, TEXT) + 22.0;
    };
    item(canvas, Some(Heat::Hot), "hot");
    item(canvas, Some(Heat::Cool), "cool");
    if drawn.is_pumped() {
        item(canvas, None, "sensor and pump lines");
    }
    let scale = "Heights in the tanks are to scale.";
    canvas.text((x, y), scale, note(At::Left), "");
}

/// Lines of sensors and pumps.
fn wire() -> Pen {
    Pen { color: INK, width: 1.3, dash: Dash::Broken(0.1, 4.0) }
}

/// Lines of the ruler.
fn faint() -> Pen {
    Pen::solid(GRID, 0.7)
}
