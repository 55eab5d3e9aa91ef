//! The layouts that a job and the contractor's stock allow for the same house.

use super::existing::{self, NEW_WORDS, behind_solar_tank};
use super::{Layout, Shape, floor_m2, tank_floor_m2};
use crate::job::file::Draft;
use crate::job::quantity::{Kind, parse};
use crate::job::{Job, StockTank};
use crate::problem::Problem;
use thermal_network::spec::{ExchangerSpec, LoopKind};

/// Height of the element that a solar tank gets which had none, and the most that its coil may reach below it.
const ELEMENT_FRAC: f64 = 0.62;

/// Two volumes this close, relative to each other, are the same tank.
const SAME_VOLUME: f64 = 0.005;

/// What could not be laid out or priced, and what to add to the job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// The layout or its cost.
    pub what: String,
    /// What to write in the job.
    pub add: String,
}

/// The layouts of a job.
#[derive(Clone, Debug, Default)]
pub struct Derived {
    /// Those that can be run, with the one-tank sizes first.
    pub layouts: Vec<Layout>,
    /// What the job does not say.
    pub missing: Vec<Missing>,
    /// What was taken for granted.
    pub assumed: Vec<String>,
}

impl Derived {
    fn lacks(&mut self, what: impl Into<String>, add: impl Into<String>) {
        let missing = Missing { what: what.into(), add: add.into() };
        if !self.missing.contains(&missing) {
            self.missing.push(missing);
        }
    }

    /// Keeps a layout, or why it is none.
    fn keep(&mut self, name: String, job: &Job, draft: &Draft, parts: &Parts<'_>) {
        let cost = self.cost(&name, job, parts);
        match read(&priced(draft, job, cost, parts.present_heater_goes)) {
            Ok(job) => {
                let drawn_m2 = floor_m2(&job);
                let own_m2 = job.plant.tanks.first().map_or(0.0, tank_floor_m2);
                let stock_m2 = parts.tank.and_then(|tank| tank.floor_m2).filter(|_| drawn_m2 >= own_m2);
                self.layouts.push(Layout {
                    shape: Shape::of(&job),
                    installed_cost: cost,
                    present_heater_goes: Some(parts.present_heater_goes),
                    floor_m2: drawn_m2 + stock_m2.map_or(0.0, |stock_m2| stock_m2 - own_m2),
                    name,
                    job,
                });
            }
            Err(why) => self.lacks(name, format!("the job as it is does not allow it: {why}")),
        }
    }

    /// Installed cost, or what is missing for it.
    fn cost(&mut self, name: &str, job: &Job, parts: &Parts<'_>) -> Option<f64> {
        let stock = &job.stock;
        let tank = parts.tank.and_then(|tank| tank.cost);
        let heater = if parts.new_heater { stock.new_heater_cost } else { Some(0.0) };
        let wanted = [
            (tank, format!("cost = \"$0\" under [[stock.tank]] with volume = \"{}\"", parts.volume)),
            (stock.cost_per_collector, "cost_per_collector = \"$0\" in [stock]".to_string()),
            (stock.fixed_cost, "fixed_cost = \"$0\" in [stock]: labor, pump, controller, pipes".to_string()),
            (heater, "new_heater_cost = \"$0\" in [stock]".to_string()),
        ];
        let absent: Vec<&str> =
            wanted.iter().filter(|(sum, _)| sum.is_none()).map(|(_, add)| add.as_str()).collect();
        if !absent.is_empty() {
            self.lacks(format!("installed cost of {name}"), format!("write {}", absent.join("; ")));
            return None;
        }
        listed_sum(job, parts.tank, parts.new_heater)
    }
}

/// Installed cost of a plant like the job's with such a tank; `None` where a price is missing.
fn listed_sum(job: &Job, tank: Option<&StockTank>, new_heater: bool) -> Option<f64> {
    let stock = &job.stock;
    let heater = if new_heater { stock.new_heater_cost } else { Some(0.0) };
    Some(tank?.cost? + collectors(job) * stock.cost_per_collector? + stock.fixed_cost? + heater?)
}

