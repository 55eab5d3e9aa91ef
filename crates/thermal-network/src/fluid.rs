//! Loop fluids: water and propylene glycol mixtures.

/// A loop fluid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fluid {
    /// Constant properties.
    Constant {
        /// Density in kg/m3.
        density_kg_m3: f64,
        /// Specific heat in J/(kg K).
        specific_heat_j_kg_k: f64,
    },
    /// Water, properties with temperature.
    Water,
    /// Propylene glycol and water, properties with temperature.
    PropyleneGlycol {
        /// Share of glycol by volume, 0.2 to 0.5.
        volume_frac: f64,
    },
}
