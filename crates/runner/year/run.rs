//! One job in one weather year, with its baseline: the accounts that everything else shows.

use std::sync::Arc;

use thermal_network::{Fault, Plant};

use super::bought::{self, WithoutSun};
use super::morning::Mornings;
use super::outage::Witness;
use super::{Setting, Stop, drive};
use crate::job::{Baseline, Job};
use crate::problem::{Problem, Severity};
use crate::record::{Accounts, Column, DayTracer, Hours, J_PER_KWH, Period, Tally, YearResult};
use crate::weather::calendar::DAYS_IN_MONTH;

/// A residual of the energy balance above this is an error of the program.
const LARGEST_RESIDUAL: f64 = 1e-6;

/// Points of a trace are this far apart or more, in s.
const TRACE_SPACING_S: u32 = 300;

/// What to keep of a run besides the months.
#[derive(Clone, Debug, Default)]
pub struct RunOptions {
    /// Keep every hour.
    pub hourly: bool,
    /// Days (1 to 365, rising) of which to keep every few minutes.
    pub trace_days: Vec<u32>,
    /// Let the power fail on the hottest and on the coldest three days too, beside the year.
    pub outages: bool,
    /// Judge the mornings of the dullest week.
    pub morning: bool,
    /// Ends the year before its time.
    pub stop: Stop,
}

/// Runs a job through its year.
///
/// # Errors
/// Every reason why the plant cannot be built; that the year was told to stop; or, an error of the program, an energy balance
/// that does not close.
pub fn run(job: &Job, setting: &Setting, options: &RunOptions) -> Result<YearResult, Vec<Problem>> {
    run_beside(job, setting, options, || Beside::new(job, setting, options).map(Arc::new))
}

/// The same beside a heater without sun that is stepped meanwhile, or has run before.
pub(super) fn run_beside(
    job: &Job,
    setting: &Setting,
    options: &RunOptions,
    beside: impl FnOnce() -> Result<Arc<Beside>, Vec<Problem>> + Send,
) -> Result<YearResult, Vec<Problem>> {
    let plant = Plant::assemble(&job.plant).map_err(|faults| problems(&faults))?;
    let collectors_m2 = job.plant.solar_loop.as_ref().map_or(0.0, |solar| {
        solar.collector.area_m2 + solar.second_field.map_or(0.0, |second| second.collector.area_m2)
    });
    let tally = |period| Tally::new(period).watching(&job.plant);
    let months = tally(Period::Month);
    let hours = options.hourly.then(|| tally(Period::Hour));
    let tracer =
        (!options.trace_days.is_empty()).then(|| DayTracer::new(&options.trace_days, TRACE_SPACING_S));
    let witness = options.outages.then(|| Witness::new(job, setting));
    let bought = job.money.is_some().then(Hours::default);
    let mornings = options.morning.then(|| Mornings::new(setting));
    let mut recorder = ((months, (hours, (tracer, (witness, (bought, mornings))))), options.stop.clone());
    let (_, beside) =
        rayon::join(|| drive(setting, &plant, job.warm_up_days, job.start_c, &mut recorder), beside);
    let beside = beside?;
    options.stop.checked()?;
    let ((months, (hours, (tracer, (witness, (bought, mornings))))), _) = recorder;
    let inputs_j = months.inputs_j();
    let finish = |tally: &Tally, baseline: Option<&Tally>| {
        let mut periods = tally.accounts(collectors_m2, job.control_w);
        beside.add(job, setting, tally, baseline, &mut periods);
        for period in &mut periods {
            period[Column::BalanceResidual] /= inputs_j.max(1.0);
            period.derive();
        }
        periods
    };
    let monthly = finish(&months, beside.months.as_ref());
    let hourly = hours.as_ref().map_or_else(Vec::new, |hours| finish(hours, beside.hours.as_ref()));
    let mut annual = Accounts::gather(&monthly, &DAYS_IN_MONTH.map(f64::from));
    // Misfits of single days could hide in each other only if they were signed; they add up.
    annual[Column::BalanceResidual] = monthly.iter().map(|month| month[Column::BalanceResidual]).sum();
    annual.derive();
    if annual[Column::BalanceResidual] > LARGEST_RESIDUAL || annual[Column::BalanceResidual].is_nan() {
        let message = format!(
            "The energy balance of the year does not close: residual {:e}.",
            annual[Column::BalanceResidual]
        );
        let help = "this is an error of the program; please report it with the job file";
        return Err(vec![Problem::new(Severity::Error, message).help(help)]);
    }
    let without_sun = WithoutSun {
        hours: beside.bought.as_ref(),
        efficiency_frac: efficiency_frac(
            job,
            beside.months.as_ref().map(|months| months.accounts(0.0, 0.0)).as_deref(),
        ),
    };
    let solar_heat_kwh = annual[Column::Delivered] - annual[Column::BackupHeat];
    let money = bought::money((job, setting), bought.as_ref(), &without_sun, solar_heat_kwh);
    let outages = witness.map_or_else(|| Ok(Vec::new()), |witness| witness.outages(job, setting, &plant));
    Ok(YearResult {
        annual,
        monthly,
        hourly,
        traces: tracer.map_or_else(Vec::new, DayTracer::into_traces),
        outages: outages.map_err(|faults| problems(&faults))?,
        money,
        morning: mornings.map(|mornings| mornings.judged(setting, &plant)),
    })
}

