//! Where the year's heat went: a flow from the sun on the collectors down to the hot water at the taps, in bands as wide as
//! their energy.
//!
//! Every band is a shape of its own: `data-band` names its part, `data-kwh` gives its energy, and the first two points of its
//! path are the ends of its mouth, so that the width can be read off the picture.

use plotters::style::RGBColor;

use super::canvas::{Canvas, Hand, Pen, broken};
use super::style::{At, BACKUP, BODY, INK, LOSS, MUTED, SMALL, SUN, WATER, WIDTH, Words};
use super::units::{grouped, kwh, percent};
use crate::record::{Accounts, Column, YearResult};

/// What joins the flow (above zero) or leaves it.
struct Part {
    /// In the picture's own files.
    key: &'static str,
    name: &'static str,
    kwh: f64,
}

/// The year as a flow: what comes in at a total and all that joins and leaves it lead exactly to the next.
struct Flow {
    sun_kwh: f64,
    outside: Vec<Part>,
    /// Solar heat into the tank; 0 where the loop took more out of it over the year than it brought.
    into_kwh: f64,
    inside: Vec<Part>,
    delivered_kwh: f64,
}

/// A part that reads 0 kWh says nothing.
const LEAST_KWH: f64 = 0.5;

impl Flow {
    fn of(year: &Accounts) -> Self {
        let part = |key, name, kwh| Part { key, name, kwh };
        let (sun, into, hot_water) = (year[Column::Sun], year[Column::HeatIntoTank], year[Column::Delivered]);
        // Heat that the loop took out of the tank joins it outside and leaves inside.
        let taken = (-into).max(0.0);
        let mut outside = vec![
            part("not-taken-up", "not taken up by the collectors", year[Column::Absorbed] - sun),
            part("collector-loss", "lost from the collectors", -year[Column::CollectorLoss]),
            part("pipe-loss", "lost from the pipes", -year[Column::SupplyLoss] - year[Column::ReturnLoss]),
            part("dump", "given to the heat dump", -year[Column::DumpHeat]),
            part("taken-back", "taken from the tank by the loop", taken),
        ];
        let mut inside = vec![
            part("backup", "added by the backup", year[Column::BackupHeat]),
            part("tank-loss", "lost from the tank", year[Column::FlueLoss] - year[Column::TankLoss]),
            part("flue-loss", "lost up the flue", -year[Column::FlueLoss]),
            part("between-loss", "lost between the tanks", -year[Column::BetweenLoss]),
            part("recirculation-loss", "lost in the recirculation loop", -year[Column::RecirculationLoss]),
            part("given-back", "taken from the tank by the loop", -taken),
        ];
        // What the named parts leave over: warmth of the pump, and heat in store at the end more or less than at the start.
        let sum = |parts: &[Part]| parts.iter().map(|part| part.kwh).sum::<f64>();
        let into = into.max(0.0);
        let rest = into - sun - sum(&outside);
        outside.push(part("loop-change", "change in loop, pump warmth", rest));
        let rest = hot_water - into - sum(&inside);
        inside.push(part("store-change", "change in store, pump warmth", rest));
        for parts in [&mut outside, &mut inside] {
            parts.retain(|part| part.kwh.abs() >= LEAST_KWH);
            // What joins comes first: nothing can leave that is not there.
            parts.sort_by_key(|part| part.kwh < 0.0);
        }
        Self { sun_kwh: sun, outside, into_kwh: into, inside, delivered_kwh: hot_water }
    }

    /// Energy that joins after the sun.
    fn joins_kwh(&self) -> f64 {
        self.outside.iter().chain(&self.inside).map(|part| part.kwh.max(0.0)).sum()
    }

    fn list(&self) -> String {
        let parts = |parts: &[Part]| -> String {
            parts.iter().map(|part| format!("; {} {}", part.name, kwh(part.kwh))).collect()
        };
        format!(
            "sun on the collectors {}{}; solar heat into the tank {}{}; hot water delivered {}",
            kwh(self.sun_kwh),
            parts(&self.outside),
            kwh(self.into_kwh),
            parts(&self.inside),
            kwh(self.delivered_kwh)
        )
    }
}

/// Left end of the flow where it is widest, and its greatest width.
const LEFT: f64 = 238.0;
const WIDEST: f64 = 240.0;
/// Where bands that leave end, and their names begin.
const OUT: f64 = 508.0;
/// Radius of the inner side of bends.
const BEND: f64 = 9.0;
/// Least distance from band to band, with room for a name.
const PITCH: f64 = 24.0;
/// Length of a straight piece.
const STRAIGHT: f64 = 54.0;
/// Where the flow begins.
const TOP: f64 = 82.0;

