//! Heat exchange between collector loop and tank.
//!
//! While the tank is held still for a tank step, every kind is an affine map of the loop's temperature,
//! `T_out = slope T_in + base`: a substep of the loop costs one multiplication. When the step is over, the mean inlet
//! temperature settles what the tank gets, which is what the loop gave, to rounding.

pub(crate) mod circulation;
pub(crate) mod coil;
pub mod coil_ua;
pub(crate) mod ua_table;

use circulation::Circulated;
use coil::Coil;

use crate::fluid::Fluid;
use crate::spec::ExchangerSpec;
use crate::tank::Tank;

/// `T_out = slope T_in + base_c`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Affine {
    pub(crate) slope: f64,
    pub(crate) base_c: f64,
}

/// An exchanger ready to step.
#[derive(Clone, Debug)]
pub(crate) enum Exchanger {
    /// Fluid passes the slices; heat goes into each.
    Coil(Coil),
    /// Tank water is pumped out, warmed and returned.
    Circulated(Circulated),
}

/// What comes through an exchanger on the loop's side.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stream<'a> {
    pub(crate) fluid: &'a Fluid,
    /// Capacity flow of the pump at full speed in W/K.
    pub(crate) full_w_k: f64,
}

impl Exchanger {
    pub(crate) fn new(spec: &ExchangerSpec, tank: &Tank, stream: &Stream<'_>) -> Self {
        match *spec {
            ExchangerSpec::Coil { bottom_frac, top_frac, ua_w_k, inlet, tube } => {
                let coil = Coil::new(bottom_frac, top_frac, ua_w_k, inlet, tank);
                Self::Coil(match tube {
                    None => coil,
                    Some(tube) => coil.of_tube(&tube, stream),
                })
            }
            ExchangerSpec::Plate { .. } | ExchangerSpec::OpenLoop { .. } => {
                Self::Circulated(Circulated::new(spec, tank, stream.full_w_k))
            }
        }
    }

    /// The same with its ends changed over, without any pump.
    pub(crate) fn turned(&self) -> Self {
        match self {
            Self::Coil(coil) => Self::Coil(coil.turned()),
            Self::Circulated(circulated) => Self::Circulated(circulated.turned()),
        }
    }

    /// Electric power of a pump on the tank's side, in W.
    pub(crate) fn pump_w(&self) -> f64 {
        match self {
            Self::Coil(_) => 0.0,
            Self::Circulated(circulated) => circulated.pump_w,
        }
    }
}
