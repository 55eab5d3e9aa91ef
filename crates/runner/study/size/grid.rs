//! The grid's candidates, and those of the chosen size on other planes.

use super::SizedTank;
use crate::job::Job;
use crate::job::file::Draft;
use crate::job::quantity::words::{one_panel, panels};
use crate::job::quantity::{Kind, parse, scaled};
use crate::problem::{Problem, Severity};
use crate::study::Candidate;

/// Tanks where the job lists none.
const USUAL_TANKS: [&str; 5] = ["50 gal", "65 gal", "80 gal", "105 gal", "120 gal"];

/// Numbers of collectors where the job lists none.
const USUAL_COUNTS: [u32; 4] = [1, 2, 3, 4];

/// Most cells of a grid.
const MOST_CELLS: usize = 400;

/// Totals of the loop that belong to its number of collectors: key, kinds that are totals, and what the result calls it.
const TOTALS: [(&str, &[Kind], &str); 4] = [
    ("pump.flow", &[Kind::VolumeFlow, Kind::MassFlow], "the pump's flow"),
    ("tank.coil.ua", &[Kind::Conductance], "the coil's UA"),
    ("tank.plate.ua", &[Kind::Conductance], "the plate's UA"),
    ("tank.plate.tank_flow", &[Kind::VolumeFlow, Kind::MassFlow], "the plate's flow on the tank's side"),
];

/// Whole collectors by stock tanks.
#[derive(Clone, Debug)]
pub struct Grid {
    /// Numbers of collectors on the first plane, rising.
    pub counts: Vec<u32>,
    /// Tanks, the smallest first.
    pub tanks: Vec<SizedTank>,
    /// Size of one collector.
    pub each: String,
    /// True: every cell has its own installed cost.
    pub costs: bool,
    /// What one more collector costs, where the job says so.
    pub each_cost: Option<f64>,
    /// One for each tank and number of collectors, tank by tank.
    pub candidates: Vec<Candidate>,
    /// What was assumed, scaled or left out on the way.
    pub said: Vec<String>,
    turns: Vec<[String; 2]>,
    own_plane: [String; 2],
}

impl Grid {
    /// The grid of a job.
    ///
    /// # Errors
    /// A list that cannot be used, or what keeps a candidate from being a sound job.
    pub fn of(draft: &Draft, job: &Job) -> Result<Self, Vec<Problem>> {
        if draft.text("loop.kind").is_some_and(|kind| kind == "batch") {
            let what = "a batch collector is tank and collector in one: there is no grid of both";
            return Err(fault(what, "write one job for each model and set them side by side"));
        }
        let mut said = Vec::new();
        let (own_count, each, counts) = counts(draft, job, &mut said)?;
        let tanks = tanks(job, &mut said)?;
        if counts.len() * tanks.len() > MOST_CELLS {
            let what = format!("{} collector numbers by {} tanks are too many", counts.len(), tanks.len());
            return Err(fault(&what, &format!("list fewer: at most {MOST_CELLS} cells")));
        }
        let own_m3 = job.plant.tanks.first().map_or(f64::NAN, |tank| tank.volume_m3);
        let mut grid = Self {
            costs: costs(job, &tanks, &mut said),
            each_cost: job.stock.cost_per_collector,
            counts,
            tanks,
            each,
            candidates: Vec::new(),
            said,
            turns: turns(job),
            own_plane: ["roof.tilt", "roof.azimuth"].map(|key| written(job, key)),
        };
        grid.tell(draft, own_count, own_m3);
        let own = Own { count: own_count, second: second(draft), volume_m3: own_m3 };
        for tank in &grid.tanks {
            for &count in &grid.counts {
                let sized = grid.sized(draft, job, &own, (count, tank));
                grid.candidates.push(candidate(name(count, tank), grid.settings(count, tank, None), &sized)?);
            }
        }
        Ok(grid)
    }

    /// How many candidates [`Self::turned`] gives.
    pub fn turned_count(&self) -> usize {
        self.turns.iter().filter(|plane| **plane != self.own_plane).count()
    }