/// Installed cost of the plant of a job that `draft` reads as, by the prices of its stock; `None` where one is missing.
pub fn stock_cost(draft: &Draft, job: &Job) -> Option<f64> {
    let present = behind_solar_tank(draft, existing::present(draft, job));
    listed_sum(job, in_stock(job), heater_is_bought(job, &present))
}

/// The tank of the stock that is as large as the job's solar tank.
fn in_stock(job: &Job) -> Option<&StockTank> {
    let solar_m3 = job.plant.tanks[0].volume_m3;
    let same = |tank: &&StockTank| {
        volume_m3(&tank.volume).is_some_and(|m3| (m3 / solar_m3 - 1.0).abs() < SAME_VOLUME)
    };
    job.stock.tanks.iter().find(same)
}

/// True if a heater stands behind the job's solar tank that is not the customer's, which `present` has there.
fn heater_is_bought(job: &Job, present: &Draft) -> bool {
    let behind = |job: &Job| (job.plant.tanks.get(1).cloned(), job.plant.flow_heater);
    let own = behind(job);
    own != (None, None) && present.job().ok().is_none_or(|present| behind(&present) != own)
}

/// What a layout is made of.
struct Parts<'a> {
    tank: Option<&'a StockTank>,
    volume: String,
    new_heater: bool,
    present_heater_goes: bool,
}

/// Every layout of a job that `draft` reads as: a tank of each size of the stock with an element in it; the job's solar tank
/// before the heater the customer has; and before a new one.
pub fn derived(draft: &Draft, job: &Job) -> Derived {
    let mut found = Derived::default();
    if job.stock.tanks.is_empty() {
        let add = "add [[stock.tank]] with volume = \"80 gal\" and cost = \"$0\" for each size you sell";
        found.lacks("one tank with an element", add);
    }
    let batch = job.plant.solar_loop.as_ref().is_some_and(|solar| matches!(solar.kind, LoopKind::Batch));
    if batch {
        found.lacks(
            "one tank with an element",
            "none: the tank of a batch collector stands on the roof and has no element",
        );
    }
    for tank in job.stock.tanks.iter().filter(|_| !batch) {
        let parts = Parts {
            tank: Some(tank),
            volume: tank.volume.clone(),
            new_heater: false,
            present_heater_goes: true,
        };
        let name = format!("one tank, {}", tank.volume);
        found.keep(name, job, &one_tank(draft, job, tank), &parts);
    }
    let solar = in_stock(job);
    let drawn = || Kind::Volume.shown(job.plant.tanks[0].volume_m3, true);
    let volume = solar.map_or_else(drawn, |tank| tank.volume.clone());
    let parts = |new_heater| Parts {
        tank: solar,
        volume: volume.clone(),
        new_heater,
        present_heater_goes: new_heater,
    };
    let with_present = behind_solar_tank(draft, existing::present(draft, job));
    let name = format!("{volume} solar tank, present heater");
    found.keep(name, job, &with_present, &parts(false));
    // A heater of the job's own that is not the customer's is the one to be bought.
    let (name, draft) = if heater_is_bought(job, &with_present) {
        (format!("{volume} solar tank, heater of the job"), draft.clone())
    } else {
        let told = format!("The new heater is a {NEW_WORDS}; describe another in [backup_tank].");
        found.assumed.push(told);
        (format!("{volume} solar tank, new heater"), behind_solar_tank(draft, existing::new(draft, job)))
    };
    found.keep(name, job, &draft, &parts(true));
    found
}

