//! `suncask page`.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use tokio::sync::watch;

use super::{Failure, input, out};
use crate::job;
use crate::page::{Given, folder_of, serve};
use crate::weather;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The job file; without it the built-in demo opens (an invented house in an invented climate). Nothing outside its folder
    /// is written.
    job: Option<PathBuf>,
    /// Port on this machine's own address, 127.0.0.1; 0 takes any that is free.
    #[arg(long, value_name = "N", default_value_t = 0)]
    port: u16,
    /// Open the page in the browser of this machine.
    #[arg(long)]
    open: bool,
}

pub(super) fn page(arguments: &Arguments) -> Result<(), Failure> {
    let (given, weather) = match &arguments.job {
        Some(path) => {
            let job = input::job(path)?;
            let weather = input::weather(&job, path)?;
            (given(path)?, weather)
        }
        None => {
            let folder = std::env::current_dir().map_err(Failure::input)?;
            (Given { folder, file: None, text: job::starter().to_owned() }, weather::demo())
        }
    };
    let (stopper, stop) = watch::channel(false);
    ctrlc::set_handler(move || {
        // The second time, without waiting for anybody.
        if stopper.send_replace(true) {
            std::process::exit(0);
        }
    })
    .map_err(|error| Failure::input(format_args!("cannot listen for Ctrl-C: {error}")))?;
    let mut told = Ok(());
    serve(given, &weather, arguments.port, stop, |address| {
        told =
            out::print(&format!("The page is at\n{address}\nOnly this machine can open it. Ctrl-C ends it."));
        if arguments.open {
            open(address);
        }
    })?;
    told
}

fn given(path: &Path) -> Result<Given, Failure> {
    let failed =
        |error: std::io::Error| Failure::input(format_args!("cannot read {}: {error}", path.display()));
    let (folder, file) = folder_of(path).map_err(failed)?;
    Ok(Given { folder, file, text: std::fs::read_to_string(path).map_err(failed)? })
}

/// Asks the desktop to open an address; the address is printed, whatever comes of it.
fn open(address: &str) {
    let program = if cfg!(target_os = "macos") { "open" } else { "xdg-open" };
    let begun = Command::new(program)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    if begun.is_err() {
        out::complain(&format!(
            "no browser could be opened ({program} is missing): open the address yourself"
        ));
    }
}
