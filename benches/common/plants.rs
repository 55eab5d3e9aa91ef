//! Plants and spans that leave all but one component at rest.

use std::hint::black_box;

use thermal_network::coil_ua::{CoilTube, Mount};
use thermal_network::flows::{Conditions, Draw, FieldSun, Flows, Orders};
use thermal_network::fluid::Fluid;
use thermal_network::spec::{CoilTubeSpec, ExchangerSpec, LoopSpec, PlantSpec};
use thermal_network::{Plant, Scratch, State};

/// An hour, in s.
const HOUR_S: u32 = 3600;

/// A span that a plant goes through again and again, from the same state.
pub(crate) struct Kernel {
    pub(crate) name: &'static str,
    plant: Plant,
    conditions: Conditions,
    start: State,
    span_s: u32,
    times: u32,
    /// What shows that the span is what its name says.
    shows: fn(&Flows) -> bool,
}

/// What a kernel works with.
pub(crate) struct Work {
    state: State,
    scratch: Scratch,
}

impl Kernel {
    /// Working memory that has been through the span once.
    pub(crate) fn ready(&self) -> Work {
        let mut work = Work { state: self.start.clone(), scratch: Scratch::new(&self.plant) };
        let flows = self.span(&mut work);
        assert!((self.shows)(&flows), "{}: {flows:#?}", self.name);
        work
    }

    fn span(&self, work: &mut Work) -> Flows {
        work.state.clone_from(&self.start);
        let mut flows = Flows::new();
        let (state, scratch) = (&mut work.state, &mut work.scratch);
        self.plant.advance(state, scratch, &self.conditions, self.span_s, &mut flows, |_, _, _| {});
        flows
    }

    /// The span as often as the kernel says; returns the last flows.
    pub(crate) fn run(&self, work: &mut Work) -> Flows {
        (0..self.times).fold(Flows::new(), |_, _| black_box(self.span(work)))
    }
}

/// A dark hour in which nobody draws water.
fn quiet() -> Conditions {
    Conditions {
        effective_w_m2: 0.0,
        plane_w_m2: 0.0,
        air_c: 10.0,
        wind_m_s: 3.0,
        net_sky_w_m2: 0.0,
        tank_room_c: 20.0,
        second_tank_room_c: 20.0,
        other_space_c: 20.0,
        cold_water_c: 12.0,
        draw: Draw::default(),
        elements_allowed: 0,
        orders: Orders::default(),
        timer_on: false,
        second_field: FieldSun::default(),
    }
}

fn sun(effective_w_m2: f64) -> Conditions {
    Conditions { effective_w_m2, plane_w_m2: effective_w_m2, ..quiet() }
}

/// How a plant comes to where its kernel begins.
struct Begin {
    start_c: f64,
    /// The tank's slices rise by so much from bottom to top; fall where it is negative.
    rise_k: f64,
    /// Time under the kernel's own conditions, in s.
    after_s: u32,
}

fn kernel(
    name: &'static str,
    spec: &PlantSpec,
    conditions: Conditions,
    begin: &Begin,
    [span_s, times]: [u32; 2],
    shows: fn(&Flows) -> bool,
) -> Kernel {
    let plant = Plant::assemble(spec).expect("a plant");
    let mut start = State::new(&plant, begin.start_c);
    let slices = spec.tanks[0].slices;
    let ramp_c: Vec<f64> =
        (0..slices).map(|i| begin.start_c + begin.rise_k * i as f64 / slices as f64).collect();
    start.set_tank_c(&plant, 0, &ramp_c);
    let (mut scratch, mut flows) = (Scratch::new(&plant), Flows::new());
    plant.advance(&mut start, &mut scratch, &conditions, begin.after_s, &mut flows, |_, _, _| {});
    Kernel { name, plant, conditions, start, span_s, times, shows }
}

