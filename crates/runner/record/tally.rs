//! Sums over months or hours while a year runs, and the accounts they make.

use thermal_network::flows::{Flows, MAX_TANKS};
use thermal_network::spec::PlantSpec;
use thermal_network::{Contents, Misfit, Plant, State, slice_at};

use super::{Accounts, Column};
use crate::draws::clock::{DAY_S, month_of};
use crate::weather::calendar::DAYS_IN_MONTH;
use crate::year::{Recorder, Span};

/// Joule in a kilowatt-hour.
pub(crate) const J_PER_KWH: f64 = 3.6e6;
const S_PER_HOUR: f64 = 3600.0;

/// Range in which bacteria may grow, in degC (77 to 113 F; World Health Organization 2007, as in the project's control
/// reference).
pub(crate) const LUKEWARM_C: std::ops::RangeInclusive<f64> = 25.0..=45.0;

/// Which periods a tally keeps apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Period {
    /// Twelve months.
    Month,
    /// 8,760 hours of local standard time.
    Hour,
}

/// Sums of one period.
#[derive(Clone, Copy, Debug)]
struct Sums {
    flows: Flows,
    ghi_j_m2: f64,
    dhi_j_m2: f64,
    beam_j_m2: f64,
    sky_j_m2: f64,
    ground_j_m2: f64,
    air_k_s: f64,
    cold_water_k_s: f64,
    top_k_s: f64,
    middle_k_s: f64,
    bottom_k_s: f64,
    collector_k_s: f64,
    /// Of each tank.
    lukewarm_s: [f64; MAX_TANKS],
    longest_spell_s: [f64; MAX_TANKS],
    coldest_tank_c: f64,
    hottest_outlet_c: f64,
    hottest_thermostat_c: f64,
    coolest_shower_k: f64,
    stored_change_j: f64,
    misfit_j: f64,
}

impl Sums {
    fn new() -> Self {
        Self {
            flows: Flows::new(),
            ghi_j_m2: 0.0,
            dhi_j_m2: 0.0,
            beam_j_m2: 0.0,
            sky_j_m2: 0.0,
            ground_j_m2: 0.0,
            air_k_s: 0.0,
            cold_water_k_s: 0.0,
            top_k_s: 0.0,
            middle_k_s: 0.0,
            bottom_k_s: 0.0,
            collector_k_s: 0.0,
            lukewarm_s: [0.0; MAX_TANKS],
            longest_spell_s: [0.0; MAX_TANKS],
            coldest_tank_c: f64::INFINITY,
            hottest_outlet_c: f64::NEG_INFINITY,
            hottest_thermostat_c: f64::NEG_INFINITY,
            coolest_shower_k: 0.0,
            stored_change_j: 0.0,
            misfit_j: 0.0,
        }
    }
}

/// Listens to a year and sums it up by period.
#[derive(Clone, Debug)]
pub struct Tally {
    period: Period,
    /// Tank and slice from which hot water leaves, and those with a thermostat of the backup.
    outlets: Vec<(usize, usize)>,
    thermostats: Vec<(usize, usize)>,
    sums: Vec<Sums>,
    /// Length of the spell in which the coldest slice of each tank has been lukewarm so far, in s.
    spell_s: [f64; MAX_TANKS],
    /// The day or hour that runs: its balance at the beginning, and what has flowed since.
    opened: Contents,
    since_opened: Flows,
    /// Most heat the plant held where a balance was closed, above or below 0 degC.
    most_held_j: f64,
}

impl Tally {
    /// An empty tally.
    pub fn new(period: Period) -> Self {
        let periods = match period {
            Period::Month => 12,
            Period::Hour => crate::weather::HOURS_PER_YEAR,
        };
        Self {
            period,
            outlets: Vec::new(),
            thermostats: Vec::new(),
            sums: vec![Sums::new(); periods],
            spell_s: [0.0; MAX_TANKS],
            opened: Contents::default(),
            since_opened: Flows::new(),
            most_held_j: 0.0,
        }
    }

