//! Draw patterns fixed by law, as days of single draws, and rules for the water a house uses in a day.

pub mod eu;
pub mod household;
pub mod us;

use super::{Event, Purpose};

/// A day of draws fixed by law.
#[derive(Clone, Debug)]
pub struct DayPattern {
    /// Name in the job file.
    pub name: &'static str,
    /// The draws, in order.
    pub events: Vec<Event>,
    /// Printed total of the day with its unit.
    pub total: String,
    /// Whose law.
    pub origin: Origin,
}

/// Where a pattern comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// 10 CFR 430: elapsed time only, delivery at [`us::DELIVERY`].
    UnitedStates,
    /// (EU) No 812/2013: clock times and temperatures of its own.
    EuropeanUnion,
}

impl Origin {
    /// What a result says of its numbers: where they stand, and what of it is from memory.
    pub fn source(self) -> &'static str {
        match self {
            Self::UnitedStates => {
                "10 CFR 430 Subpart B Appendix E, Tables III.1 to III.4; single draws from memory, adding up to the \
                 printed total; those of 1.7 gal/min and more count as showers"
            }
            Self::EuropeanUnion => {
                "(EU) No 812/2013, Annex VII, Table 3; volumes from its useful heat above cold water at 10 C (from \
                 memory), at its peak temperature or else at least 40 C; the house's own cold water changes the heat, not \
                 the volume"
            }
        }
    }
}

/// Every pattern; those of the United States start at midnight and deliver at `us_use_c`.
pub fn all(us_use_c: f64) -> Vec<DayPattern> {
    us::patterns(us_use_c).chain(eu::patterns()).collect()
}

/// A draw of a volume at a flow, in whole seconds; the flow gives way so that the volume is kept.
fn day_event(start_s: u32, volume_m3: f64, flow_m3_s: f64, use_c: f64, purpose: Purpose) -> Event {
    let duration_s = (volume_m3 / flow_m3_s).round().max(1.0);
    Event { start_s, duration_s: duration_s as u32, flow_m3_s: volume_m3 / duration_s, use_c, purpose }
}