    /// The chosen size (its place among the candidates) on every other plane the job lists.
    ///
    /// # Errors
    /// What keeps one from being a sound job.
    pub fn turned(&self, draft: &Draft, job: &Job, chosen: usize) -> Result<Vec<Candidate>, Vec<Problem>> {
        let (tank, count) =
            (&self.tanks[chosen / self.counts.len()], self.counts[chosen % self.counts.len()]);
        let own = Own {
            count: f64::from(own_panels(draft)?.0),
            second: second(draft),
            volume_m3: job.plant.tanks.first().map_or(f64::NAN, |tank| tank.volume_m3),
        };
        let turns = self.turns.iter().filter(|plane| **plane != self.own_plane);
        turns
            .map(|plane| {
                let [tilt, azimuth] = plane;
                let sized = self.sized(draft, job, &own, (count, tank));
                let turned = sized.with("roof.tilt", tilt.as_str()).with("roof.azimuth", azimuth.as_str());
                let name = format!("{}, {tilt}, {azimuth}", name(count, tank));
                candidate(name, self.settings(count, tank, Some(plane)), &turned)
            })
            .collect()
    }

    fn settings(&self, count: u32, tank: &SizedTank, plane: Option<&[String; 2]>) -> Vec<(String, String)> {
        let mut settings =
            vec![("collectors".into(), count.to_string()), ("tank".into(), tank.volume.clone())];
        if !self.turns.is_empty() {
            let [tilt, azimuth] = plane.unwrap_or(&self.own_plane).clone();
            settings.extend([("tilt".into(), tilt), ("azimuth".into(), azimuth)]);
        }
        settings
    }

    /// The job with so many collectors and such a tank.
    fn sized(&self, draft: &Draft, job: &Job, own: &Own, (count, tank): (u32, &SizedTank)) -> Draft {
        let draft = with_volume(with_count(draft.clone(), own, count, &self.each), own, tank);
        let Some(money) = &job.money else { return draft };
        if !self.costs {
            return draft.without("money.installed_cost");
        }
        let stock = &job.stock;
        let cost = stock.fixed_cost.unwrap_or(0.0)
            + f64::from(count) * stock.cost_per_collector.unwrap_or(0.0)
            + tank.cost.unwrap_or(0.0);
        draft.with("money.installed_cost", format!("{} {cost}", money.currency.symbol()))
    }

    /// Says what is scaled and left out for sizes other than the job's own.
    fn tell(&mut self, draft: &Draft, own_count: f64, own_m3: f64) {
        if self.counts.iter().any(|&count| f64::from(count) != own_count) {
            let totals = TOTALS.iter().filter(|(key, ..)| total(draft, key).is_some());
            let names: Vec<&str> = totals.map(|(.., name)| *name).collect();
            if !names.is_empty() {
                self.said.push(format!(
                    "what the job gives for its own {own_count} collectors is scaled with their number: {}",
                    names.join(", "),
                ));
            }
            if uneven(draft) {
                self.said.push("other numbers of collectors than the job's are piped in parallel".into());
            }
            if second(draft) > 0.0 {
                self.said.push("the second plane keeps its collectors; the first plane's are varied".into());
            }
            self.said
                .push("the pump's watts and the pipes stay as the job has them, whatever the size".into());
            if draft.has("pump.curve") {
                self.said.push("the pump keeps its curve: the flow is what it gives in each loop".into());
            }
            if draft.has("tank.coil.length") {
                self.said.push("the coil keeps its tube, whatever the number of collectors".into());
            }
        }
        if self.tanks.iter().any(|tank| differs(tank.volume_m3, own_m3)) {
            if draft.has("tank.height") || draft.has("tank.diameter") {
                self.said.push("tanks of other sizes than the job's are 2.5 times as high as wide".into());
            }
            if draft.has("tank.total_loss") {
                self.said.push("the tank's total loss goes with its surface".into());
            }
        }
    }
}

/// What the job itself has.
struct Own {
    /// Collectors on the first plane.
    count: f64,
    /// Collectors on the second plane.
    second: f64,
    volume_m3: f64,
}

