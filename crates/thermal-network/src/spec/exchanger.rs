//! How the loop's heat enters the tank.

use crate::coil_ua::{CoilTube, Mount};

/// Where a coil's fluid enters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoilInlet {
    /// At its upper end.
    Top,
    /// At its lower end.
    Bottom,
}

/// Heat exchange between the collector loop and the first tank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ExchangerSpec {
    /// A coil in the tank or wrapped round it, between two heights; its UA is shared out by height.
    Coil {
        /// Lower end.
        bottom_frac: f64,
        /// Upper end.
        top_frac: f64,
        /// Conductance of the whole coil in W/K; with a tube, that at its design point.
        ua_w_k: f64,
        /// End at which the fluid enters.
        inlet: CoilInlet,
        /// What it is made of: its conductance then follows flow and temperatures. `None`: the conductance is constant.
        tube: Option<CoilTubeSpec>,
    },
    /// External plate exchanger with its own pump on the tank's side, running whenever the loop pump runs.
    Plate {
        /// Conductance or effectiveness of the clean plates at the pump's full flow.
        rating: PlateRating,
        /// Resistance of scale on all plates together, in K/W; 0 for clean ones.
        scale_k_w: f64,
        /// Flow of tank water in kg/s.
        tank_flow_kg_s: f64,
        /// Electric power of the tank-side pump in W.
        tank_pump_w: f64,
        /// Height at which tank water is taken.
        draw_from_frac: f64,
        /// Height at which it comes back.
        return_to_frac: f64,
    },
    /// No exchanger: tank water goes through the collector.
    OpenLoop {
        /// Height at which tank water is taken.
        draw_from_frac: f64,
        /// Height at which it comes back.
        return_to_frac: f64,
    },
}

/// How a plate exchanger is rated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlateRating {
    /// Conductance in W/K, counterflow.
    UaWK(f64),
    /// Effectiveness on the smaller capacity flow, 0 to 1, counterflow.
    EffectivenessFrac(f64),
}

/// What a coil is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilTubeSpec {
    /// Its tube.
    pub tube: CoilTube,
    /// In the water or round the tank.
    pub mount: Mount,
    /// Resistance of scale on the water's side in m2 K/W.
    pub scale_m2_k_w: f64,
}
