//! How the tanks are joined to each other and to the house: all of it is water that people drink.

use super::Surroundings;
use crate::flows::MAX_TANKS;

/// Pipe work and valves between the tanks and the taps. The default is none: draws pass from tank to tank without loss.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PlumbingSpec {
    /// Pipe from the first tank's hot outlet to the second's cold inlet.
    pub between: Option<WaterPipeSpec>,
    /// Valve that sends the first tank's water past the second, straight to the house.
    pub bypass: Option<BypassSpec>,
    /// Pump that moves water between the two tanks.
    pub transfer: Option<TransferSpec>,
    /// Loop through the house that keeps hot water near the taps.
    pub recirculation: Option<RecirculationSpec>,
    /// How incoming water mixes in each tank; `None`: it stays in the slice it enters, as a good diffuser has it.
    pub inlet_mixing: [Option<InletMixingSpec>; MAX_TANKS],
}

/// Whose temperature a water pipe loses its heat to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Around {
    /// One of the spaces.
    Space(Surroundings),
    /// A steady temperature in degC: rooms of the house.
    Steady(f64),
}

/// A length of tube that holds hot water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterPipeSpec {
    /// Length in m.
    pub length_m: f64,
    /// What it loses heat to.
    pub around: Around,
    /// Inner diameter of the tube in m.
    pub bore_m: f64,
    /// Outer diameter of the tube in m.
    pub tube_outer_m: f64,
    /// Thickness of the insulation in m; 0 for bare tube.
    pub insulation_m: f64,
    /// Conductivity of the insulation in W/(m K).
    pub insulation_w_m_k: f64,
    /// Heat capacity of the tube wall in J/(m K).
    pub wall_capacity_j_m_k: f64,
    /// Outside film in W/(m2 K); `None`: 10 indoors, from the wind outdoors.
    pub outer_film_w_m2_k: Option<f64>,
}

/// Bypass of the second tank. [`crate::flows::Orders`] turns it by hand; it may also turn by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BypassSpec {
    /// It bypasses by itself from this temperature at the first tank's outlet on, in degC; infinite: by hand only.
    pub opens_c: f64,
    /// And returns this far below, in K.
    pub band_k: f64,
}

/// Pump of constant flow for water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterPumpSpec {
    /// Flow in m3/s.
    pub flow_m3_s: f64,
    /// Electric power while running in W.
    pub power_w: f64,
    /// Share of the electric power that warms the water, 0 to 1.
    pub heat_to_water_frac: f64,
}

/// Transfer pump: takes water from the first tank to the second, as much coming back, while the first is warmer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TransferSpec {
    /// The pump.
    pub pump: WaterPumpSpec,
    /// It starts at or above this difference between the two sensors, in K.
    pub on_k: f64,
    /// It stops at or below this difference, in K.
    pub off_k: f64,
    /// It rests while the second tank's sensor is at or above this, in degC; infinite for no limit.
    pub limit_c: f64,
    /// Height at which water leaves the first tank; its sensor sits there.
    pub take_frac: f64,
    /// Height at which it enters the second tank.
    pub give_frac: f64,
    /// Height at which water leaves the second tank; its sensor sits there.
    pub back_from_frac: f64,
    /// Height at which that water enters the first tank.
    pub back_to_frac: f64,
}

/// Recirculation loop: hot water from the last tank passes the house and comes back to a tank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RecirculationSpec {
    /// The whole way round.
    pub pipe: WaterPipeSpec,
    /// The pump; [`crate::flows::Orders`] says when it runs.
    pub pump: WaterPumpSpec,
    /// Tank to which the water comes back.
    pub return_tank: usize,
    /// Height at which it comes back.
    pub return_frac: f64,
}

/// Mixing where water enters a tank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InletMixingSpec {
    /// Inner diameter of the dip tube or port in m. It ends at the tank's cold inlet.
    pub bore_m: f64,
}
