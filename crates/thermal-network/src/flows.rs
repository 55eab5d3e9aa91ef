//! What crosses between components while a plant advances: the numbers every account is made of.

use crate::spec::Surroundings;

/// Most tanks a plant may have.
pub const MAX_TANKS: usize = 2;

/// Boundary conditions of a plant, constant over the span for which it is advanced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Irradiance on the collector plane weighted by its angle modifiers, in W/m2.
    pub effective_w_m2: f64,
    /// Plain irradiance on the collector plane in W/m2.
    pub plane_w_m2: f64,
    /// Outdoor air in degC.
    pub air_c: f64,
    /// Wind at the collector in m/s.
    pub wind_m_s: f64,
    /// Sky long-wave on the plane minus that of a black body at air temperature, in W/m2 (zero or negative).
    pub net_sky_w_m2: f64,
    /// Room of the first tank in degC.
    pub tank_room_c: f64,
    /// Room of the second tank in degC.
    pub second_tank_room_c: f64,
    /// Another space in degC.
    pub other_space_c: f64,
    /// Incoming cold water in degC.
    pub cold_water_c: f64,
    /// What is drawn at the tap.
    pub draw: Draw,
    /// Bit `i` set: element `i` (counted through all tanks, whatever heats it) may run; the next bit is the flow-through
    /// heater's.
    pub elements_allowed: u32,
    /// Position of the house's own valves and pumps.
    pub orders: Orders,
    /// The timer of a [`crate::spec::PumpDrive::Timer`] is on.
    pub timer_on: bool,
    /// Sun and sky on the plane of a second collector field.
    pub second_field: FieldSun,
}

/// Sun and sky on the plane of a collector field, as in [`Conditions`].
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct FieldSun {
    /// Irradiance weighted by the angle modifiers, in W/m2.
    pub effective_w_m2: f64,
    /// Plain irradiance in W/m2.
    pub plane_w_m2: f64,
    /// Sky long-wave minus that of a black body at air temperature, in W/m2.
    pub net_sky_w_m2: f64,
}

/// What people and clocks ask of the pipe work, where it is fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Orders {
    /// The bypass is turned by hand: the first tank's water goes straight to the house.
    pub bypassed: bool,
    /// The recirculation pump runs.
    pub recirculates: bool,
}

/// A draw at the tap, through the mixing valve.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Draw {
    /// Flow at the tap in m3/s; 0 for none.
    pub flow_m3_s: f64,
    /// Temperature wanted at the tap in degC.
    pub use_c: f64,
    /// True while someone stands under it: a shower or a bath.
    pub comfort: bool,
    /// Coolest water still fit for a shower in degC.
    pub usable_c: f64,
}

