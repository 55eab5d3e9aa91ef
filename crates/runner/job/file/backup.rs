//! Backup of the solar tank: one `[backup]`, or several `[[backup]]`, electric elements in it or a flow-through heater behind
//! it.

use thermal_network::spec::{ElementSpec, FlowHeaterSpec, SensorSpec, SourceSpec};

use super::section::Section;
use super::tank::{Tank, height};
use super::{COMMON, flow_through};
use crate::job::Permission;
use crate::job::quantity::{Kind, when};
use crate::problem::{Problem, Severity};

/// Elements from the top down, and when each may run.
pub(super) struct Backup<'r> {
    pub elements: Vec<ElementSpec>,
    /// The section of each element.
    pub sections: Vec<Section<'r>>,
    pub hours: Vec<Permission>,
    pub interlock: bool,
    /// A flow-through heater behind the last tank, and where it stands in the file.
    pub flow: Option<FlowThrough<'r>>,
}

/// A flow-through heater behind the last tank.
pub(super) struct FlowThrough<'r> {
    pub spec: FlowHeaterSpec,
    pub section: Section<'r>,
    pub hours: Permission,
}

/// What a `[backup]` is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum BackupKind {
    Element,
    FlowThrough,
    None,
}

/// Keys of an element that a flow-through heater does not have.
const ELEMENT_KEYS: [&str; 6] =
    ["height", "thermostat_height", "band", "thermostat_offset", "thermostat_seat_loss", "thermostat_lag"];

/// Backup in the tank the sun heats; where a second tank has its own (`elsewhere`), there is none unless it is given.
pub(super) fn read<'r>(root: &Section<'r>, tank: &Tank, elsewhere: bool) -> Backup<'r> {
    let mut sections = root.sections("backup");
    if sections.is_empty() && !elsewhere {
        sections.push(root.section("backup"));
    }
    let mut elements = Vec::new();
    let mut flow: Option<FlowThrough<'r>> = None;
    for section in sections {
        let kind = section.choice(
            "kind",
            &[
                ("electric element", BackupKind::Element),
                ("flow-through heater", BackupKind::FlowThrough),
                ("none", BackupKind::None),
            ],
            ("electric element", "the usual backup of a single tank (common practice)"),
        );
        match kind {
            BackupKind::Element => {
                section.idle(
                    &flow_through::OWN_KEYS,
                    "an electric element has no such thing",
                    "leave it out",
                );
                let (element, hours) = (element(&section, tank.spec.height_m), hours(&section));
                elements.push((element, hours, section));
            }
            BackupKind::FlowThrough if flow.is_some() => {
                let what = "one flow-through heater is enough: this is the second";
                section.report("kind", Problem::new(Severity::Error, what).label("another one"));
            }
            BackupKind::FlowThrough => {
                section.idle(
                    &ELEMENT_KEYS,
                    "a flow-through heater has no element in the tank",
                    "leave it out",
                );
                let (spec, hours) = (flow_through::read(&section), hours(&section));
                flow = Some(FlowThrough { spec, section, hours });
            }
            BackupKind::None => {
                let help = "leave it out, or write the kind of heater";
                section.idle_but(&["kind"], "the solar tank has no heater of its own", help);
            }
        }
    }
    elements.sort_by(|a, b| b.0.height_frac.total_cmp(&a.0.height_frac));
    let interlock = root.section("tank").choice(
        "interlock",
        &[("upper first", true), ("none", false)],
        ("upper first", "two elements never run together in household heaters (common practice)"),
    );
    let mut backup =
        Backup { elements: Vec::new(), sections: Vec::new(), hours: Vec::new(), interlock, flow };
    for (element, hours, section) in elements {
        backup.elements.push(element);
        backup.hours.push(hours);
        backup.sections.push(section);
    }
    backup
}

pub(super) fn element(section: &Section<'_>, tank_m: f64) -> ElementSpec {
    let height_frac = height(
        section,
        "height",
        tank_m,
        ("62 %", "a third to half of the tank stays for backup (common practice)"),
    );
    let element = ElementSpec {
        source: SourceSpec::Electric,
        power_w: section
            .ask("power", &[Kind::Power])
            .possible("0 W", "60 kW")
            .usual("500 W", "12 kW")
            .or("4500 W", COMMON),
        height_frac,
        thermostat_frac: height(
            section,
            "thermostat_height",
            tank_m,
            ("70 %", "just above the element (common practice)"),
        ),
        set_c: section
            .ask("set_temperature", &[Kind::Level])
            .possible("60 F", "210 F")
            .usual("110 F", "150 F")
            .or("130 F", "keeps 120 F at the tap through its band (common practice)"),
        band_k: section
            .ask("band", &[Kind::Difference])
            .possible("0.1 F", "60 F")
            .usual("2 F", "25 F")
            .or("8 F", "electric thermostats have 8 to 15 F (common practice)"),
        sensor: sensor(section, ["thermostat_offset", "thermostat_seat_loss", "thermostat_lag"]),
    };
    if element.thermostat_frac < element.height_frac {
        let problem = Problem::new(Severity::Warning, "the thermostat sits below its element")
            .label("below the element")
            .help("water below an element stays cold, so the element would hardly ever stop");
        section.report("thermostat_height", problem);
    }
    element
}

/// Offset, seat loss and lag of a sensor, under the keys given.
pub(super) fn sensor(section: &Section<'_>, [offset, seat, lag]: [&'static str; 3]) -> SensorSpec {
    SensorSpec {
        offset_k: section
            .ask(offset, &[Kind::Difference])
            .possible("-90 F", "90 F")
            .usual("-10 F", "10 F")
            .or("0 F", "a sensor that reads true"),
        seat_loss_frac: section
            .ask(seat, &[Kind::Share])
            .possible("0 %", "99 %")
            .or("0 %", "well seated; strapped on badly it is 10 to 30 % (common practice)"),
        lag_s: section
            .ask(lag, &[Kind::Duration])
            .possible("0 s", "2 h")
            .or("0 s", "a sensor that follows at once"),
    }
}

/// When a timer lets something run.
pub(super) fn hours(section: &Section<'_>) -> Permission {
    clock(section, ("always", "no timer"))
}

/// `hours`, `weekdays` and `dates` of a timer; the default is that of its hours.
pub(super) fn clock(section: &Section<'_>, hours: (&str, &str)) -> Permission {
    let none = |_: &Vec<(u32, u32)>| String::new();
    let minutes = section.words_or("hours", hours, when::hours, none).unwrap_or_default();
    let weekdays = section.words_or("weekdays", ("every day", "no timer"), when::weekdays, |_| String::new());
    let days = section
        .words_or("dates", ("all year", "no timer"), when::days, |_| String::new())
        .unwrap_or_default();
    Permission { minutes, weekdays: weekdays.unwrap_or_default(), days }
}
