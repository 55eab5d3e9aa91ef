//! Loss of a tank through its foam, from the thickness.
//!
//! Conduction through a cylinder and flat ends with a film outside. Real tanks lose 1.3 to 2 times as much, at ports, element
//! covers, legs and a bare bottom (common practice): those are entered as fittings.

/// Film outside the jacket in W/(m2 K): 8 to 10 indoors (common practice).
const FILM_W_M2_K: f64 = 8.0;

/// Foam around a tank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foam {
    /// Thickness in m.
    pub thickness_m: f64,
    /// Conductivity in W/(m K).
    pub conductivity_w_m_k: f64,
}

impl Foam {
    /// Loss of the side per area of the water's cylinder, in W/(m2 K).
    pub fn side_w_m2_k(&self, water_radius_m: f64) -> f64 {
        let outer_m = water_radius_m + self.thickness_m;
        let wall = libm::log(outer_m / water_radius_m) / self.conductivity_w_m_k;
        1.0 / (water_radius_m * (wall + 1.0 / (FILM_W_M2_K * outer_m)))
    }

    /// Loss of an end in W/(m2 K).
    pub fn end_w_m2_k(&self) -> f64 {
        1.0 / (self.thickness_m / self.conductivity_w_m_k + 1.0 / FILM_W_M2_K)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thin_foam_is_flat_and_thick_foam_is_a_cylinder() {
        // A radius of 1 km: the cylinder is flat to 1e-5.
        let foam = Foam { thickness_m: 0.05, conductivity_w_m_k: 0.025 };
        assert!((foam.side_w_m2_k(1000.0) / foam.end_w_m2_k() - 1.0).abs() < 1e-4);
        // 1/(2 + 1/8) by hand.
        assert!((foam.end_w_m2_k() - 0.470_588).abs() < 1e-6);
        // Radius 0.2, outside 0.25: 1/(0.2 (8.925742 + 0.5)) = 0.530462 by hand.
        assert!((foam.side_w_m2_k(0.2) - 0.530_462).abs() < 1e-6);
    }
}