/// The job with its backup moved: an element in the tank the sun heats, or, where it has one, the heater the customer has, which
/// then is not avoided, behind that tank. `None` where the plant has no such other layout.
pub fn other_layout(draft: &Draft, job: &Job) -> Option<Draft> {
    let batch = job.plant.solar_loop.as_ref().is_some_and(|solar| matches!(solar.kind, LoopKind::Batch));
    if batch {
        return None;
    }
    if job.plant.tanks.len() == 1 && job.plant.flow_heater.is_none() {
        return Some(behind_solar_tank(draft, existing::present(draft, job)).without("money.tank_avoided"));
    }
    let volume = Kind::Volume.shown(job.plant.tanks[0].volume_m3, true);
    Some(one_tank(draft, job, &StockTank { volume, cost: None, floor_m2: None }))
}

/// A tank of the stock with an element in it and no second heater.
fn one_tank(whole: &Draft, job: &Job, tank: &StockTank) -> Draft {
    let sections = ["backup_tank", "pipe_between", "bypass", "transfer_pump", "recirculation.returns_to"];
    let mut draft = sections.into_iter().fold(whole.clone(), Draft::without);
    let own_m3 = job.plant.tanks[0].volume_m3;
    if volume_m3(&tank.volume).is_none_or(|m3| (m3 / own_m3 - 1.0).abs() >= SAME_VOLUME) {
        draft =
            draft.with("tank.volume", tank.volume.as_str()).without("tank.height").without("tank.diameter");
    }
    if !job.plant.tanks[0].elements.is_empty() && job.plant.flow_heater.is_none() {
        return draft;
    }
    let set = ["backup_tank", "heater_without_sun"]
        .into_iter()
        .find_map(|section| whole.get(section)?.get("set_temperature").cloned());
    draft = draft.without("backup").with("backup.kind", "electric element");
    if let Some(set) = set {
        draft = draft.with("backup.set_temperature", set);
    }
    // What the sun heats lies below the element.
    let entry = |frac: f64, key: &str, draft: Draft| {
        if frac > ELEMENT_FRAC { draft.with(key, "60 %") } else { draft }
    };
    match job.plant.solar_loop.as_ref().map(|solar| &solar.exchanger) {
        Some(ExchangerSpec::Coil { top_frac, .. }) => entry(*top_frac, "tank.coil.top", draft),
        Some(ExchangerSpec::Plate { return_to_frac, .. }) => {
            entry(*return_to_frac, "tank.plate.return_to", draft)
        }
        Some(ExchangerSpec::OpenLoop { return_to_frac, .. }) if draft.has("tank.open_loop") => {
            entry(*return_to_frac, "tank.open_loop.return_to", draft)
        }
        _ => draft,
    }
}

/// The draft with the installed cost of its layout; without one where a price is missing.
fn priced(draft: &Draft, job: &Job, cost: Option<f64>, present_heater_goes: bool) -> Draft {
    let mut draft = draft.clone();
    if let Some(money) = &job.money {
        draft = match cost {
            Some(cost) => draft.with("money.installed_cost", format!("{} {cost}", money.currency.symbol())),
            None => draft.without("money.installed_cost"),
        };
    }
    if present_heater_goes { draft } else { draft.without("money.tank_avoided") }
}

fn read(draft: &Draft) -> Result<Job, String> {
    let told = |problems: Vec<Problem>| {
        let errors = problems.into_iter().filter(|p| p.severity == crate::problem::Severity::Error);
        errors.map(|problem| problem.to_string()).collect::<Vec<_>>().join("; ")
    };
    draft.job().map_err(told)
}

fn volume_m3(text: &str) -> Option<f64> {
    parse(text, &[Kind::Volume]).ok().map(|volume| volume.si)
}

/// Collectors of both planes.
fn collectors(job: &Job) -> f64 {
    let arrangement = job.collectors.arrangement;
    let first = f64::from(arrangement.in_series * arrangement.in_parallel);
    let Some(solar) = &job.plant.solar_loop else { return first };
    let second_m2 = solar.second_field.map_or(0.0, |second| second.collector.area_m2);
    (first * (1.0 + second_m2 / solar.collector.area_m2)).round()
}
