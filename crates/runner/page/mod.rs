//! `suncask page`: a page on loopback for the kitchen table. Moving a control runs the whole year again and redraws figures and
//! pictures; two variants stand side by side.
//!
//! ```text
//! browser -> server (bounds) -> routes -> gate (who may ask) -> desk (newest first, two threads) -> answer
//!                                                            -> save (job file, report; one folder)
//! variant: job file + moved controls -> draft -> text -> the reader of the command line -> year
//! ```
//!
//! The files of the page itself are in `front`.

mod answer;
mod asked;
mod assets;
mod control;
mod day;
mod desk;
mod gate;
mod habits;
mod house;
mod opening;
mod routes;
mod save;
mod scale;
mod server;
pub mod trial;
mod variant;
mod weave;

use std::sync::Arc;

use tokio::sync::watch;

pub use gate::KEY_HEADER;
pub use house::{Given, folder_of};

use crate::problem::{Problem, Severity};
use crate::weather::WeatherYear;
use crate::year::Shared;

/// What is said to a request that no page would send.
const TOO_MUCH: &str = "the request holds more than a page asks for";

/// Threads that run years: one for each of the two variants.
const WORKERS: usize = 2;

/// Tilts, uses of water and heaters without sun that are kept for the next year: those of both variants, and of steps back.
const PARTS_KEPT: usize = 8;

/// Serves a house's page on a port of loopback, 0 for any that is free, until `stop` turns true. `ready` hears the address with
/// its key.
///
/// # Errors
/// Faults of the job, or what the system refuses.
pub fn serve(
    given: Given,
    weather: &WeatherYear,
    port: u16,
    stop: watch::Receiver<bool>,
    ready: impl FnOnce(&str),
) -> Result<(), Vec<Problem>> {
    let refused = |what: &str, error: &dyn std::fmt::Display| {
        vec![Problem::new(Severity::Error, format!("the page cannot be served: {what}: {error}"))]
    };
    let house = house::House::new(given, weather)?;
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).map_err(|error| refused("no random key", &error))?;
    let key: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(1)
        .enable_all()
        .build()
        .map_err(|error| refused("no thread", &error))?;
    let listener = runtime
        .block_on(server::listen(port))
        .map_err(|error| refused(&format!("port {} on 127.0.0.1", port), &error))?;
    let port = listener.local_addr().map_err(|error| refused("no address", &error))?.port();
    let desk = Arc::new(desk::Desk::new(house));
    let gate = Arc::new(gate::Gate::new(port, key.clone()));
    let routes = routes::routes(routes::Shop { gate, desk: Arc::clone(&desk) });
    let shared = Shared::keeping(PARTS_KEPT, weather);
    std::thread::scope(|scope| {
        for _ in 0..WORKERS {
            scope.spawn(|| desk.work(&shared));
        }
        // Behind the mark, the key stays in the browser: it is in no request line and no log.
        ready(&format!("http://127.0.0.1:{port}/#{key}"));
        runtime.block_on(server::serve(listener, routes, stop));
        desk.close();
    });
    Ok(())
}
