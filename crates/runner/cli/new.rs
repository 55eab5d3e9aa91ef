//! `suncask new`.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::PathBuf;

use super::{Failure, out};
use crate::job;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// File to write.
    file: PathBuf,
}

pub(super) fn new(arguments: &Arguments) -> Result<(), Failure> {
    let shown = arguments.file.display();
    // Never in the place of a job somebody has worked on.
    let opened = OpenOptions::new().write(true).create_new(true).open(&arguments.file);
    opened.and_then(|mut file| file.write_all(job::starter().as_bytes())).map_err(|error| {
        match error.kind() {
            ErrorKind::AlreadyExists => Failure::input(format_args!(
                "{shown} is there already and is not replaced; name another file"
            )),
            _ => Failure::input(format_args!("cannot write {shown}: {error}")),
        }
    })?;
    out::print(&format!(
        "{shown} written: an invented house to change into yours.\nNext: suncask check {shown}, then suncask run {shown}"
    ))
}
