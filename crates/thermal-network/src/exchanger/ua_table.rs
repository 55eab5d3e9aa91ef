//! How the conductance of a coil made of tube follows flow and temperatures.
//!
//! The resistances of [`CoilUa`](crate::coil_ua::CoilUa), tabulated once before a plant steps: the loop's side over flow and
//! temperature, the water's side over the water's temperature and what falls across its film. A step takes straight lines
//! between the corners, and the end values beyond them: without flow the inside film keeps the least value of laminar flow.

use super::Stream;
use crate::coil_ua::{Inner, Outer};
use crate::spec::CoilTubeSpec;

/// Flows: from this share of the pump's full flow, so many in each doubling.
const LEAST_FLOW_FRAC: f64 = 1.0 / 32.0;
const PER_DOUBLING: f64 = 4.0;
const FLOWS: usize = 29;

/// Temperatures of the loop: the first and the distance of the others, in degC and K.
const FIRST_LOOP_C: f64 = -20.0;
const APART_K: f64 = 5.0;
const LOOPS: usize = 29;

/// Temperatures of the tank, from 0 degC.
const TANKS: usize = 21;

/// What falls across the water's film is counted by its fourth root, along which the conductance is nearly straight. The first,
/// where the water is warmer than the coil, and the distance of the others.
const FIRST_ROOT: f64 = -2.5;
const ROOT_APART: f64 = 0.25;
const ROOTS: usize = 23;

/// Rounds in which the film and what falls across it settle: each shrinks the error to a third or less, and of the film's error
/// a third or less is the conductance's.
const ROUNDS: usize = 3;

/// Resistances of a coil over what they depend on.
#[derive(Clone, Debug)]
pub(crate) struct UaTable {
    /// Conductance of a meter of tube to the loop's fluid in W/(m K): temperatures, in each all flows.
    inner_w_m_k: Vec<f64>,
    /// To the tank's water, and the share of its resistance that is the film's: temperatures, in each all roots.
    outer: Vec<[f64; 2]>,
    /// Reciprocal of the least flow in W/K.
    per_least_k_w: f64,
    /// Length of the tube in m as a share of the conductance at the design point.
    length_m_k_w: f64,
}

/// Where the conductance is asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Asked {
    /// Capacity flow of the loop in W/K.
    pub(crate) flow_w_k: f64,
    /// Mean temperature of the loop's fluid in the coil in degC.
    pub(crate) loop_c: f64,
    /// Of the water beside it.
    pub(crate) tank_c: f64,
}

impl UaTable {
    /// `design_w_k`: conductance at the design point. The fluid's viscosity must be known.
    pub(crate) fn new(
        spec: &CoilTubeSpec,
        &Stream { fluid, full_w_k }: &Stream<'_>,
        design_w_k: f64,
    ) -> Self {
        let least_w_k = LEAST_FLOW_FRAC * full_w_k;
        let inner_w_m_k = corners(LOOPS, FLOWS, |t, f| {
            let loop_c = FIRST_LOOP_C + APART_K * t;
            let heat_j_m3_k = fluid.density_kg_m3(loop_c) * fluid.specific_heat_j_kg_k(loop_c);
            let flow_m3_s = least_w_k * libm::exp2(f / PER_DOUBLING) / heat_j_m3_k;
            // Assembly has refused fluids that have none.
            let inner = Inner::of(&spec.tube, &spec.mount, fluid, loop_c, flow_m3_s);
            inner.map_or(0.0, |inner| 1.0 / inner.m_k_w)
        });
        let outer = corners(TANKS, ROOTS, |t, r| {
            let root = FIRST_ROOT + ROOT_APART * r;
            let film_k = root * root * root * root.abs();
            let Outer { m_k_w, film_frac, .. } =
                spec.mount.outer(&spec.tube, APART_K * t, film_k, spec.scale_m2_k_w);
            [1.0 / m_k_w, film_frac]
        });
        Self {
            inner_w_m_k,
            outer,
            per_least_k_w: 1.0 / least_w_k,
            length_m_k_w: spec.tube.length_m / design_w_k,
        }
    }

