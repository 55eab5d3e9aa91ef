//! What the fuzzers of `tests/fuzz` kept, fed to the readers again: seeds, and everything that ever broke one.

#[path = "fuzz/targets.rs"]
mod targets;

use std::fs;
use std::path::Path;

#[test]
fn kept_inputs_break_no_reader() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus");
    for (name, target) in targets::TARGETS {
        let files =
            fs::read_dir(corpus.join(name)).unwrap_or_else(|error| panic!("no corpus of {name}: {error}"));
        let mut fed = 0;
        for file in files {
            let path = file.expect("a file").path();
            let bytes = fs::read(&path).expect("a file");
            let outcome = std::panic::catch_unwind(|| target(&bytes));
            assert!(outcome.is_ok(), "{} breaks {name}", path.display());
            fed += 1;
        }
        assert!(fed > 0, "the corpus of {name} is empty");
    }
    // Every folder has its target.
    for folder in fs::read_dir(&corpus).expect("the corpus") {
        let name = folder.expect("a folder").file_name();
        assert!(targets::named(&name.to_string_lossy()).is_some(), "no target is called {name:?}");
    }
}

/// Each reader against every other's files: what is wrong is refused as well.
#[test]
fn no_reader_is_broken_by_the_files_of_another() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus");
    for folder in fs::read_dir(corpus).expect("the corpus") {
        for file in fs::read_dir(folder.expect("a folder").path()).expect("a folder") {
            let path = file.expect("a file").path();
            let bytes = fs::read(&path).expect("a file");
            // To edits of a year any bytes are the same, and each costs a year.
            for (name, target) in targets::TARGETS.into_iter().filter(|(name, _)| *name != "weather-year") {
                let outcome = std::panic::catch_unwind(|| target(&bytes));
                assert!(outcome.is_ok(), "{} breaks {name}", path.display());
            }
        }
    }
}
