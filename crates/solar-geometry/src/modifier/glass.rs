//! Smooth glass covers: what Fresnel's reflection and Bouguer's absorption leave of slanting light.

use libm::exp;

/// How the reflections of a cover are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CoverMethod {
    /// All reflections inside and between the panes, for each polarisation.
    Traced,
    /// Absorption times the transmittance of the reflections alone (Duffie and Beckman, Solar Engineering of Thermal
    /// Processes, sections 5.1 to 5.3).
    Product,
    /// Front reflection and absorption of one layer without a back surface (W. De Soto, S. Klein and W. Beckman,
    /// Solar Energy 80 (2006) 78-88).
    FrontSurface,
}

/// One or more like panes of smooth glass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlassCover {
    refractive_index: f64,
    optical_depth: f64,
    panes: u32,
    method: CoverMethod,
    normal_transmittance: f64,
}

impl GlassCover {
    /// Panes of a refractive index (glass: 1.526) and an optical depth each: extinction coefficient times thickness
    /// (clear glass of 3 mm at 4 to 32 per m: 0.012 to 0.096). `panes` is at least 1 (0 counts as that).
    pub fn new(refractive_index: f64, optical_depth: f64, panes: u32, method: CoverMethod) -> Self {
        let cover =
            Self { refractive_index, optical_depth, panes: panes.max(1), method, normal_transmittance: 1.0 };
        Self { normal_transmittance: cover.transmittance(1.0), ..cover }
    }

    /// Share of unpolarised light that passes at the cosine of an incidence angle; none from 90 deg on.
    pub fn transmittance(&self, cos_incidence: f64) -> f64 {
        if cos_incidence <= 0.0 {
            return 0.0;
        }
        let cos_inside = cos_refracted(cos_incidence, self.refractive_index);
        let passed = exp(-self.optical_depth / cos_inside);
        let reflected = reflectances(cos_incidence, cos_inside, self.refractive_index);
        match self.method {
            CoverMethod::Traced => mean(reflected.map(|r| stack_transmittance(r, passed, self.panes))),
            CoverMethod::Product => {
                let panes = f64::from(self.panes);
                let reflections = mean(reflected.map(|r| (1.0 - r) / (1.0 + (2.0 * panes - 1.0) * r)));
                exp(-panes * self.optical_depth / cos_inside) * reflections
            }
            CoverMethod::FrontSurface => passed * (1.0 - mean(reflected)),
        }
    }

    /// Transmittance over its value at normal incidence.
    pub fn modifier(&self, cos_incidence: f64) -> f64 {
        self.transmittance(cos_incidence) / self.normal_transmittance
    }
}

/// Share of unpolarised light that one surface reflects (Fresnel): `((n - 1)/(n + 1))^2` at normal incidence.
pub fn surface_reflectance(cos_incidence: f64, refractive_index: f64) -> f64 {
    mean(reflectances(cos_incidence, cos_refracted(cos_incidence, refractive_index), refractive_index))
}

/// Cosine of the angle behind a surface, by Snell's law.
fn cos_refracted(cos_incidence: f64, refractive_index: f64) -> f64 {
    let sin_incidence_squared = 1.0 - cos_incidence * cos_incidence;
    (1.0 - sin_incidence_squared / (refractive_index * refractive_index)).max(0.0).sqrt()
}

/// Reflectance of one surface for light polarised across and along the plane of incidence.
fn reflectances(cos_outside: f64, cos_inside: f64, refractive_index: f64) -> [f64; 2] {
    let perpendicular =
        (cos_outside - refractive_index * cos_inside) / (cos_outside + refractive_index * cos_inside);
    let parallel =
        (refractive_index * cos_outside - cos_inside) / (refractive_index * cos_outside + cos_inside);
    [perpendicular * perpendicular, parallel * parallel]
}

/// Transmittance of a stack of like panes for one polarisation.
fn stack_transmittance(surface_reflectance: f64, passed: f64, panes: u32) -> f64 {
    let r = surface_reflectance;
    // One pane: the geometric series of reflections between its two surfaces.
    let pane_transmitted = passed * (1.0 - r) * (1.0 - r) / (1.0 - r * r * passed * passed);
    let pane_reflected = r * (1.0 + passed * pane_transmitted);
    let (mut transmitted, mut reflected) = (pane_transmitted, pane_reflected);
    for _ in 1..panes {
        // A further pane behind the stack: the series of reflections in the gap between them. At grazing incidence
        // both reflect everything and let nothing through.
        let gap = (1.0 - reflected * pane_reflected).max(f64::EPSILON);
        let reflected_by_both = pane_reflected + pane_transmitted * pane_transmitted * reflected / gap;
        transmitted = transmitted * pane_transmitted / gap;
        reflected = reflected_by_both;
    }
    transmitted
}

fn mean([a, b]: [f64; 2]) -> f64 {
    0.5 * (a + b)
}
