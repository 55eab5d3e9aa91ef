//! Case A1's plant as ordinary differential equations: collector cells, pipes in cells of 2 m, slices of the tank, the heat into it.
//!
//! The equations are those the program states for its components; what is its own there and not here is the way through time. Pipes
//! are mixed cells where suncask has plug flow, and buoyancy is a flux between slices out of order where suncask mixes them at once.

use std::f64::consts::PI;

use differential_equations::prelude::ODE;
use thermal_network::flows::Conditions;
use thermal_network::fluid::Fluid;
use thermal_network::slice_at;
use thermal_network::spec::{
    ExchangerSpec, LoopSpec, PipeRunSpec, PlantSpec, PumpFlow, Surroundings, TankSpec,
};

pub(crate) const CELLS: usize = 6;
/// Cells of each pipe.
pub(crate) const PIPE: usize = 6;
pub(crate) const SLICES: usize = 30;

const SUPPLY: usize = CELLS;
const RETURN: usize = SUPPLY + PIPE;
const TANK: usize = RETURN + PIPE;
const HEAT: usize = TANK + SLICES;
/// Temperatures in degC, and behind them the heat into the tank as the warming of all its water in K.
pub(crate) const STATES: usize = HEAT + 1;
pub(crate) type Y = [f64; STATES];

const PIPE_CELL_M: f64 = 2.0;

/// Flux between slices out of order, in W/K: with a third of it they stay out of order so far that 1.5 % less heat comes in.
const BUOYANCY_W_K: f64 = 6000.0;

/// A cell of a pipe.
#[derive(Clone, Copy)]
struct PipeCell {
    j_k: f64,
    loss_w_k: f64,
    around: Surroundings,
}

/// Parameters.
pub(crate) struct Plant {
    gain_m2: f64,
    collector: [f64; 3],
    cell_m2: f64,
    pipes: [[PipeCell; PIPE]; 2],
    pub(crate) flow_w_k: f64,
    slice_j_k: f64,
    water_j_m3_k: f64,
    loss_w_k: [f64; SLICES],
    conduction_w_k: f64,
    /// Share of the fluid's difference given up beside each slice.
    coil: [f64; SLICES],
    pub(crate) sensor_slice: usize,
    pub(crate) thermostat_slice: usize,
    element_slice: usize,
    pub(crate) element_w: f64,
    pub(crate) element_c: [f64; 2],
    pub(crate) solar: LoopSpec,
}

/// The plant with what acts on it and what its controls have decided.
pub(crate) struct Acted<'a> {
    pub(crate) plant: &'a Plant,
    pub(crate) c: Conditions,
    pub(crate) pump_on: bool,
    pub(crate) element_on: bool,
}

impl Plant {
    /// Of a plant with one tank, a coil and one element, whose parts have the numbers that the state has room for.
    pub(crate) fn new(spec: &PlantSpec) -> Self {
        let solar = spec.solar_loop.clone().expect("a loop");
        let [tank] = &spec.tanks[..] else { panic!("one tank") };
        let [element] = tank.elements[..] else { panic!("one element") };
        assert_eq!((solar.collector.cells, tank.slices), (CELLS, SLICES));
        let Fluid::Constant { density_kg_m3, specific_heat_j_kg_k } = solar.fluid else {
            panic!("a constant fluid")
        };
        let PumpFlow::MassKgS(flow_kg_s) = solar.pump.flow else { panic!("a mass flow") };
        let flow_w_k = flow_kg_s * specific_heat_j_kg_k;
        let pipe = |runs: &[PipeRunSpec]| pipe_cells(runs, density_kg_m3 * specific_heat_j_kg_k);
        let s = &solar.collector;
        Self {
            gain_m2: s.eta0b * s.area_m2 / CELLS as f64,
            collector: [s.a1_w_m2_k, s.a2_w_m2_k2, s.a5_j_m2_k],
            cell_m2: s.area_m2 / CELLS as f64,
            pipes: [pipe(&solar.supply), pipe(&solar.ret)],
            flow_w_k,
            slice_j_k: tank.volume_m3 / SLICES as f64 * tank.water_kg_m3 * tank.water_j_kg_k,
            water_j_m3_k: tank.water_kg_m3 * tank.water_j_kg_k,
            loss_w_k: tank_loss_w_k(tank),
            conduction_w_k: tank.conduction_w_m_k * tank.volume_m3 / (tank.height_m * tank.height_m)
                * SLICES as f64,
            coil: coil(&solar.exchanger, flow_w_k),
            sensor_slice: slice_at(solar.controller.sensor_height_frac, SLICES),
            thermostat_slice: slice_at(element.thermostat_frac, SLICES),
            element_slice: slice_at(element.height_frac, SLICES),
            element_w: element.power_w,
            element_c: [element.set_c - element.band_k, element.set_c],
            solar,
        }
    }

