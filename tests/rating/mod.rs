//! Rating sheets and labels in a job: what the keys mean, what is caught, and that a labelled heater keeps its word.

mod collectors;
pub(crate) mod heaters;
mod test_day;
mod worked;

use suncask::job::Job;
use suncask::job::file::read_text;

fn job(text: &str) -> Job {
    read_text("job.toml", text).unwrap_or_else(|problems| panic!("{text}: {problems:?}"))
}

/// Messages of all problems, errors or not.
fn messages(text: &str) -> Vec<String> {
    let problems = match read_text("job.toml", text) {
        Ok(job) => job.notes,
        Err(problems) => problems,
    };
    problems.into_iter().map(|problem| problem.message).collect()
}

/// A text must give one problem, and that one.
fn caught(text: &str, message: &str) {
    assert_eq!(messages(text), [message], "{text}");
}
