//! Sizes of the units of the US trade in SI.
//!
//! Exact by definition: inch 25.4 mm and pound 0.453 592 37 kg (international yard and pound agreement 1959); US gallon 231 in3;
//! Btu of the International Table, from 1 Btu/(lb F) = 4186.8 J/(kg K) (Fifth International Conference on the Properties of
//! Steam, 1956); standard gravity 9.806 65 m/s2 (CGPM 1901) in the psi.

pub(crate) const INCH_M: f64 = 0.0254;
pub(crate) const FOOT_M: f64 = 0.3048;
pub(crate) const SQUARE_FOOT_M2: f64 = FOOT_M * FOOT_M;
pub(crate) const GALLON_M3: f64 = 0.003_785_411_784;
pub(crate) const GPM_M3_S: f64 = GALLON_M3 / 60.0;
pub(crate) const POUND_KG: f64 = 0.453_592_37;
pub(crate) const BTU_J: f64 = 1_055.055_852_62;
pub(crate) const PSI_PA: f64 = POUND_KG * 9.806_65 / (INCH_M * INCH_M);
/// A difference of 1 F.
pub(crate) const RANKINE_K: f64 = 5.0 / 9.0;
/// 1 Btu/(h F).
pub(crate) const BTU_H_F_W_K: f64 = BTU_J / 3600.0 / RANKINE_K;
/// 1 Btu/(h ft2 F), the reciprocal of R-1.
pub(crate) const R_VALUE_W_M2_K: f64 = BTU_H_F_W_K / SQUARE_FOOT_M2;
