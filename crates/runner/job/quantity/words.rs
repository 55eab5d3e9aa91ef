//! Short phrases of the trade: `two 4x8 ft`, `10 degrees west of south`, `40 % propylene glycol`.

use super::{Fault, Kind, number, parse};

/// Collectors as they are ordered: how many, and the nominal size of one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Panels {
    /// How many.
    pub count: f64,
    /// Nominal area of one in m2.
    pub nominal_m2: f64,
}

/// More than any block of flats has on its roof: a typing error.
const MOST_PANELS: f64 = 1000.0;

/// `two 4x8 ft`, `2 4 x 10 ft`, `one 1.2 x 2.4 m`, `4x8 ft` (one).
///
/// # Errors
/// If count, both sides or the unit are missing, or the count is none a roof can carry.
pub fn panels(text: &str) -> Result<Panels, Fault> {
    let fault = |message: String| {
        Fault::new(message, "how many, and width x length", 0..text.len())
            .help("write it like \"two 4x8 ft\"")
    };
    let lower = plain_sizes(text);
    let mut numbers = Vec::new();
    let mut rest = lower.trim();
    while let Some((value, behind)) = next_number(rest) {
        numbers.push(value);
        rest = behind;
    }
    let unit = rest.trim_end_matches("collectors").trim_end_matches("panels").trim();
    let (count, sides) = match numbers.as_slice() {
        [width, length] => (1.0, width * length),
        [count, width, length] => (*count, width * length),
        _ => return Err(fault(format!("`{}` does not say how many collectors of which size", text.trim()))),
    };
    if unit.is_empty() {
        return Err(fault(format!("`{}` has no unit", text.trim())));
    }
    let side = parse(&format!("1 {unit}"), &[Kind::Length])
        .map_err(|_| fault(format!("`{unit}` is not a unit of length")))?;
    let nominal_m2 = sides * side.si * side.si;
    let sized = nominal_m2 > 0.0 && nominal_m2.is_finite();
    if count < 1.0 || count != libm::floor(count) || !sized {
        return Err(fault(format!("`{}` is not a number of collectors", text.trim())));
    }
    if count > MOST_PANELS {
        let message =
            format!("`{}` are more collectors than a field can have here ({MOST_PANELS})", text.trim());
        return Err(fault(message));
    }
    Ok(Panels { count, nominal_m2 })
}

/// The size of one collector out of [`panels`]' words: `4x8 ft` of `two 4x8 ft`.
pub fn one_panel(text: &str) -> String {
    let lower = plain_sizes(text);
    let whole = lower.trim();
    let behind = next_number(whole).map_or(whole, |(_, behind)| behind);
    // Two sides are left behind a count, one behind a side.
    let sides = next_number(behind).and_then(|(_, behind)| next_number(behind));
    if sides.is_some() { behind.to_owned() } else { whole.to_owned() }
}

fn plain_sizes(text: &str) -> String {
    text.to_lowercase().replace(['×', '*'], "x").replace(" by ", "x")
}

/// The next number of a size and what stands behind it.
fn next_number(text: &str) -> Option<(f64, &str)> {
    let (value, length) = number::leading(text)?;
    let behind = text[length..].trim_start().trim_start_matches("ft x").trim_start_matches('x').trim_start();
    Some((value, behind))
}

const POINTS: [(&str, f64); 24] = [
    ("north", 0.0),
    ("northeast", 45.0),
    ("east", 90.0),
    ("southeast", 135.0),
    ("south", 180.0),
    ("southwest", 225.0),
    ("west", 270.0),
    ("northwest", 315.0),
    ("n", 0.0),
    ("nne", 22.5),
    ("ne", 45.0),
    ("ene", 67.5),
    ("e", 90.0),
    ("ese", 112.5),
    ("se", 135.0),
    ("sse", 157.5),
    ("s", 180.0),
    ("ssw", 202.5),
    ("sw", 225.0),
    ("wsw", 247.5),
    ("w", 270.0),
    ("wnw", 292.5),
    ("nw", 315.0),
    ("nnw", 337.5),
];

fn point(text: &str) -> Option<f64> {
    let plain: String = text.to_lowercase().chars().filter(|c| c.is_ascii_alphabetic()).collect();
    let plain = plain.strip_prefix("due").unwrap_or(&plain);
    POINTS.iter().find(|(word, _)| *word == plain).map(|&(_, deg)| deg)
}