    /// Conductance as a share of that at the design point.
    pub(crate) fn ua_frac(&self, &Asked { flow_w_k, loop_c, tank_c }: &Asked) -> f64 {
        let loops = place((loop_c - FIRST_LOOP_C) / APART_K, LOOPS);
        let flows = place(PER_DOUBLING * libm::log2(flow_w_k * self.per_least_k_w), FLOWS);
        let inner_m_k_w = 1.0 / between(&self.inner_w_m_k, FLOWS, loops, flows, |&corner| corner);
        let tanks = place(tank_c / APART_K, TANKS);
        let difference_k = loop_c - tank_c;
        let mut film_k = 0.5 * difference_k;
        let mut total_m_k_w = inner_m_k_w;
        for _ in 0..ROUNDS {
            let root = libm::copysign(film_k.abs().sqrt().sqrt(), film_k);
            let roots = place((root - FIRST_ROOT) / ROOT_APART, ROOTS);
            let outer_m_k_w = 1.0 / between(&self.outer, ROOTS, tanks, roots, |corner| corner[0]);
            let film_frac = between(&self.outer, ROOTS, tanks, roots, |corner| corner[1]);
            total_m_k_w = inner_m_k_w + outer_m_k_w;
            film_k = difference_k * outer_m_k_w * film_frac / total_m_k_w;
        }
        self.length_m_k_w / total_m_k_w
    }
}

/// Values at the corners of a grid, row by row.
fn corners<T>(rows: usize, columns: usize, value: impl Fn(f64, f64) -> T) -> Vec<T> {
    (0..rows * columns).map(|i| value((i / columns) as f64, (i % columns) as f64)).collect()
}

/// The line of a grid below a place, and how far beyond it the place lies.
fn place(at: f64, lines: usize) -> (usize, f64) {
    let at = at.max(0.0).min((lines - 1) as f64);
    let below = (at as usize).min(lines - 2);
    (below, at - below as f64)
}