    /// The same, watching the outlet and the thermostats of a plant.
    #[must_use]
    pub fn watching(mut self, plant: &PlantSpec) -> Self {
        let last = plant.tanks.len().saturating_sub(1);
        for (i, tank) in plant.tanks.iter().enumerate() {
            let slice = |height_frac| (i, slice_at(height_frac, tank.slices));
            self.thermostats.extend(tank.elements.iter().map(|element| slice(element.thermostat_frac)));
            if i == last {
                self.outlets.push(slice(tank.hot_outlet_frac));
            }
        }
        self
    }

    /// Accounts of each period. Derived columns that need the baseline are left at zero.
    pub fn accounts(&self, collectors_m2: f64, control_w: f64) -> Vec<Accounts> {
        self.sums.iter().map(|sums| sums.accounts(collectors_m2, control_w)).collect()
    }

    /// What a misfit is relative to, in J: the sum of all inputs; where next to nothing comes in, what went out or was held.
    pub fn inputs_j(&self) -> f64 {
        let into_j = |flows: &Flows| {
            flows.absorbed_j.abs() + flows.pump_heat_j + flows.plumbing.pump_heat_j + flows.backup_heat_j()
        };
        let out_j = |flows: &Flows| {
            let tanks_j: f64 = flows.tank_loss_j.iter().map(|loss_j| loss_j.abs()).sum();
            tanks_j + flows.collector_loss_j.abs() + flows.delivered_j.abs()
        };
        let sum = |of: &dyn Fn(&Flows) -> f64| self.sums.iter().map(|sums| of(&sums.flows)).sum::<f64>();
        sum(&into_j).max(sum(&out_j)).max(self.most_held_j)
    }

    /// Tank steps and loop substeps taken, for judging cost.
    pub fn steps(&self) -> (u64, u64) {
        self.sums
            .iter()
            .fold((0, 0), |(tank, solar), sums| (tank + sums.flows.tank_steps, solar + sums.flows.loop_steps))
    }

    /// First and last moment of each period in s after 1 January 00:00.
    pub(crate) fn bounds(&self) -> impl Iterator<Item = (u32, u32)> {
        let period = self.period;
        let mut end_s = 0;
        (0..self.sums.len()).map(move |i| {
            let start_s = end_s;
            end_s += if period == Period::Hour { 3600 } else { DAYS_IN_MONTH[i] * DAY_S };
            (start_s, end_s)
        })
    }

    fn index(&self, span: &Span<'_>) -> usize {
        match self.period {
            Period::Month => month_of(span.start_s / DAY_S + 1),
            Period::Hour => (span.start_s / 3600) as usize,
        }
    }

    fn close_balance(&mut self, index: usize, plant: &Plant, state: &State) {
        let closed = Contents::of(plant, state);
        let sums = &mut self.sums[index];
        sums.flows.add(&self.since_opened);
        sums.misfit_j += Misfit::of(&self.opened, &closed, &self.since_opened).largest_j();
        sums.stored_change_j += closed.total_j() - self.opened.total_j();
        self.most_held_j = self.most_held_j.max(closed.total_j().abs());
        self.opened = closed;
        self.since_opened = Flows::new();
    }
}

impl Recorder for Tally {
    fn begin(&mut self, plant: &Plant, state: &State) {
        self.opened = Contents::of(plant, state);
    }