/// The kernels, of a plant of one tank.
pub(crate) fn kernels(spec: &PlantSpec) -> Vec<Kernel> {
    let tank = PlantSpec { solar_loop: None, ..spec.clone() };
    let with = |change: &dyn Fn(&mut LoopSpec)| {
        let mut spec = spec.clone();
        spec.solar_loop.iter_mut().for_each(change);
        spec
    };
    let mut one_slice = spec.clone();
    one_slice.tanks[0].slices = 1;
    let warm = Begin { start_c: 40.0, rise_k: 15.0, after_s: 0 };
    let running = Begin { start_c: 20.0, rise_k: 15.0, after_s: 1800 };
    let runs: fn(&Flows) -> bool = |flows| flows.pump_s == flows.duration_s;
    let rests: fn(&Flows) -> bool = |flows| flows.pump_s == 0.0;
    let run = |name, spec: &PlantSpec| kernel(name, spec, sun(700.0), &running, [HOUR_S, 100], runs);
    let draw = Draw { flow_m3_s: 1e-4, use_c: 45.0, comfort: false, usable_c: 40.0 };
    let steady = run("100 h of a steady run", spec);
    let difference_k = steady.start.collector_outlet_c(&steady.plant)
        - steady.start.tank_c(&steady.plant, 0)[steady.plant.sensor_slice()];
    vec![
        steady,
        run("100 h of a steady run, coil of tube", &with(&coil_of_tube)),
        run("100 h of a steady run, one collector cell", &with(&|solar| solar.collector.cells = 1)),
        run("100 h of a steady run, one slice", &one_slice),
        kernel(
            "100 h of a run decided every second",
            &with(&|solar| {
                solar.controller.interval_s = 1;
                // Decisions far from a change are passed over.
                solar.controller.off_k = difference_k - 1.0;
                solar.controller.on_k = difference_k;
            }),
            sun(700.0),
            &running,
            [HOUR_S, 100],
            |flows| flows.pump_starts > 0 && flows.loop_steps as f64 >= 0.8 * flows.duration_s,
        ),
        kernel("1000 h of loop and tank in the dark", spec, quiet(), &warm, [HOUR_S, 1000], rests),
        kernel("1000 h of a tank at rest", &tank, quiet(), &warm, [HOUR_S, 1000], rests),
        kernel(
            "100 h of a collector in the sun, pump held off",
            &with(&|solar| solar.controller.high_limit_c = 30.0),
            Conditions { air_c: 30.0, ..sun(900.0) },
            &Begin { after_s: HOUR_S, ..warm },
            [HOUR_S, 100],
            |flows| flows.stagnation_s > 0.0 && flows.pump_s == 0.0,
        ),
        kernel("100 draws of 10 min", &tank, Conditions { draw, ..quiet() }, &warm, [600, 100], |flows| {
            flows.tap_m3 > 0.0
        }),
        kernel(
            "100 h of an element",
            &tank,
            Conditions { elements_allowed: 1, ..quiet() },
            &Begin { start_c: 15.0, rise_k: 15.0, after_s: 120 },
            [HOUR_S / 4, 400],
            |flows| flows.element_j[0] == 4500.0 * flows.duration_s,
        ),
        kernel(
            "10000 steps of a tank in order",
            &tank,
            quiet(),
            &Begin { start_c: 40.0, rise_k: 15.0, after_s: 0 },
            [1, 10_000],
            |flows| flows.tank_steps == 1,
        ),
        kernel(
            "10000 steps of a tank upside down",
            &tank,
            quiet(),
            &Begin { start_c: 55.0, rise_k: -15.0, after_s: 0 },
            [1, 10_000],
            |flows| flows.tank_steps == 1 && flows.hottest_tank_c < 50.0,
        ),
    ]
}

/// Round figures of 18 m of copper tube in the water; its fluid needs a viscosity.
fn coil_of_tube(solar: &mut LoopSpec) {
    solar.fluid = Fluid::PropyleneGlycol { volume_frac: 0.4 };
    let tube = CoilTube { length_m: 18.0, bore_m: 0.0169, outer_m: 0.019, metal_w_m_k: 390.0, coil_m: 0.45 };
    if let ExchangerSpec::Coil { tube: made_of, .. } = &mut solar.exchanger {
        *made_of = Some(CoilTubeSpec { tube, mount: Mount::Immersed, scale_m2_k_w: 0.0 });
    }
}
