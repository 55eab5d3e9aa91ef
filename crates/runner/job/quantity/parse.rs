//! From text to a quantity: number, unit, more of the same (`5 ft 6 in`), and what to say when it does not fit.

use super::units::{Dimension, MONEY, UNITS, Unit, find, nearest};
use super::{Fault, Kind, Quantity, number};
use crate::money::Currency;

/// Reads `text` as one of the `allowed` kinds.
///
/// # Errors
/// Says what is wrong, where in the text, and what to write instead. `allowed` must not be empty.
pub fn parse(text: &str, allowed: &[Kind]) -> Result<Quantity, Fault> {
    if allowed.contains(&Kind::Angle)
        && let Some(rad) = pitch(text)
    {
        return Ok(Quantity { si: rad, kind: Kind::Angle, us: false, currency: None });
    }
    let mut pieces = Pieces { text, at: 0 };
    let resistance = pieces.resistance_mark();
    let first = pieces.next(resistance)?;
    let mut si = first.unit.times(first.number);
    let mut unit = first.unit;
    while !pieces.finished() {
        let more = pieces.next(false)?;
        if unit.bare || more.unit.dimension != unit.dimension || unit.temperatures > 0 {
            let range = more.start..text.len();
            return Err(Fault::new(
                format!("`{text}` is more than one quantity"),
                "not expected here",
                range,
            )
            .help(format!("write one quantity, e.g. \"{}\"", allowed[0].example())));
        }
        // The dash of `5'-6"` joins; it takes nothing away.
        si += more.unit.times(more.number.abs());
        unit.us |= more.unit.us;
    }
    let Some(&kind) = allowed.iter().find(|kind| kind.about().dimension == unit.dimension) else {
        return Err(misfit(text, &first, unit, allowed));
    };
    if kind == Kind::Level {
        // Only `F`, `C` and `K` by themselves measure a level; a bare temperature unit is the only one of this dimension.
        si = match unit.word {
            'f' => (first.number - 32.0) * 5.0 / 9.0,
            'k' => first.number - 273.15,
            _ => first.number,
        };
    }
    if !si.is_finite() {
        return Err(Fault::new(
            format!("`{text}` is not a number that can be used"),
            "too large or not a number",
            0..text.len(),
        ));
    }
    if kind == Kind::Count && (si < 0.0 || si != libm::floor(si)) {
        return Err(Fault::new(
            format!("`{text}` is not a whole number"),
            "a whole number belongs here",
            0..text.len(),
        ));
    }
    Ok(Quantity { si, kind, us: unit.us, currency: unit.currency })
}

/// A roof pitch, rise in run, as an angle in rad: `6/12`, `6:12`, `6 in 12`.
fn pitch(text: &str) -> Option<f64> {
    let (rise, run) =
        text.split_once('/').or_else(|| text.split_once(':')).or_else(|| text.split_once(" in "))?;
    let side =
        |part: &str| part.trim().parse::<f64>().ok().filter(|value| value.is_finite() && *value >= 0.0);
    let (rise, run) = (side(rise)?, side(run)?);
    (run > 0.0).then(|| libm::atan2(rise, run))
}

/// Size and dimension of a unit put together from words.
#[derive(Clone, Copy)]
struct Compound {
    size: f64,
    dimension: Dimension,
    us: bool,
    /// First letter of the first word, to tell readings apart.
    word: char,
    /// How many temperature words are in it.
    temperatures: u32,
    /// Currency of the money in it.
    currency: Option<Currency>,
    /// True if no unit was written.
    bare: bool,
}

impl Compound {
    const BARE: Self = Self {
        size: 1.0,
        dimension: [0; 6],
        us: false,
        word: ' ',
        temperatures: 0,
        currency: None,
        bare: true,
    };

    /// `number` of this unit in SI. Decimal parts divide, so that `95 %` is 0.95 and not a rounding beside it.
    fn times(&self, number: f64) -> f64 {
        let parts = (1.0 / self.size).round();
        if parts * self.size == 1.0 { number / parts } else { number * self.size }
    }