/// The flow while it is drawn: its width now, and how far down it is.
struct Course<'c> {
    canvas: Option<&'c mut Canvas>,
    points_per_kwh: f64,
    left: f64,
    right: f64,
    y: f64,
}

/// Where the year's heat went, in kWh, as an SVG.
pub fn heat_path(name: &str, result: &YearResult) -> String {
    let year = &result.annual;
    let flow = Flow::of(year);
    let share = year[Column::HeatIntoTank] / year[Column::Sun].max(f64::MIN_POSITIVE);
    let words = Words {
        title: "Where the year\u{2019}s heat went",
        name,
        subtitle: format!(
            "{} of the sun on the collectors came into the tank; the backup added {}",
            percent(share),
            kwh(year[Column::BackupHeat])
        ),
        description: format!(
            "A flow in bands as wide as their energy, from sun to hot water over one year: {}.",
            flow.list()
        ),
    };
    let height = (draw(&flow, None) + 24.0).ceil();
    Canvas::picture(height, &words, |canvas| {
        draw(&flow, Some(canvas));
    })
}

/// Draws the flow, or only measures it; its lower end.
fn draw(flow: &Flow, canvas: Option<&mut Canvas>) -> f64 {
    let points_per_kwh = WIDEST / (flow.sun_kwh + flow.joins_kwh()).max(1.0);
    let left = LEFT + points_per_kwh * flow.joins_kwh();
    let mut pen =
        Course { canvas, points_per_kwh, left, right: left + points_per_kwh * flow.sun_kwh, y: TOP };
    pen.total("sun", "Sun on the collectors", flow.sun_kwh, SUN);
    pen.parts(&flow.outside, SUN);
    pen.total("into-tank", "Solar heat into the tank", flow.into_kwh, SUN);
    pen.parts(&flow.inside, WATER);
    pen.total("delivered", "Hot water delivered", flow.delivered_kwh, WATER);
    pen.end()
}

