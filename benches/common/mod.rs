//! What the benches share: a list of costs, timed, or run once each for counting instructions.
//!
//! `cargo bench --bench NAME -- WORD` times the costs whose name holds the word, or all. For `benches/count`, `--list` names them;
//! `--once COST` and `--none COST` lay a cost out and then run it once or not at all.

mod clock;

use std::time::Instant;

pub(crate) use clock::cpu_ms;

/// A cost is run at least and at most so many times, within about so many ms.
const LEAST_RUNS: usize = 5;
const MOST_RUNS: usize = 41;
const LONG_MS: f64 = 2000.0;

/// What is run.
type Run<'a> = Box<dyn FnMut() + 'a>;

/// Something whose cost is looked at.
pub(crate) struct Cost<'a> {
    name: String,
    lay_out: Box<dyn Fn() -> Run<'a> + 'a>,
}

impl<'a> Cost<'a> {
    /// `lay_out` prepares what is needed and gives what costs.
    pub(crate) fn new<R: FnMut() + 'a>(name: impl Into<String>, lay_out: impl Fn() -> R + 'a) -> Self {
        Self { name: name.into(), lay_out: Box::new(move || Box::new(lay_out())) }
    }
}

/// What stands behind the bench's name on the command line, without what cargo adds.
pub(crate) fn words() -> Vec<String> {
    std::env::args().skip(1).filter(|word| word != "--bench").collect()
}

/// Does what the command line says.
pub(crate) fn main(costs: &[Cost<'_>]) {
    let words = words();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words[..] {
        ["--list"] => costs.iter().for_each(|cost| println!("{}", cost.name)),
        [mode @ ("--once" | "--none"), name] => {
            let cost = costs.iter().find(|cost| cost.name == name).expect("a cost that --list names");
            let mut run = (cost.lay_out)();
            if mode == "--once" {
                run();
            }
        }
        _ => costs
            .iter()
            .filter(|cost| words.is_empty() || words.iter().any(|word| cost.name.contains(word)))
            .for_each(time),
    }
}

/// Prints the CPU time, and the least time by the clock on the wall, which does not tell less than the CPU was busy.
fn time(cost: &Cost<'_>) {
    let mut run = (cost.lay_out)();
    let mut least_wall_ms = f64::INFINITY;
    let mut once = || {
        let (start, clock) = (cpu_ms(), Instant::now());
        run();
        least_wall_ms = least_wall_ms.min(clock.elapsed().as_secs_f64() * 1e3);
        cpu_ms() - start
    };
    let first_ms = once();
    let runs = ((LONG_MS / first_ms) as usize).clamp(LEAST_RUNS, MOST_RUNS);
    let mut spent_ms: Vec<f64> = (0..runs).map(|_| once()).collect();
    spent_ms.sort_by(f64::total_cmp);
    let (median, least) = (spent_ms[runs / 2], spent_ms[0]);
    println!(
        "{:50} CPU: median {median:8.3} ms, least {least:8.3} ms; wall: least {least_wall_ms:8.3} ms ({runs} runs)",
        cost.name
    );
}