    fn take(&mut self, unit: &Unit, power: i8) {
        for _ in 0..power.unsigned_abs() {
            if power > 0 {
                self.size *= unit.size;
            } else {
                self.size /= unit.size;
            }
        }
        for (sum, part) in self.dimension.iter_mut().zip(unit.dimension) {
            *sum = sum.saturating_add(part.saturating_mul(power));
        }
        if self.bare {
            self.word = unit.words[0].chars().next().unwrap_or(' ');
        }
        self.us |= unit.us;
        self.temperatures += u32::from(unit.dimension == [0, 0, 0, 1, 0, 0]);
        if unit.dimension == MONEY {
            self.currency = Currency::named(unit.words[0]);
        }
        self.bare = false;
    }
}

/// One number with its unit.
struct Piece {
    number: f64,
    unit: Compound,
    /// Where it starts.
    start: usize,
    /// Where its unit starts.
    unit_start: usize,
    /// Where it ends.
    end: usize,
}

/// Walks along the text piece by piece.
struct Pieces<'t> {
    text: &'t str,
    at: usize,
}

impl Pieces<'_> {
    fn skip_space(&mut self) {
        let rest = &self.text[self.at..];
        self.at += rest.len() - rest.trim_start().len();
    }

    fn finished(&mut self) -> bool {
        self.skip_space();
        self.at == self.text.len()
    }

    /// Steps over the `R-` of an R-value.
    fn resistance_mark(&mut self) -> bool {
        self.skip_space();
        let rest = &self.text.as_bytes()[self.at..];
        let marked = matches!(rest, [b'R' | b'r', b'-' | b' ' | b'0'..=b'9', ..]);
        if marked {
            self.at += 1 + usize::from(!rest[1].is_ascii_digit());
        }
        marked
    }

    /// Steps over the currency before a sum of money.
    fn currency_mark(&mut self) -> Option<&'static Unit> {
        let rest = &self.text[self.at..];
        let c = rest.chars().next()?;
        let length = match c {
            '$' | '€' => c.len_utf8(),
            _ => rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(rest.len()),
        };
        let unit = find(&rest[..length]).filter(|unit| unit.dimension == MONEY)?;
        self.at += length;
        self.skip_space();
        Some(unit)
    }

    /// The next number and unit; a bare R-value is in h ft2 F/Btu.
    fn next(&mut self, resistance: bool) -> Result<Piece, Fault> {
        self.skip_space();
        let currency = self.currency_mark();
        let start = self.at;
        let Some((number, length)) = number::leading(&self.text[self.at..]) else {
            return Err(Fault::new(
                format!("no number in `{}`", self.text),
                "a number with its unit belongs here",
                start..self.text.len(),
            ));
        };
        self.at += length;
        self.skip_space();
        let unit_start = self.at;
        let mut unit = self.unit()?;
        if let Some(currency) = currency {
            unit.take(currency, 1);
        }
        if resistance && unit.bare {
            let [feet, degree, btu] =
                ["ft", "f", "btuh"].map(|word| find(word).expect("a unit of the table"));
            unit.take(feet, 2);
            unit.take(degree, 1);
            unit.take(btu, -1);
        }
        Ok(Piece { number, unit, start, unit_start, end: self.at })
    }

    /// Reads unit words up to the next number. Everything behind the first `/` divides, as in `W/m2K` or `Btu/h ft2 F`.
    fn unit(&mut self) -> Result<Compound, Fault> {
        let mut compound = Compound::BARE;
        let mut sign = 1;
        let mut square = 1;
        loop {
            let rest = &self.text[self.at..];
            let Some(c) = rest.chars().next() else { break };
            if c.is_ascii_digit()
                || (matches!(c, '-' | '+' | '.') && rest[1..].starts_with(|d: char| d.is_ascii_digit()))
            {
                break;
            }
            if matches!(c, '"' | '\'' | '%') {
                self.at += 1;
                compound.take(find(&rest[..1]).expect("a unit of the table"), sign);
            } else if matches!(c, '$' | '€' | '¢') {
                self.at += c.len_utf8();
                compound.take(find(&rest[..c.len_utf8()]).expect("a unit of the table"), sign);
            } else if matches!(c, '°' | 'º') {
                self.at += c.len_utf8();
                if !self.temperature_follows() {
                    compound.take(find("deg").expect("a unit of the table"), sign);
                }
            } else if c.is_alphabetic() {
                let length = rest.find(|c: char| !c.is_alphabetic() || c == 'º').unwrap_or(rest.len());
                let word = &rest[..length];
                let start = self.at;
                if number::leading(word).is_some() && !compound.bare {
                    break;
                }
                self.at += length;
                let lower = word.to_lowercase();
                match lower.as_str() {
                    "per" | "a" => sign = -1,
                    "sq" | "square" => square = 2,
                    "cu" | "cubic" => square = 3,
                    "us" => {}
                    "deg" | "degree" | "degrees" if self.temperature_follows() => {}
                    _ => {
                        let Some((unit, used)) = known_start(word) else { return Err(unknown(word, start)) };
                        self.at = start + used;
                        let power = self.exponent().unwrap_or(square);
                        square = 1;
                        compound.take(unit, sign * power);
                    }
                }
            } else if c == '/' {
                sign = -1;
                self.at += 1;
            } else if c.is_whitespace() || matches!(c, '(' | ')' | '.' | '*' | '·' | '-') {
                self.at += c.len_utf8();
            } else {
                let range = self.at..self.at + c.len_utf8();
                let message = format!("`{c}` does not belong in a quantity");
                let fault = Fault::new(message, "not understood", range);
                let decimals = c == ',' && rest[1..].starts_with(|d: char| d.is_ascii_digit());
                return Err(if decimals {
                    fault.help("write decimals with a point, as in 1.5")
                } else {
                    fault
                });
            }
        }
        Ok(compound)
    }

    fn temperature_follows(&self) -> bool {
        let rest = self.text[self.at..].trim_start();
        let length = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(rest.len());
        let words = ["f", "c", "k", "fahrenheit", "celsius", "kelvin"];
        words.iter().any(|word| word.eq_ignore_ascii_case(&rest[..length]))
    }

    /// The power behind a unit word: `2` in `ft2`, `ft^2` or `ft²`.
    fn exponent(&mut self) -> Option<i8> {
        let rest = &self.text[self.at..];
        let mark = usize::from(rest.starts_with('^'));
        let c = rest[mark..].chars().next()?;
        let power = match c {
            '2' | '²' => 2,
            '3' | '³' => 3,
            '4' | '⁴' => 4,
            _ => return None,
        };
        self.at += mark + c.len_utf8();
        Some(power)
    }
}

