//! The unit words and the kinds, each declared once. Compound units such as `Btu/(h ft2 F)` are put together from them.

use std::collections::HashMap;
use std::f64::consts::PI;
use std::sync::LazyLock;

use super::size::{
    BTU_H_F_W_K, BTU_J, FOOT_M, GALLON_M3, GPM_M3_S, INCH_M, POUND_KG, PSI_PA, R_VALUE_W_M2_K, RANKINE_K,
    SQUARE_FOOT_M2,
};
use super::{About, Kind};

/// Exponents of m, kg, s, K, rad and money.
pub(super) type Dimension = [i8; 6];

const NONE: Dimension = [0, 0, 0, 0, 0, 0];
const METER: Dimension = [1, 0, 0, 0, 0, 0];
const VOLUME: Dimension = [3, 0, 0, 0, 0, 0];
const VOLUME_FLOW: Dimension = [3, 0, -1, 0, 0, 0];
const MASS: Dimension = [0, 1, 0, 0, 0, 0];
const HARDNESS: Dimension = [-3, 1, 0, 0, 0, 0];
const SECOND: Dimension = [0, 0, 1, 0, 0, 0];
const KELVIN: Dimension = [0, 0, 0, 1, 0, 0];
const RADIAN: Dimension = [0, 0, 0, 0, 1, 0];
const ENERGY: Dimension = [2, 1, -2, 0, 0, 0];
const POWER: Dimension = [2, 1, -3, 0, 0, 0];
const PRESSURE: Dimension = [-1, 1, -2, 0, 0, 0];
pub(super) const MONEY: Dimension = [0, 0, 0, 0, 0, 1];

/// A pound has 7000 grains: 64.798 91 mg.
const GRAIN: f64 = POUND_KG / 7000.0;
/// Every year has 365 days here, and a month is a twelfth of it.
const YEAR: f64 = 365.0 * 86_400.0;

/// A unit word.
pub(super) struct Unit {
    /// Spellings in small letters, the best first.
    pub words: &'static [&'static str],
    /// SI size.
    pub size: f64,
    /// What it measures.
    pub dimension: Dimension,
    /// True for units of the US trade.
    pub us: bool,
}

const fn metric(words: &'static [&'static str], size: f64, dimension: Dimension) -> Unit {
    Unit { words, size, dimension, us: false }
}

const fn us(words: &'static [&'static str], size: f64, dimension: Dimension) -> Unit {
    Unit { words, size, dimension, us: true }
}