/// The year of the heater without sun, beside the plant.
#[derive(Debug)]
pub(super) struct Beside {
    months: Option<Tally>,
    hours: Option<Tally>,
    bought: Option<Hours>,
}

impl Beside {
    /// Steps a simulated baseline on the same draws, cold water and surroundings.
    ///
    /// # Errors
    /// Why the heater cannot be built, or that it was told to stop.
    pub(super) fn new(job: &Job, setting: &Setting, options: &RunOptions) -> Result<Self, Vec<Problem>> {
        let Some(spec) = job.plant_without_sun() else {
            return Ok(Self { months: None, hours: None, bought: None });
        };
        let plant = Plant::assemble(&spec).map_err(|faults| problems(&faults))?;
        let setting = setting.without_sun(&job.calendar);
        let hours = options.hourly.then(|| Tally::new(Period::Hour));
        let bought = job.money.is_some().then(Hours::default);
        let mut recorder = ((Tally::new(Period::Month), (hours, bought)), options.stop.clone());
        drive(&setting, &plant, job.warm_up_days, job.start_c, &mut recorder);
        options.stop.checked()?;
        let ((months, (hours, bought)), _) = recorder;
        Ok(Self { months: Some(months), hours, bought })
    }

    /// Adds what the heater without sun would have bought, and the savings.
    fn add(
        &self,
        job: &Job,
        setting: &Setting,
        tally: &Tally,
        simulated: Option<&Tally>,
        periods: &mut [Accounts],
    ) {
        let heater = simulated.map(|tally| tally.accounts(0.0, 0.0));
        let efficiency_frac = efficiency_frac(job, heater.as_deref());
        for (i, (period, (start_s, end_s))) in periods.iter_mut().zip(tally.bounds()).enumerate() {
            let (purchased_kwh, short_kwh) = match (&job.baseline, &heater) {
                (Baseline::HeldAtSetPoint { .. }, _) => {
                    let standing = Standing {
                        start_s,
                        end_s,
                        load_kwh: period[Column::Load],
                        recirculation_loss_kwh: period[Column::RecirculationLoss],
                        recirculation_pump_kwh: period[Column::RecirculationPump],
                    };
                    (standing.purchased_kwh(job, setting), 0.0)
                }
                (Baseline::Simulated { efficiency_frac, .. }, Some(heater)) => {
                    (heater[i][Column::BackupPurchased] / efficiency_frac, heater[i][Column::Shortfall])
                }
                (Baseline::Simulated { .. }, None) => (0.0, 0.0),
            };
            period[Column::BaselinePurchased] = purchased_kwh;
            let own_kwh = period[Column::BackupPurchased] + period[Column::Pump] + period[Column::Control];
            period[Column::Saved] = purchased_kwh - own_kwh;
            // Both heaters are charged for the hot water they failed to make.
            period[Column::EqualServiceSaved] =
                period[Column::Saved] - (period[Column::Shortfall] - short_kwh) / efficiency_frac;
        }
    }
}

/// Heat into water per energy the heater without sun buys: what the job says, times what a stepped heater itself makes of
/// what it buys over the year.
fn efficiency_frac(job: &Job, heater: Option<&[Accounts]>) -> f64 {
    let own_frac = heater.map_or(1.0, |months| {
        let sum = |column: Column| months.iter().map(|month| month[column]).sum::<f64>();
        let bought_kwh = sum(Column::BackupPurchased);
        let heat_kwh = sum(Column::BackupHeat);
        if heat_kwh > 0.0 { heat_kwh / bought_kwh } else { 1.0 }
    });
    match job.baseline {
        Baseline::HeldAtSetPoint { efficiency_frac, .. } => efficiency_frac,
        Baseline::Simulated { efficiency_frac, .. } => efficiency_frac * own_frac,
    }
}

/// A span of time, in s after 1 January 00:00, in the life of a heater held at its set point.
pub(super) struct Standing {
    pub start_s: u32,
    pub end_s: u32,
    pub load_kwh: f64,
    pub recirculation_loss_kwh: f64,
    pub recirculation_pump_kwh: f64,
}

impl Standing {
    /// What it buys; nothing if the job's heater is another.
    pub(super) fn purchased_kwh(&self, job: &Job, setting: &Setting) -> f64 {
        let Baseline::HeldAtSetPoint { ua_w_k, set_c, efficiency_frac } = job.baseline else { return 0.0 };
        let above_room_k = set_c - setting.room_without_sun_c(self.start_s, self.end_s);
        let standby_kwh = ua_w_k * above_room_k * f64::from(self.end_s - self.start_s) / J_PER_KWH;
        // It heats the house's loop as the plant does, less what the pump adds.
        let loop_pump = job.plant.plumbing.recirculation.map_or(0.0, |line| line.pump.heat_to_water_frac);
        let loop_kwh = self.recirculation_loss_kwh - loop_pump * self.recirculation_pump_kwh;
        (self.load_kwh + standby_kwh + loop_kwh) / efficiency_frac
    }
}

fn problems(faults: &[Fault]) -> Vec<Problem> {
    faults
        .iter()
        .map(|fault| Problem::new(Severity::Error, format!("The plant cannot be built: {fault}.")))
        .collect()
}
