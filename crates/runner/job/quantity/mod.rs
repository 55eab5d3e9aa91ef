//! Quantities as people write them: a number, a unit, and the kind of thing a key asks for.
//!
//! [`parse`] turns `80 gal`, `3/4 in`, `18 F`, `R-16` or `0.03 gpm/ft2` into SI. What the number means follows from the
//! kinds the key allows: `18 F` is a reading in one key and a difference in another.

mod number;
mod parse;
pub(crate) mod size;
mod units;
pub mod when;
pub mod words;

use std::ops::Range;

pub use parse::parse;
pub(crate) use units::nearest;

use crate::money::Currency;

/// The same quantity so many times as large, in its own unit: `1.6 gal/min` twice is `3.2 gal/min`. `None` without a number.
pub fn scaled(text: &str, factor: f64) -> Option<String> {
    let text = text.trim();
    let (value, length) = number::leading(text)?;
    // Nine digits, then as short as they allow: what a person would write.
    let figures: f64 = format!("{:.9}", value * factor).parse().ok()?;
    Some(format!("{figures}{}", &text[length..]))
}

/// What stands before the first number of a text, the number, and what stands behind it: `$0.17/kWh`.
pub fn round_number(text: &str) -> Option<(&str, f64, &str)> {
    let (before, rest) = text.split_at(text.find(|c: char| c.is_ascii_digit() || c == '.')?);
    let (value, length) = number::leading(rest)?;
    Some((before, value, &rest[length..]))
}

/// What a key asks for. The SI value of each kind is given behind it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A plain number.
    Number,
    /// A whole number of things.
    Count,
    /// A share, 0 to 1; `40 %` is 0.4.
    Share,
    /// m
    Length,
    /// m2
    Area,
    /// m3
    Volume,
    /// m3/s
    VolumeFlow,
    /// kg/s
    MassFlow,
    /// m3/s per m2
    VolumeFlowPerArea,
    /// kg/s per m2
    MassFlowPerArea,
    /// A reading of a thermometer, degC.
    Level,
    /// Between two readings, K.
    Difference,
    /// W
    Power,
    /// Pa
    Pressure,
    /// W/(m2 K)
    Loss,
    /// m2 K/W
    Resistance,
    /// W/K
    Conductance,
    /// W/(m K)
    Conductivity,
    /// W/(m2 K2)
    LossRise,
    /// W/(m2 K4)
    FourthPowerLoss,
    /// J/(m3 K)
    WindLoss,
    /// J/(m2 K)
    CapacityPerArea,
    /// J/(m K)
    CapacityPerLength,
    /// s/m
    PerWind,
    /// rad
    Angle,
    /// s
    Duration,
    /// J
    Energy,
    /// Hardness of water as calcium carbonate, kg/m3.
    Hardness,
    /// J/m3
    HeatPerVolume,
    /// A sum in the currency of the job.
    Money,
    /// The same per s.
    MoneyPerTime,
    /// Per J.
    MoneyPerEnergy,
    /// Per m3.
    MoneyPerVolume,
    /// kg/J
    MassPerEnergy,
}

/// How a kind is called, measured and shown.
struct About {
    /// With its article: `a volume`.
    name: &'static str,
    /// Exponents of m, kg, s, K, rad and money.
    dimension: [i8; 6],
    /// Unit of the SI value.
    si: &'static str,
    /// Unit and SI size of the unit a metric reader expects.
    metric: (&'static str, f64),
    /// The same for a reader in the US.
    us: (&'static str, f64),
    /// What to write.
    example: &'static str,
}

impl Kind {
    /// True for sums of money and prices.
    pub fn is_money(self) -> bool {
        matches!(self, Kind::Money | Kind::MoneyPerTime | Kind::MoneyPerEnergy | Kind::MoneyPerVolume)
    }

    /// The kind with its article, for messages: `a volume`.
    pub fn name(self) -> &'static str {
        self.about().name
    }

    /// Unit of the SI value; empty for plain numbers.
    pub fn si_unit(self) -> &'static str {
        self.about().si
    }

    /// Something right to write.
    pub fn example(self) -> &'static str {
        self.about().example
    }

    /// The value in one unit of the other habit: in SI-derived units if it was written in US units, and the other way.
    pub fn shown(self, si: f64, in_us: bool) -> String {
        if self == Kind::Level {
            return if in_us {
                format!("{} F", rounded(si * 1.8 + 32.0))
            } else {
                format!("{} C", rounded(si))
            };
        }
        let about = self.about();
        let (unit, size) = if in_us { about.us } else { about.metric };
        if unit.is_empty() { rounded(si / size) } else { format!("{} {unit}", rounded(si / size)) }
    }
}

/// A value to four significant figures, without trailing zeros.
pub fn rounded(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{}", value.abs());
    }
    let whole_digits = format!("{:.0}", value.abs()).len() as i32;
    let small = value.abs() < 1.0;
    // Below 1, count figures from the first one that is not zero.
    let leading_zeros = if small { -(libm::floor(libm::log10(value.abs())) as i32) - 1 } else { 0 };
    if leading_zeros > 4 {
        return format!("{value:.3e}");
    }
    let decimals = if small { 4 + leading_zeros } else { (4 - whole_digits).max(0) } as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

/// A quantity as understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// Value in the SI unit of `kind`.
    pub si: f64,
    /// Which of the allowed kinds it is.
    pub kind: Kind,
    /// True if it was written in units of the US trade.
    pub us: bool,
    /// The currency it was written in, if it is money; cents name none.
    pub currency: Option<Currency>,
}

impl Quantity {
    /// Of a kind, but no number: what a faulty text gives.
    pub fn faulty(kind: Kind) -> Self {
        Self { si: f64::NAN, kind, us: false, currency: None }
    }
}

/// Why a text is not the quantity asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// One sentence.
    pub message: String,
    /// Short words beside the caret.
    pub label: String,
    /// What to write instead.
    pub help: Option<String>,
    /// Bytes of the text it concerns.
    pub range: Range<usize>,
}

impl Fault {
    /// A fault that concerns `range` of the text.
    pub fn new(message: impl Into<String>, label: impl Into<String>, range: Range<usize>) -> Self {
        Self { message: message.into(), label: label.into(), help: None, range }
    }

    /// The same fault with a remedy.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}
