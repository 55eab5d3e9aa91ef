//! The job file: TOML in the sections of the trade, read into a [`Job`] with all faults at once.
//!
//! One file of this folder reads one group of sections; `heights` holds the checks that look across them.

mod backup;
mod backup_checks;
mod backup_tank;
mod baseline;
mod bills;
mod coil_tube;
mod collectors;
mod control;
mod draft;
mod duties;
mod exchanger;
mod flow_through;
mod heights;
mod house;
mod hydraulics;
mod kind;
mod label;
mod layout_checks;
mod money;
mod pipes;
mod plumbing;
mod protection;
mod scale;
mod second_plane;
mod section;
mod size;
mod stock;
mod storage_heater;
mod tank;
mod tune;
mod water;

use std::io::ErrorKind;
use std::path::Path;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use thermal_network::fluid::Fluid;
use thermal_network::spec::{
    ElementSpec, Energy, FlowHeaterSpec, LoopKind, LoopSpec, Numerics, PlantSpec, SourceSpec, TankSpec,
};
use toml::de::{DeTable, DeValue};

pub use self::draft::Draft;
pub use self::money::hourly_prices;

use self::backup_checks::Present;
use self::kind::Word;
use self::section::{MOST_TOLD, Reader};
use crate::job::{Job, Permission, Rooms};
use crate::problem::{Place, Problem, Severity};
use crate::whole_file;

/// Heaters and timers whose hours can be told apart.
const MOST_HEATERS: usize = 32;

/// Largest text of a job, in bytes: some twenty times the longest starter.
const LARGEST_JOB: usize = 256 << 10;

/// Source of a default that is ordinary practice of the trade.
const COMMON: &str = "common practice";

/// A job file that cannot be used: all that is wrong with it, and its text for showing where.
#[derive(Debug)]
pub struct Faults {
    /// Text of the file; empty if it could not be read.
    pub text: String,
    /// Faults and doubts in the order of the file.
    pub problems: Vec<Problem>,
}

