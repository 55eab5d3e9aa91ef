//! L7: the exchangers by themselves, between a loop at 60 degC and a tank that does not warm.

use thermal_network::flows::Flows;
use thermal_network::spec::{CoilInlet, ExchangerSpec, PlateRating};
use thermal_network::{Scratch, State, counterflow_effectiveness};

use super::plants::{FLOW_W_K, HUGE_M3, lossless, plant, solar_loop, steady_source, still};
use super::{answer, check};

const SLICES: usize = 30;

const COIL: ExchangerSpec = ExchangerSpec::Coil {
    bottom_frac: 0.02,
    top_frac: 0.5,
    ua_w_k: 420.0,
    inlet: CoilInlet::Top,
    tube: None,
};

/// Heat in W into all slices and into each, the slices being at `slices_c`.
fn given_w(exchanger: ExchangerSpec, slices_c: &[f64; SLICES]) -> (f64, Vec<f64>) {
    let plant = plant(lossless(HUGE_M3, SLICES), Some(solar_loop(true, steady_source(), exchanger)));
    let mut state = State::new(&plant, 60.0);
    state.set_tank_c(&plant, 0, slices_c);
    let mut scratch = Scratch::new(&plant);
    // Until what stood in the loop has gone round.
    plant.advance(&mut state, &mut scratch, &still(20.0), 60, &mut Flows::new(), |_, _, _| {});
    let before_c = state.tank_c(&plant, 0).to_vec();
    let mut flows = Flows::new();
    plant.advance(&mut state, &mut scratch, &still(20.0), 60, &mut flows, |_, _, _| {});
    let slice_j_k = HUGE_M3 / SLICES as f64 * 990.0 * 4186.0;
    let each_w =
        state.tank_c(&plant, 0).iter().zip(&before_c).map(|(now, before)| (now - before) * slice_j_k / 60.0);
    (flows.heat_into_tank_j / 60.0, each_w.collect())
}

#[test]
fn limits_of_the_exchangers() {
    let (even_w, _) = given_w(COIL, &[30.0; SLICES]);
    let mut layered_c = [40.0; SLICES];
    layered_c[..8].fill(20.0);
    let (layered_w, each_w) = given_w(COIL, &layered_c);
    let plate = ExchangerSpec::Plate {
        rating: PlateRating::UaWK(900.0),
        scale_k_w: 0.0,
        tank_flow_kg_s: 0.06,
        tank_pump_w: 0.0,
        draw_from_frac: 0.0,
        return_to_frac: 0.5,
    };
    let (plate_w, _) = given_w(plate, &[30.0; SLICES]);
    check(
        "L7",
        &[
            answer("coil effectiveness", even_w / (FLOW_W_K * 30.0)),
            answer("coil outlet, inlet 60 C, store 30 C", 60.0 - even_w / FLOW_W_K),
            answer("heat to the store in that state", even_w),
            answer("coil outlet, inlet 60 C, lowest 8", 60.0 - layered_w / FLOW_W_K),
            answer("heat to the 40 C part", each_w[8..].iter().sum()),
            answer("heat to the 20 C part", each_w[..8].iter().sum()),
            answer("plate effectiveness", counterflow_effectiveness(900.0, FLOW_W_K, 251.16)),
            answer("plate heat", plate_w),
        ],
        &[],
    );
    // Equal flows: N/(1 + N).
    approx::assert_relative_eq!(
        counterflow_effectiveness(518.0, 259.0, 259.0),
        2.0 / 3.0,
        max_relative = 1e-12
    );
}
