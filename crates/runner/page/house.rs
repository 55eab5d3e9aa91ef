//! The house the page was opened for: its job file, the layouts it allows, and the files that may be written.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use super::control::{Control, controls};
use crate::job::Job;
use crate::job::file::{Draft, read_from};
use crate::problem::Problem;
use crate::report::WeatherFacts;
use crate::report::days::{Days, choose};
use crate::study::compare::{Shape, other_layout};
use crate::weather::WeatherYear;
use crate::year::Setting;

/// A job file as it was given.
#[derive(Clone, Debug)]
pub struct Given {
    /// The only folder that is written to; files the job names count from it.
    pub folder: PathBuf,
    /// Name of the job file in it; `None` for the built-in demo.
    pub file: Option<String>,
    /// Its text.
    pub text: String,
}

/// A layout of the house, with all that can be moved in it.
#[derive(Debug)]
pub(super) struct LaidOut {
    pub words: String,
    pub draft: Draft,
    pub job: Job,
    pub controls: Vec<Control>,
}

/// The house of a page.
#[derive(Debug)]
pub(super) struct House {
    pub folder: PathBuf,
    pub file: Option<String>,
    pub text: String,
    /// The job's own layout, then the other one it allows, if any.
    pub layouts: Vec<LaidOut>,
    pub weather: WeatherFacts,
    pub days: Days,
    /// Doubts about the weather file and about the light on the job's roof.
    pub doubts: Vec<String>,
    /// Job files this page has read or written, as they stood then.
    pub known: Mutex<BTreeMap<String, String>>,
    /// Held while a report is written: two of one name would stand in each other's way.
    pub writing: Mutex<()>,
}

impl House {
    /// Reads a job that is sound.
    ///
    /// # Errors
    /// All faults of its text.
    pub(super) fn new(given: Given, weather: &WeatherYear) -> Result<Self, Vec<Problem>> {
        let name = given.file.clone().unwrap_or_else(|| "the demo".into());
        let job = read_from(&given.folder, &name, &given.text)?;
        let draft = Draft::parsed(&name, given.folder.clone(), &given.text).map_err(|fault| vec![*fault])?;
        let setting = Setting::new(&job, weather);
        let days = choose(&setting.plane.daily_j_m2());
        let doubts = weather.warnings.iter().chain(&setting.plane.notes).map(ToString::to_string).collect();
        let mut layouts = vec![laid_out(draft.clone(), job)];
        let other = other_layout(&draft, &layouts[0].job);
        // A layout that the job does not allow as it is is not offered.
        layouts.extend(
            other.and_then(|draft| Some((draft.job().ok()?, draft))).map(|(job, draft)| laid_out(draft, job)),
        );
        let known = given.file.iter().map(|file| (file.clone(), given.text.clone())).collect();
        Ok(Self {
            folder: given.folder,
            file: given.file,
            text: given.text,
            layouts,
            weather: WeatherFacts::from(weather),
            days,
            doubts,
            known: Mutex::new(known),
            writing: Mutex::default(),
        })
    }

    /// Name of the job file, for messages.
    pub(super) fn name(&self) -> &str {
        self.file.as_deref().unwrap_or("the demo")
    }

    /// The layout that a variant asks for.
    pub(super) fn layout(&self, other: bool) -> Option<&LaidOut> {
        self.layouts.get(usize::from(other))
    }
}

fn laid_out(draft: Draft, job: Job) -> LaidOut {
    let tanks = &job.plant.tanks;
    let words = match Shape::of(&job) {
        Shape::OneTank if tanks.iter().all(|tank| tank.elements.is_empty()) => {
            "one tank, heated by the sun alone"
        }
        Shape::OneTank => "one tank that sun and backup share",
        Shape::TwoTanks => "two tanks: a solar tank feeds the heater",
        Shape::FlowThrough => "a solar tank before a flow-through heater",
    };
    let controls = controls(&draft, &job);
    LaidOut { words: words.into(), draft, job, controls }
}

/// The folder of a job file, and its name in it.
///
/// # Errors
/// The folder cannot be found.
pub fn folder_of(job: &Path) -> std::io::Result<(PathBuf, Option<String>)> {
    let parent = job.parent().filter(|parent| *parent != Path::new("")).unwrap_or(Path::new("."));
    Ok((parent.canonicalize()?, job.file_name().map(|name| name.to_string_lossy().into_owned())))
}