/// The job with another number of collectors on its first plane, with another tank, or both: what `suncask size` runs in such
/// a cell, but for costs.
///
/// # Errors
/// The job's own collectors, the number or the volume cannot be understood.
pub fn resized(
    draft: &Draft,
    job: &Job,
    count: Option<u32>,
    volume: Option<&str>,
) -> Result<Draft, Vec<Problem>> {
    let (own_count, each) = own_panels(draft)?;
    let own = Own {
        count: f64::from(own_count),
        second: second(draft),
        volume_m3: job.plant.tanks.first().map_or(f64::NAN, |tank| tank.volume_m3),
    };
    let mut sized = draft.clone();
    if let Some(count) = count {
        sized = with_count(sized, &own, count, &each);
    }
    if let Some(volume) = volume {
        sized = with_volume(sized, &own, &stock_tank(volume, None)?);
    }
    Ok(sized)
}

fn with_count(mut draft: Draft, own: &Own, count: u32, each: &str) -> Draft {
    if f64::from(count) == own.count {
        return draft;
    }
    draft = draft.with("collectors.size", format!("{count} {each}"));
    if uneven(&draft) {
        draft = draft.without("collectors.arrangement");
    }
    let factor = (f64::from(count) + own.second) / (own.count + own.second);
    for (key, _, _) in TOTALS {
        if let Some(text) = total(&draft, key).and_then(|text| scaled(&text, factor)) {
            draft = draft.with(key, text);
        }
    }
    draft
}

fn with_volume(mut draft: Draft, own: &Own, tank: &SizedTank) -> Draft {
    if !differs(tank.volume_m3, own.volume_m3) {
        return draft;
    }
    draft = draft.with("tank.volume", tank.volume.as_str());
    for key in ["tank.height", "tank.diameter"] {
        draft = draft.without(key);
    }
    if let Some(text) = draft.text("tank.total_loss").map(str::to_owned) {
        // Shells of one shape: area goes with the volume to the power of two thirds.
        let root = libm::cbrt(tank.volume_m3 / own.volume_m3);
        draft = draft.with("tank.total_loss", scaled(&text, root * root).unwrap_or(text));
    }
    draft
}

fn fault(what: &str, help: &str) -> Vec<Problem> {
    vec![Problem::new(Severity::Error, what).help(help)]
}

fn differs(volume_m3: f64, own_m3: f64) -> bool {
    (volume_m3 / own_m3 - 1.0).abs() > 1e-9
}

fn name(count: u32, tank: &SizedTank) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} collector{plural}, {}", tank.volume)
}

fn candidate(
    name: String,
    settings: Vec<(String, String)>,
    draft: &Draft,
) -> Result<Candidate, Vec<Problem>> {
    let named = |mut problem: Problem| {
        problem.message = format!("{name}: {}", problem.message);
        problem
    };
    let job = draft.job().map_err(|problems| {
        let faults = problems.into_iter().filter(|problem| problem.severity == Severity::Error);
        faults.map(named).collect::<Vec<_>>()
    })?;
    Ok(Candidate { name, settings, job })
}

/// The text of a key that gives a total.
fn total(draft: &Draft, key: &str) -> Option<String> {
    let (_, kinds, _) = TOTALS.iter().find(|(total, ..)| *total == key)?;
    draft.text(key).filter(|text| parse(text, kinds).is_ok()).map(str::to_owned)
}

/// True if the arrangement says more than parallel or series.
fn uneven(draft: &Draft) -> bool {
    draft.text("collectors.arrangement").is_some_and(|text| text.contains(|c: char| c.is_ascii_digit()))
}

/// How many collectors stand on a second plane.
fn second(draft: &Draft) -> f64 {
    let plane = draft.get("roof").and_then(|roof| roof.get("second_plane"));
    let Some(plane) = plane else { return 0.0 };
    match plane.get("collectors") {
        Some(toml::Value::Integer(count)) => *count as f64,
        Some(value) => value.as_str().and_then(|text| parse(text, &[Kind::Count]).ok()).map_or(1.0, |n| n.si),
        None => 1.0,
    }
}

/// The value of a key as the job understood it, without its meaning in brackets.
fn written(job: &Job, key: &str) -> String {
    let echo = job.echo.iter().find(|echo| echo.key == key);
    echo.map_or(String::new(), |echo| echo.written.split(" (").next().unwrap_or_default().to_owned())
}

/// Number and size of the job's own collectors.
fn own_panels(draft: &Draft) -> Result<(u32, String), Vec<Problem>> {
    let text = draft.text("collectors.size").unwrap_or("two 4x8 ft");
    let own = panels(text).map_err(|error| fault(&error.message, "write it like \"two 4x8 ft\""))?;
    Ok((own.count as u32, one_panel(text)))
}

