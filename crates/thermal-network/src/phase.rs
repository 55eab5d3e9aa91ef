//! Where a loop's fluid stops being a liquid: ice that bursts a pipe, and steam.

use crate::fluid::Fluid;

/// Burst protection of inhibited propylene glycol in %, degC: colder than this the slush has too little room and bursts what
/// holds it. Makers' tables, as widely reprinted, in steps of 10 F (from memory): 10, 0, -10, -20, -30 and -60 F. They end at
/// 35 %, from where the mixture no longer swells as it freezes.
const BURST: [(f64, f64); 6] =
    [(0.20, -12.2), (0.24, -17.8), (0.28, -23.3), (0.30, -28.9), (0.33, -34.4), (0.35, -51.1)];

/// Molar mass in kg/mol of water and of propylene glycol, and their densities in kg/m3 at 20 degC (CODATA and handbooks).
const WATER_KG_MOL: f64 = 0.018_015;
const GLYCOL_KG_MOL: f64 = 0.076_09;
const WATER_KG_M3: f64 = 998.0;
const GLYCOL_KG_M3: f64 = 1036.0;

/// Air temperature in degC below which a pipe full of this fluid is at risk of bursting; `None` for [`Fluid::Constant`].
///
/// Water: 0. Mixtures by straight lines between the makers' figures; a mixture stronger than 35 % counts as one of 35 %.
pub fn burst_c(fluid: &Fluid) -> Option<f64> {
    match *fluid {
        Fluid::Constant { .. } => None,
        Fluid::Water => Some(0.0),
        Fluid::PropyleneGlycol { volume_frac } => {
            let strength = volume_frac.clamp(BURST[0].0, BURST[BURST.len() - 1].0);
            let upper = BURST.partition_point(|point| point.0 < strength).max(1);
            let ((weak, weak_c), (strong, strong_c)) = (BURST[upper - 1], BURST[upper]);
            Some(weak_c + (strength - weak) / (strong - weak) * (strong_c - weak_c))
        }
    }
}

/// Temperature in degC at which a fluid boils under an absolute pressure in Pa, 611 Pa to 22 MPa.
///
/// Water: IAPWS-IF97, region 4, backward equation (Wagner and others 2000). Mixtures: water boils out of them while the glycol
/// hardly does, so the water's vapor pressure is taken in proportion to its share of the molecules (Raoult); makers' figures
/// for 40 and 50 % are met within 1 K. [`Fluid::Constant`] counts as water.
pub fn boiling_c(fluid: &Fluid, absolute_pa: f64) -> f64 {
    let water_share = match *fluid {
        Fluid::PropyleneGlycol { volume_frac } => {
            let water = (1.0 - volume_frac) * WATER_KG_M3 / WATER_KG_MOL;
            water / (water + volume_frac * GLYCOL_KG_M3 / GLYCOL_KG_MOL)
        }
        Fluid::Water | Fluid::Constant { .. } => 1.0,
    };
    saturation_c(absolute_pa / water_share)
}

/// Boiling point of water: IAPWS-IF97, equation 31.
fn saturation_c(absolute_pa: f64) -> f64 {
    const N: [f64; 10] = [
        0.116_705_214_527_67e4,
        -0.724_213_167_032_06e6,
        -0.170_738_469_400_92e2,
        0.120_208_247_024_70e5,
        -0.323_255_503_223_33e7,
        0.149_151_086_135_30e2,
        -0.482_326_573_615_91e4,
        0.405_113_405_420_57e6,
        -0.238_555_575_678_49,
        0.650_175_348_447_98e3,
    ];
    let root = libm::sqrt(libm::sqrt(absolute_pa * 1e-6));
    let square = root * root;
    let e = square + N[2] * root + N[5];
    let f = N[0] * square + N[3] * root + N[6];
    let g = N[1] * square + N[4] * root + N[7];
    let d = 2.0 * g / (-f - libm::sqrt(f * f - 4.0 * e * g));
    let sum = N[9] + d;
    0.5 * (sum - libm::sqrt(sum * sum - 4.0 * (N[8] + N[9] * d))) - 273.15
}

#[cfg(test)]
mod tests {
    use super::*;

    fn glycol(volume_frac: f64) -> Fluid {
        Fluid::PropyleneGlycol { volume_frac }
    }

    #[test]
    fn water_boils_where_the_formulation_says() {
        // Table 36 of IAPWS-IF97 (from memory), in K; its digits are all met.
        for (pa, kelvin) in [(0.1e6, 372.755_919), (1.0e6, 453.035_632), (10.0e6, 584.149_488)] {
            let found = boiling_c(&Fluid::Water, pa) + 273.15;
            assert!((found - kelvin).abs() < 1e-6, "{found}");
        }
        // Normal boiling point on the 1990 scale: 99.974 degC; the equation is good to some mK.
        assert!((boiling_c(&Fluid::Water, 101_325.0) - 99.974).abs() < 0.005);
        let constant = Fluid::Constant { density_kg_m3: 990.0, specific_heat_j_kg_k: 4186.0 };
        assert_eq!(boiling_c(&constant, 2e5), boiling_c(&Fluid::Water, 2e5));
    }

    #[test]
    fn glycol_boils_a_little_hotter() {
        // Makers' tables for inhibited fluids at one atmosphere (from memory): 219 F at 40 %, 222 F at 50 %.
        for (share, boils_f) in [(0.4, 219.0), (0.5, 222.0)] {
            let found_f = boiling_c(&glycol(share), 101_325.0) * 1.8 + 32.0;
            assert!((found_f - boils_f).abs() < 1.8, "{share}: {found_f}");
        }
    }

    #[test]
    fn burst_points_follow_the_table() {
        for (percent, fahrenheit) in [
            (20.0, 10.0),
            (24.0, 0.0),
            (28.0, -10.0),
            (30.0, -20.0),
            (33.0, -30.0),
            (35.0, -60.0),
            (50.0, -60.0),
        ] {
            let found = burst_c(&glycol(percent / 100.0)).unwrap() * 1.8 + 32.0;
            // The table is kept to 0.1 K.
            assert!((found - fahrenheit).abs() < 0.1, "{percent} %: {found} F");
        }
        // Half-way between 30 and 33 %.
        assert!((burst_c(&glycol(0.315)).unwrap() + 31.65).abs() < 1e-9);
        assert_eq!(burst_c(&Fluid::Water), Some(0.0));
        // Slush comes long before bursting.
        for share in [0.2, 0.25, 0.3, 0.4, 0.5] {
            assert!(burst_c(&glycol(share)) < glycol(share).freezing_c());
        }
    }
}