/// A direction in degrees clockwise from north, and whether it was said in compass words: `south`, `SSW`,
/// `10 degrees west of south`, `190 deg`. A plain angle is returned as it stands, also if negative.
///
/// # Errors
/// If it is neither.
pub fn direction(text: &str) -> Result<(f64, bool), Fault> {
    if let Some(deg) = point(text) {
        return Ok((deg, true));
    }
    let lower = text.to_lowercase();
    let help = "write \"south\", \"SSW\", \"10 degrees west of south\" or degrees clockwise from north like \"190 deg\"";
    if let Some((before, from)) = lower.split_once(" of ") {
        let base = point(from);
        let angle_end = before.trim_end().rfind(' ').unwrap_or(0);
        let toward = point(&before[angle_end..]);
        let angle = parse(before[..angle_end].trim(), &[Kind::Angle]);
        if let (Some(base), Some(toward), Ok(angle)) = (base, toward, angle) {
            let turn = (toward - base + 360.0) % 360.0;
            let deg = angle.si.to_degrees();
            if (turn == 90.0 || turn == 270.0) && (0.0..=90.0).contains(&deg) {
                let signed = if turn == 90.0 { deg } else { -deg };
                return Ok(((base + signed + 360.0) % 360.0, true));
            }
        }
        return Err(Fault::new(
            format!("`{}` is not a direction", text.trim()),
            "not understood",
            0..text.len(),
        )
        .help(help));
    }
    if !text.contains(|c: char| c.is_ascii_digit()) {
        return Err(Fault::new(
            format!("`{}` is not a direction", text.trim()),
            "not understood",
            0..text.len(),
        )
        .help(help));
    }
    parse(text, &[Kind::Angle]).map(|angle| (angle.si.to_degrees(), false)).map_err(|fault| fault.help(help))
}

/// Glycol share by volume of a loop fluid, 0 for water: `water`, `40 % propylene glycol`, `glycol 40 %`.
///
/// # Errors
/// If it is neither, or the share is outside 20 to 50 %.
pub fn loop_fluid(text: &str) -> Result<f64, Fault> {
    let help = "write \"water\" or a share by volume like \"40 % propylene glycol\" (20 to 50 %)";
    let fault = |message: String, label: &str| Fault::new(message, label, 0..text.len()).help(help);
    let lower = text.to_lowercase();
    if lower.trim() == "water" {
        return Ok(0.0);
    }
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty()).collect();
    if words.contains(&"weight") || words.contains(&"mass") {
        return Err(fault("a share by weight is not the share by volume".into(), "by volume, please"));
    }
    if words.contains(&"ethylene") {
        return Err(fault(
            "ethylene glycol is poisonous and not among the fluids known here".into(),
            "not known",
        ));
    }
    let known = ["propylene", "glycol", "pg", "water", "by", "volume", "percent"];
    if !words.iter().any(|word| matches!(*word, "glycol" | "pg"))
        || words.iter().any(|word| !known.contains(word))
    {
        return Err(fault(format!("`{}` is not a loop fluid known here", text.trim()), "not known"));
    }
    let figures: String = lower.chars().filter(|c| c.is_ascii_digit() || *c == '.').collect();
    match figures.parse::<f64>() {
        Ok(percent) if (20.0..=50.0).contains(&percent) => Ok(percent / 100.0),
        Ok(percent) => {
            Err(fault(format!("{percent} % glycol is outside what is known, 20 to 50 %"), "share by volume"))
        }
        Err(_) => Err(fault("the share of glycol is missing".into(), "how much glycol?")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn collectors_by_count_and_size() {
        let square_foot = 0.3048 * 0.3048;
        for (text, count, feet2) in [
            ("two 4x8 ft", 2.0, 32.0),
            ("2 4 x 10 ft", 2.0, 40.0),
            ("4x8 ft", 1.0, 32.0),
            ("three 4 by 8 ft collectors", 3.0, 32.0),
            ("two 4 ft x 8 ft", 2.0, 32.0),
        ] {
            let panels = panels(text).expect(text);
            assert_eq!(panels.count, count, "{text}");
            // One rounding of the product.
            assert!((panels.nominal_m2 - feet2 * square_foot).abs() < 1e-12, "{text}");
            let three = super::panels(&format!("3 {}", one_panel(text))).expect(text);
            assert_eq!((three.count, three.nominal_m2), (3.0, panels.nominal_m2), "{text}");
        }
        for text in ["", "two", "two 4x8", "two 4x8 gal", "two 0x8 ft", "1.5 4x8 ft", "1001 4x8 ft"] {
            assert!(panels(text).is_err(), "{text}");
        }
    }

    #[test]
    fn directions() {
        for (text, deg, words) in [
            ("south", 180.0, true),
            ("due south", 180.0, true),
            ("SSW", 202.5, true),
            ("10 degrees west of south", 190.0, true),
            ("10 deg east of south", 170.0, true),
            ("20° west of north", 340.0, true),
            ("190 deg", 190.0, false),
            ("-10 deg", -10.0, false),
        ] {
            let (found, by_words) = direction(text).expect(text);
            assert!((found - deg).abs() < 1e-9, "{text}: {found}");
            assert_eq!(by_words, words, "{text}");
        }
        for text in ["", "up", "10 degrees south of south", "10 gal west of south", "west of south", "190"] {
            assert!(direction(text).is_err(), "{text}");
        }
    }

    #[test]
    fn fluids() {
        assert_eq!(loop_fluid("water"), Ok(0.0));
        assert_eq!(loop_fluid("40 % propylene glycol"), Ok(0.4));
        assert_eq!(loop_fluid("glycol 35%"), Ok(0.35));
        for text in
            ["", "glycol", "60 % propylene glycol", "40 % ethylene glycol", "brine", "40 % glycol by weight"]
        {
            assert!(loop_fluid(text).is_err(), "{text}");
        }
    }
}
