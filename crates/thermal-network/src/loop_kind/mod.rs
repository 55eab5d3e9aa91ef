//! Loops that are not simply pumped round and left standing full.

pub(crate) mod drainback;
pub(crate) mod natural;

use drainback::Drainback;
use natural::Natural;

/// What a loop does at rest, and what moves it.
#[derive(Clone, Debug)]
pub(crate) enum Kind {
    /// Pumped, stands full, tight check valve.
    Filled,
    /// Runs empty whenever the pump stops.
    Drainback(Drainback),
    /// Buoyancy moves it, forwards or backwards.
    Natural(Box<Natural>),
    /// The collector is the tank.
    Batch,
}