/// Sums over a span. Energies in J, times in s.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Flows {
    /// Length of the span.
    pub duration_s: f64,
    /// Sun taken up by the collector, after angle modifiers and peak efficiency (wind and sky terms included).
    pub absorbed_j: f64,
    /// Collector loss to air.
    pub collector_loss_j: f64,
    /// Heat the fluid gained in the collector while the pump ran; negative moments included.
    pub collector_heat_j: f64,
    /// Loss of the supply pipe.
    pub supply_loss_j: f64,
    /// Loss of the return pipe.
    pub return_loss_j: f64,
    /// Heat given up by the loop in or at the tank.
    pub heat_into_tank_j: f64,
    /// Loss of each tank.
    pub tank_loss_j: [f64; MAX_TANKS],
    /// Part of that loss which went up a flue.
    pub flue_j: f64,
    /// Electric heat put into each tank.
    pub element_j: [f64; MAX_TANKS],
    /// Heat of burners and pilots put into each tank.
    pub burner_j: [f64; MAX_TANKS],
    /// Heat of heat pumps put into each tank.
    pub heat_pump_j: [f64; MAX_TANKS],
    /// Heat the flow-through heater put into the draw.
    pub flow_heater_j: f64,
    /// Fuel bought by burners, pilots and the flow-through heater.
    pub fuel_j: f64,
    /// Electricity bought by heat pumps and the flow-through heater, its standby included.
    pub compressor_and_flow_j: f64,
    /// Electricity of the pumps.
    pub pump_j: f64,
    /// Part of it that warmed the fluid.
    pub pump_heat_j: f64,
    /// Heat wanted: drawn water from cold to the tap temperature.
    pub load_j: f64,
    /// Heat that came with the draw.
    pub delivered_j: f64,
    /// Load that was missing because the tank was too cool.
    pub shortfall_j: f64,
    /// Heat carried out of each tank by the draw, above the temperature it entered that tank with.
    pub drawn_j: [f64; MAX_TANKS],
    /// Time of draws whose tank outlet was at or below the tap temperature; with a flow-through heater, whose water left
    /// that heater below it.
    pub shortfall_s: f64,
    /// Time of shower and bath draws delivered below the usable temperature, or below what was asked where that is lower.
    /// A use spread thinner than any shower counts by its volume at 1 gal/min.
    pub cool_shower_s: f64,
    /// Volume of those draws at the tap, in m3.
    pub cool_shower_m3: f64,
    /// Volume drawn at the tap in m3.
    pub tap_m3: f64,
    /// Time the loop pump ran.
    pub pump_s: f64,
    /// Starts of the loop pump.
    pub pump_starts: u32,
    /// Times a drained loop was filled.
    pub refills: u32,
    /// Heat taken from the tank to keep the collector from freezing.
    pub freeze_j: f64,
    /// Heat taken from the tank to cool it.
    pub night_cooling_j: f64,
    /// Heat given up by the loop to its dump.
    pub dump_j: f64,
    /// Heat taken from the tank by natural circulation that ran backwards.
    pub back_flow_j: f64,
    /// Time the hottest slice of the first tank was at or above the high limit.
    pub above_limit_s: f64,
    /// Time with over 100 W/m2 on the plane, the pump held off by a limit and the collector above 120 degC.
    pub stagnation_s: f64,
    /// Integral of the first tank's mean temperature, in K s above 0 degC.
    pub tank_mean_k_s: f64,
    /// Highest slice temperature of the first tank in degC.
    pub hottest_tank_c: f64,
    /// Highest temperature of the collector's last cell in degC.
    pub hottest_collector_c: f64,
    /// Steps taken, for judging cost.
    pub tank_steps: u64,
    /// Loop substeps taken with the pump on.
    pub loop_steps: u64,
    /// What crossed in the pipe work between tanks and taps.
    pub plumbing: PlumbingFlows,
}

/// Sums over a span for the pipe work, in J.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct PlumbingFlows {
    /// Heat that passing water left in the pipe between the tanks.
    pub between_gain_j: f64,
    /// Loss of the pipe between the tanks.
    pub between_loss_j: f64,
    /// Heat that circulating water left in the recirculation loop.
    pub recirculation_gain_j: f64,
    /// Loss of the recirculation loop, running and standing.
    pub recirculation_loss_j: f64,
    /// Electricity of the recirculation pump.
    pub recirculation_pump_j: f64,
    /// Heat the transfer pump brought to the second tank.
    pub transferred_j: f64,
    /// Electricity of the transfer pump.
    pub transfer_pump_j: f64,
    /// Part of both pumps' electricity that warmed the water.
    pub pump_heat_j: f64,
    /// Heat that recirculation and transfer carried out of each tank, above that with which the water came in.
    pub circulated_j: [f64; MAX_TANKS],
}

impl PlumbingFlows {
    /// Adds the sums of a later span.
    fn add(&mut self, later: &Self) {
        self.between_gain_j += later.between_gain_j;
        self.between_loss_j += later.between_loss_j;
        self.recirculation_gain_j += later.recirculation_gain_j;
        self.recirculation_loss_j += later.recirculation_loss_j;
        self.recirculation_pump_j += later.recirculation_pump_j;
        self.transferred_j += later.transferred_j;
        self.transfer_pump_j += later.transfer_pump_j;
        self.pump_heat_j += later.pump_heat_j;
        for tank in 0..MAX_TANKS {
            self.circulated_j[tank] += later.circulated_j[tank];
        }
    }
}

