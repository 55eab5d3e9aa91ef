//! Cautions: the hazard and the number found, then "confirm with local code and a licensed professional".
//!
//! Nothing here calls a design safe or legal, or says that a hazard is absent.

use maud::{Markup, html};

use super::Report;
use crate::picture::{Units, grouped};
use crate::record::{Accounts, Column};
use crate::safety::{CONFIRM, CUT_OUT_C, GROWTH_C, RISK_C, WITH_VALVE_C, WITHOUT_VALVE_C};

/// Where the backup burns gas.
fn gas(year: &Accounts) -> Markup {
    html! {
        @if year[Column::BackupFuel] > 0.0 {
            // Cut-out of gas controls: common practice.
            li {
                strong { "Gas and flue. " } "The backup burns " (grouped(year[Column::BackupFuel], 0)) " kWh of fuel a year. A "
                "burner needs combustion air and a sound flue; a heater that fires seldom because of the sun can draw badly and "
                "let its flue gas condense. Carbon monoxide kills without smell: have draft and venting tested, and keep an "
                "alarm. Solar heat can trip a gas control\u{2019}s cut-out near 180 to 200 \u{b0}F (82 to 93 \u{b0}C) too; never "
                "bypass it."
            }
        }
    }
}

/// Where a flow-through heater stands behind the solar tank.
fn behind_the_tank(report: &Report<'_>) -> Markup {
    let year = &report.result.annual;
    let hottest_c = year[Column::HottestTank];
    html! {
        @if year[Column::FlowHeaterHeat] > 0.0 {
            li {
                strong { "Flow-through heater. " } "Water of up to " (report.units.shown_level(hottest_c)) " comes to it from "
                "the solar tank in this year: it must be listed for such water or be bypassed, and the mixing valve belongs "
                "behind it. It heats the water for seconds only, which does not make up for a lukewarm tank before it."
            }
        }
    }
}

/// Where a heat pump water heater helps.
fn heat_pump(year: &Accounts) -> Markup {
    html! {
        @if year[Column::HeatPumpHeat] > 0.0 {
            li {
                strong { "Heat pump. " } "It takes " (grouped(year[Column::HeatPumpHeat] - year[Column::BackupElectric]
                    + year[Column::ElementHeat], 0)) " kWh a year from the air of its room and makes that room cooler and "
                "drier, which is not modelled: in a heated room the heating bill pays for it. It needs air, a drain for its "
                "condensate, and must not draw air from a room in which something burns."
            }
        }
    }
}

/// The section of the page.
pub(super) fn section(report: &Report<'_>) -> Markup {
    let year = &report.result.annual;
    let level = |level_c| report.units.shown_level(level_c);
    let coldest = report.result.hourly.iter().map(|h| h[Column::Air]).reduce(f64::min);
    html! {
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
                (level(WITHOUT_VALVE_C)) " can burn; at " (level(WITH_VALVE_C)) " a deep burn takes about 5 seconds, and less for children and "
                "the elderly. A tank that can pass " (level(WITHOUT_VALVE_C)) " needs a listed mixing valve at the tap side, tested every "
                "year."
            }
            li {
                strong { "Legionella. " } "The bacteria grow between about " (level(GROWTH_C[0])) " and " (level(GROWTH_C[1])) ". The "
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
                "Water in collectors and pipes is at risk below about " (level(RISK_C)) " of outdoor air, even above "
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
            li {
                strong { "Electrical. " } "Never energize an element in an empty tank. Lock out every breaker before service. "
                "Solar heat above about " (level(CUT_OUT_C)) " at the thermostat can trip the manual cut-out of an electric "
                "heater; never bypass it."
            }
            (gas(year))
            (behind_the_tank(report))
            (heat_pump(year))
        }
        p { "For all of these: confirm with local code and a licensed professional. Savings are an estimate, not a guarantee, and not tax advice." }
    }
}
