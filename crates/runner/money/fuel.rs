//! Fuels: what a kilowatt-hour costs and emits, always by the upper heating value, as fuel is billed and as the plant counts it.

/// Fuels a heater may burn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FuelKind {
    /// Natural gas of the mains.
    NaturalGas,
    /// Propane from a tank.
    Propane,
    /// Heating oil No. 2.
    Oil,
}

/// A figure in the unit in which its source prints it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fact {
    /// Figure and unit.
    pub figure: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

impl FuelKind {
    /// Upper heating value by volume.
    pub fn heating_value(self) -> Fact {
        let (figure, source) = match self {
            Self::NaturalGas => {
                ("1029 Btu/cf", "US average, EIA form 1605(b) coefficients 2012; upper heating value")
            }
            Self::Propane => ("91452 Btu/gal", "EIA, from memory; upper heating value"),
            Self::Oil => ("138500 Btu/gal", "No. 2 oil, EIA, from memory; upper heating value"),
        };
        Fact { figure, source }
    }

    /// CO2 of burning it, per energy by the upper heating value.
    pub fn co2(self) -> Fact {
        let (figure, source) = match self {
            Self::NaturalGas => ("53.07 kg/MMBtu", "EIA carbon dioxide emissions coefficients, Feb 2016"),
            Self::Propane => ("63.07 kg/MMBtu", "EIA carbon dioxide emissions coefficients, Feb 2016"),
            Self::Oil => ("73.16 kg/MMBtu", "No. 2 oil, EIA carbon dioxide emissions coefficients, Feb 2016"),
        };
        Fact { figure, source }
    }
}

/// What electricity emits where the job does not say: a figure for a whole country, which no one's grid is.
pub const GRID_CO2: Fact = Fact {
    figure: "823 lb/MWh",
    source: "US average, EPA eGRID2022, from memory; a region's own figure may be half or twice as much",
};

/// What fuel costs and emits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fuel {
    /// Which.
    pub kind: FuelKind,
    /// Price of a kWh by the upper heating value.
    pub price_per_kwh: f64,
    /// Paid whatever is used, a year.
    pub fixed_fee_per_year: f64,
    /// Growth of prices a year, as a share.
    pub growth_frac: f64,
    /// CO2 in kg per kWh.
    pub co2_kg_kwh: f64,
}
