//! Name, weather, roof and calendar: `name`, `[weather]`, `[roof]`, `[calendar]`.

use solar_geometry::modifier::AngleModifier;
use solar_geometry::sky::SkyModel;

use super::section::Section;
use crate::job::quantity::when::{self, MONTHS, WEEKDAYS};
use crate::job::quantity::words::direction;
use crate::job::quantity::{Fault, Kind, parse, rounded};
use crate::job::{Aspect, Calendar, DaySpan};
use crate::problem::{Problem, Severity};

/// What the job says about the house as a whole.
pub(super) struct House {
    pub name: String,
    pub weather: Option<std::path::PathBuf>,
    pub poor_weather: Option<std::path::PathBuf>,
    pub calendar: Calendar,
    pub warm_up_days: u32,
    pub start_c: f64,
}

pub(super) fn read(root: &Section<'_>) -> House {
    let text = |text: &str| Ok(text.trim().to_string());
    let name = root.words_or("name", ("solar water heating", "no name given"), text, |_| String::new());
    let weather = root.section("weather");
    let path = |text: &str| match text.trim() {
        "" => Err(Fault::new("`file` names no file", "empty", 0..text.len()).help(
            "write the name of a weather file, or leave the key out for the built-in invented climate",
        )),
        path => Ok(path.to_string()),
    };
    let file = weather.words("file", path, |_| String::new());
    let poor = weather.words("poor", path, |_| "a year poor in sun, for `run --range`".into());
    if file.is_none() {
        weather.note("file", "built-in invented climate", None, Some("no weather file given"));
    }
    let calendar = root.section("calendar");
    let weekday = calendar
        .words_or("first_day", ("Monday", "1 January is a Monday unless said otherwise"), weekday, |_| {
            String::new()
        })
        .unwrap_or(0);
    let saving = |text: &str| match text.trim().to_lowercase().as_str() {
        "none" => Ok(None),
        "us" => Ok(Some(when::us_daylight_saving(weekday))),
        _ => match when::days(text)?.as_slice() {
            [span] => Ok(Some(*span)),
            _ => Err(Fault::new("one span of days belongs here", "not one span", 0..text.len())
                .help("write \"none\", \"US\" or days like \"Mar 9 - Nov 1\"")),
        },
    };
    let daylight_saving = calendar
        .words_or(
            "daylight_saving",
            ("none", "clock time is standard time unless said otherwise"),
            saving,
            |span| {
                span.map(|DaySpan { first, last }| {
                    format!("{} - {}", when::date_words(first), when::date_words(last))
                })
                .unwrap_or_default()
            },
        )
        .flatten();
    let warm_up_s = calendar
        .ask("warm_up", &[Kind::Duration])
        .possible("0 days", "365 days")
        .or("14 days", "long enough to forget the start");
    let start_c = calendar
        .ask("start_temperature", &[Kind::Level])
        .possible("33 F", "200 F")
        .or("104 F", "forgotten during the warm-up");
    House {
        name: name.unwrap_or_default(),
        weather: file.map(Into::into),
        poor_weather: poor.map(Into::into),
        calendar: Calendar { first_weekday: weekday, daylight_saving },
        warm_up_days: (warm_up_s / 86_400.0).round() as u32,
        start_c,
    }
}

fn weekday(text: &str) -> Result<u32, Fault> {
    when::named(text, &WEEKDAYS).map(|day| day as u32).ok_or_else(|| {
        Fault::new(format!("`{text}` is not a weekday"), "a weekday belongs here", 0..text.len())
            .help("write a name like \"Monday\"")
    })
}

/// The roof and the sky above it.
pub(super) fn aspect(root: &Section<'_>, modifier: AngleModifier, diffuse_modifier: Option<f64>) -> Aspect {
    let weather = root.section("weather");
    let roof = root.section("roof");
    let sky = weather.choice(
        "sky_model",
        &[
            ("perez", SkyModel::Perez1990),
            ("isotropic", SkyModel::Isotropic),
            ("hay-davies", SkyModel::HayDavies),
            ("hdkr", SkyModel::Hdkr),
        ],
        ("perez", "Perez and others 1990, the usual choice for tilted planes"),
    );
    let circumsolar_with_beam = weather.choice(
        "circumsolar",
        &[("with beam", true), ("as sky", false)],
        ("with beam", "light from around the sun comes from the sun's direction"),
    );
    let tilt_rad = roof
        .ask("tilt", &[Kind::Angle])
        .possible("0 deg", "90 deg")
        .usual("0 deg", "75 deg")
        .or("6/12", "a common roof pitch in the US (common practice)");
    if roof.has("tilt") && tilt_rad > 0.0 && tilt_rad < 9.5_f64.to_radians() {
        let problem = Problem::new(
            Severity::Warning,
            format!("the roof is nearly flat: {} deg", rounded(tilt_rad.to_degrees())),
        )
        .label("degrees or rise in 12?")
        .help("write a pitch of 6 in 12 as \"6/12\" (26.57 deg)");
        roof.report("tilt", problem);
    }
    Aspect {
        tilt_deg: tilt_rad.to_degrees(),
        azimuth_deg: azimuth(&roof),
        sky,
        circumsolar_with_beam,
        albedo: monthly_shares(
            &weather,
            "ground_reflectance",
            0.2,
            "ordinary ground without snow (common practice)",
        ),
        snow_frac: monthly_shares(&roof, "snow_cover", 0.0, "no snow on the collectors unless given"),
        shading_frac: shade(&roof),
        horizon_deg: horizon(&roof),
        modifier,
        diffuse_modifier,
        wind_frac: roof
            .ask("wind_share", &[Kind::Share])
            .possible("0 %", "150 %")
            .or("50 %", "wind at the roof is 30 to 70 % of the station's (common practice)"),
    }
}