impl Conditions {
    /// The same with the plane of the second field in place of the first's.
    pub(crate) fn at_second_field(&self) -> Self {
        let FieldSun { effective_w_m2, plane_w_m2, net_sky_w_m2 } = self.second_field;
        Self { effective_w_m2, plane_w_m2, net_sky_w_m2, ..*self }
    }

    /// Temperature of one of the spaces, in degC.
    #[inline]
    pub fn surroundings_c(&self, surroundings: Surroundings) -> f64 {
        match surroundings {
            Surroundings::Outdoor => self.air_c,
            Surroundings::TankRoom => self.tank_room_c,
            Surroundings::SecondTankRoom => self.second_tank_room_c,
            Surroundings::OtherSpace => self.other_space_c,
        }
    }
}

impl Flows {
    /// Sums of nothing yet.
    pub fn new() -> Self {
        Self { hottest_tank_c: f64::NEG_INFINITY, hottest_collector_c: f64::NEG_INFINITY, ..Self::default() }
    }

    /// Heat the backup put into water, of all kinds, in J.
    pub fn backup_heat_j(&self) -> f64 {
        let sum = |tanks: &[f64; MAX_TANKS]| tanks.iter().sum::<f64>();
        sum(&self.element_j) + sum(&self.burner_j) + sum(&self.heat_pump_j) + self.flow_heater_j
    }

    /// Electricity the backup bought, in J: an element turns all of it into heat.
    pub fn backup_electric_j(&self) -> f64 {
        self.element_j.iter().sum::<f64>() + self.compressor_and_flow_j
    }

    /// Adds the sums of a later span.
    pub fn add(&mut self, later: &Flows) {
        self.duration_s += later.duration_s;
        self.absorbed_j += later.absorbed_j;
        self.collector_loss_j += later.collector_loss_j;
        self.collector_heat_j += later.collector_heat_j;
        self.supply_loss_j += later.supply_loss_j;
        self.return_loss_j += later.return_loss_j;
        self.heat_into_tank_j += later.heat_into_tank_j;
        for tank in 0..MAX_TANKS {
            self.tank_loss_j[tank] += later.tank_loss_j[tank];
            self.element_j[tank] += later.element_j[tank];
            self.burner_j[tank] += later.burner_j[tank];
            self.heat_pump_j[tank] += later.heat_pump_j[tank];
            self.drawn_j[tank] += later.drawn_j[tank];
        }
        self.flue_j += later.flue_j;
        self.flow_heater_j += later.flow_heater_j;
        self.fuel_j += later.fuel_j;
        self.compressor_and_flow_j += later.compressor_and_flow_j;
        self.pump_j += later.pump_j;
        self.pump_heat_j += later.pump_heat_j;
        self.load_j += later.load_j;
        self.delivered_j += later.delivered_j;
        self.shortfall_j += later.shortfall_j;
        self.shortfall_s += later.shortfall_s;
        self.cool_shower_s += later.cool_shower_s;
        self.cool_shower_m3 += later.cool_shower_m3;
        self.tap_m3 += later.tap_m3;
        self.pump_s += later.pump_s;
        self.pump_starts += later.pump_starts;
        self.refills += later.refills;
        self.freeze_j += later.freeze_j;
        self.night_cooling_j += later.night_cooling_j;
        self.dump_j += later.dump_j;
        self.back_flow_j += later.back_flow_j;
        self.above_limit_s += later.above_limit_s;
        self.stagnation_s += later.stagnation_s;
        self.tank_mean_k_s += later.tank_mean_k_s;
        self.hottest_tank_c = self.hottest_tank_c.max(later.hottest_tank_c);
        self.hottest_collector_c = self.hottest_collector_c.max(later.hottest_collector_c);
        self.tank_steps += later.tank_steps;
        self.loop_steps += later.loop_steps;
        self.plumbing.add(&later.plumbing);
    }
}

/// Share of a step during which a temperature that goes straight from one value to another is at or above a limit.
pub(crate) fn share_above(before_c: f64, after_c: f64, limit_c: f64) -> f64 {
    match (before_c >= limit_c, after_c >= limit_c) {
        (true, true) => 1.0,
        (false, false) => 0.0,
        (true, false) => (before_c - limit_c) / (before_c - after_c),
        (false, true) => (after_c - limit_c) / (after_c - before_c),
    }
}