/// Every unit word. Spelling ignores case, so no two units may differ by case only.
pub(super) const UNITS: &[Unit] = &[
    metric(&["%", "percent", "pct"], 0.01, NONE),
    metric(&["m", "meter", "meters", "metre", "metres"], 1.0, METER),
    metric(&["cm", "centimeter", "centimeters"], 0.01, METER),
    metric(&["mm", "millimeter", "millimeters"], 0.001, METER),
    us(&["in", "inch", "inches", "\""], INCH_M, METER),
    us(&["ft", "foot", "feet", "'"], FOOT_M, METER),
    us(&["sqft", "sf"], SQUARE_FOOT_M2, [2, 0, 0, 0, 0, 0]),
    metric(&["l", "liter", "liters", "litre", "litres"], 0.001, VOLUME),
    metric(&["ml", "milliliter", "milliliters"], 1e-6, VOLUME),
    us(&["gal", "gallon", "gallons", "gals"], GALLON_M3, VOLUME),
    us(&["cf"], FOOT_M * SQUARE_FOOT_M2, VOLUME),
    us(&["ccf"], 100.0 * FOOT_M * SQUARE_FOOT_M2, VOLUME),
    us(&["gpm"], GPM_M3_S, VOLUME_FLOW),
    us(&["gph"], GALLON_M3 / 3600.0, VOLUME_FLOW),
    metric(&["lpm"], 0.001 / 60.0, VOLUME_FLOW),
    metric(&["kg", "kilogram", "kilograms"], 1.0, MASS),
    metric(&["g", "gram", "grams"], 0.001, MASS),
    metric(&["mg", "milligram", "milligrams"], 1e-6, MASS),
    us(&["lb", "lbs", "pound", "pounds"], POUND_KG, MASS),
    us(&["grain", "grains"], GRAIN, MASS),
    us(&["gpg"], GRAIN / GALLON_M3, HARDNESS),
    // Parts per million of water by mass, which the trade takes for mg/L.
    metric(&["ppm"], 1e-3, HARDNESS),
    metric(&["s", "sec", "second", "seconds"], 1.0, SECOND),
    metric(&["min", "mins", "minute", "minutes"], 60.0, SECOND),
    metric(&["h", "hr", "hrs", "hour", "hours"], 3600.0, SECOND),
    metric(&["d", "day", "days"], 86_400.0, SECOND),
    metric(&["month", "months"], YEAR / 12.0, SECOND),
    metric(&["year", "years", "yr"], YEAR, SECOND),
    metric(&["k", "kelvin", "kelvins"], 1.0, KELVIN),
    metric(&["c", "celsius", "degc"], 1.0, KELVIN),
    us(&["f", "fahrenheit", "degf"], RANKINE_K, KELVIN),
    metric(&["j", "joule", "joules"], 1.0, ENERGY),
    metric(&["kj"], 1e3, ENERGY),
    metric(&["mj"], 1e6, ENERGY),
    metric(&["wh"], 3600.0, ENERGY),
    metric(&["kwh"], 3.6e6, ENERGY),
    us(&["btu", "btus"], BTU_J, ENERGY),
    us(&["kbtu"], 1e3 * BTU_J, ENERGY),
    us(&["mmbtu"], 1e6 * BTU_J, ENERGY),
    us(&["therm", "therms"], 1e5 * BTU_J, ENERGY),
    metric(&["mwh"], 3.6e9, ENERGY),
    metric(&["w", "watt", "watts"], 1.0, POWER),
    metric(&["kw", "kilowatt", "kilowatts"], 1e3, POWER),
    us(&["btuh"], BTU_J / 3600.0, POWER),
    metric(&["pa", "pascal"], 1.0, PRESSURE),
    metric(&["kpa"], 1e3, PRESSURE),
    metric(&["bar"], 1e5, PRESSURE),
    us(&["psi", "psig"], PSI_PA, PRESSURE),
    metric(&["deg", "degree", "degrees"], PI / 180.0, RADIAN),
    metric(&["rad", "radian", "radians"], 1.0, RADIAN),
    metric(&["$"], 1.0, MONEY),
    metric(&["usd", "dollar", "dollars"], 1.0, MONEY),
    metric(&["€"], 1.0, MONEY),
    metric(&["eur", "euro", "euros"], 1.0, MONEY),
    metric(&["cents", "cent", "ct", "¢"], 0.01, MONEY),
];

/// The unit with this spelling. A job is some thousand quantities, defaults and bounds among them.
pub(super) fn find(word: &str) -> Option<&'static Unit> {
    static BY_WORD: LazyLock<HashMap<&str, &Unit>> = LazyLock::new(|| {
        UNITS.iter().flat_map(|unit| unit.words.iter().map(move |&word| (word, unit))).collect()
    });
    BY_WORD.get(word.to_ascii_lowercase().as_str()).copied()
}

/// The candidate nearest to what was typed, if any is near enough to be meant.
pub(crate) fn nearest<'a>(typed: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    let length = typed.chars().count();
    let allowed = 1 + length / 3;
    candidates
        .into_iter()
        // A distance is never less than that of the lengths, and long to find.
        .filter(|candidate| candidate.chars().count().abs_diff(length) <= allowed)
        .map(|candidate| (strsim::damerau_levenshtein(&typed, &candidate.to_lowercase()), candidate))
        .filter(|&(distance, candidate)| distance <= allowed && distance < candidate.chars().count())
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, candidate)| candidate)
}

impl Kind {
    /// Every kind, for naming what a misplaced quantity is.
    pub const ALL: [Kind; 34] = [
        Kind::Number,
        Kind::Count,
        Kind::Share,
        Kind::Length,
        Kind::Area,
        Kind::Volume,
        Kind::VolumeFlow,
        Kind::MassFlow,
        Kind::VolumeFlowPerArea,
        Kind::MassFlowPerArea,
        Kind::Level,
        Kind::Difference,
        Kind::Power,
        Kind::Pressure,
        Kind::Loss,
        Kind::Resistance,
        Kind::Conductance,
        Kind::Conductivity,
        Kind::LossRise,
        Kind::FourthPowerLoss,
        Kind::WindLoss,
        Kind::CapacityPerArea,
        Kind::CapacityPerLength,
        Kind::PerWind,
        Kind::Angle,
        Kind::Duration,
        Kind::Energy,
        Kind::Hardness,
        Kind::HeatPerVolume,
        Kind::Money,
        Kind::MoneyPerTime,
        Kind::MoneyPerEnergy,
        Kind::MoneyPerVolume,
        Kind::MassPerEnergy,
    ];

