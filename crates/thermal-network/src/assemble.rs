//! From a specification to a plant: everything is checked here, so that a step cannot fail.

mod kind;

use crate::coil_ua::Mount;
use crate::fluid::Fluid;
use crate::spec::{
    CoilTubeSpec, CollectorSpec, ControllerSpec, ElementSpec, ExchangerSpec, FlowHeaterSpec, LoopSpec,
    MapSpec, PipeRunSpec, PlantSpec, PlateRating, PumpFlow, SensorSpec, SourceSpec, TankSpec,
};
use crate::tank::slice_at;

/// One reason why a plant cannot be built.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Part of the plant, e.g. `tank 1, element 2`.
    pub part: String,
    /// What is wrong with it, with the value found.
    pub message: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.part, self.message)
    }
}

impl std::error::Error for Fault {}

/// Most collector cells, pipe runs each way, slices and elements a plant may have.
const MOST_CELLS: usize = 64;
const MOST_RUNS: usize = 16;
const MOST_SLICES: usize = 500;
/// Elements share one 32-bit permission word.
const MOST_ELEMENTS: usize = 32;

/// Gathers faults of one part after another.
pub(crate) struct Checks {
    faults: Vec<Fault>,
}

impl Checks {
    /// All faults of a specification; empty if it can be built.
    pub(crate) fn all(spec: &PlantSpec) -> Vec<Fault> {
        let mut checks = Self { faults: Vec::new() };
        checks.expect("plant", !spec.tanks.is_empty() && spec.tanks.len() <= crate::flows::MAX_TANKS, || {
            format!("needs one or two tanks, has {}", spec.tanks.len())
        });
        let elements: usize = spec.tanks.iter().map(|tank| tank.elements.len()).sum();
        checks.expect("plant", elements + usize::from(spec.flow_heater.is_some()) <= MOST_ELEMENTS, || {
            format!("has {elements} elements, {MOST_ELEMENTS} at most, a flow-through heater counted")
        });
        checks.positive("step lengths", "loop step", spec.numerics.loop_step_s);
        checks.expect("step lengths", spec.numerics.tank_step_s > 0, || {
            "tank step must be at least 1 s".into()
        });
        checks.expect("step lengths", spec.numerics.quiet_step_s > 0, || {
            "quiet step must be at least 1 s".into()
        });
        for (i, tank) in spec.tanks.iter().enumerate() {
            checks.tank(&format!("tank {}", i + 1), tank);
        }
        if let Some(heater) = &spec.flow_heater {
            checks.flow_heater(heater);
        }
        if let Some(solar_loop) = &spec.solar_loop {
            checks.solar_loop(solar_loop, spec.tanks.first().map_or(0, |tank| tank.slices));
        }
        checks.plumbing(spec);
        checks.faults
    }

    pub(crate) fn expect(&mut self, part: &str, holds: bool, message: impl FnOnce() -> String) {
        if !holds {
            self.faults.push(Fault { part: part.to_owned(), message: message() });
        }
    }

    pub(crate) fn positive(&mut self, part: &str, what: &str, value: f64) {
        self.expect(part, value > 0.0 && value.is_finite(), || {
            format!("{what} must be above zero, is {value}")
        });
    }

    pub(crate) fn not_negative(&mut self, part: &str, what: &str, value: f64) {
        self.expect(part, value >= 0.0 && value.is_finite(), || {
            format!("{what} must not be negative, is {value}")
        });
    }

    pub(crate) fn height(&mut self, part: &str, what: &str, frac: f64) {
        self.expect(part, (0.0..=1.0).contains(&frac), || {
            format!("{what} must lie between 0 and 1, is {frac}")
        });
    }

    fn sensor(&mut self, part: &str, sensor: &SensorSpec) {
        self.expect(part, sensor.offset_k.is_finite(), || format!("sensor offset is {}", sensor.offset_k));
        self.expect(part, (0.0..1.0).contains(&sensor.seat_loss_frac), || {
            format!("sensor seat loss must be at least 0 and below 1, is {}", sensor.seat_loss_frac)
        });
        self.not_negative(part, "sensor lag", sensor.lag_s);
    }

