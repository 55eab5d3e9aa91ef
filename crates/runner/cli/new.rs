//! `suncask new`.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::PathBuf;

use clap::builder::PossibleValue;
use clap::builder::{PossibleValuesParser, TypedValueParser};

use super::{Failure, out};
use crate::job::{STARTERS, Starter};

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// File to write.
    file: PathBuf,
    /// What the house is like.
    #[arg(long, value_name = "KIND", default_value = STARTERS[0].kind, value_parser = kinds())]
    like: Starter,
}

/// The kinds by their names, for the command line and its help.
fn kinds() -> impl TypedValueParser<Value = Starter> {
    let names = STARTERS.map(|starter| PossibleValue::new(starter.kind).help(starter.about));
    PossibleValuesParser::new(names)
        .map(|kind| STARTERS.into_iter().find(|starter| starter.kind == kind).unwrap_or(STARTERS[0]))
}

pub(super) fn new(arguments: &Arguments) -> Result<(), Failure> {
    let shown = arguments.file.display();
    // Never in the place of a job somebody has worked on.
    let opened = OpenOptions::new().write(true).create_new(true).open(&arguments.file);
    opened.and_then(|mut file| file.write_all(arguments.like.text.as_bytes())).map_err(
        |error| match error.kind() {
            ErrorKind::AlreadyExists => Failure::input(format_args!(
                "{shown} is there already and is not replaced; name another file"
            )),
            _ => Failure::input(format_args!("cannot write {shown}: {error}")),
        },
    )?;
    out::print(&format!(
        "{shown} written: an invented house to change into yours.\nNext: suncask check {shown}, then suncask run {shown}"
    ))
}