    fn span(&mut self, span: &Span<'_>) {
        let index = self.index(span);
        let seconds = f64::from(span.duration_s);
        let sums = &mut self.sums[index];
        for tank in 0..span.plant.tanks() {
            let slices_c = span.state.tank_c(span.plant, tank);
            let lukewarm = |level_c| LUKEWARM_C.contains(&level_c);
            // Only the first tank's mean is kept while the plant steps.
            let mean_c = match tank {
                0 => span.flows.tank_mean_k_s / seconds,
                _ => slices_c.iter().sum::<f64>() / slices_c.len() as f64,
            };
            if lukewarm(mean_c) {
                sums.lukewarm_s[tank] += seconds;
            }
            let spell_s = &mut self.spell_s[tank];
            *spell_s = if lukewarm(slices_c[0]) { *spell_s + seconds } else { 0.0 };
            sums.longest_spell_s[tank] = sums.longest_spell_s[tank].max(*spell_s);
            sums.coldest_tank_c = sums.coldest_tank_c.min(slices_c[0]);
        }
        let slices_c = span.state.tank_c(span.plant, 0);
        let hottest = |slices: &[(usize, usize)], so_far_c: f64| {
            slices.iter().fold(so_far_c, |most, &(tank, j)| most.max(span.state.tank_c(span.plant, tank)[j]))
        };
        sums.hottest_outlet_c = hottest(&self.outlets, sums.hottest_outlet_c);
        sums.hottest_thermostat_c = hottest(&self.thermostats, sums.hottest_thermostat_c);
        let draw = span.conditions.draw;
        if draw.comfort && span.flows.shortfall_j > 0.0 {
            // Of the way from cold to what was asked, the share that was missing.
            let short_frac = span.flows.shortfall_j / span.flows.load_j;
            let short_k = short_frac * (draw.use_c - span.conditions.cold_water_c);
            sums.coolest_shower_k = sums.coolest_shower_k.max(short_k);
        }
        sums.ghi_j_m2 += span.block.ghi_w_m2 * seconds;
        sums.dhi_j_m2 += span.block.dhi_w_m2 * seconds;
        sums.beam_j_m2 += span.block.beam_w_m2 * seconds;
        sums.sky_j_m2 += span.block.sky_w_m2 * seconds;
        sums.ground_j_m2 += span.block.ground_w_m2 * seconds;
        sums.air_k_s += span.block.air_c * seconds;
        sums.cold_water_k_s += span.conditions.cold_water_c * seconds;
        sums.top_k_s += slices_c[slices_c.len() - 1] * seconds;
        sums.middle_k_s += slices_c[slices_c.len() / 2] * seconds;
        sums.bottom_k_s += slices_c[0] * seconds;
        if let Some(outlet_c) = span.state.collector_c(span.plant).last() {
            sums.collector_k_s += outlet_c * seconds;
        }
        self.since_opened.add(span.flows);
        let end_s = span.start_s + span.duration_s;
        let closes_every_s = if self.period == Period::Hour { 3600 } else { DAY_S };
        if end_s.is_multiple_of(closes_every_s) {
            self.close_balance(index, span.plant, span.state);
        }
    }
}

