//! Draws for studies: what decides between two plants is often single draws, which a use spread over its hours does not have.

use crate::job::file::Draft;
use crate::job::{Job, Pattern};

/// Said of a study that drew by chance where the job spreads its use.
pub const BY_CHANCE: &str = "The job spreads its hot water over the hours; here it is drawn in single draws by chance, the same \
     volume and the same draws for every variant. `--draws as-written` keeps it spread.";

/// Keys that only a use spread over its hours has.
const SPREAD: [&str; 2] = ["hot_water.spread", "hot_water.counts_as_showers"];

/// The draft with single draws by chance, if `job`, which it reads as, spreads its use over the hours; `None` if it has draws of
/// its own.
pub fn by_chance(draft: &Draft, job: &Job) -> Option<Draft> {
    if !matches!(job.water_use.pattern, Pattern::Hourly { .. }) {
        return None;
    }
    let bare = SPREAD.into_iter().fold(draft.clone(), Draft::without);
    Some(bare.with("hot_water.pattern", "random draws"))
}
