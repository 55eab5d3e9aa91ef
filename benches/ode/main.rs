//! The same days of case A1 by suncask and by a general library for differential equations: heat, starts, and CPU time of both.
//!
//! `cargo run --release` in this folder. Every tenth day of the year begins from suncask's state at its midnight; light, draws and cold
//! water come in the spans that suncask's own year is cut into. It fails where the results are further apart than 2 %.

#[path = "../common/annual.rs"]
mod annual;
#[path = "../common/clock.rs"]
mod clock;
mod controls;
mod plant;

use differential_equations::methods::{BackwardDifferentiationFormula, ExplicitRungeKutta};
use differential_equations::ode::{OrdinaryNumericalMethod, solve_ode};
use differential_equations::prelude::Interpolation;
use suncask::year::{Recorder, Setting, Span, drive};
use thermal_network::flows::{Conditions, Flows};
use thermal_network::{Scratch, State};

use clock::cpu_ms;
use controls::{Controls, Watch};
use plant::{Acted, Plant, Y};

const DAY_S: u32 = 86_400;
const J_PER_KWH: f64 = 3.6e6;

/// Every tenth day, and the first of them, counted from 0.
const FIRST_DAY: u32 = 4;
const EVERY: u32 = 10;

/// Pieces of time that do not matter.
const SHORTEST_S: f64 = 1e-6;

/// Furthest that the heat of another method may be from suncask's.
const AGREED_FRAC: f64 = 0.02;

/// Times that suncask goes through the days, for its median.
const REPEATS: usize = 101;

/// A day: the state at its midnight, and its spans in s with what acts on the plant.
struct Day {
    begin: State,
    spans: Vec<(u32, Conditions)>,
}

/// Keeps the days.
#[derive(Default)]
struct Days(Vec<Day>);

impl Recorder for Days {
    fn span(&mut self, span: &Span<'_>) {
        let wanted = |second: u32| (second / DAY_S) % EVERY == FIRST_DAY;
        if wanted(span.start_s) {
            let day = self.0.last_mut().expect("a day begins at midnight");
            day.spans.push((span.duration_s, *span.conditions));
        }
        let end_s = span.start_s + span.duration_s;
        if end_s.is_multiple_of(DAY_S) && wanted(end_s) {
            self.0.push(Day { begin: span.state.clone(), spans: Vec::new() });
        }
    }
}

/// What came of the days.
#[derive(Clone, Copy, Default)]
struct Sums {
    heat_j: f64,
    element_j: f64,
    starts: u32,
    /// Evaluations of the equations, or tank steps and loop substeps.
    steps: u64,
}

fn by_suncask(plant: &thermal_network::Plant, days: &[Day]) -> Sums {
    let mut flows = Flows::new();
    for day in days {
        let (mut state, mut scratch) = (day.begin.clone(), Scratch::new(plant));
        for (duration_s, conditions) in &day.spans {
            plant.advance(&mut state, &mut scratch, conditions, *duration_s, &mut flows, |_, _, _| {});
        }
    }
    Sums {
        heat_j: flows.heat_into_tank_j,
        element_j: flows.element_j[0],
        starts: flows.pump_starts,
        steps: flows.tank_steps + flows.loop_steps,
    }
}

/// The days by a method of the library, which `begin` makes anew for each piece between changes.
fn by_library<M>(shared: &thermal_network::Plant, plant: &Plant, days: &[Day], begin: impl Fn() -> M) -> Sums
where
    M: OrdinaryNumericalMethod<f64, Y> + Interpolation<f64, Y>,
{
    let mut sums = Sums::default();
    for day in days {
        let pipes_c = day.begin.pipes_c().map(|(coldest_c, hottest_c)| 0.5 * (coldest_c + hottest_c));
        let mut y = plant.state(day.begin.collector_c(shared), pipes_c, day.begin.tank_c(shared, 0));
        let mut controls = Controls::new(day.begin.pump_on());
        let mut now = 0.0;
        for &(duration_s, c) in &day.spans {
            let end = now + f64::from(duration_s);
            while now < end {
                controls.decide(plant, (now, &y));
                let acted = Acted { plant, c, pump_on: controls.pump_on, element_on: controls.element_on };
                let mut watch = Watch { plant, controls: &controls, at: (now, y) };
                let solved = solve_ode(&mut begin(), &acted, now, end, &y, &mut watch);
                match solved {
                    Ok(solved) => sums.steps += solved.evals.function as u64,
                    // Rounding may leave a rest of time that is too short for it.
                    Err(_) if end - watch.at.0 < SHORTEST_S => watch.at.0 = end,
                    Err(error) => panic!("{now} s to {end} s: {error:?}"),
                }
                let at = watch.at;
                if controls.element_on {
                    sums.element_j += plant.element_w * (at.0 - now);
                }
                (now, y) = at;
            }
            now = end;
        }
        sums.heat_j += plant.heat_j(&y);
        sums.starts += controls.starts;
    }
    sums
}

fn main() {
    let (job, weather) = (annual::one_tank(), annual::weather());
    let setting = Setting::new(&job, &weather);
    let shared = thermal_network::Plant::assemble(&job.plant).expect("a plant");
    let plant = Plant::new(&job.plant);
    let mut days = Days::default();
    drive(&setting, &shared, job.warm_up_days, job.start_c, &mut days);
    let Days(days) = days;
    let pieces: usize = days.iter().map(|day| day.spans.len()).sum();
    println!(
        "case A1, {} days of the year, {:.0} spans a day",
        days.len(),
        pieces as f64 / days.len() as f64
    );

    let own = by_suncask(&shared, &days);
    let mut spent_ms: Vec<f64> = (0..REPEATS)
        .map(|_| {
            let start_ms = cpu_ms();
            std::hint::black_box(by_suncask(&shared, &days));
            cpu_ms() - start_ms
        })
        .collect();
    spent_ms.sort_by(f64::total_cmp);
    let own_ms = spent_ms[REPEATS / 2];
    let year = 365.0 / days.len() as f64;
    println!(
        "{:24} {:>12} {:>16} {:>16} {:>8} {:>10} {:>8}",
        "", "CPU, ms/year", "into tank, kWh", "backup, kWh", "starts", "steps", "ratio"
    );
    let tell = |name: &str, sums: &Sums, ms: f64| {
        let beside =
            |j: f64, own_j: f64| format!("{:.2} ({:+.1} %)", j / J_PER_KWH, 100.0 * (j / own_j - 1.0));
        println!(
            "{name:24} {:12.1} {:>16} {:>16} {:8} {:10} {:8.0}",
            ms * year,
            beside(sums.heat_j, own.heat_j),
            beside(sums.element_j, own.element_j),
            sums.starts,
            sums.steps,
            ms / own_ms
        );
    };
    tell("suncask", &own, own_ms);
    let timed = |name: &str, run: &dyn Fn() -> Sums| {
        let start_ms = cpu_ms();
        let sums = run();
        tell(name, &sums, cpu_ms() - start_ms);
        for (j, own_j) in [(sums.heat_j, own.heat_j), (sums.element_j, own.element_j)] {
            assert!((j / own_j - 1.0).abs() < AGREED_FRAC, "of other results the ratio means nothing");
        }
    };
    timed("explicit 5(4), 1e-3", &|| {
        by_library(&shared, &plant, &days, || ExplicitRungeKutta::dopri5().rtol(1e-3).atol(1e-2))
    });
    timed("BDF, 1e-4", &|| {
        let begin = || BackwardDifferentiationFormula::adaptive().rtol(1e-4).atol(1e-3);
        by_library(&shared, &plant, &days, begin)
    });
}
