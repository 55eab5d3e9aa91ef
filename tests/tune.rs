//! Tuning.

use std::convert::Infallible;

use suncask::job::file::Draft;
use suncask::job::starter;
use suncask::record::Column;
use suncask::study::tune::{Done, Study};
use suncask::study::{Candidate, Journal, Row, run};
use suncask::weather;
use suncask::year::Shared;

fn draft(text: &str) -> Draft {
    Draft::of_text("job.toml", text).expect("TOML")
}

/// Runs a study of a job in the demo weather.
fn tuned(draft: &Draft, single_draws: bool) -> (Study, Done) {
    let weather = weather::demo();
    let shared = Shared::new(&weather);
    let mut study = Study::new(draft, single_draws).expect("a sound job");
    let years = |candidates: &[Candidate]| {
        let outcome = run(candidates, &shared, &Journal::none(&weather), &()).expect("years");
        Ok::<Vec<Option<Row>>, Infallible>(outcome.rows)
    };
    let Ok(done) = study.run(years);
    (study, done)
}

#[test]
fn look() {
    for single in [false, true] {
        let (study, done) = tuned(&draft(starter()), single);
        let f = done.findings.expect("whole");
        for (i, (trial, row)) in study.trials.iter().zip(&done.rows).enumerate() {
            let row = row.as_ref().expect("row");
            println!(
                "{i:3} {:60} {:8.2} {:8.1} kWh starts {:6.0} h {:6.0} cool {:5.1} luke {:6.0} {:5.0} {:?}",
                trial.candidate.name,
                f.worth.at(i),
                row.annual[Column::EqualServiceSaved],
                row.annual[Column::PumpStarts],
                row.annual[Column::PumpHours],
                row.annual[Column::CoolShowerMinutes],
                row.annual[Column::LukewarmHours],
                row.annual[Column::LukewarmSpell],
                trial.floor
            );
        }
        println!("{:?}", study.impossible);
        println!("{f:#?}");
    }
}