fn counts(draft: &Draft, job: &Job, said: &mut Vec<String>) -> Result<(f64, String, Vec<u32>), Vec<Problem>> {
    let (own_count, each) = own_panels(draft)?;
    let own_count = f64::from(own_count);
    if job.stock.collectors.is_empty() {
        said.push(format!(
            "no collectors are listed: one to four of the job's own, {each}, are tried (common practice); write [stock] \
             collectors = [\"one {each}\", ...]"
        ));
        return Ok((own_count, each, USUAL_COUNTS.to_vec()));
    }
    let own_m2 = panels(&format!("1 {each}")).map_or(f64::NAN, |own| own.nominal_m2);
    let mut counts = Vec::new();
    for text in &job.stock.collectors {
        let found = panels(text).map_err(|error| fault(&error.message, "write it like \"two 4x8 ft\""))?;
        if (found.nominal_m2 / own_m2 - 1.0).abs() > 1e-3 {
            let what = format!("`{text}` in [stock] is of another size than the job's collector, {each}");
            let help = "the rating sheet belongs to one collector: list numbers of that one, and give another its own job";
            return Err(fault(&what, help));
        }
        counts.push(found.count as u32);
    }
    counts.sort_unstable();
    counts.dedup();
    Ok((own_count, each, counts))
}

fn stock_tank(volume: &str, cost: Option<f64>) -> Result<SizedTank, Vec<Problem>> {
    let found =
        parse(volume, &[Kind::Volume]).map_err(|error| fault(&error.message, "write it like \"80 gal\""))?;
    Ok(SizedTank { volume: volume.trim().to_owned(), volume_m3: found.si, cost })
}

fn tanks(job: &Job, said: &mut Vec<String>) -> Result<Vec<SizedTank>, Vec<Problem>> {
    let mut tanks = if job.stock.tanks.is_empty() {
        said.push(format!(
            "no tanks are listed: {} are tried (common practice); write [[stock.tank]] with volume = \"80 gal\"",
            USUAL_TANKS.join(", ")
        ));
        USUAL_TANKS.iter().map(|volume| stock_tank(volume, None)).collect::<Result<Vec<_>, _>>()?
    } else {
        let listed = job.stock.tanks.iter().map(|tank| stock_tank(&tank.volume, tank.cost));
        listed.collect::<Result<Vec<_>, _>>()?
    };
    tanks.sort_by(|a, b| a.volume_m3.total_cmp(&b.volume_m3));
    tanks.dedup_by(|a, b| !differs(a.volume_m3, b.volume_m3));
    Ok(tanks)
}

/// True if every cell's installed cost is known; else says what is missing for paybacks.
fn costs(job: &Job, tanks: &[SizedTank], said: &mut Vec<String>) -> bool {
    if job.money.is_none() {
        said.push("without prices of energy there is no saving in money and no payback; `suncask check` says what to add".into());
        return false;
    }
    let mut missing = Vec::new();
    if job.stock.cost_per_collector.is_none() {
        missing.push("cost_per_collector in [stock]");
    }
    if tanks.iter().any(|tank| tank.cost.is_none()) {
        missing.push("cost in every [[stock.tank]]");
    }
    if !missing.is_empty() {
        said.push(format!(
            "there is no payback, since one installed cost does not fit all sizes: write {}",
            missing.join(" and ")
        ));
        return false;
    }
    if job.stock.fixed_cost.is_none() {
        said.push("no fixed cost is given: installed cost is that of collectors and tank alone; write fixed_cost in [stock]".into());
    }
    true
}

/// Every plane the job lists.
fn turns(job: &Job) -> Vec<[String; 2]> {
    let (tilts, azimuths) = (&job.sizing.tilts, &job.sizing.azimuths);
    if tilts.is_empty() && azimuths.is_empty() {
        return Vec::new();
    }
    let or_own = |list: &[String], key| if list.is_empty() { vec![written(job, key)] } else { list.to_vec() };
    let azimuths = or_own(azimuths, "roof.azimuth");
    let tilts = or_own(tilts, "roof.tilt");
    tilts.iter().flat_map(|tilt| azimuths.iter().map(|azimuth| [tilt.clone(), azimuth.clone()])).collect()
}
