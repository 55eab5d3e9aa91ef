//! Requests tried on a house without a server and without a year: for the tests of what a page may ask.

use super::asked::{Save, Variant, Year};
use super::house::{Given, House};
use super::save::plain_name;
use super::variant::moved;
use crate::job::Job;
use crate::problem::Problem;
use crate::weather::WeatherYear;

/// What a request comes to.
#[derive(Debug)]
pub struct Wanted {
    /// The job that would run.
    pub job: Job,
    /// Its text as it would be saved.
    pub text: String,
    /// Name of the file, if it is to be saved.
    pub file: Option<String>,
}

/// A house as a page has it open.
#[derive(Debug)]
pub struct Trial(House);

impl Trial {
    /// Opens a house.
    ///
    /// # Errors
    /// All faults of its job.
    pub fn new(given: Given, weather: &WeatherYear) -> Result<Self, Vec<Problem>> {
        House::new(given, weather).map(Self)
    }

    /// Reads the body of a request for a year, or else of one to save.
    ///
    /// # Errors
    /// Why it would be turned away.
    pub fn asked(&self, body: &[u8]) -> Result<Wanted, String> {
        if let Ok(year) = serde_json::from_slice::<Year>(body) {
            return if year.is_small() {
                self.wanted(&year.variant, None)
            } else {
                Err(super::TOO_MUCH.into())
            };
        }
        let save: Save = serde_json::from_slice(body).map_err(|fault| fault.to_string())?;
        if !save.variant.is_small() {
            return Err(super::TOO_MUCH.into());
        }
        let file = plain_name(&save.file)?;
        self.wanted(&save.variant, Some(file.to_owned()))
    }

    fn wanted(&self, variant: &Variant, file: Option<String>) -> Result<Wanted, String> {
        match moved(&self.0, variant) {
            Ok(moved) => Ok(Wanted { job: moved.job, text: moved.text, file }),
            Err(said) => {
                let error = said.into_iter().find(|said| said.error);
                Err(error.map(|said| said.message).expect("a variant is refused with an error"))
            }
        }
    }
}