impl std::fmt::Display for Faults {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (i, problem) in self.problems.iter().enumerate() {
            let end = if i + 1 < self.problems.len() { "\n" } else { "" };
            write!(f, "{problem}{end}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// Reads a job file; the paths of the files it names count from the job file's folder.
///
/// # Errors
/// All faults of the file, or the one that it cannot be read.
pub fn read(path: &Path) -> Result<Job, Faults> {
    let name = path.display().to_string();
    let text = text_of(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    read_from(folder, &name, &text).map_err(|problems| Faults { text, problems })
}

/// Reads the text of a job file called `name`; the paths of the files it names count from `folder`.
///
/// # Errors
/// All faults of the text.
pub(crate) fn read_from(folder: &Path, name: &str, text: &str) -> Result<Job, Vec<Problem>> {
    let mut job = read_in(folder, name, text)?;
    for file in [&mut job.weather, &mut job.poor_weather] {
        *file = file.take().map(|file| folder.join(file));
    }
    Ok(job)
}

/// The text of a job file.
fn text_of(path: &Path) -> Result<String, Faults> {
    let text = whole_file::read(path).and_then(|bytes| {
        String::from_utf8(bytes).map_err(|error| std::io::Error::new(ErrorKind::InvalidData, error))
    });
    text.map_err(|error| Faults { text: String::new(), problems: vec![unreadable(path, &error)] })
}

/// Where the value of a section's key stands in a job file.
pub fn place_of(path: &Path, [section, key]: [&str; 2]) -> Option<Place> {
    let text = text_of(path).ok()?;
    let (tree, _) = DeTable::parse_recoverable(&text);
    let span = tree.get_ref().get(section)?.get_ref().as_table()?.get(key)?.span();
    Problem::new(Severity::Note, "").at_span(path.display().to_string(), &text, span).place
}

fn unreadable(path: &Path, error: &std::io::Error) -> Problem {
    let what = |why: &dyn std::fmt::Display| {
        Problem::new(Severity::Error, format!("cannot read the job file {}: {why}", path.display()))
    };
    match error.kind() {
        _ if path.is_dir() => what(&"it is a folder").help("name the job file in it"),
        ErrorKind::NotFound => what(error).help("`suncask new FILE` writes a job to start from"),
        ErrorKind::InvalidData => {
            what(&"it is not text in UTF-8").help("save it from a text editor as plain text, encoding UTF-8")
        }
        _ => what(error),
    }
}

/// Reads the text of a job file called `name`; a file of draws it names counts from the current folder. Doubts that do not
/// stop a run are in [`Job::notes`].
///
/// # Errors
/// All faults of the text, with the doubts among them, in the order of the file.
pub fn read_text(name: &str, text: &str) -> Result<Job, Vec<Problem>> {
    read_in(Path::new(""), name, text)
}

fn read_in(folder: &Path, name: &str, text: &str) -> Result<Job, Vec<Problem>> {
    if text.len() > LARGEST_JOB {
        let what = format!("the text has {} kB, and a job has a few", text.len() >> 10);
        let help = "is it the right file? `suncask new FILE` writes a job to start from";
        return Err(vec![Problem::new(Severity::Error, what).help(help).at_span(name, text, 0..0)]);
    }
    let (tree, errors) = DeTable::parse_recoverable(text);
    let syntax: Vec<Problem> =
        errors.iter().take(MOST_TOLD).map(|error| not_toml(name, text, error)).collect();
    let reader = Reader::new(name, text, folder);
    let mut job = job(&reader, tree.get_ref());
    reader.report_unknown("", tree.get_ref());
    let (mut problems, mut echo) = reader.finish();
    // Values of a controller that is not there are nobody's assumption.
    let kind = job.plant.solar_loop.as_ref().map(|solar| &solar.kind);
    if let Some(LoopKind::Thermosiphon(_) | LoopKind::Batch) = kind {
        echo.retain(|echo| !echo.key.starts_with("controller."));
    }
    // What a broken line was taken for says nothing new.
    let line = |problem: &Problem| problem.place.as_ref().map(|place| (place.file == name, place.line));
    problems.retain(|problem| !syntax.iter().any(|fault| line(fault) == line(problem)));
    problems.splice(0..0, syntax);
    if problems.iter().any(|problem| problem.severity == Severity::Error) {
        problems.sort_by_key(line);
        return Err(problems);
    }
    let empty = |value: &DeValue<'_>| value.as_table().is_some_and(|section| section.is_empty());
    if tree.get_ref().iter().all(|(key, value)| key.get_ref() == "name" || empty(value.get_ref())) {
        let what = "the job says nothing of the house, its plant or its people: every value is an assumption";
        let help = "`suncask new FILE` writes a job to start from";
        problems.insert(0, Problem::new(Severity::Note, what).help(help));
    }
    job.echo = echo;
    job.notes = problems;
    Ok(job)
}

fn not_toml(name: &str, text: &str, error: &toml::de::Error) -> Problem {
    let span = error.span().unwrap_or(0..0);
    // A caret needs something to stand under.
    let end = span.end.max(span.start + 1).min(text.len());
    let mut start = span.start.min(end);
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let end = (end..=text.len()).find(|&at| text.is_char_boundary(at)).unwrap_or(text.len());
    Problem::new(Severity::Error, format!("this line is not understood: {}", error.message()))
        .label("here")
        .help("write `key = \"value\"`, texts and quantities in quotes, as in volume = \"80 gal\"")
        .at_span(name, text, start..end)
}

/// Reads every section. The result is only sound if the reader found no error.
fn job(reader: &Reader<'_>, tree: &DeTable<'_>) -> Job {
    let root = reader.root(tree);
    let house = house::read(&root);
    let collectors = collectors::read(&root);
    let tank = tank::read(&root);
    let word = kind::word(&root);
    let second = second_plane::read(&root, &collectors, word);
    let area_m2 =
        collectors.spec.area_m2 + second.as_ref().map_or(0.0, |second| second.field.collector.area_m2);
    let exchanger = match word {
        Word::Batch => exchanger::none(),
        _ => exchanger::read(&root, &tank, area_m2),
    };
    let heater = backup_tank::read(&root, &tank);
    let backup = backup::read(&root, &tank, heater.is_some());
    let mut pipes = match word {
        Word::Batch => pipes::none(),
        _ => pipes::read(&root),
    };
    let protection = protection::read(&root);
    let sizing = size::read(&root);
    let bills = bills::read(&root);
    let fluid = pipes::fluid(&root, &exchanger.spec, &tank, word);
    let circuit = hydraulics::Loop {
        fluid,
        pipes: &pipes,
        exchanger: &exchanger,
        arrangement: collectors.field.arrangement,
    };
    let pump = match word {
        Word::Thermosiphon | Word::Batch => kind::no_pump(&root, word, area_m2),
        Word::Pumped | Word::Drainback => control::pump(&root, area_m2, |asker| circuit.read(&root, asker)),
    };
    let parts = kind::Parts {
        collectors: &collectors,
        area_m2,
        pipes: &pipes,
        exchanger: &exchanger.spec,
        tank_m: tank.spec.height_m,
        pump: &pump,
        fluid,
        lift_m: protection.lift_m,
    };
    let kind = kind::read(&root, word, &parts, |asker| circuit.read(&root, asker));
    circuit.doubt_unused(&root, matches!(kind, LoopKind::Leaking(_) | LoopKind::Thermosiphon(_)));
    if let Fluid::Constant { .. } = fluid {
        pipes::open_loop_films(&mut pipes, pump.flow);
    }
    let controller = control::controller(&root, &tank, word);
    let exchanger = coil_tube::settle(&root, exchanger, fluid, &pump);
    let water_use = water::hot(&root);
    let cold_water = water::cold(&root);
    let (baseline, present_burns) = baseline::read(&root, &tank);
    let without_sun = baseline::room(&root, tank.rooms.tank);
    heights::check(
        &root,
        &heights::Plant {
            exchanger: &exchanger,
            backup: &backup,
            last_heater: heater.is_none() && backup.flow.is_none(),
            controller: &controller.spec,
            water_use: &water_use,
            batch: word == Word::Batch,
            controlled: matches!(word, Word::Pumped | Word::Drainback),
        },
    );
    let behind = heater.as_ref().map(|heater| &heater.spec);
    backup_checks::check(
        &root,
        &backup,
        behind,
        &water_use,
        &Present { baseline: &baseline, burns: present_burns },
    );
    let aspect = house::aspect(&root, collectors.modifier, collectors.diffuse_modifier);
    let mut tank_spec = tank.spec;
    tank_spec.interlock = backup.interlock;
    tank_spec.elements = backup.elements;
    let mut rooms = Rooms { without_sun, ..tank.rooms };
    let mut element_hours = backup.hours;
    let mut tanks = vec![tank_spec];
    if let Some(second) = heater {
        rooms.second_tank = second.room;
        // Missing entries would shift those of the second tank.
        element_hours.resize(tanks[0].elements.len(), Permission::default());
        element_hours.extend(second.hours);
        tanks.push(second.spec);
    }
    let mut flow_heater = None;
    if let Some(flow) = backup.flow {
        element_hours.push(flow.hours);
        flow_heater = Some(flow.spec);
    }
    let timed = element_hours.len() + usize::from(controller.timer.is_some());
    if timed > MOST_HEATERS {
        let what = format!("{timed} heaters and timers are more than a plant can have here ({MOST_HEATERS})");
        root.report("backup", Problem::new(Severity::Error, what).label("too many"));
    }
    let (plumbing, plumbing_hours) = plumbing::read(&root, &mut tanks);
    layout_checks::check(
        &root,
        &layout_checks::Layout {
            tanks: &tanks,
            plumbing: &plumbing,
            hours: &plumbing_hours,
            flow_through: flow_heater.is_some(),
            high_limit_c: controller.spec.high_limit_c,
            wanted_c: water_use.pattern.hottest_use_c(),
        },
    );
    let burns = money::Burns { with_sun: burns(&tanks, flow_heater.as_ref()), without_sun: present_burns };
    let (money, stock) = money::read(&root, &house.calendar, burns);
    Job {
        name: house.name,
        weather: house.weather,
        poor_weather: house.poor_weather,
        second_aspect: second.as_ref().map(|second| second.aspect(&aspect)),
        aspect,
        collectors: collectors.field,
        plant: PlantSpec {
            solar_loop: Some(LoopSpec {
                collector: collectors.spec,
                fluid,
                pump,
                supply: pipes.supply,
                ret: pipes.ret,
                exchanger,
                controller: controller.spec,
                kind,
                second_field: second.as_ref().map(|second| second.field),
            }),
            tanks,
            plumbing,
            flow_heater,
            numerics: Numerics::default(),
        },
        element_hours,
        pump_hours: controller.timer,
        plumbing_hours,
        rooms,
        water_use,
        cold_water,
        baseline,
        calendar: house.calendar,
        money,
        stock,
        protection,
        tune: tune::read(&root),
        bills,
        sizing,
        control_w: if matches!(word, Word::Thermosiphon | Word::Batch) { 0.0 } else { controller.power_w },
        warm_up_days: house.warm_up_days,
        start_c: house.start_c,
        echo: Vec::new(),
        notes: Vec::new(),
    }
}

/// True if a heater of the plant buys fuel.
fn burns(tanks: &[TankSpec], flow: Option<&FlowHeaterSpec>) -> bool {
    let burner = |element: &ElementSpec| matches!(element.source, SourceSpec::Burner(_));
    flow.is_some_and(|flow| flow.energy == Energy::Fuel)
        || tanks.iter().flat_map(|tank| &tank.elements).any(burner)
}

/// Problems as text with the lines of the file they concern, with colour marks for a terminal; print it through `anstream`
/// so that they vanish elsewhere.
pub fn render(problems: &[Problem], text: &str) -> String {
    let mut shown = String::new();
    for problem in problems {
        let level = match problem.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
            Severity::Note => Level::NOTE,
        };
        let mut group = match problem.place.as_ref().map(|place| (place, place.span.clone())) {
            Some((place, Some(span))) => {
                let mark = AnnotationKind::Primary.span(span);
                let mark = if problem.label.is_empty() { mark } else { mark.label(&problem.label) };
                level
                    .primary_title(&problem.message)
                    .element(Snippet::source(text).path(&place.file).annotation(mark))
            }
            // Of another file only the line is known.
            Some((place, None)) => {
                let title = format!("{}:{}: {}", place.file, place.line, problem.message);
                Group::with_title(level.primary_title(title))
            }
            None => Group::with_title(level.primary_title(&problem.message)),
        };
        if let Some(help) = &problem.help {
            group = group.element(Level::HELP.message(help));
        }
        shown.push_str(&Renderer::styled().render(&[group]));
        shown.push_str("\n\n");
    }
    shown.truncate(shown.trim_end().len());
    if !shown.is_empty() {
        shown.push('\n');
    }
    shown
}