impl Sums {
    fn accounts(&self, collectors_m2: f64, control_w: f64) -> Accounts {
        let flows = &self.flows;
        let seconds = flows.duration_s;
        let hours = seconds / S_PER_HOUR;
        let kwh = |joule: f64| joule / J_PER_KWH;
        let loss_j: f64 = flows.tank_loss_j.iter().sum();
        let sum_kwh = |tanks: &[f64]| kwh(tanks.iter().sum());
        let (electric_j, fuel_j) = (flows.backup_electric_j(), flows.fuel_j);
        let seen = |level_c: f64| if level_c.is_finite() { level_c } else { 0.0 };
        let mut accounts = Accounts::default();
        let values = [
            (Column::Ghi, kwh(self.ghi_j_m2)),
            (Column::Dhi, kwh(self.dhi_j_m2)),
            (Column::Air, self.air_k_s / seconds),
            (Column::ColdWater, self.cold_water_k_s / seconds),
            (Column::Sun, kwh((self.beam_j_m2 + self.sky_j_m2 + self.ground_j_m2) * collectors_m2)),
            (Column::SunBeam, kwh(self.beam_j_m2 * collectors_m2)),
            (Column::SunSky, kwh(self.sky_j_m2 * collectors_m2)),
            (Column::SunGround, kwh(self.ground_j_m2 * collectors_m2)),
            (Column::Absorbed, kwh(flows.absorbed_j)),
            (Column::CollectorLoss, kwh(flows.collector_loss_j)),
            (Column::CollectorHeat, kwh(flows.collector_heat_j)),
            (Column::SupplyLoss, kwh(flows.supply_loss_j)),
            (Column::ReturnLoss, kwh(flows.return_loss_j)),
            (Column::HeatIntoTank, kwh(flows.heat_into_tank_j)),
            (Column::TankLoss, kwh(loss_j)),
            (Column::FlueLoss, kwh(flows.flue_j)),
            (Column::Tank1Loss, kwh(flows.tank_loss_j[0])),
            (Column::Tank2Loss, kwh(flows.tank_loss_j[1])),
            (Column::BetweenLoss, kwh(flows.plumbing.between_loss_j)),
            (Column::RecirculationLoss, kwh(flows.plumbing.recirculation_loss_j)),
            (Column::Transferred, kwh(flows.plumbing.transferred_j)),
            (Column::Load, kwh(flows.load_j)),
            (Column::Delivered, kwh(flows.delivered_j)),
            (Column::Shortfall, kwh(flows.shortfall_j)),
            (Column::ShortfallMinutes, flows.shortfall_s / 60.0),
            (Column::CoolShowerMinutes, flows.cool_shower_s / 60.0),
            (Column::CoolestShower, self.coolest_shower_k),
            (Column::CoolShowerVolume, flows.cool_shower_m3 * 1000.0),
            (Column::TapVolume, flows.tap_m3 * 1000.0),
            (Column::BackupPurchased, kwh(electric_j + fuel_j)),
            (Column::BackupElectric, kwh(electric_j)),
            (Column::BackupFuel, kwh(fuel_j)),
            (Column::BackupHeat, kwh(flows.backup_heat_j())),
            (Column::ElementHeat, sum_kwh(&flows.element_j)),
            (Column::BurnerHeat, sum_kwh(&flows.burner_j)),
            (Column::HeatPumpHeat, sum_kwh(&flows.heat_pump_j)),
            (Column::FlowHeaterHeat, kwh(flows.flow_heater_j)),
            (Column::Pump, kwh(flows.pump_j + flows.plumbing.transfer_pump_j)),
            (Column::RecirculationPump, kwh(flows.plumbing.recirculation_pump_j)),
            (Column::PumpHeat, kwh(flows.pump_heat_j + flows.plumbing.pump_heat_j)),
            (Column::Control, control_w * hours / 1000.0),
            (Column::PumpStarts, f64::from(flows.pump_starts)),
            (Column::PumpHours, flows.pump_s / S_PER_HOUR),
            (Column::Refills, f64::from(flows.refills)),
            (Column::FreezeHeat, kwh(flows.freeze_j)),
            (Column::NightCooling, kwh(flows.night_cooling_j)),
            (Column::DumpHeat, kwh(flows.dump_j)),
            (Column::BackFlow, kwh(flows.back_flow_j)),
            (Column::HottestTank, flows.hottest_tank_c),
            (Column::ColdestTank, if self.coldest_tank_c.is_finite() { self.coldest_tank_c } else { 0.0 }),
            (Column::MeanTank, flows.tank_mean_k_s / seconds),
            (Column::TankTop, self.top_k_s / seconds),
            (Column::TankMiddle, self.middle_k_s / seconds),
            (Column::TankBottom, self.bottom_k_s / seconds),
            (Column::Collector, self.collector_k_s / seconds),
            (Column::HottestCollector, seen(flows.hottest_collector_c)),
            (Column::HottestOutlet, seen(self.hottest_outlet_c)),
            (Column::HottestThermostat, seen(self.hottest_thermostat_c)),
            (Column::AboveLimit, flows.above_limit_s / S_PER_HOUR),
            (Column::Stagnation, flows.stagnation_s / S_PER_HOUR),
            (Column::LukewarmHours, self.lukewarm_s[0] / S_PER_HOUR),
            (Column::LukewarmSpell, self.longest_spell_s[0] / S_PER_HOUR),
            (Column::Tank2LukewarmHours, self.lukewarm_s[1] / S_PER_HOUR),
            (Column::Tank2LukewarmSpell, self.longest_spell_s[1] / S_PER_HOUR),
            (Column::StoredChange, kwh(self.stored_change_j)),
            // Relative to the year, which the caller knows.
            (Column::BalanceResidual, self.misfit_j),
        ];
        for (column, value) in values {
            accounts[column] = value;
        }
        accounts
    }
}