impl Course<'_> {
    /// A straight piece of the whole flow, with its name at the left.
    fn total(&mut self, key: &str, name: &str, energy_kwh: f64, color: RGBColor) {
        let (top, bottom) = (self.y, self.y + STRAIGHT);
        self.band(
            key,
            energy_kwh,
            color,
            &[(self.left, top), (self.right, top), (self.right, bottom), (self.left, bottom)],
        );
        self.label((20.0, self.y + 12.0), name, energy_kwh, Hand { size: BODY, color: INK, at: At::Left });
        if let Some(canvas) = &mut self.canvas {
            canvas.line(&[(self.left - 10.0, top), (self.right + 10.0, top)], Pen::solid(INK, 1.6), "");
        }
        self.y = bottom;
    }

    fn parts(&mut self, parts: &[Part], color: RGBColor) {
        for part in parts {
            if part.kwh > 0.0 { self.join(part, color) } else { self.leave(part, color) }
        }
    }

    /// The whole flow on down to `bottom`.
    fn go_on(&mut self, bottom: f64, color: RGBColor) {
        let (left, right, top) = (self.left, self.right, self.y);
        if let Some(canvas) = &mut self.canvas
            && right - left > 0.0
        {
            let corners = ((left, top - 0.3), (right, bottom));
            canvas.rect(corners, Some(color), None, "");
        }
        self.y = bottom;
    }

    /// A band from the right side of the flow bends out to its name.
    fn leave(&mut self, part: &Part, color: RGBColor) {
        let width = -part.kwh * self.points_per_kwh;
        let (right, top) = (self.right, self.y);
        self.right -= width;
        let inner = self.right;
        let (low, high) = (top + BEND + width, top + BEND);
        self.go_on((top + width + PITCH).max(top + PITCH + 8.0), color);
        let tip = OUT + 0.35 * width + 6.0;
        let path = format!(
            "M{inner:.2} {top:.2}L{right:.2} {top:.2}A{BEND} {BEND} 0 0 0 {:.2} {high:.2}L{OUT:.2} {high:.2}L{OUT:.2} {:.2}\
             L{tip:.2} {:.2}L{OUT:.2} {:.2}L{OUT:.2} {low:.2}L{:.2} {low:.2}A{:.2} {:.2} 0 0 1 {inner:.2} {top:.2}Z",
            right + BEND,
            high - 3.0,
            0.5 * (high + low),
            low + 3.0,
            right + BEND,
            width + BEND,
            width + BEND,
        );
        self.shape(part, LOSS, &path);
        let hand = Hand { size: SMALL, color: MUTED, at: At::Left };
        if let Some(canvas) = &mut self.canvas {
            let y = 0.5 * (high + low);
            canvas.text((OUT + 52.0, y), part.name, hand, "");
            let value = kwh(-part.kwh);
            canvas.text((WIDTH - 20.0, y), &value, Hand { color: INK, at: At::Right, ..hand }, "");
        }
    }

    /// A band bends in at the left side of the flow from its name.
    fn join(&mut self, part: &Part, color: RGBColor) {
        let width = part.kwh * self.points_per_kwh;
        let (left, top) = (self.left, self.y);
        let (bottom, bend) = (top + width, width + BEND);
        let fill = if part.key == "backup" { BACKUP } else { LOSS };
        let turn = left - width - BEND;
        let tail = turn - 22.0;
        let notch = tail + (0.35 * width).min(10.0);
        let path = format!(
            "M{tail:.2} {bottom:.2}L{tail:.2} {top:.2}L{turn:.2} {top:.2}A{bend:.2} {bend:.2} 0 0 1 {left:.2} {:.2}\
             L{:.2} {:.2}A{BEND} {BEND} 0 0 0 {turn:.2} {bottom:.2}L{tail:.2} {bottom:.2}L{notch:.2} {:.2}Z",
            top + bend,
            left - width,
            top + bend,
            0.5 * (top + bottom),
        );
        self.go_on(top + bend, color);
        self.shape(part, fill, &path);
        self.left -= width;
        self.label(
            (20.0, top + 0.5 * width - 7.0),
            part.name,
            part.kwh,
            Hand { size: SMALL, color: MUTED, at: At::Left },
        );
        self.go_on(self.y.max(top + 0.5 * width + 36.0) + 4.0, color);
    }

    fn band(&mut self, key: &str, energy_kwh: f64, color: RGBColor, corners: &[(f64, f64)]) {
        let part = Part { key: "", name: "", kwh: energy_kwh };
        let points: Vec<String> = corners.iter().map(|(x, y)| format!("{x:.2} {y:.2}")).collect();
        self.named(key, part.kwh, color, &format!("M{}Z", points.join("L")));
    }

    fn shape(&mut self, part: &Part, color: RGBColor, path: &str) {
        self.named(part.key, part.kwh.abs(), color, path);
    }

    fn named(&mut self, key: &str, energy_kwh: f64, color: RGBColor, path: &str) {
        if let Some(canvas) = &mut self.canvas
            && energy_kwh >= LEAST_KWH
        {
            let attributes = format!("data-band=\"{key}\" data-kwh=\"{energy_kwh:.1}\"");
            canvas.path(path, Some(color), None, &attributes);
        }
    }

    /// A name over its energy, the name on two lines where it is long.
    fn label(&mut self, at: (f64, f64), name: &str, energy_kwh: f64, hand: Hand) {
        const ROOM: f64 = LEFT - 54.0;
        let Some(canvas) = &mut self.canvas else { return };
        let mut lines = broken(name, hand.size, ROOM);
        lines.push(format!("{} kWh", grouped(energy_kwh, 0)));
        for (i, line) in lines.iter().enumerate() {
            canvas.text((at.0, at.1 + 1.25 * hand.size * i as f64), line, hand, "");
        }
    }

    /// The head of the arrow at the lower end.
    fn end(&mut self) -> f64 {
        let (left, right, y) = (self.left, self.right, self.y);
        let depth = (0.3 * (right - left)).clamp(0.0, 34.0);
        if let Some(canvas) = &mut self.canvas
            && right - left > 0.0
        {
            canvas.area(
                &[(left - 6.0, y - 0.3), (right + 6.0, y - 0.3), (0.5 * (left + right), y + depth)],
                WATER,
                "",
            );
        }
        y + depth.max(8.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From a total all that joins and leaves leads to the next; below 0.5 kWh each a part may be left out.
    fn leads_on(flow: &Flow) {
        let sum = |parts: &[Part]| parts.iter().map(|part| part.kwh).sum::<f64>();
        let left_out = LEAST_KWH * 7.0;
        assert!((flow.sun_kwh + sum(&flow.outside) - flow.into_kwh).abs() <= left_out);
        assert!((flow.into_kwh + sum(&flow.inside) - flow.delivered_kwh).abs() <= left_out);
    }

    #[test]
    fn parts_lead_from_total_to_total() {
        // Any numbers will do: what the named parts leave over has a band of its own.
        let mut year = Accounts::default();
        for (i, column) in Column::ALL.iter().enumerate() {
            year[*column] = 100.0 + 37.0 * ((i * i) % 13) as f64;
        }
        leads_on(&Flow::of(&year));
        // A loop that takes more out of the tank than it brings.
        year[Column::HeatIntoTank] = -55.0;
        let flow = Flow::of(&year);
        leads_on(&flow);
        assert_eq!(flow.into_kwh, 0.0);
        assert!(flow.inside.iter().any(|part| part.key == "given-back" && part.kwh == -55.0));
    }
}
