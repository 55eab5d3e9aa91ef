//! Cautions: the hazard and the number found, then "confirm with local code and a licensed professional".
//!
//! Nothing here calls a design safe or legal, or says that a hazard is absent.

use maud::{Markup, html};

use super::Report;
use crate::picture::{Units, grouped};
use crate::record::Column;
use crate::safety::CONFIRM;

/// The section of the page.
pub(super) fn section(report: &Report<'_>) -> Markup {
    let year = &report.result.annual;
    let level =
        |level_c: f64| format!("{} {}", grouped(report.units.level(level_c), 0), report.units.level_sign());
    let coldest = report.result.hourly.iter().map(|h| h[Column::Air]).reduce(f64::min);
    html! {
        h2 { "Cautions" }
        p { "This page states hazards and the numbers found; it does not judge the design. Confirm each with local code and a licensed professional." }
        @if !report.safety.is_empty() {
            h3 { "What this year raised" }
            ul {
                @for finding in report.safety {
                    li {
                        strong { (finding.hazard) ". " } (finding.reading) " " (finding.meaning) " " (finding.caution) "; "
                        (CONFIRM) "."
                    }
                }
            }
            h3 { "What to keep in mind with any system" }
        }
        ul {
            // Exposure times: common practice of burn prevention, as hospitals and safety boards publish them.
            li {
                strong { "Scald. " } "The tank reaches " (level(year[Column::HottestTank])) " in this year. Water above "
                (level(48.9)) " can burn; at " (level(60.0)) " a deep burn takes about 5 seconds, and less for children and "
                "the elderly. A tank that can pass " (level(48.9)) " needs a listed mixing valve at the tap side, tested every "
                "year."
            }
            // Growth range 77 to 113 F: US CDC, as commonly quoted.
            li {
                strong { "Legionella. " } "The bacteria grow between about " (level(25.0)) " and " (level(45.0)) ". The "
                "mean of the first tank was in this range for " (grouped(year[Column::LukewarmHours], 0)) " hours of the year; "
                "its coldest layer stayed there for up to " (grouped(year[Column::LukewarmSpell], 0)) " hours on end. This is "
                "a count of hours, not a judgment of health risk."
            }
            li {
                strong { "Freeze. " }
                @if let Some(coldest) = coldest {
                    "The coldest hour of this weather year is " (level(coldest)) "; real winters go lower. "
                } @else {
                    "A typical year misses record lows. "
                }
                "Water in collectors and pipes is at risk below about " (level(5.6)) " of outdoor air, even above "
                (level(0.0)) " under a clear night sky. Pumps and valves that need power do not protect in an outage. Check "
                "the fluid against the record low of the place."
            }
            // Dry temperatures of flat plates and tubes: common practice.
            li {
                strong { "Stagnation and steam. " } "The collector reaches " (level(year[Column::HottestCollector])) " in "
                "this year, with " (grouped(year[Column::Stagnation], 0)) " hours of stagnation. Dry collectors in full "
                "sun get far hotter: flat plates above " (level(176.7)) ", evacuated tubes above " (level(204.4)) ". Relief "
                "discharge scalds; cover collectors before service, and never refill them hot."
            }
            li {
                strong { "Pressure, roof and weight. " } "Closed heating needs room for thermal expansion, and the relief "
                "valve is never removed or plugged. Collectors add dead, wind and snow load to the roof; a full tank is heavy "
                "(80 gal of water alone weighs about " (match report.units {
                    Units::Us => "670 lb",
                    Units::Si => "300 kg",
                }) ")."
            }
            // Cut-out temperature: common practice.
            li {
                strong { "Electrical. " } "Never energize an element in an empty tank. Lock out every breaker before service. "
                "Solar heat above about " (level(73.9)) " at the thermostat can trip the manual cut-out of an electric "
                "heater; never bypass it."
            }
        }
        p { "For all of these: confirm with local code and a licensed professional. Savings are an estimate, not a guarantee, and not tax advice." }
    }
}
