//! The same files on one, two and eight threads, twice, and from another build of the program.
//!
//! `SUNCASK_OTHER` names a program built otherwise, as `target/release/suncask`: its files must be the same.

use std::path::{Path, PathBuf};

use super::{COMMANDS, Files, command, differing, files, place, program};

fn made(program: &Path, threads: &str, arguments: &[&str], folder: &str) -> Files {
    let place = place();
    let mut command = command(program, place.path(), arguments);
    let output = command.env("RAYON_NUM_THREADS", threads).output().expect("the command");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    files(&place.path().join(folder))
}

#[test]
fn threads_and_builds_leave_the_same_files() {
    let other = std::env::var_os("SUNCASK_OTHER")
        .map(|path| std::fs::canonicalize(PathBuf::from(path)).expect("SUNCASK_OTHER names a program"));
    for (arguments, folder) in COMMANDS {
        let first = made(&program(), "1", arguments, folder);
        assert!(first.len() > 3, "{arguments:?}");
        for threads in ["1", "2", "8"] {
            let again = made(&program(), threads, arguments, folder);
            assert_eq!(differing(&first, &again), [""; 0], "{arguments:?} on {threads} threads");
            if let Some(other) = &other {
                let built = made(other, threads, arguments, folder);
                assert_eq!(differing(&first, &built), [""; 0], "{arguments:?} of {}", other.display());
            }
        }
    }
    println!("another build: {}", other.map_or("not given".to_owned(), |path| path.display().to_string()));
}
