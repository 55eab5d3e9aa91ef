//! The command `suncask`.

use std::process::ExitCode;

fn main() -> ExitCode {
    suncask::cli::main()
}
