//! The annual reference cases, read from `tests/data/annual` by the tests' own reader.

#[allow(dead_code, reason = "the benches need the job, not the rows")]
#[path = "../../tests/reference/case.rs"]
mod case;

use std::path::{Path, PathBuf};

use suncask::job::Job;
use suncask::weather::{self, WeatherYear};

/// A path from the root of the repository; a bench may be a package of its own below it.
fn at_root(path: &str) -> PathBuf {
    let folders = Path::new(env!("CARGO_MANIFEST_DIR")).ancestors();
    folders.map(|folder| folder.join(path)).find(|path| path.exists()).expect("a file of the repository")
}

/// The job of a case.
pub(crate) fn job(file: &str) -> Job {
    let text = std::fs::read_to_string(at_root(&format!("tests/data/annual/{file}"))).expect("a case");
    let (case, _) = case::read(&text).expect("a sound case");
    case::job(&case).expect("a sound job")
}

/// One tank.
pub(crate) fn one_tank() -> Job {
    job("A1-one-tank-wrap.json")
}

/// The weather of the cases.
pub(crate) fn weather() -> WeatherYear {
    weather::read(&at_root("tests/data/weather/tmy3_723170_greensboro_nc.csv")).expect("a sound file")
}