/// The unit a run of letters is, or starts with when a temperature is written close behind it as in `mK`.
fn known_start(word: &str) -> Option<(&'static Unit, usize)> {
    let whole = find(word).map(|unit| (unit, word.len()));
    whole.or_else(|| {
        let start = word.strip_suffix(['K', 'F', 'C'])?;
        find(start).map(|unit| (unit, start.len()))
    })
}

fn unknown(word: &str, start: usize) -> Fault {
    let range = start..start + word.len();
    let fault = Fault::new(format!("`{word}` is not a unit known here"), "unknown unit", range);
    let words = UNITS.iter().flat_map(|unit| unit.words).copied();
    match nearest(word, words) {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault,
    }
}

/// The quantity is sound but not of a kind asked for.
fn misfit(text: &str, first: &Piece, unit: Compound, allowed: &[Kind]) -> Fault {
    let wanted = allowed[0].name();
    let help = format!("write {wanted} like \"{}\"", allowed[0].example());
    if unit.bare {
        let range = first.start..first.end;
        return Fault::new(
            format!("`{}` has no unit", text.trim()),
            format!("{wanted} with its unit belongs here"),
            range,
        )
        .help(help);
    }
    let range = first.unit_start..text.len();
    let is = Kind::ALL.iter().find(|kind| kind.about().dimension == unit.dimension);
    let message = match is {
        Some(kind) => format!("`{}` is {}, but {wanted} belongs here", text.trim(), kind.name()),
        None => format!("`{}` does not measure {wanted}", text.trim()),
    };
    Fault::new(message, format!("not the unit of {wanted}"), range).help(help)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOOT: f64 = 0.3048;

    /// Definitions: see the head of `units.rs`. The right sides are worked out from them here, not from the table.
    #[test]
    fn every_unit_against_its_definition() {
        let btu_h = 1_055.055_852_62 / 3600.0;
        for (text, kind, si) in [
            ("1 m", Kind::Length, 1.0),
            ("1 cm", Kind::Length, 0.01),
            ("1 mm", Kind::Length, 0.001),
            ("1 in", Kind::Length, 0.0254),
            ("1 ft", Kind::Length, FOOT),
            ("5 ft 6 in", Kind::Length, 1.6764),
            ("5'-6\"", Kind::Length, 1.6764),
            ("3/4 in", Kind::Length, 0.019_05),
            ("1,200 ft2", Kind::Area, 1200.0 * FOOT * FOOT),
            ("32 sq ft", Kind::Area, 32.0 * FOOT * FOOT),
            ("32 square feet", Kind::Area, 32.0 * FOOT * FOOT),
            ("32 sqft", Kind::Area, 32.0 * FOOT * FOOT),
            ("2.5 m²", Kind::Area, 2.5),
            ("1 L", Kind::Volume, 0.001),
            ("1 mL", Kind::Volume, 1e-6),
            ("80 gal", Kind::Volume, 80.0 * 0.003_785_411_784),
            ("80 US gallons", Kind::Volume, 80.0 * 0.003_785_411_784),
            ("1 cu ft", Kind::Volume, FOOT * FOOT * FOOT),
            ("0.75 gal/min", Kind::VolumeFlow, 0.75 * 0.003_785_411_784 / 60.0),
            ("0.75 gpm", Kind::VolumeFlow, 0.75 * 0.003_785_411_784 / 60.0),
            ("60 gph", Kind::VolumeFlow, 0.003_785_411_784 / 60.0),
            ("60 gal per day", Kind::VolumeFlow, 60.0 * 0.003_785_411_784 / 86_400.0),
            ("6 lpm", Kind::VolumeFlow, 1e-4),
            ("0.07 kg/s", Kind::MassFlow, 0.07),
            ("1000 g/s", Kind::MassFlow, 1.0),
            ("1 lb/h", Kind::MassFlow, 0.453_592_37 / 3600.0),
            ("0.03 gpm/ft2", Kind::VolumeFlowPerArea, 0.03 * 0.003_785_411_784 / 60.0 / (FOOT * FOOT)),
            ("0.02 kg/s m2", Kind::MassFlowPerArea, 0.02),
            ("160 F", Kind::Level, 640.0 / 9.0),
            ("160 °F", Kind::Level, 640.0 / 9.0),
            ("32 deg F", Kind::Level, 0.0),
            ("-40 C", Kind::Level, -40.0),
            ("300 K", Kind::Level, 26.85),
            ("18 F", Kind::Difference, 10.0),
            ("18 degrees F", Kind::Difference, 10.0),
            ("10 C", Kind::Difference, 10.0),
            ("10 K", Kind::Difference, 10.0),
            ("4.5 kW", Kind::Power, 4500.0),
            ("1 Btu/h", Kind::Power, btu_h),
            ("1 Btuh", Kind::Power, btu_h),
            ("1 kBtu/h", Kind::Power, 1000.0 * btu_h),
            ("24 kWh/day", Kind::Power, 1000.0),
            ("24 Wh/day", Kind::Power, 1.0),
            ("1 kJ/s", Kind::Power, 1000.0),
            ("1 MJ/s", Kind::Power, 1e6),
            ("20 psi", Kind::Pressure, 20.0 * 6_894.757_293_168_361),
            ("1 bar", Kind::Pressure, 1e5),
            ("1 kPa", Kind::Pressure, 1e3),
            ("1 Pa", Kind::Pressure, 1.0),
            ("3.8 W/m2K", Kind::Loss, 3.8),
            ("3.8 W/(m²·K)", Kind::Loss, 3.8),
            ("3.8 W/m2/K", Kind::Loss, 3.8),
            // 1 Btu/(h ft2 F) = 5.678 263 341 W/(m2 K), from the definitions.
            ("1 Btu/h ft2 F", Kind::Loss, 5.678_263_341_113_488),
            ("1 Btu/hr-ft2-F", Kind::Loss, 5.678_263_341_113_488),
            ("R-16", Kind::Resistance, 16.0 / 5.678_263_341_113_488),
            ("R16", Kind::Resistance, 16.0 / 5.678_263_341_113_488),
            ("16 h ft2 F/Btu", Kind::Resistance, 16.0 / 5.678_263_341_113_488),
            ("R-2.8 m2K/W", Kind::Resistance, 2.8),
            ("400 W/K", Kind::Conductance, 400.0),
            ("1 Btu/h F", Kind::Conductance, btu_h * 1.8),
            ("0.04 W/mK", Kind::Conductivity, 0.04),
            ("1 Btu in/h ft2 F", Kind::Conductivity, 5.678_263_341_113_488 * 0.0254),
            ("0.013 W/m2K2", Kind::LossRise, 0.013),
            ("2e-8 W/m2K4", Kind::FourthPowerLoss, 2e-8),
            ("4 J/m3K", Kind::WindLoss, 4.0),
            ("8 kJ/m2K", Kind::CapacityPerArea, 8000.0),
            ("340 J/mK", Kind::CapacityPerLength, 340.0),
            ("0.03 s/m", Kind::PerWind, 0.03),
            ("180 deg", Kind::Angle, std::f64::consts::PI),
            ("180°", Kind::Angle, std::f64::consts::PI),
            ("1 rad", Kind::Angle, 1.0),
            ("12/12", Kind::Angle, std::f64::consts::FRAC_PI_4),
            // Pitch 6 in 12 is atan(1/2).
            ("6/12", Kind::Angle, 0.463_647_609_000_806_1),
            ("6 in 12", Kind::Angle, 0.463_647_609_000_806_1),
            ("2 min", Kind::Duration, 120.0),
            ("1 h 30 min", Kind::Duration, 5400.0),
            ("14 days", Kind::Duration, 14.0 * 86_400.0),
            // 64.798 91 mg in 3.785 411 784 L.
            ("1 gpg", Kind::Hardness, 0.064_798_91 / 3.785_411_784),
            ("12 grains/gal", Kind::Hardness, 12.0 * 0.064_798_91 / 3.785_411_784),
            ("12 grains per gallon", Kind::Hardness, 12.0 * 0.064_798_91 / 3.785_411_784),
            ("200 mg/L", Kind::Hardness, 0.2),
            ("200 ppm", Kind::Hardness, 0.2),
            ("40 %", Kind::Share, 0.4),
            ("0.4", Kind::Share, 0.4),
            ("two", Kind::Count, 2.0),
            // 1 month is 365/12 days.
            ("$1,250.50", Kind::Money, 1250.5),
            ("€ 600", Kind::Money, 600.0),
            ("USD 600", Kind::Money, 600.0),
            ("600 euros", Kind::Money, 600.0),
            ("$12/month", Kind::MoneyPerTime, 12.0 * 12.0 / (365.0 * 86_400.0)),
            ("$60 a year", Kind::MoneyPerTime, 60.0 / (365.0 * 86_400.0)),
            ("$0.17/kWh", Kind::MoneyPerEnergy, 0.17 / 3.6e6),
            ("0.17 $/kWh", Kind::MoneyPerEnergy, 0.17 / 3.6e6),
            ("17 cents/kWh", Kind::MoneyPerEnergy, 0.17 / 3.6e6),
            ("17¢ per kWh", Kind::MoneyPerEnergy, 0.17 / 3.6e6),
            ("$170/MWh", Kind::MoneyPerEnergy, 0.17 / 3.6e6),
            ("$1.60/therm", Kind::MoneyPerEnergy, 1.6 / (1e5 * 1_055.055_852_62)),
            ("$16/MMBtu", Kind::MoneyPerEnergy, 1.6 / (1e5 * 1_055.055_852_62)),
            ("$2.80/gal", Kind::MoneyPerVolume, 2.8 / 0.003_785_411_784),
            ("€0.95/L", Kind::MoneyPerVolume, 950.0),
            ("€0.60/m3", Kind::MoneyPerVolume, 0.6),
            ("$1.20/ccf", Kind::MoneyPerVolume, 0.012 / (FOOT * FOOT * FOOT)),
            ("1029 Btu/cf", Kind::HeatPerVolume, 1029.0 * 1_055.055_852_62 / (FOOT * FOOT * FOOT)),
            ("0.4 kg/kWh", Kind::MassPerEnergy, 0.4 / 3.6e6),
            ("823 lb/MWh", Kind::MassPerEnergy, 823.0 * 0.453_592_37 / 3.6e9),
        ] {
            let found = parse(text, &[kind]).unwrap_or_else(|fault| panic!("{text}: {}", fault.message));
            // A handful of roundings in products of up to six factors.
            assert!((found.si - si).abs() <= 1e-14 * si.abs().max(1.0), "{text}: {} against {si}", found.si);
        }
    }

    #[test]
    fn no_two_units_share_a_spelling() {
        let mut words: Vec<&str> = UNITS.iter().flat_map(|unit| unit.words).copied().collect();
        words.sort_unstable();
        assert!(words.windows(2).all(|pair| pair[0] != pair[1]));
        assert!(words.iter().all(|word| *word == word.to_lowercase()));
    }

    #[test]
    fn examples_are_of_their_kind() {
        for kind in Kind::ALL {
            let found =
                parse(kind.example(), &[kind]).unwrap_or_else(|fault| panic!("{kind:?}: {}", fault.message));
            assert_eq!(found.kind, kind);
        }
    }

    #[test]
    fn faults_say_what_to_write() {
        for (text, kind, message, help) in [
            ("80", Kind::Volume, "`80` has no unit", "write a volume like \"80 gal\""),
            (
                "80 ft2",
                Kind::Volume,
                "`80 ft2` is an area, but a volume belongs here",
                "write a volume like \"80 gal\"",
            ),
            ("80 galons", Kind::Volume, "`galons` is not a unit known here", "did you mean `gallons`?"),
            ("gal", Kind::Volume, "no number in `gal`", ""),
            ("$", Kind::Money, "no number in `$`", ""),
            ("600", Kind::Money, "`600` has no unit", "write a sum of money like \"$600\""),
            (
                "$0.17",
                Kind::MoneyPerEnergy,
                "`$0.17` is a sum of money, but a price of energy belongs here",
                "write a price of energy like \"$0.17/kWh\"",
            ),
            (
                "0.17/kWh",
                Kind::MoneyPerEnergy,
                "`0.17/kWh` does not measure a price of energy",
                "write a price of energy like \"$0.17/kWh\"",
            ),
            ("", Kind::Volume, "no number in ``", ""),
            ("4 5", Kind::Count, "`4 5` is more than one quantity", "write one quantity, e.g. \"4\""),
            ("2.5", Kind::Count, "`2.5` is not a whole number", ""),
            (
                "120 F 5 F",
                Kind::Level,
                "`120 F 5 F` is more than one quantity",
                "write one quantity, e.g. \"120 F\"",
            ),
        ] {
            let fault = parse(text, &[kind]).expect_err(text);
            assert_eq!(fault.message, message);
            assert_eq!(fault.help.unwrap_or_default(), help, "{text}");
        }
    }
}
