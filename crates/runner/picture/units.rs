//! Customary or SI: how a stored SI number is shown to a person.

use crate::job::quantity::size::GALLON_M3;
use crate::money::Currency;
use crate::record::Column;

/// Units a person wants to read. Energy stays in kWh in both, as on the electric bill.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// degF, gallons.
    #[default]
    Us,
    /// degC, liters.
    Si,
}

impl Units {
    /// A temperature level given in degC, in these units.
    pub fn level(self, level_c: f64) -> f64 {
        match self {
            Units::Us => level_c * 1.8 + 32.0,
            Units::Si => level_c,
        }
    }

    /// Sign of a temperature level.
    pub fn level_sign(self) -> &'static str {
        match self {
            Units::Us => "\u{b0}F",
            Units::Si => "\u{b0}C",
        }
    }

    /// A temperature level given in degC, as it is read: `140 \u{b0}F`.
    pub fn shown_level(self, level_c: f64) -> String {
        format!("{} {}", grouped(self.level(level_c), 0), self.level_sign())
    }

    /// Sign of a difference of two temperatures.
    pub fn difference_sign(self) -> &'static str {
        match self {
            Units::Us => "\u{b0}F",
            Units::Si => "K",
        }
    }

    /// Unit of a volume and its size in m3.
    pub fn volume(self) -> (&'static str, f64) {
        match self {
            Units::Us => ("gal", GALLON_M3),
            Units::Si => ("L", 0.001),
        }
    }

    /// A time of day in s after midnight by the habit of the units: `6:30 pm`, `noon`, `18:30`.
    pub fn clock(self, second: u32) -> String {
        let (hour, minute) = (second / 3600, second / 60 % 60);
        match self {
            Units::Si => format!("{hour}:{minute:02}"),
            Units::Us if (hour, minute) == (12, 0) => "noon".to_owned(),
            Units::Us => {
                let half = if hour % 24 < 12 { "am" } else { "pm" };
                let minutes = if minute == 0 { String::new() } else { format!(":{minute:02}") };
                format!("{}{minutes} {half}", (hour + 11) % 12 + 1)
            }
        }
    }

    /// Value and unit of a column as a person reads them.
    pub fn show(self, column: Column, value: f64) -> (f64, &'static str) {
        match (column.info().unit, self) {
            ("degC", _) => (self.level(value), self.level_sign()),
            ("K", Units::Us) => (1.8 * value, "\u{b0}F"),
            ("L", Units::Us) => (0.001 * value / GALLON_M3, "gal"),
            ("kWh/m2", _) => (value, "kWh/m\u{b2}"),
            ("-", _) => (value, ""),
            (unit, _) => (value, unit),
        }
    }
}

/// A number with so many decimals and commas between thousands; never `-0`.
pub fn grouped(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut out = String::new();
    if value < 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        out.push('\u{2212}');
    }
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out + rest
}

/// A sum of money as it is written: `$1,250`, `\u{2212}USD 80`.
pub fn money(currency: Currency, amount: f64, decimals: usize) -> String {
    let number = grouped(amount, decimals);
    let (sign, digits) = match number.strip_prefix('\u{2212}') {
        Some(digits) => ("\u{2212}", digits),
        None => ("", number.as_str()),
    };
    format!("{sign}{}{digits}", before_sum(currency))
}

/// What stands before a sum: `$`, `USD `.
pub fn before_sum(currency: Currency) -> String {
    let space = if currency.symbol().len() == 3 && currency.symbol().is_ascii() { " " } else { "" };
    format!("{}{space}", currency.symbol())
}

/// Energy in whole kWh with its unit.
pub fn kwh(value_kwh: f64) -> String {
    format!("{} kWh", grouped(value_kwh, 0))
}

/// A share of one as whole percent.
pub fn percent(share_frac: f64) -> String {
    format!("{}%", grouped(100.0 * share_frac, 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_grouped_and_zero_has_no_sign() {
        assert_eq!(grouped(1_234_567.25, 1), "1,234,567.2");
        assert_eq!(grouped(-0.4, 0), "0");
        assert_eq!(grouped(-1200.0, 0), "\u{2212}1,200");
        assert_eq!(grouped(999.0, 0), "999");
    }

    #[test]
    fn sums_begin_with_their_currency() {
        let [dollar, usd, euro] = ["$", "usd", "€"].map(|word| Currency::named(word).expect("a currency"));
        assert_eq!(money(dollar, 1250.4, 0), "$1,250");
        assert_eq!(money(dollar, -0.123, 2), "\u{2212}$0.12");
        assert_eq!(money(usd, -80.0, 0), "\u{2212}USD 80");
        assert_eq!(money(euro, 6500.0, 0), "€6,500");
    }

    #[test]
    fn times_of_day_by_habit() {
        let us = [0, 1800, 23_400, 43_200, 45_000, 66_600, 86_400].map(|second| Units::Us.clock(second));
        assert_eq!(us, ["12 am", "12:30 am", "6:30 am", "noon", "12:30 pm", "6:30 pm", "12 am"]);
        assert_eq!([0, 66_600, 86_400].map(|second| Units::Si.clock(second)), ["0:00", "18:30", "24:00"]);
    }

    #[test]
    fn customary_units_by_definition() {
        // 0 degC = 32 degF and 100 degC = 212 degF by definition of the scale.
        assert_eq!(Units::Us.level(0.0), 32.0);
        assert_eq!(Units::Us.level(100.0), 212.0);
        assert_eq!(Units::Us.show(Column::TapVolume, 3.785_411_784), (1.0, "gal"));
        assert_eq!(Units::Si.show(Column::TapVolume, 5.0), (5.0, "L"));
    }
}
