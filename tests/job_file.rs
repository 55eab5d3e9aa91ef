//! The job file: the starter, the messages, and what random text does to the reader.

use suncask::job::file::{read_text, render};
use suncask::job::starter;

/// The messages as a person sees them, without colour.
fn messages(text: &str) -> String {
    let problems = match read_text("job.toml", text) {
        Ok(job) => job.notes,
        Err(problems) => problems,
    };
    anstream::adapter::strip_str(&render(&problems, text)).to_string()
}

#[test]
fn the_starter_is_clean() {
    assert_eq!(messages(starter()), "");
    let job = read_text("one-tank.toml", starter()).expect("no faults");
    for echo in &job.echo {
        println!(
            "{:45} {:60} {:?} {} <- {:?}",
            echo.key, echo.written, echo.si, echo.unit, echo.default_source
        );
    }
    println!("{job:#?}");
}

#[test]
fn an_empty_file_is_a_job_of_defaults() {
    assert_eq!(messages(""), "");
    let job = read_text("empty.toml", "").expect("no faults");
    assert!(job.echo.iter().all(|echo| echo.default_source.is_some()));
}