pub(super) fn azimuth(roof: &Section<'_>) -> f64 {
    let default = ("south", "collectors face the equator unless said otherwise");
    let meaning = |&(deg, _): &(f64, bool)| format!("{} deg clockwise from north", rounded(deg));
    let Some((deg, by_words)) = roof.words_or("azimuth", default, direction, meaning) else {
        return f64::NAN;
    };
    if !by_words && !(-180.0..=360.0).contains(&deg) {
        let problem = Problem::new(Severity::Error, format!("azimuth cannot be {} deg", rounded(deg)))
            .label("not on the compass")
            .help("count clockwise from north, 0 to 360 deg: east is 90, south 180, west 270 deg");
        roof.report("azimuth", problem);
    } else if !by_words && deg < 0.0 {
        let problem =
            Problem::new(Severity::Error, format!("azimuth {} deg can be meant in two ways", rounded(deg)))
                .label("from north or from south?")
                .help(format!(
                    "count clockwise from north (south is 180 deg), or write \"{} degrees {} of south\"",
                    rounded(deg.abs()),
                    if deg < 0.0 { "east" } else { "west" }
                ));
        roof.report("azimuth", problem);
    } else if !by_words && !(60.0..=300.0).contains(&deg) {
        let problem = Problem::new(Severity::Warning, format!("azimuth {} deg faces north", rounded(deg)))
            .label("counted from south?")
            .help("azimuth counts clockwise from north: south is 180 deg; write \"north\" if north is meant");
        roof.report("azimuth", problem);
    }
    deg
}

/// Twelve shares from a list, or one for all months.
fn monthly_shares(section: &Section<'_>, key: &'static str, default: f64, source: &str) -> [f64; 12] {
    let Some(values) = section.texts(key, share) else {
        if !section.has(key) {
            section.note(key, rounded(default), Some((default, "")), Some(source));
        }
        return [default; 12];
    };
    match values.as_slice() {
        [one] => [*one; 12],
        many => many.try_into().unwrap_or_else(|_| {
            let message = format!("`{key}` has {} values", many.len());
            section.report(
                key,
                Problem::new(Severity::Error, message).help("one share, or twelve from January to December"),
            );
            [default; 12]
        }),
    }
}

fn share(text: &str) -> Result<f64, Fault> {
    let found = parse(text, &[Kind::Share])?.si;
    if (0.0..=1.0).contains(&found) {
        return Ok(found);
    }
    Err(Fault::new(format!("`{text}` is not a share"), "0 to 100 %", 0..text.len()))
}

/// The skyline: pairs of a direction and a height.
fn horizon(roof: &Section<'_>) -> Vec<(f64, f64)> {
    let point = |text: &str| {
        let fault = || {
            Fault::new(
                format!("`{text}` is not a point of the horizon"),
                "direction and height",
                0..text.len(),
            )
            .help("write a direction and a height, like \"SE: 12 deg\"")
        };
        let (toward, height) = text.split_once(':').ok_or_else(fault)?;
        let (azimuth_deg, _) = direction(toward)?;
        let height_deg = parse(height.trim(), &[Kind::Angle]).map_err(|_| fault())?.si.to_degrees();
        if (0.0..=360.0).contains(&azimuth_deg) && (0.0..90.0).contains(&height_deg) {
            return Ok((azimuth_deg, height_deg));
        }
        Err(fault())
    };
    let mut line = roof.texts("horizon", point).unwrap_or_default();
    line.sort_by(|a, b| a.0.total_cmp(&b.0));
    line
}

/// Shade on the beam by month and hour from `[roof.shade]`.
fn shade(roof: &Section<'_>) -> Option<[[f64; 24]; 12]> {
    let section = roof.section("shade");
    let mut table = [[0.0; 24]; 12];
    let mut any = false;
    if let Some(whole) = section.ask("year", &[Kind::Share]).possible("0 %", "100 %").given() {
        any = true;
        table = [[whole.si; 24]; 12];
        let problem = Problem::new(Severity::Note, "one share of shade for the whole year is coarse")
            .help("the months differ: give months and hours, or a horizon");
        section.report("year", problem);
    }
    for (row, name) in table.iter_mut().zip(MONTHS) {
        if let Some(spans) = section.texts(name, shaded_hours) {
            any = true;
            *row = [0.0; 24];
            for (hours, share) in spans.into_iter().flatten() {
                row[hours].fill(share);
            }
        }
    }
    any.then_some(table)
}

/// `8 am - 10 am 50 %, 3 pm - 5 pm 80 %`, or `20 %` all day; whole hours.
fn shaded_hours(text: &str) -> Result<Vec<(std::ops::Range<usize>, f64)>, Fault> {
    let help = "write whole hours of standard time with a share: \"8 am - 10 am 50 %\"";
    when::items(text)
        .into_iter()
        .map(|(item, range)| {
            let fault = || {
                Fault::new(format!("`{item}` is not hours with a share"), "not understood", range.clone())
                    .help(help)
            };
            let Some((hours, percent)) =
                item.rsplit_once(['m', 'M']).filter(|(_, rest)| !rest.trim().is_empty())
            else {
                return share(item).map(|share| (0..24, share)).map_err(|_| fault());
            };
            let spans = when::hours(&format!("{hours}m")).map_err(|_| fault())?;
            let share = share(percent.trim()).map_err(|_| fault())?;
            match spans.as_slice() {
                [(from, until)] if from < until && from % 60 == 0 && until % 60 == 0 => {
                    Ok(((*from / 60) as usize..(*until / 60) as usize, share))
                }
                _ => Err(fault()),
            }
        })
        .collect()
}