    /// Name, dimension and customary units of the kind.
    pub(super) fn about(self) -> About {
        let of =
            |name, dimension, si, metric, us, example| About { name, dimension, si, metric, us, example };
        match self {
            Self::Number => of("a plain number", NONE, "", ("", 1.0), ("", 1.0), "0.72"),
            Self::Count => of("a whole number", NONE, "", ("", 1.0), ("", 1.0), "4"),
            Self::Share => of("a share", NONE, "", ("%", 0.01), ("%", 0.01), "40 %"),
            Self::Length => of("a length", METER, "m", ("m", 1.0), ("ft", FOOT_M), "12 ft"),
            Self::Area => {
                of("an area", [2, 0, 0, 0, 0, 0], "m2", ("m2", 1.0), ("ft2", SQUARE_FOOT_M2), "32 ft2")
            }
            Self::Volume => of("a volume", VOLUME, "m3", ("L", 0.001), ("gal", GALLON_M3), "80 gal"),
            Self::VolumeFlow => of(
                "a flow",
                VOLUME_FLOW,
                "m3/s",
                ("L/min", 0.001 / 60.0),
                ("gal/min", GPM_M3_S),
                "1.5 gal/min",
            ),
            Self::MassFlow => of(
                "a mass flow",
                [0, 1, -1, 0, 0, 0],
                "kg/s",
                ("kg/s", 1.0),
                ("lb/h", POUND_KG / 3600.0),
                "0.07 kg/s",
            ),
            Self::VolumeFlowPerArea => of(
                "a flow per area",
                [1, 0, -1, 0, 0, 0],
                "m3/(s m2)",
                ("L/(min m2)", 0.001 / 60.0),
                ("gal/(min ft2)", GPM_M3_S / SQUARE_FOOT_M2),
                "0.025 gpm/ft2",
            ),
            Self::MassFlowPerArea => of(
                "a mass flow per area",
                [-2, 1, -1, 0, 0, 0],
                "kg/(s m2)",
                ("kg/(s m2)", 1.0),
                ("lb/(h ft2)", POUND_KG / 3600.0 / SQUARE_FOOT_M2),
                "0.015 kg/(s m2)",
            ),
            Self::Level => of("a temperature", KELVIN, "C", ("C", 1.0), ("F", RANKINE_K), "120 F"),
            Self::Difference => {
                of("a temperature difference", KELVIN, "K", ("K", 1.0), ("F", RANKINE_K), "18 F")
            }
            Self::Power => of("a power", POWER, "W", ("W", 1.0), ("Btu/h", BTU_J / 3600.0), "4500 W"),
            Self::Pressure => of("a pressure", PRESSURE, "Pa", ("bar", 1e5), ("psi", PSI_PA), "20 psi"),
            Self::Loss => of(
                "a loss per area",
                [0, 1, -3, -1, 0, 0],
                "W/(m2 K)",
                ("W/(m2 K)", 1.0),
                ("Btu/(h ft2 F)", R_VALUE_W_M2_K),
                "3.8 W/m2K",
            ),
            Self::Resistance => of(
                "an R-value",
                [0, -1, 3, 1, 0, 0],
                "m2 K/W",
                ("m2 K/W", 1.0),
                ("h ft2 F/Btu", 1.0 / R_VALUE_W_M2_K),
                "R-16",
            ),
            Self::Conductance => of(
                "a heat loss per degree",
                [2, 1, -3, -1, 0, 0],
                "W/K",
                ("W/K", 1.0),
                ("Btu/(h F)", BTU_H_F_W_K),
                "400 W/K",
            ),
            Self::Conductivity => of(
                "a conductivity",
                [1, 1, -3, -1, 0, 0],
                "W/(m K)",
                ("W/(m K)", 1.0),
                ("Btu in/(h ft2 F)", R_VALUE_W_M2_K * INCH_M),
                "0.04 W/mK",
            ),
            Self::LossRise => of(
                "a loss per area and degree squared",
                [0, 1, -3, -2, 0, 0],
                "W/(m2 K2)",
                ("W/(m2 K2)", 1.0),
                ("Btu/(h ft2 F2)", R_VALUE_W_M2_K / RANKINE_K),
                "0.013 W/m2K2",
            ),
            Self::FourthPowerLoss => {
                let unit = ("W/(m2 K4)", 1.0);
                of(
                    "a loss with the fourth power",
                    [0, 1, -3, -4, 0, 0],
                    "W/(m2 K4)",
                    unit,
                    unit,
                    "2e-8 W/m2K4",
                )
            }
            Self::WindLoss => {
                let unit = ("J/(m3 K)", 1.0);
                of("a loss per wind speed", [-1, 1, -2, -1, 0, 0], "J/(m3 K)", unit, unit, "4 J/m3K")
            }
            Self::CapacityPerArea => of(
                "a heat capacity per area",
                [0, 1, -2, -1, 0, 0],
                "J/(m2 K)",
                ("kJ/(m2 K)", 1e3),
                ("Btu/(ft2 F)", BTU_J / RANKINE_K / SQUARE_FOOT_M2),
                "8 kJ/m2K",
            ),
            Self::CapacityPerLength => of(
                "a heat capacity per length",
                [1, 1, -2, -1, 0, 0],
                "J/(m K)",
                ("J/(m K)", 1.0),
                ("Btu/(ft F)", BTU_J / RANKINE_K / FOOT_M),
                "190 J/mK",
            ),
            Self::PerWind => of(
                "a change per wind speed",
                [-1, 0, 1, 0, 0, 0],
                "s/m",
                ("s/m", 1.0),
                ("s/m", 1.0),
                "0.03 s/m",
            ),
            Self::Angle => {
                let unit = ("deg", PI / 180.0);
                of("an angle", RADIAN, "rad", unit, unit, "35 deg")
            }
            Self::Duration => of("a length of time", SECOND, "s", ("s", 1.0), ("min", 60.0), "2 min"),
            Self::Energy => of("an energy", ENERGY, "J", ("kWh", 3.6e6), ("kBtu", 1e3 * BTU_J), "12.4 kWh"),
            Self::Hardness => of(
                "a hardness",
                HARDNESS,
                "kg/m3",
                ("mg/L", 1e-3),
                ("grains/gal", GRAIN / GALLON_M3),
                "12 grains/gal",
            ),
            Self::HeatPerVolume => {
                let (metric, us) = (("MJ/m3", 1e6), ("Btu/gal", BTU_J / GALLON_M3));
                of("a heating value", PRESSURE, "J/m3", metric, us, "38.3 MJ/m3")
            }
            Self::Money => {
                let unit = ("", 1.0);
                of("a sum of money", MONEY, "currency", unit, unit, "$600")
            }
            Self::MoneyPerTime => {
                let (dimension, month) = ([0, 0, -1, 0, 0, 1], ("a month", 12.0 / YEAR));
                of("a sum of money per month or year", dimension, "currency/s", month, month, "$12/month")
            }
            Self::MoneyPerEnergy => {
                let dimension = [-2, -1, 2, 0, 0, 1];
                let (metric, us) = (("a kWh", 1.0 / 3.6e6), ("a therm", 1e-5 / BTU_J));
                of("a price of energy", dimension, "currency/J", metric, us, "$0.17/kWh")
            }
            Self::MoneyPerVolume => {
                let dimension = [-3, 0, 0, 0, 0, 1];
                let (metric, us) = (("a liter", 1e3), ("a gallon", 1.0 / GALLON_M3));
                of("a price by volume", dimension, "currency/m3", metric, us, "$2.80/gal")
            }
            Self::MassPerEnergy => {
                let (metric, us) = (("kg/kWh", 1.0 / 3.6e6), ("lb/MWh", POUND_KG / 3.6e9));
                of("a mass per energy", [-2, 0, 2, 0, 0, 0], "kg/J", metric, us, "0.4 kg/kWh")
            }
        }
    }
}
