//! L1 and L6: a pipe by itself.

use thermal_network::flows::Flows;
use thermal_network::spec::{LoopSpec, PipeRunSpec, Surroundings};
use thermal_network::{Contents, Plant, Scratch, State};

use super::plants::{
    FINE, FLOW_W_K, HUGE_M3, OPEN_LOOP, advance, lossless, plant, plant_with, solar_loop, still,
};
use super::{answer, check};
use thermal_network::spec::CollectorSpec;

const LENGTH_M: f64 = 12.0;

/// The pipe of the reference cases, in a room at 20 degC.
fn run() -> PipeRunSpec {
    PipeRunSpec {
        length_m: LENGTH_M,
        surroundings: Surroundings::TankRoom,
        bore_m: 0.0169,
        tube_outer_m: 0.01905,
        insulation_m: 0.019,
        insulation_w_m_k: 0.04,
        wall_capacity_j_m_k: 340.0,
        inner_film_w_m2_k: Some(1500.0),
        outer_film_w_m2_k: Some(10.0),
    }
}

/// A loop of nothing but the supply pipe: the collector holds and loses nothing worth naming.
fn piped(runs: bool) -> LoopSpec {
    let nothing = CollectorSpec { area_m2: 1.0, a5_j_m2_k: 1.0, cells: 1, ..CollectorSpec::default() };
    LoopSpec { supply: vec![run()], ..solar_loop(runs, nothing, OPEN_LOOP) }
}

/// A pipe at 60 degC left to stand for an hour: its capacity and its temperature at the end.
fn stood() -> (f64, f64) {
    let plant = plant(lossless(0.3, 1), Some(piped(false)));
    let mut state = State::new(&plant, 60.0);
    let capacity_j_k = Contents::of(&plant, &state).pipes_j / 60.0;
    advance(&plant, &mut state, &still(20.0), 3600);
    (capacity_j_k, Contents::of(&plant, &state).pipes_j / capacity_j_k)
}

#[test]
fn limits_of_a_pipe_itself() {
    let (capacity_j_k, after_c) = stood();
    let time_constant_s = 3600.0 / f64::ln(40.0 / (after_c - 20.0));
    check(
        "L1",
        &[
            answer("pipe loss per metre U'", capacity_j_k / time_constant_s / LENGTH_M),
            answer("pipe capacity per metre C'", capacity_j_k / LENGTH_M),
            answer("cooling time constant", time_constant_s),
            answer("delay of 12 m", capacity_j_k / FLOW_W_K),
        ],
        &[],
    );
}

/// Water at 60 degC enters a pipe at 20 degC; what arrives in the collector, second by second.
fn arrived_c(plant: &Plant, seconds: u32) -> (Vec<f64>, Flows) {
    let mut state = State::new(plant, 20.0);
    state.set_tank_c(plant, 0, &[60.0]);
    let mut arrived_c = Vec::new();
    let mut flows = Flows::new();
    let mut scratch = Scratch::new(plant);
    plant.advance(&mut state, &mut scratch, &still(20.0), seconds, &mut flows, |_, state, _| {
        arrived_c.push(state.collector_outlet_c(plant));
    });
    // The steady state by itself.
    let mut flows = Flows::new();
    plant.advance(&mut state, &mut scratch, &still(20.0), 60, &mut flows, |_, _, _| {});
    (arrived_c, flows)
}

#[test]
fn limits_of_a_pipe_in_flow() {
    let plant = plant_with(lossless(HUGE_M3, 1), Some(piped(true)), FINE);
    let (arrived_c, steady) = arrived_c(&plant, 300);
    let outlet_c = arrived_c[299];
    // Half of the step is there.
    let arrived_s = arrived_c.iter().position(|&c| c > 0.5 * (20.0 + outlet_c)).expect("it arrives") + 1;
    // Plug flow: nothing of it two seconds before, all of it (less what the collector still lags) two seconds after.
    assert!((arrived_c[arrived_s - 3] - 20.0).abs() < 1e-9, "{}", arrived_c[arrived_s - 3]);
    assert!((arrived_c[arrived_s + 1] - outlet_c).abs() < 0.05, "{}", arrived_c[arrived_s + 1]);
    check(
        "L6",
        &[
            answer("12 m pipe in a 20 C room", outlet_c),
            answer("heat lost by that pipe", steady.supply_loss_j / 60.0),
            answer("time until a step", arrived_s as f64),
            answer("the same pipe standing", stood().1),
        ],
        &[],
    );
}
