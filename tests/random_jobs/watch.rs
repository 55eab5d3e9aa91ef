//! Watches a plant step by step: no number is lost, no heat appears or vanishes, and nothing gets colder or hotter than what
//! acts on it.

use suncask::year::{Recorder, Span};
use thermal_network::flows::{Conditions, FieldSun, Flows};
use thermal_network::spec::{
    Around, CollectorSpec, ElementSpec, ExchangerSpec, LoopKind, PlantSpec, SourceSpec, TankSpec,
};
use thermal_network::{Contents, Misfit, Plant, State, slice_at};

/// Largest misfit of a span, relative to all that crossed and to what rounding of contents and streams alone explains: tanks of
/// 200 slices that are passed some thousand times in an hour round more often than those of the plants' own laws.
const LARGEST_MISFIT: f64 = 1e-10;

/// Rounding of some thousand steps, in K.
const ROUNDING_K: f64 = 1e-6;

/// What tank water that meets the sun through a plate or in a collector may leave the range by, in K: the water taken is foreseen
/// for a step, and slices that are passed within it, or a draw of many gallons a second beside it, make that a guess.
const FORESEEN_K: f64 = 0.05;

/// Listens to some days of a plant.
pub(super) struct Watch<'a> {
    spec: &'a PlantSpec,
    before: Contents,
    /// Conditions that the range holds already.
    seen: Option<Conditions>,
    low_c: f64,
    high_c: f64,
    /// Heat that no thermostat and no balance with the surroundings bounds, in J: of pumps, pilots, and of elements whose
    /// thermostat sees their heat late or never.
    boundless_j: f64,
    /// Sums of the whole run.
    pub(super) flows: Flows,
    /// The first that went wrong.
    pub(super) fault: Option<String>,
}

impl<'a> Watch<'a> {
    pub(super) fn new(spec: &'a PlantSpec, start_c: f64) -> Self {
        Self {
            spec,
            before: Contents::default(),
            seen: None,
            low_c: start_c,
            high_c: start_c,
            boundless_j: 0.0,
            flows: Flows::new(),
            fault: None,
        }
    }

    fn expect(&mut self, holds: bool, what: impl FnOnce() -> String) {
        if !holds && self.fault.is_none() {
            self.fault = Some(what());
        }
    }

    fn include(&mut self, c: f64) {
        self.low_c = self.low_c.min(c);
        self.high_c = self.high_c.max(c);
    }

    /// Widens the range by what acts now.
    fn include_conditions(&mut self, conditions: &Conditions) {
        let spec = self.spec;
        for c in [
            conditions.air_c,
            conditions.tank_room_c,
            conditions.second_tank_room_c,
            conditions.other_space_c,
        ] {
            self.include(c);
        }
        let pipes = &spec.plumbing;
        for pipe in pipes.between.iter().chain(pipes.recirculation.iter().map(|line| &line.pipe)) {
            if let Around::Steady(around_c) = pipe.around {
                self.include(around_c);
            }
        }
        if conditions.draw.flow_m3_s > 0.0 {
            self.include(conditions.cold_water_c);
        }
        if let Some(solar) = &spec.solar_loop {
            self.include(balance_c(&solar.collector, conditions));
            if let Some(second) = &solar.second_field {
                let FieldSun { effective_w_m2, plane_w_m2, net_sky_w_m2 } = conditions.second_field;
                let there = Conditions { effective_w_m2, plane_w_m2, net_sky_w_m2, ..*conditions };
                self.include(balance_c(&second.collector, &there));
            }
        }
        if let (Some(heater), Some(_)) = (&spec.flow_heater, &spec.plumbing.recirculation) {
            self.include(heater.set_c);
        }
        for tank in &spec.tanks {
            let room_c = conditions.surroundings_c(tank.surroundings);
            for element in tank.elements.iter().filter(|element| bounded(element, tank)) {
                self.include(off_c(element, room_c));
            }
        }
    }

    /// Heat that nothing bounds in a span so far, in J.
    fn boundless_of(&self, flows: &Flows, seconds: f64) -> f64 {
        let mut sum_j = flows.pump_heat_j + flows.plumbing.pump_heat_j;
        for (i, tank) in self.spec.tanks.iter().enumerate() {
            if tank.elements.iter().any(|element| !bounded(element, tank)) {
                sum_j += flows.element_j[i] + flows.burner_j[i] + flows.heat_pump_j[i];
            } else {
                sum_j += seconds * tank.elements.iter().map(pilot_w).sum::<f64>();
            }
        }
        sum_j
    }