    fn tank(&mut self, part: &str, tank: &TankSpec) {
        self.positive(part, "volume", tank.volume_m3);
        self.positive(part, "height", tank.height_m);
        self.expect(part, (1..=MOST_SLICES).contains(&tank.slices), || {
            format!("needs 1 to {MOST_SLICES} slices, has {}", tank.slices)
        });
        self.positive(part, "water density", tank.water_kg_m3);
        self.positive(part, "specific heat", tank.water_j_kg_k);
        for (what, value) in [
            ("side loss", tank.side_w_m2_k),
            ("top loss", tank.top_w_m2_k),
            ("bottom loss", tank.bottom_w_m2_k),
            ("loss of fittings", tank.fittings_even_w_k),
            ("vertical conductivity", tank.conduction_w_m_k),
        ] {
            self.not_negative(part, what, value);
        }
        for fitting in &tank.fittings {
            self.height(part, "height of a fitting", fitting.height_frac);
            self.not_negative(part, "loss of a fitting", fitting.loss_w_k);
        }
        self.height(part, "height of the cold inlet", tank.cold_inlet_frac);
        self.height(part, "height of the hot outlet", tank.hot_outlet_frac);
        self.expect(part, tank.cold_inlet_frac <= tank.hot_outlet_frac, || {
            format!("cold inlet ({}) lies above hot outlet ({})", tank.cold_inlet_frac, tank.hot_outlet_frac)
        });
        for (i, element) in tank.elements.iter().enumerate() {
            self.element(&format!("{part}, element {}", i + 1), element);
        }
    }

    fn element(&mut self, part: &str, element: &ElementSpec) {
        self.not_negative(part, "power", element.power_w);
        self.height(part, "height", element.height_frac);
        self.height(part, "height of the thermostat", element.thermostat_frac);
        self.expect(part, element.set_c.is_finite(), || format!("set point is {}", element.set_c));
        self.positive(part, "dead band", element.band_k);
        self.sensor(part, &element.sensor);
        match &element.source {
            SourceSpec::Electric => {}
            SourceSpec::Burner(burner) => {
                self.efficiency(part, burner.efficiency_frac);
                self.not_negative(part, "pilot", burner.pilot_w);
                self.height(part, "share of the pilot that warms the water", burner.pilot_to_water_frac);
                self.not_negative(part, "flue loss", burner.flue_w_k);
            }
            SourceSpec::HeatPump(heat_pump) => {
                self.positive(part, "COP", heat_pump.cop);
                let (bottom, top) = (element.height_frac, heat_pump.condenser_top_frac);
                self.height(part, "top of the condenser", top);
                self.expect(part, bottom <= top, || {
                    format!("bottom of the condenser ({bottom}) lies above its top ({top})")
                });
                self.expect(part, heat_pump.air_c.0 <= heat_pump.air_c.1, || {
                    format!(
                        "air limits {} and {} are the wrong way round",
                        heat_pump.air_c.0, heat_pump.air_c.1
                    )
                });
                for MapSpec { air_per_k, air_per_k2, water_per_k, water_per_k2, both_per_k2 } in
                    [heat_pump.power_map, heat_pump.cop_map]
                {
                    let sum = air_per_k + air_per_k2 + water_per_k + water_per_k2 + both_per_k2;
                    self.expect(part, sum.is_finite(), || {
                        "a map holds something that is not a number".into()
                    });
                }
            }
        }
    }

    fn efficiency(&mut self, part: &str, frac: f64) {
        self.expect(part, frac > 0.0 && frac <= 1.0, || {
            format!("efficiency must be above 0 and at most 1, is {frac}")
        });
    }

    fn flow_heater(&mut self, heater: &FlowHeaterSpec) {
        let part = "flow-through heater";
        self.not_negative(part, "power", heater.power_w);
        self.not_negative(part, "least power", heater.least_w);
        self.efficiency(part, heater.efficiency_frac);
        self.expect(part, heater.set_c.is_finite(), || format!("set point is {}", heater.set_c));
        self.expect(part, heater.inlet_limit_c.is_none_or(|limit_c| !limit_c.is_nan()), || {
            "inlet limit is not a number".into()
        });
        self.not_negative(part, "standby", heater.standby_w);
    }

