//! Weather by month: sun on level ground with its sky part, and the air.

use super::months::{Key, heads, middle, month_width, row, scale};
use super::style::{At, Axis, COLLECTOR, Dash, GRID, MONTHS, MUTED, SKY, SMALL, SUN, Sheet, Words};
use super::units::{Units, grouped};

/// Twelve months of weather.
#[derive(Clone, Debug, PartialEq)]
pub struct WeatherMonths<'a> {
    /// Site or file, for the title.
    pub name: &'a str,
    /// True if the year was made from monthly means; the picture says so.
    pub made: bool,
    /// Global irradiation on the horizontal in kWh/m2.
    pub ghi_kwh_m2: [f64; 12],
    /// Its diffuse part in kWh/m2.
    pub dhi_kwh_m2: [f64; 12],
    /// Mean air temperature in degC.
    pub air_c: [f64; 12],
}

/// Month bars of the sun on level ground and a line of the air temperature, as an SVG.
pub fn weather_months(weather: &WeatherMonths<'_>, units: Units) -> String {
    let (ghi, dhi) = (&weather.ghi_kwh_m2, &weather.dhi_kwh_m2);
    let air = weather.air_c.map(|c| units.level(c));
    let mean_air = air.iter().sum::<f64>() / 12.0;
    let year: f64 = ghi.iter().sum();
    let sky: f64 = dhi.iter().sum();
    let sign = units.level_sign();
    let facts = format!(
        "{} kWh/m\u{b2} in the year ({} a day), {} of it sky light; air {} {sign} on average",
        grouped(year, 0),
        grouped(year / 365.0, 1),
        grouped(sky, 0),
        grouped(mean_air, 0)
    );
    let best = (0..12).fold(0, |best, m| if ghi[m] > ghi[best] { m } else { best });
    let words = Words {
        title: "Sun and air by month",
        name: weather.name,
        subtitle: if weather.made { format!("Made weather: {facts}") } else { facts.clone() },
        description: format!(
            "Bars of the sun on level ground for twelve months, and a line of the air temperature. {}{facts}. Sunniest \
             month {} with {} kWh/m\u{b2}.",
            if weather.made { "Made from monthly means, not measured. " } else { "" },
            MONTHS[best],
            grouped(ghi[best], 0)
        ),
    };
    Sheet::picture(534.0, &words, |sheet| {
        let most = ghi.iter().copied().fold(1.0, f64::max);
        let (axis, ticks) = Axis::round(0.0, most, 5, (290.0, 98.0));
        scale(sheet, &axis, &ticks, "kWh/m\u{b2} a month");
        let zero = axis.at(0.0);
        for month in 0..12 {
            let (left, right) = (middle(month) - 0.3 * month_width(), middle(month) + 0.3 * month_width());
            sheet.fill((left, zero), (right, axis.at(dhi[month])), SKY);
            sheet.fill((left, axis.at(dhi[month])), (right, axis.at(ghi[month])), SUN);
        }
        let coolest = air.iter().copied().fold(f64::MAX, f64::min);
        let warmest = air.iter().copied().fold(f64::MIN, f64::max);
        let (warmth, ticks) = Axis::round(coolest.min(warmest - 1.0), warmest, 3, (420.0, 334.0));
        for tick in &ticks {
            let y = warmth.at(*tick);
            sheet.line(
                &[(middle(0) - 0.5 * month_width(), y), (middle(11) + 0.5 * month_width(), y)],
                GRID,
                0.75,
                Dash::Solid,
            );
            let label = format!("{} {sign}", grouped(*tick, 0));
            sheet.text((middle(0) - 0.5 * month_width() - 8.0, y), &label, SMALL, MUTED, At::Right);
        }
        let line: Vec<_> = (0..12).map(|m| (middle(m), warmth.at(air[m]))).collect();
        sheet.line(&line, COLLECTOR, 2.0, Dash::Solid);
        heads(sheet, 442.0, "Year");
        let whole = |values: &[f64]| -> Vec<String> { values.iter().map(|v| grouped(*v, 0)).collect() };
        let direct: Vec<f64> = ghi.iter().zip(dhi).map(|(g, d)| g - d).collect();
        let air_name = format!("Air, {sign}");
        row(sheet, 466.0, Key::Fill(SUN), "Direct sun", &whole(&direct), &grouped(year - sky, 0));
        row(sheet, 488.0, Key::Fill(SKY), "Sky light", &whole(dhi), &grouped(sky, 0));
        row(sheet, 510.0, Key::Line(COLLECTOR), &air_name, &whole(&air), &grouped(mean_air, 0));
    })
}