    /// Heat above 0 degC that streams carry past whether it stays or not, in J: each passage rounds it.
    fn carried_j(&self, flows: &Flows, span: &Span<'_>) -> f64 {
        const WATER_J_M3_K: f64 = 4.2e6;
        let pipes = &self.spec.plumbing;
        let pumps = pipes.transfer.iter().map(|transfer| &transfer.pump);
        let pumps = pumps.chain(pipes.recirculation.iter().map(|line| &line.pump));
        let pumped_m3 = pumps.map(|pump| pump.flow_m3_s).sum::<f64>() * f64::from(span.duration_s);
        let hottest_c = flows.hottest_tank_c.max(flows.hottest_collector_c).max(100.0);
        (pumped_m3 + flows.tap_m3) * WATER_J_M3_K * hottest_c
    }

    /// Heat that passes between parts of a plant never drives one further from the others: what lies above the range is heat
    /// that nothing bounds.
    fn look(&mut self, plant: &Plant, state: &State, boundless_j: f64) {
        let foreseen = self.spec.solar_loop.as_ref().is_some_and(|solar| {
            solar.kind != LoopKind::Batch && !matches!(solar.exchanger, ExchangerSpec::Coil { .. })
        });
        let margin_k = if foreseen { FORESEEN_K } else { ROUNDING_K };
        let (low_c, high_c) = (self.low_c - margin_k, self.high_c + margin_k);
        let mut above_j = 0.0;
        let mut coldest_c = f64::INFINITY;
        let mut hottest_c = f64::NEG_INFINITY;
        let mut finite = true;
        let mut disorder_k: f64 = 0.0;
        for (i, tank) in self.spec.tanks.iter().enumerate() {
            let slices_c = state.tank_c(plant, i);
            let slice_j_k = tank.volume_m3 * tank.water_kg_m3 * tank.water_j_kg_k / slices_c.len() as f64;
            for &c in slices_c {
                finite &= c.is_finite();
                above_j += slice_j_k * (c - high_c).max(0.0);
                (coldest_c, hottest_c) = (coldest_c.min(c), hottest_c.max(c));
            }
            disorder_k = slices_c.windows(2).fold(disorder_k, |most, pair| most.max(pair[0] - pair[1]));
        }
        for &c in state.collector_c(plant) {
            finite &= c.is_finite();
            coldest_c = coldest_c.min(c);
        }
        self.expect(finite, || format!("not a number: {:?}", state.tank_c(plant, 0)));
        self.expect(coldest_c >= low_c, || format!("{coldest_c} degC, below {low_c}"));
        // Rounding of sums of 1e8 J.
        self.expect(above_j <= boundless_j * (1.0 + 1e-6) + 1.0, || {
            format!("{hottest_c} degC in a tank: {above_j} J above {high_c} degC, of which {boundless_j} J are without bounds")
        });
        self.expect(disorder_k <= ROUNDING_K * hottest_c.abs().max(1.0), || {
            format!("{disorder_k} K upside down")
        });
    }
}

impl Recorder for Watch<'_> {
    fn begin(&mut self, plant: &Plant, state: &State) {
        self.before = Contents::of(plant, state);
    }

    fn wants_steps(&self, _day: u32) -> bool {
        true
    }

    fn step(&mut self, _end_s: u32, conditions: &Conditions, flows: &Flows, plant: &Plant, state: &State) {
        if self.seen != Some(*conditions) {
            self.include_conditions(conditions);
            self.seen = Some(*conditions);
        }
        // Within a span only its whole length is at hand.
        let boundless_j = self.boundless_j + self.boundless_of(flows, 3600.0);
        self.look(plant, state, boundless_j);
    }

    fn span(&mut self, span: &Span<'_>) {
        let (flows, seconds) = (span.flows, f64::from(span.duration_s));
        let after = Contents::of(span.plant, span.state);
        let misfit = Misfit::of(&self.before, &after, flows);
        let held_j = self.before.total_j().abs() + after.total_j().abs();
        let scale_j = turnover_j(flows) + 1e-2 * (held_j + self.carried_j(flows, span));
        self.expect(misfit.largest_j() <= LARGEST_MISFIT * scale_j, || {
            format!("{misfit:?} of {scale_j} J, {flows:?}")
        });
        for (what, sum) in never_negative(flows) {
            self.expect(sum >= 0.0, || format!("{what} is {sum}: {flows:?}"));
        }
        let most_s = seconds + 1e-6;
        let times =
            [flows.pump_s, flows.shortfall_s, flows.cool_shower_s, flows.above_limit_s, flows.stagnation_s];
        self.expect(flows.duration_s == seconds && times.iter().all(|s| *s <= most_s), || {
            format!("longer than the span of {seconds} s: {flows:?}")
        });
        self.boundless_j += self.boundless_of(flows, seconds);
        self.before = after;
        self.flows.add(flows);
    }
}