    fn solar_loop(&mut self, solar_loop: &LoopSpec, first_slices: usize) {
        self.collector("collector", &solar_loop.collector);
        self.loop_parts(solar_loop, first_slices);
    }

    fn collector(&mut self, part: &str, c: &CollectorSpec) {
        self.positive(part, "area", c.area_m2);
        self.positive(part, "heat capacity a5", c.a5_j_m2_k);
        self.not_negative(part, "a1", c.a1_w_m2_k);
        self.not_negative(part, "a2", c.a2_w_m2_k2);
        self.not_negative(part, "a8", c.a8_w_m2_k4);
        for (what, value) in
            [("eta0b", c.eta0b), ("a3", c.a3_j_m3_k), ("a4", c.a4_frac), ("a6", c.a6_s_m), ("a7", c.a7_s_m)]
        {
            self.expect(part, value.is_finite(), || format!("{what} is {value}"));
        }
        self.expect(part, (1..=MOST_CELLS).contains(&c.cells), || {
            format!("needs 1 to {MOST_CELLS} cells, has {}", c.cells)
        });
    }

    fn loop_parts(&mut self, solar_loop: &LoopSpec, first_slices: usize) {
        let flow = match solar_loop.pump.flow {
            PumpFlow::MassKgS(flow) | PumpFlow::VolumeM3S(flow) => flow,
        };
        self.positive("pump", "flow", flow);
        self.not_negative("pump", "power", solar_loop.pump.power_w);
        if let Some(follows) = &solar_loop.pump.over_temperature {
            follows.flow_frac.iter().for_each(|&frac| self.positive("pump", "factor on its flow", frac));
            follows
                .power_frac
                .iter()
                .for_each(|&frac| self.not_negative("pump", "factor on its power", frac));
        }
        self.height("pump", "share of its power that warms the fluid", solar_loop.pump.heat_to_fluid_frac);
        self.pipe("supply pipe", &solar_loop.supply, &solar_loop.fluid);
        self.pipe("return pipe", &solar_loop.ret, &solar_loop.fluid);
        self.exchanger(&solar_loop.exchanger, first_slices, &solar_loop.fluid);
        self.controller(&solar_loop.controller);
        kind::check(self, solar_loop);
        kind::second_field(self, solar_loop);
        kind::duties(self, solar_loop);
    }

    fn pipe(&mut self, part: &str, runs: &[PipeRunSpec], fluid: &Fluid) {
        self.expect(part, runs.len() <= MOST_RUNS, || {
            format!("has {} runs, {MOST_RUNS} at most", runs.len())
        });
        for run in runs {
            self.not_negative(part, "length", run.length_m);
            self.positive(part, "bore", run.bore_m);
            self.expect(part, run.tube_outer_m >= run.bore_m, || {
                format!("outer diameter {} m is less than the bore {} m", run.tube_outer_m, run.bore_m)
            });
            self.not_negative(part, "insulation thickness", run.insulation_m);
            if run.insulation_m > 0.0 {
                self.positive(part, "insulation conductivity", run.insulation_w_m_k);
            }
            self.not_negative(part, "wall capacity", run.wall_capacity_j_m_k);
            let film_known = run.inner_film_w_m2_k.is_some() || !matches!(fluid, Fluid::Constant { .. });
            self.expect(part, film_known, || {
                "a fluid of constant properties needs a given inside film".into()
            });
            for (what, film) in
                [("inside film", run.inner_film_w_m2_k), ("outside film", run.outer_film_w_m2_k)]
            {
                if let Some(film) = film {
                    self.positive(part, what, film);
                }
            }
        }
    }

