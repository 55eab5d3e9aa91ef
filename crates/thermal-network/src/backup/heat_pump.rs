//! Heat pump that takes its heat from the air around the tank.

use std::ops::Range;

use crate::spec::{HeatPumpSpec, MapSpec};
use crate::tank::{mean_c, slice_at};

impl MapSpec {
    /// Air at the rating point in degC: that of the US test of water heaters, 67.5 F (10 CFR 430 subpart B appendix E, from
    /// memory).
    pub const RATING_AIR_C: f64 = 19.72;

    /// Water beside the condenser at the rating point in degC: its mean while a tank of 125 F recovers on that test, as
    /// worked out with this model.
    pub const RATING_WATER_C: f64 = 41.0;

    /// Range of water temperatures for which the surface is used, in degC.
    pub const WATER_C: (f64, f64) = (10.0, 65.0);

    /// Least value of the surface.
    pub const LEAST: f64 = 0.2;

    /// Usual COP of a heat pump water heater. Worked out here: a fixed share of what is possible between water + 10 K and
    /// air - 12 K (differences of condenser and evaporator: common practice), `T_hot/(T_hot - T_cold)` in K with a lift of
    /// 20 K at least; the surface was fitted for air of 3 to 35 degC and water of 15 to 65 degC and keeps to it within 5 %
    /// on the mean. Measured maps of laboratories have the same form.
    pub const USUAL_COP: Self = Self {
        air_per_k: 0.0227,
        air_per_k2: 0.0003,
        water_per_k: -0.0202,
        water_per_k2: 0.00025,
        both_per_k2: -0.0005,
    };

    /// Usual heating power: a compressor of fixed speed moves some 2.5 % more heat for each K of warmer air and half a
    /// percent less for each K of warmer water (common practice).
    pub const USUAL_POWER: Self =
        Self { air_per_k: 0.025, air_per_k2: 0.0, water_per_k: -0.005, water_per_k2: 0.0, both_per_k2: 0.0 };

    /// Value relative to the rating point.
    pub fn at(&self, air_c: f64, water_c: f64) -> f64 {
        let air_k = air_c - Self::RATING_AIR_C;
        let water_k = water_c.clamp(Self::WATER_C.0, Self::WATER_C.1) - Self::RATING_WATER_C;
        let by_air = air_k * (self.air_per_k + self.air_per_k2 * air_k + self.both_per_k2 * water_k);
        let by_water = water_k * (self.water_per_k + self.water_per_k2 * water_k);
        (1.0 + by_air + by_water).max(Self::LEAST)
    }
}

/// A heat pump ready to step.
#[derive(Clone, Debug)]
pub(crate) struct HeatPump {
    spec: HeatPumpSpec,
    condenser: Range<usize>,
}

/// What a heat pump makes in a step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Working {
    pub(crate) heat_w: f64,
    pub(crate) cop: f64,
}

impl HeatPump {
    /// `first`: slice of the condenser's lower end.
    pub(crate) fn new(spec: &HeatPumpSpec, first: usize, slices: usize) -> Self {
        Self { spec: *spec, condenser: first..slice_at(spec.condenser_top_frac, slices) + 1 }
    }

    /// True if the compressor runs in such air.
    pub(crate) fn runs_in(&self, air_c: f64) -> bool {
        (self.spec.air_c.0..=self.spec.air_c.1).contains(&air_c)
    }

    /// Heating power and COP in the middle of a step of `step_s`, the water beside the condenser warming on the way.
    pub(crate) fn working(
        &self,
        rated_w: f64,
        slices_c: &[f64],
        slice_j_k: f64,
        air_c: f64,
        step_s: f64,
    ) -> Working {
        let beside_c = &slices_c[self.condenser.clone()];
        let water_c = mean_c(beside_c);
        let power_w = rated_w * self.spec.power_map.at(air_c, water_c);
        let middle_c = water_c + 0.5 * power_w * step_s / (beside_c.len() as f64 * slice_j_k);
        Working {
            heat_w: rated_w * self.spec.power_map.at(air_c, middle_c),
            cop: self.spec.cop * self.spec.cop_map.at(air_c, middle_c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Share of what is possible between water + 10 K and air - 12 K, with a lift of 20 K at least.
    fn share_of_carnot(air_c: f64, water_c: f64) -> f64 {
        let of = |air_c: f64, water_c: f64| (water_c + 283.15) / (water_c - air_c + 22.0).max(20.0);
        of(air_c, water_c) / of(MapSpec::RATING_AIR_C, MapSpec::RATING_WATER_C)
    }

    #[test]
    fn the_usual_cop_follows_the_second_law() {
        let (mut sum, mut count) = (0.0, 0.0);
        for air_c in 3..=35 {
            for water_c in 15..=65 {
                let (air_c, water_c) = (f64::from(air_c), f64::from(water_c));
                let found = MapSpec::USUAL_COP.at(air_c, water_c);
                sum += (found / share_of_carnot(air_c, water_c) - 1.0).abs();
                count += 1.0;
                // Warmer air helps and warmer water hinders, everywhere.
                assert!(MapSpec::USUAL_COP.at(air_c + 1.0, water_c) > found, "{air_c} {water_c}");
                assert!(MapSpec::USUAL_COP.at(air_c, water_c - 1.0) > found, "{air_c} {water_c}");
            }
        }
        // As the fit left it.
        assert!(sum / count < 0.05, "{}", sum / count);
        assert_eq!(MapSpec::USUAL_COP.at(MapSpec::RATING_AIR_C, MapSpec::RATING_WATER_C), 1.0);
    }
}
