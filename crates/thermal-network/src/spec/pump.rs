//! The pump of a collector loop.

/// Circulating pump; at full speed its flow is constant, or follows the fluid's temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PumpSpec {
    /// Flow of the whole field while running.
    pub flow: PumpFlow,
    /// Electric power while running in W.
    pub power_w: f64,
    /// Share of the electric power that warms the fluid, 0 to 1.
    pub heat_to_fluid_frac: f64,
    /// How both follow the fluid; `None`: not at all.
    pub over_temperature: Option<PumpOverTemperature>,
}

/// Flow while running, by mass or by volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PumpFlow {
    /// kg/s.
    MassKgS(f64),
    /// m3/s: the mass follows from the fluid's density where the pump sits, at the loop's temperature.
    VolumeM3S(f64),
}

/// Flow and power of a pump on its curve against the loop's friction, as factors on those of [`PumpSpec`], with fluid at each
/// of [`PumpOverTemperature::LEVELS_C`]; straight lines between, the end values beyond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PumpOverTemperature {
    /// Factors on the flow.
    pub flow_frac: [f64; Self::LEVELS],
    /// Factors on the electric power.
    pub power_frac: [f64; Self::LEVELS],
}

impl PumpOverTemperature {
    /// How many temperatures there are.
    pub const LEVELS: usize = 7;

    /// The temperatures, in degC.
    pub const LEVELS_C: [f64; Self::LEVELS] = [-20.0, 0.0, 20.0, 40.0, 60.0, 80.0, 100.0];

    /// Factor on the flow with fluid at `fluid_c` degC.
    pub(crate) fn flow_frac(&self, fluid_c: f64) -> f64 {
        Self::at(&self.flow_frac, fluid_c)
    }

    /// Factor on the power.
    pub(crate) fn power_frac(&self, fluid_c: f64) -> f64 {
        Self::at(&self.power_frac, fluid_c)
    }

    fn at(factors: &[f64; Self::LEVELS], fluid_c: f64) -> f64 {
        let [first_c, second_c, ..] = Self::LEVELS_C;
        let place = ((fluid_c - first_c) / (second_c - first_c)).clamp(0.0, (Self::LEVELS - 1) as f64);
        let i = (place as usize).min(Self::LEVELS - 2);
        factors[i] + (place - i as f64) * (factors[i + 1] - factors[i])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_between_levels_and_ends_beyond() {
        let pump = PumpOverTemperature {
            flow_frac: [0.5, 0.7, 0.9, 1.0, 1.1, 1.15, 1.2],
            power_frac: [1.0; PumpOverTemperature::LEVELS],
        };
        for (fluid_c, frac) in
            [(-40.0, 0.5), (-20.0, 0.5), (10.0, 0.8), (40.0, 1.0), (95.0, 1.1875), (160.0, 1.2)]
        {
            assert!((pump.flow_frac(fluid_c) - frac).abs() < 1e-15, "{fluid_c}");
            assert_eq!(pump.power_frac(fluid_c), 1.0);
        }
    }
}
