//! `[fuel]`: kind, price by energy or volume, heating value, CO2.

use super::super::section::Section;
use super::{KWH_J, Purse, growth};
use crate::job::quantity::{Kind, rounded};
use crate::money::fuel::{Fuel, FuelKind};
use crate::problem::{Problem, Severity};

/// Prices of a kWh outside these are doubted.
const USUAL_PRICE: std::ops::RangeInclusive<f64> = 0.015..=0.5;

/// What the section says; `None` without a price.
pub(super) fn read(section: &Section<'_>, purse: &Purse) -> Option<Fuel> {
    if !section.is_given() {
        return None;
    }
    let kind = section.choice(
        "kind",
        &[("natural gas", FuelKind::NaturalGas), ("propane", FuelKind::Propane), ("oil", FuelKind::Oil)],
        ("natural gas", "the usual fuel of water heaters (common practice)"),
    );
    let kinds = &[Kind::MoneyPerEnergy, Kind::MoneyPerVolume];
    let found = purse.ask(section, "price", kinds, ("$0/kWh", "$10/kWh"));
    let heat_j_m3 = heat_j_m3(section, kind, found.is_some_and(|price| price.kind == Kind::MoneyPerVolume));
    let fixed_fee_per_year = purse.fixed_fee(section);
    let growth_frac = growth(section, "growth");
    let co2_kg_kwh = KWH_J
        * section
            .ask("co2", &[Kind::MassPerEnergy])
            .possible("0 kg/kWh", "1 kg/kWh")
            .or(kind.co2().figure, kind.co2().source);
    let Some(found) = found else {
        let problem = Problem::new(Severity::Error, "the fuel has no price").label("no price");
        section.report("price", problem.help("write price = \"$0.00/therm\", per gal, L, m3 or kWh"));
        return None;
    };
    let price_per_kwh = KWH_J
        * match found.kind {
            Kind::MoneyPerVolume => found.si / heat_j_m3,
            _ => found.si,
        };
    if price_per_kwh.is_finite() {
        if !USUAL_PRICE.contains(&price_per_kwh) {
            let what = format!("fuel at {} a kWh is out of the ordinary", rounded(price_per_kwh));
            let problem = Problem::new(Severity::Warning, what).label("please check");
            section.report("price", problem.help("usual: 1.5 to 50 cents/kWh; is the unit right?"));
        }
        if found.us || found.kind == Kind::MoneyPerVolume {
            let words = format!("{} a kWh", rounded(price_per_kwh));
            let source = "worked out from the price given, by the upper heating value";
            section.note("price", words, None, Some(source));
        }
    }
    Some(Fuel { kind, price_per_kwh, fixed_fee_per_year, growth_frac, co2_kg_kwh })
}

/// Upper heating value by volume; only prices by volume need it.
fn heat_j_m3(section: &Section<'_>, kind: FuelKind, needed: bool) -> f64 {
    let fact = kind.heating_value();
    let ask = section.ask("heating_value", &[Kind::HeatPerVolume]).possible("1 MJ/m3", "60000 MJ/m3");
    if needed {
        return ask.or(fact.figure, fact.source);
    }
    section.idle(&["heating_value"], "the price is one of energy already", "leave it out");
    ask.given().map_or(f64::NAN, |found| found.si)
}