    /// The state from temperatures of cells, pipes and slices, without heat yet.
    pub(crate) fn state(&self, cells_c: &[f64], pipes_c: [f64; 2], slices_c: &[f64]) -> Y {
        let mut y = [0.0; STATES];
        y[..CELLS].copy_from_slice(cells_c);
        y[SUPPLY..RETURN].fill(pipes_c[0]);
        y[RETURN..TANK].fill(pipes_c[1]);
        y[TANK..HEAT].copy_from_slice(slices_c);
        y
    }

    /// Temperature at the collector's outlet.
    pub(crate) fn outlet_c(y: &Y) -> f64 {
        y[CELLS - 1]
    }

    /// Temperature of a slice.
    pub(crate) fn slice_c(y: &Y, slice: usize) -> f64 {
        y[TANK + slice]
    }

    /// Heat into the tank so far in J.
    pub(crate) fn heat_j(&self, y: &Y) -> f64 {
        y[HEAT] * self.slice_j_k * SLICES as f64
    }
}

/// Insulated runs (Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, radial systems, from memory).
fn pipe_cells(runs: &[PipeRunSpec], fluid_j_m3_k: f64) -> [PipeCell; PIPE] {
    let cells = runs.iter().flat_map(|run| {
        let outer_m = run.tube_outer_m + 2.0 * run.insulation_m;
        let films = [run.inner_film_w_m2_k, run.outer_film_w_m2_k].map(|film| film.expect("a given film"));
        let resistance_m_k_w = 1.0 / (PI * run.bore_m * films[0])
            + (outer_m / run.tube_outer_m).ln() / (2.0 * PI * run.insulation_w_m_k)
            + 1.0 / (PI * outer_m * films[1]);
        let fluid_j_m_k = PI / 4.0 * run.bore_m * run.bore_m * fluid_j_m3_k;
        let count = (run.length_m / PIPE_CELL_M).round();
        let cell_m = run.length_m / count;
        let cell = PipeCell {
            j_k: (fluid_j_m_k + run.wall_capacity_j_m_k) * cell_m,
            loss_w_k: cell_m / resistance_m_k_w,
            around: run.surroundings,
        };
        std::iter::repeat_n(cell, count as usize)
    });
    let cells: Vec<PipeCell> = cells.collect();
    cells.try_into().unwrap_or_else(|cells: Vec<_>| panic!("{} cells of a pipe", cells.len()))
}

fn tank_loss_w_k(tank: &TankSpec) -> [f64; SLICES] {
    let area_m2 = tank.volume_m3 / tank.height_m;
    let side_m2 = PI * (4.0 * area_m2 / PI).sqrt() * tank.height_m / SLICES as f64;
    let mut loss_w_k = [side_m2 * tank.side_w_m2_k + tank.fittings_even_w_k / SLICES as f64; SLICES];
    loss_w_k[0] += area_m2 * tank.bottom_w_m2_k;
    loss_w_k[SLICES - 1] += area_m2 * tank.top_w_m2_k;
    loss_w_k
}