/// Where a standing collector ends up: the difference at which the loss of 1 m2 takes all that comes in, by bisection.
fn balance_c(collector: &CollectorSpec, conditions: &Conditions) -> f64 {
    let wind = conditions.wind_m_s - 3.0;
    let gain_w_m2 = collector.eta0b * conditions.effective_w_m2
        - collector.a6_s_m * wind * conditions.plane_w_m2
        + (collector.a4_frac - collector.a7_s_m * wind) * conditions.net_sky_w_m2;
    let linear = (collector.a1_w_m2_k + collector.a3_j_m3_k * wind).max(0.0);
    let loss = |d: f64| d * (linear + collector.a2_w_m2_k2 * d + collector.a8_w_m2_k4 * d * d * d);
    let (mut less, mut more) = (0.0, 1e6);
    for _ in 0..100 {
        let middle = 0.5 * (less + more);
        if loss(middle) < gain_w_m2.abs() { less = middle } else { more = middle }
    }
    conditions.air_c + more * gain_w_m2.signum()
}

/// True temperature at which a thermostat opens.
fn off_c(element: &ElementSpec, room_c: f64) -> f64 {
    let sensor = element.sensor;
    (element.set_c - sensor.offset_k - sensor.seat_loss_frac * room_c) / (1.0 - sensor.seat_loss_frac)
}

/// True if the thermostat sees what its element does, and at once.
fn bounded(element: &ElementSpec, tank: &TankSpec) -> bool {
    let at = |height_frac| slice_at(height_frac, tank.slices);
    element.sensor.lag_s == 0.0 && at(element.thermostat_frac) >= at(element.height_frac)
}

fn pilot_w(element: &ElementSpec) -> f64 {
    match element.source {
        SourceSpec::Burner(burner) => burner.pilot_w * burner.pilot_to_water_frac,
        SourceSpec::Electric | SourceSpec::HeatPump(_) => 0.0,
    }
}

/// Sum of all transfers of a span, none set off against another, in J.
fn turnover_j(flows: &Flows) -> f64 {
    let pipes = &flows.plumbing;
    let signed = [
        flows.absorbed_j,
        flows.collector_loss_j,
        flows.supply_loss_j,
        flows.return_loss_j,
        flows.heat_into_tank_j,
        flows.dump_j,
        pipes.between_gain_j,
        pipes.between_loss_j,
        pipes.recirculation_gain_j,
        pipes.recirculation_loss_j,
        pipes.transferred_j,
    ];
    let tanks = flows.tank_loss_j.iter().chain(&flows.drawn_j).chain(&pipes.circulated_j);
    let sum_j: f64 = signed.iter().chain(tanks).map(|j| j.abs()).sum();
    sum_j + flows.backup_heat_j() + flows.pump_heat_j + pipes.pump_heat_j
}

/// What no plant can have less of than nothing.
fn never_negative(flows: &Flows) -> [(&'static str, f64); 16] {
    let pipes = &flows.plumbing;
    let least = |tanks: &[f64; 2]| tanks[0].min(tanks[1]);
    [
        ("heat of elements", least(&flows.element_j)),
        ("heat of burners", least(&flows.burner_j)),
        ("heat of heat pumps", least(&flows.heat_pump_j)),
        ("heat of the flow-through heater", flows.flow_heater_j),
        ("fuel", flows.fuel_j),
        ("electricity of heat pumps and flow-through heater", flows.compressor_and_flow_j),
        ("electricity of the pumps", flows.pump_j.min(pipes.transfer_pump_j).min(pipes.recirculation_pump_j)),
        ("heat of the pumps", flows.pump_heat_j.min(pipes.pump_heat_j)),
        ("load", flows.load_j),
        // A difference of two heats.
        ("shortfall", flows.shortfall_j + 1e-12 * flows.load_j.max(1e6)),
        ("water at the tap", flows.tap_m3),
        ("pump time", flows.pump_s),
        ("time short", flows.shortfall_s),
        ("time of cool showers", flows.cool_shower_s),
        ("water of cool showers", flows.cool_shower_m3),
        ("stagnation", flows.stagnation_s),
    ]
}
