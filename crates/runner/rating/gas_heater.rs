//! What a gas storage heater's label means for its parts: shell, flue, pilot and burner.
//!
//! The label knows one standby figure and one recovery efficiency, which counts every loss while the burner fires. Here the
//! flue cools the tank only while the burner is off, and the pilot burns on and warms the water with a part of its fuel. The
//! parts are set so that the heater buys on its test day what the label says: standing, `pilot + (L dT - pilot heat)/efficiency`
//! is the label's standby; firing, what the water keeps is the recovery efficiency of what burner and pilot burn.

use super::heater_label::HeaterLabel;

/// The pilot of a gas heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pilot {
    /// Fuel in W.
    pub fuel_w: f64,
    /// Share of it that warms the water.
    pub to_water_frac: f64,
}

/// Parts of a gas storage heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasHeater {
    /// Loss of shell and ports in W/K.
    pub shell_w_k: f64,
    /// Loss up the flue while the burner is off, in W/K.
    pub flue_w_k: f64,
    /// Heat into the water per fuel of the burner.
    pub efficiency_frac: f64,
}

impl GasHeater {
    /// The heater behind a label, of whose whole loss `flue_frac` goes up the flue; `None` if there is no such heater, as
    /// where the pilot alone burns more than the label's standby.
    pub fn of(label: &HeaterLabel, pilot: Pilot, flue_frac: f64) -> Option<Self> {
        let tank = label.tank()?;
        let above_room_k = label.above_room_k();
        let pilot_w_k = pilot.fuel_w / above_room_k;
        if pilot_w_k > tank.standby_w_k {
            return None;
        }
        let loss_w_k =
            (tank.standby_w_k - pilot_w_k) * tank.efficiency_frac + pilot.to_water_frac * pilot_w_k;
        let shell_w_k = (1.0 - flue_frac) * loss_w_k;
        let kept_w = label.recovery_frac * (label.input_w + pilot.fuel_w);
        let heat_w = kept_w + shell_w_k * above_room_k - pilot.to_water_frac * pilot.fuel_w;
        let efficiency_frac = heat_w / label.input_w;
        let can_be = efficiency_frac > 0.0 && efficiency_frac <= 1.0;
        can_be.then_some(Self { shell_w_k, flue_w_k: flue_frac * loss_w_k, efficiency_frac })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rating::heater_label::Factor;

    #[test]
    fn parts_worked_by_hand() {
        // EF 0.59, RE 0.76, 11,723 W: 5.4 W/K standby and 0.7733 (worked apart from this code), 37.5 K. A pilot of 105 W is
        // 2.8 W/K; with 40 % of it in the water the loss is (5.4 - 2.8) x 0.7733 + 1.12 = 3.13 W/K, 60 % of it flue.
        let label = HeaterLabel { factor: Factor::Ef(0.59), recovery_frac: 0.76, input_w: 11_723.0 };
        let heater =
            GasHeater::of(&label, Pilot { fuel_w: 105.0, to_water_frac: 0.4 }, 0.6).expect("a heater");
        // Half of the last digit of 5.4 W/K, times 0.77.
        assert!((heater.shell_w_k + heater.flue_w_k - 3.13).abs() < 0.04, "{heater:?}");
        assert!((heater.flue_w_k / heater.shell_w_k - 1.5).abs() < 1e-12);
        // (0.76 x 11,828 + 1.252 x 37.5 - 42)/11,723 = 0.7672.
        assert!((heater.efficiency_frac - 0.7672).abs() < 1e-4, "{heater:?}");
        // 250 W are more than 5.4 W/K x 37.5 K.
        assert_eq!(GasHeater::of(&label, Pilot { fuel_w: 250.0, to_water_frac: 0.4 }, 0.6), None);
    }
}
