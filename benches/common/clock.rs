//! The clock of the benches.

use rustix::time::{ClockId, clock_gettime};

/// CPU time of all threads in ms.
pub(crate) fn cpu_ms() -> f64 {
    let spent = clock_gettime(ClockId::ProcessCPUTime);
    spent.tv_sec as f64 * 1e3 + spent.tv_nsec as f64 / 1e6
}
