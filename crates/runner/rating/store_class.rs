//! Standing loss of a hot-water tank from its European energy class.
//!
//! Class limits of Regulations (EU) 812/2013 and 814/2013, annex II: loss in W with the tank at 65 degC in a room of 20 degC,
//! rising with the 0.4th power of the volume in litres.

/// Difference at which the standing loss is stated, in K.
const STATED_K: f64 = 45.0;

/// Energy class of a tank, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoreClass {
    /// A+
    APlus,
    /// A
    A,
    /// B
    B,
    /// C, the worst that may be sold since 26 September 2017 (from memory)
    C,
    /// D
    D,
    /// E
    E,
    /// F
    F,
}

impl StoreClass {
    /// Largest standing loss of the class in W for a volume in m3.
    pub fn largest_loss_w(self, volume_m3: f64) -> f64 {
        let (base_w, rise_w) = match self {
            Self::APlus => (5.5, 3.16),
            Self::A => (8.5, 4.25),
            Self::B => (12.0, 5.93),
            Self::C => (16.66, 8.33),
            Self::D => (21.0, 10.33),
            Self::E => (26.0, 13.66),
            Self::F => (31.0, 16.66),
        };
        base_w + rise_w * libm::pow(volume_m3 * 1000.0, 0.4)
    }
}

/// Conductance in W/K of a stated standing loss in W.
pub fn conductance_w_k(standing_loss_w: f64) -> f64 {
    standing_loss_w / STATED_K
}