/// The value of a grid between its corners.
fn between<T>(
    grid: &[T],
    columns: usize,
    (row, down): (usize, f64),
    (column, along): (usize, f64),
    value: impl Fn(&T) -> f64,
) -> f64 {
    let line = |row: usize| {
        let at = row * columns + column;
        let (low, high) = (value(&grid[at]), value(&grid[at + 1]));
        low + along * (high - low)
    };
    let (low, high) = (line(row), line(row + 1));
    low + down * (high - low)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coil_ua::{CoilTube, CoilUa, DesignPoint, Mount};
    use crate::fluid::Fluid;

    /// Invented: 100 ft of 1/2 in tube in a tank of 80 gal.
    const TUBE: CoilTube =
        CoilTube { length_m: 30.0, bore_m: 0.0138, outer_m: 0.0159, metal_w_m_k: 385.0, coil_m: 0.4 };
    const WRAPPED: Mount =
        Mount::Wrapped { bond_w_m_k: 20.0, tank_m: 0.5, covered_m: 0.6, wall_m: 0.0025, wall_w_m_k: 50.0 };
    const GLYCOL: Fluid = Fluid::PropyleneGlycol { volume_frac: 0.5 };
    const FULL_W_K: f64 = 350.0;

    struct Coil {
        spec: CoilTubeSpec,
        fluid: Fluid,
        table: UaTable,
    }

    impl Coil {
        fn new(mount: Mount, fluid: Fluid, scale_m2_k_w: f64) -> Self {
            let spec = CoilTubeSpec { tube: TUBE, mount, scale_m2_k_w };
            let table = UaTable::new(&spec, &Stream { fluid: &fluid, full_w_k: FULL_W_K }, 1.0);
            Self { spec, fluid, table }
        }

        fn exact(&self, asked: &Asked) -> CoilUa {
            let Self { fluid, spec, .. } = *self;
            let (loop_c, tank_c) = (asked.loop_c, asked.tank_c);
            let heat_j_m3_k = fluid.density_kg_m3(loop_c) * fluid.specific_heat_j_kg_k(loop_c);
            let flow_m3_s = asked.flow_w_k / heat_j_m3_k;
            let scale_m2_k_w = spec.scale_m2_k_w;
            let point = DesignPoint { fluid, flow_m3_s, loop_c, tank_c, scale_m2_k_w };
            CoilUa::of(&spec.tube, &spec.mount, &point).unwrap()
        }
    }

    fn asked(flow_frac: f64, loop_c: f64, tank_c: f64) -> Asked {
        Asked { flow_w_k: flow_frac * FULL_W_K, loop_c, tank_c }
    }

    #[test]
    fn between_its_corners_the_table_follows_the_films() {
        for (mount, fluid, scale_m2_k_w) in [
            (Mount::Immersed, Fluid::Water, 0.0),
            (Mount::Immersed, GLYCOL, 0.000_528),
            (WRAPPED, Fluid::Water, 0.000_176),
            (WRAPPED, GLYCOL, 0.0),
        ] {
            let coil = Coil::new(mount, fluid, scale_m2_k_w);
            let mut errors = Vec::new();
            // 1/16 to twice the full flow, loop 11 to 100 degC, tank from 15 K above it to 45 K below.
            for (i, j, k) in (0..20 * 27 * 40).map(|n| (n % 20, n / 20 % 27, n / 540)) {
                let loop_c = 11.0 + 3.37 * f64::from(j);
                let tank_c = loop_c + 15.07 - 1.54 * f64::from(k);
                if !(10.0..95.0).contains(&tank_c) {
                    continue;
                }
                let asked = asked(libm::exp2(-4.0 + (f64::from(i) + 0.37) / 4.0), loop_c, tank_c);
                errors.push((coil.table.ua_frac(&asked) / coil.exact(&asked).ua_w_k - 1.0).abs());
            }
            errors.sort_by(f64::total_cmp);
            let within = |share: f64| errors[(share * (errors.len() - 1) as f64) as usize];
            // Straight lines over grids this fine: 0.5 % at nine places in ten. The rest lies where the flow turns turbulent: the
            // inside film jumps by a third there, which the table spreads over one step of its flows; a coil has part of that.
            assert!(errors.len() > 10_000);
            assert!(within(0.9) < 5e-3 && within(1.0) < 0.12, "{mount:?} {} {}", within(0.9), within(1.0));
        }
    }

    #[test]
    fn more_flow_and_warmer_fluid_never_lower_it_and_the_ends_hold() {
        for (mount, fluid) in [(Mount::Immersed, GLYCOL), (WRAPPED, Fluid::Water)] {
            let coil = Coil::new(mount, fluid, 0.0);
            let ua = |flow_frac, loop_c, tank_c| coil.table.ua_frac(&asked(flow_frac, loop_c, tank_c));
            for (loop_c, tank_c) in [(60.0, 40.0), (5.0, 45.0), (40.0, 40.0)] {
                let by_flow: Vec<f64> =
                    (0..400).map(|i| ua(libm::exp2(f64::from(i) / 20.0 - 14.0), loop_c, tank_c)).collect();
                assert!(by_flow.windows(2).all(|pair| 0.0 < pair[0] && pair[0] <= pair[1]));
                assert_eq!(ua(0.0, loop_c, tank_c), by_flow[0]);
                assert_eq!(ua(4.0, loop_c, tank_c), ua(1e3, loop_c, tank_c));
            }
            let by_loop: Vec<f64> = (0..200).map(|i| ua(0.5, 40.0 + 0.4 * f64::from(i), 40.0)).collect();
            assert!(by_loop.windows(2).all(|pair| pair[0] <= pair[1]));
            for far_c in [-1e3, 1e3] {
                assert!(ua(1.0, far_c, 40.0).is_finite() && ua(1.0, 40.0, far_c).is_finite());
            }
        }
    }

    /// Worked independently: see there.
    const WORKED: &str = include_str!("../../tests/data/coil_ua.csv");

    #[test]
    fn rows_of_the_worked_table_are_met_with_water_and_with_glycol() {
        let tube =
            CoilTube { length_m: 1.0, bore_m: 0.019_94, outer_m: 0.022_22, metal_w_m_k: 385.0, coil_m: 0.4 };
        let mut rows = 0;
        for line in WORKED.lines().filter(|line| line.starts_with(|first: char| first.is_ascii_digit())) {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |i: usize| cells[i].parse::<f64>().unwrap();
            // One step of flows about the jump belongs to neither side of it.
            if (number(4) / number(5) - 1.0).abs() < 0.19 {
                continue;
            }
            let fluid = match number(3) {
                0.0 => Fluid::Water,
                percent => Fluid::PropyleneGlycol { volume_frac: percent / 100.0 },
            };
            let spec = CoilTubeSpec { tube, mount: Mount::Immersed, scale_m2_k_w: 0.0 };
            let table = UaTable::new(&spec, &Stream { fluid: &fluid, full_w_k: FULL_W_K }, 1.0);
            let (tank_c, loop_c) = (number(0), number(1));
            let heat_j_m3_k = fluid.density_kg_m3(loop_c) * fluid.specific_heat_j_kg_k(loop_c);
            let asked = Asked { flow_w_k: number(2) / 60_000.0 * heat_j_m3_k, loop_c, tank_c };
            let found = table.ua_frac(&asked);
            // 0.8 % of the rows themselves (see `coil_ua`) and 0.5 % between the corners.
            assert!((found / number(11) - 1.0).abs() < 1.3e-2, "{line}: {found}");
            rows += 1;
        }
        assert_eq!(rows, 18);
    }
}