    fn exchanger(&mut self, exchanger: &ExchangerSpec, slices: usize, fluid: &Fluid) {
        let part = "exchanger";
        if let ExchangerSpec::Plate { draw_from_frac, return_to_frac, .. }
        | ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac } = *exchanger
        {
            let apart = slices <= 1 || slice_at(draw_from_frac, slices) != slice_at(return_to_frac, slices);
            self.expect(part, apart, || {
                format!("draw-off ({draw_from_frac}) and return ({return_to_frac}) lie in the same slice of the tank")
            });
        }
        match *exchanger {
            ExchangerSpec::Coil { bottom_frac, top_frac, ua_w_k, tube, .. } => {
                self.height(part, "bottom of the coil", bottom_frac);
                self.height(part, "top of the coil", top_frac);
                self.expect(part, bottom_frac < top_frac, || {
                    format!("bottom of the coil ({bottom_frac}) must lie below its top ({top_frac})")
                });
                self.not_negative(part, "UA", ua_w_k);
                if let Some(tube) = tube {
                    self.positive(part, "UA of a coil of tube", ua_w_k);
                    self.coil_tube(part, &tube, fluid);
                }
            }
            ExchangerSpec::Plate {
                rating,
                scale_k_w,
                tank_flow_kg_s,
                tank_pump_w,
                draw_from_frac,
                return_to_frac,
            } => {
                self.not_negative(part, "resistance of scale", scale_k_w);
                match rating {
                    PlateRating::UaWK(ua_w_k) => self.not_negative(part, "UA", ua_w_k),
                    PlateRating::EffectivenessFrac(frac) => self.height(part, "effectiveness", frac),
                }
                self.positive(part, "tank-side flow", tank_flow_kg_s);
                self.not_negative(part, "power of the tank-side pump", tank_pump_w);
                self.height(part, "height of the draw-off", draw_from_frac);
                self.height(part, "height of the return", return_to_frac);
            }
            ExchangerSpec::OpenLoop { draw_from_frac, return_to_frac } => {
                self.height(part, "height of the draw-off", draw_from_frac);
                self.height(part, "height of the return", return_to_frac);
            }
        }
    }

    fn coil_tube(&mut self, part: &str, spec: &CoilTubeSpec, fluid: &Fluid) {
        let CoilTubeSpec { tube, mount, scale_m2_k_w } = spec;
        self.expect(part, !matches!(fluid, Fluid::Constant { .. }), || {
            "a coil of tube needs a fluid whose viscosity is known".into()
        });
        self.positive(part, "length of the tube", tube.length_m);
        self.positive(part, "bore of the tube", tube.bore_m);
        self.positive(part, "conductivity of the tube", tube.metal_w_m_k);
        self.expect(part, tube.outer_m >= tube.bore_m && tube.outer_m < tube.coil_m, || {
            format!(
                "bore {} m, outer diameter {} m and coil {} m do not fit into each other",
                tube.bore_m, tube.outer_m, tube.coil_m
            )
        });
        self.not_negative(part, "resistance of scale", *scale_m2_k_w);
        if let Mount::Wrapped { bond_w_m_k, tank_m, covered_m, wall_m, wall_w_m_k } = *mount {
            for (what, value) in [
                ("bond", bond_w_m_k),
                ("diameter of the tank", tank_m),
                ("height of the coil", covered_m),
                ("thickness of the wall", wall_m),
                ("conductivity of the wall", wall_w_m_k),
            ] {
                self.positive(part, what, value);
            }
        }
    }

    fn controller(&mut self, c: &ControllerSpec) {
        let part = "controller";
        self.expect(part, c.off_k < c.on_k, || {
            format!("off-difference {} K must be below on-difference {} K", c.off_k, c.on_k)
        });
        self.expect(part, c.on_k.is_finite() && c.off_k.is_finite(), || "differences must be numbers".into());
        self.expect(part, !c.high_limit_c.is_nan(), || "high limit is not a number".into());
        self.not_negative(part, "reset band of the high limit", c.high_limit_reset_k);
        self.not_negative(part, "reset band of the collector limit", c.collector_limit_reset_k);
        self.height(part, "height of the tank sensor", c.sensor_height_frac);
        self.expect(part, c.interval_s > 0, || "control interval must be at least 1 s".into());
        self.sensor("tank sensor", &c.tank_sensor);
        self.sensor("collector sensor", &c.collector_sensor);
    }
}