/// One side isothermal, `1 - exp(-NTU)` beside each slice (Kays & London, Compact Heat Exchangers, from memory).
fn coil(exchanger: &ExchangerSpec, flow_w_k: f64) -> [f64; SLICES] {
    let ExchangerSpec::Coil { bottom_frac, top_frac, ua_w_k, .. } = *exchanger else { panic!("a coil") };
    std::array::from_fn(|j| {
        let [low, high] = [j, j + 1].map(|border| border as f64 / SLICES as f64);
        let overlap = (high.min(top_frac) - low.max(bottom_frac)).max(0.0);
        1.0 - (-ua_w_k * overlap / (top_frac - bottom_frac) / flow_w_k).exp()
    })
}

impl ODE<f64, Y> for Acted<'_> {
    fn diff(&self, _: f64, y: &Y, dydt: &mut Y) {
        let Self { plant, c, pump_on, element_on } = self;
        let slices_c = &y[TANK..HEAT];
        let mut heat_w = [0.0; SLICES];
        let flow_w_k = if *pump_on { plant.flow_w_k } else { 0.0 };
        // The fluid through the coil from the top, then round the loop.
        let mut fluid_c = y[TANK - 1];
        let mut into_tank_w = 0.0;
        if *pump_on {
            for j in (0..SLICES).rev() {
                let fall_k = plant.coil[j] * (fluid_c - slices_c[j]);
                heat_w[j] = flow_w_k * fall_k;
                into_tank_w += heat_w[j];
                fluid_c -= fall_k;
            }
        }
        dydt[HEAT] = into_tank_w / (plant.slice_j_k * SLICES as f64);
        let mut through_pipe = |pipe: usize, start: usize, mut fluid_c: f64| {
            for (i, cell) in plant.pipes[pipe].iter().enumerate() {
                let cell_c = y[start + i];
                let lost_w = cell.loss_w_k * (cell_c - c.surroundings_c(cell.around));
                dydt[start + i] = (flow_w_k * (fluid_c - cell_c) - lost_w) / cell.j_k;
                fluid_c = cell_c;
            }
            fluid_c
        };
        let mut fluid_c = through_pipe(0, SUPPLY, fluid_c);
        through_pipe(1, RETURN, y[CELLS - 1]);
        let [a1, a2, a5] = plant.collector;
        for i in 0..CELLS {
            let over_k = y[i] - c.air_c;
            let lost_w = plant.cell_m2 * (a1 + a2 * over_k.abs()) * over_k;
            let net_w = plant.gain_m2 * c.effective_w_m2 - lost_w + flow_w_k * (fluid_c - y[i]);
            dydt[i] = net_w / (a5 * plant.cell_m2);
            fluid_c = y[i];
        }
        if *element_on {
            heat_w[plant.element_slice] += plant.element_w;
        }
        for j in 0..SLICES {
            heat_w[j] -= plant.loss_w_k[j] * (slices_c[j] - c.tank_room_c);
        }
        for j in 1..SLICES {
            let over_k = slices_c[j - 1] - slices_c[j];
            let up_w = (plant.conduction_w_k + if over_k > 0.0 { BUOYANCY_W_K } else { 0.0 }) * over_k;
            heat_w[j - 1] -= up_w;
            heat_w[j] += up_w;
        }
        if c.draw.flow_m3_s > 0.0 {
            let hot_c = slices_c[SLICES - 1];
            let share =
                ((c.draw.use_c - c.cold_water_c) / (hot_c - c.cold_water_c).max(1e-6)).clamp(0.0, 1.0);
            let drawn_w_k = c.draw.flow_m3_s * plant.water_j_m3_k * share;
            let mut below_c = c.cold_water_c;
            for j in 0..SLICES {
                heat_w[j] += drawn_w_k * (below_c - slices_c[j]);
                below_c = slices_c[j];
            }
        }
        for j in 0..SLICES {
            dydt[TANK + j] = heat_w[j] / plant.slice_j_k;
        }
    }
}
