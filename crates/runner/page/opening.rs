//! What the page is told once, when it opens.

use serde::Serialize;

use super::control::Control;
use super::house::House;
use super::save::suggested;
use crate::safety::CONFIRM;

/// A layout and what can be moved in it.
#[derive(Serialize)]
struct Layout<'a> {
    words: &'a str,
    controls: &'a [Control],
}

/// A day to look at.
#[derive(Serialize)]
struct Day {
    words: &'static str,
    number: u32,
}

/// The house as the page opens it.
#[derive(Serialize)]
pub(super) struct Opening<'a> {
    name: &'a str,
    /// The job file; nothing for the demo.
    file: Option<&'a str>,
    /// A name to save it under.
    suggested: String,
    folder: String,
    version: &'static str,
    place: String,
    weather: &'a str,
    made_weather: bool,
    doubts: &'a [String],
    layouts: Vec<Layout<'a>>,
    days: [Day; 3],
    confirm: &'static str,
}

impl House {
    pub(super) fn opening(&self) -> Opening<'_> {
        let days = self.days;
        let day = |words, number| Day { words, number };
        let layouts =
            self.layouts.iter().map(|layout| Layout { words: &layout.words, controls: &layout.controls });
        Opening {
            name: &self.layouts[0].job.name,
            file: self.file.as_deref(),
            suggested: suggested(self.file.as_deref()),
            folder: self.folder.display().to_string(),
            version: env!("CARGO_PKG_VERSION"),
            place: self.weather.site.called(),
            weather: &self.weather.source,
            made_weather: self.weather.made,
            doubts: &self.doubts,
            layouts: layouts.collect(),
            days: [day("Clear day", days.clear), day("Mixed day", days.mixed), day("Dull day", days.dull)],
            confirm: CONFIRM,
        }
    }
}
