//! A folder that appears whole or not at all, and never takes the place of anything but an older one of ours.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use super::WriteError;
use crate::whole_file;

/// Entries our results folders may hold; anything else in one is somebody's own.
const OURS: [&str; 8] = [
    "summary.json",
    "monthly.csv",
    "hourly.csv",
    "study.json",
    "study.csv",
    "report.html",
    "report.pdf",
    "pictures",
];

/// Files of which a results folder has one: they name the program.
const MARKS: [&str; 2] = ["summary.json", "study.json"];

/// Lets `fill` write into a new folder beside `dir`, then puts that folder in the place of `dir`.
///
/// Until everything is written an older result stays as it is; if anything fails, nothing new is left behind.
pub(super) fn replace<T>(dir: &Path, fill: impl FnOnce(&Path) -> io::Result<T>) -> Result<T, WriteError> {
    let failed = |source| WriteError::Disk { dir: dir.to_owned(), source };
    check_replaceable(dir)?;
    let parent = match dir.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    };
    // Resolved, because `d/../d` leads nowhere while `d` is set aside.
    let parent = fs::create_dir_all(parent).and_then(|()| fs::canonicalize(parent)).map_err(failed)?;
    let name = dir.file_name().unwrap_or_default();
    let beside =
        |role: &str| parent.join(format!(".{}.{role}-{}", name.to_string_lossy(), std::process::id()));
    let target = parent.join(name);
    let fresh = Scratch::create(beside("new")).map_err(failed)?;
    let filled = fill(&fresh.path).map_err(failed)?;
    // Another run into the same folder may put its own there at any moment; the last one stands.
    let mut turns = 0;
    loop {
        let moved = if check_replaceable(dir)? {
            exchange(&fresh.path, &target, &beside("old"), |from, to| fs::rename(from, to))
        } else {
            fs::rename(&fresh.path, &target)
        };
        turns += 1;
        match moved {
            Ok(()) => break,
            Err(source) if turns < TURNS && was_overtaken(&source) => {}
            Err(source) => return Err(failed(source)),
        }
    }
    sweep(&parent, &name.to_string_lossy());
    Ok(filled)
}

/// How often a run that others overtake tries again.
const TURNS: u32 = 100;

/// True if a rename failed because another run just moved its own result.
fn was_overtaken(error: &io::Error) -> bool {
    use io::ErrorKind::{AlreadyExists, DirectoryNotEmpty, NotFound};
    matches!(error.kind(), NotFound | AlreadyExists | DirectoryNotEmpty)
}

/// Removes what runs that were killed while they wrote have left beside a result: nothing of a run that lives is an hour old.
fn sweep(parent: &Path, name: &str) {
    const HOUR: Duration = Duration::from_secs(3600);
    let ours = ["new", "old"].map(|role| format!(".{name}.{role}-"));
    let Ok(entries) = fs::read_dir(parent) else { return };
    for entry in entries.flatten() {
        let found = entry.file_name().to_string_lossy().into_owned();
        let process = ours.iter().find_map(|prefix| found.strip_prefix(prefix));
        let changed = entry.metadata().and_then(|data| data.modified());
        let age = changed.ok().and_then(|at| at.elapsed().ok()).unwrap_or_default();
        if process.is_some_and(|id| id.parse::<u32>().is_ok()) && age > HOUR {
            // What cannot be removed does no harm.
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// Puts `fresh` in the place of `target`, which is set aside, and removed only once its successor stands.
fn exchange(
    fresh: &Path,
    target: &Path,
    aside: &Path,
    rename: impl Fn(&Path, &Path) -> io::Result<()>,
) -> io::Result<()> {
    rename(target, aside)?;
    rename(fresh, target).map_err(|source| match rename(aside, target) {
        Ok(()) => source,
        Err(_) if was_overtaken(&source) && target.exists() => {
            // Another run's result stands there, newer than what was set aside.
            let _ = fs::remove_dir_all(aside);
            source
        }
        Err(_) => {
            let kept = format!("{source}; the older result is kept as {}", aside.display());
            io::Error::new(source.kind(), kept)
        }
    })?;
    // The new result stands; an older one that cannot be removed is no reason to call that a failure.
    let _ = fs::remove_dir_all(aside);
    Ok(())
}

/// True if `dir` exists and may be replaced, false if there is nothing there.
fn check_replaceable(dir: &Path) -> Result<bool, WriteError> {
    // A folder that another run exchanges while it is read looks like none of ours for a moment.
    let mut seen = looked_at(dir);
    for _ in 0..3 {
        if seen.is_ok() {
            break;
        }
        seen = looked_at(dir);
    }
    seen
}

fn looked_at(dir: &Path) -> Result<bool, WriteError> {
    let foreign = |found: String| WriteError::NotOurs { dir: dir.to_owned(), found };
    if dir.file_name().is_none() {
        return Err(foreign("it is not the name of a folder".to_owned()));
    }
    match fs::symlink_metadata(dir) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(source) => return Err(WriteError::Disk { dir: dir.to_owned(), source }),
        Ok(found) if !found.is_dir() => return Err(foreign("it is not a folder".to_owned())),
        Ok(_) => {}
    }
    let entries = fs::read_dir(dir).and_then(Iterator::collect::<io::Result<Vec<_>>>);
    let entries = entries.map_err(|source| WriteError::Disk { dir: dir.to_owned(), source })?;
    if let Some(other) = entries.iter().find(|e| !OURS.iter().any(|ours| e.file_name() == *ours)) {
        return Err(foreign(format!("it holds `{}`", other.file_name().to_string_lossy())));
    }
    if !entries.is_empty() && !MARKS.iter().any(|mark| is_ours(&dir.join(mark))) {
        return Err(foreign("its summary.json or study.json is missing or not of this program".to_owned()));
    }
    Ok(true)
}

/// The marker of a results folder: a summary with the version of our schema and of our program.
fn is_ours(path: &Path) -> bool {
    let Ok(bytes) = whole_file::read(path) else { return false };
    let Ok(summary) = serde_json::from_slice::<serde_json::Value>(&bytes) else { return false };
    summary["schema_version"].is_u64() && summary["suncask_version"].is_string()
}

/// A folder for the time of writing: removed when dropped, if it is still there.
struct Scratch {
    path: PathBuf,
}

impl Scratch {
    fn create(path: PathBuf) -> io::Result<Self> {
        match fs::create_dir(&path) {
            // Left by a run of the same number that was killed.
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                fs::remove_dir_all(&path)?;
                fs::create_dir(&path)?;
            }
            made => made?,
        }
        Ok(Self { path })
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // Gone already if it was moved into place; if it cannot be removed there is nothing better to do.
        let _ = fs::remove_dir_all(&self.path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OLD: &str = r#"{"schema_version": 1, "suncask_version": "0.0.1", "old": true}"#;

    fn names(dir: &Path) -> Vec<String> {
        let mut names: Vec<_> = fs::read_dir(dir)
            .unwrap()
            .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_write_that_fails_half_way_leaves_the_older_result() {
        let place = tempfile::tempdir().unwrap();
        let dir = place.path().join("house");
        fs::create_dir(&dir).unwrap();
        fs::write(dir.join("summary.json"), OLD).unwrap();
        let outcome = replace(&dir, |fresh| -> io::Result<()> {
            fs::write(fresh.join("summary.json"), "{")?;
            Err(io::Error::other("disk full"))
        });
        let message = outcome.unwrap_err().to_string();
        assert!(message.contains("disk full") && message.contains("house"), "{message}");
        assert_eq!(fs::read_to_string(dir.join("summary.json")).unwrap(), OLD);
        assert_eq!(names(place.path()), ["house"]);
    }

    #[test]
    fn an_older_result_or_an_empty_folder_is_replaced() {
        let place = tempfile::tempdir().unwrap();
        let dir = place.path().join("house");
        let write = |text: &'static str| {
            replace(&dir, move |fresh| fs::write(fresh.join("summary.json"), text)).unwrap();
            assert_eq!(fs::read_to_string(dir.join("summary.json")).unwrap(), text);
            assert_eq!(names(place.path()), ["house"]);
        };
        write(OLD);
        write(r#"{"schema_version": 1, "suncask_version": "9"}"#);
        fs::remove_file(dir.join("summary.json")).unwrap();
        write(OLD);
    }

    #[test]
    fn what_killed_runs_left_is_swept_up() {
        let place = tempfile::tempdir().unwrap();
        let old = std::time::SystemTime::now() - Duration::from_secs(7200);
        let left = |name: &str, aged: bool| {
            let path = place.path().join(name);
            fs::create_dir(&path).unwrap();
            fs::write(path.join("summary.json"), "{").unwrap();
            if aged {
                fs::File::open(&path).unwrap().set_modified(old).unwrap();
            }
        };
        left(".house.new-7", true);
        left(".house.old-8", true);
        // Still being written, of another result, of nobody known.
        left(".house.new-9", false);
        left(".household.new-7", true);
        left(".house.new-draft", true);
        // A run of our own number that was killed.
        left(&format!(".house.new-{}", std::process::id()), false);
        let dir = place.path().join("house");
        replace(&dir, |fresh| fs::write(fresh.join("summary.json"), OLD)).unwrap();
        assert_eq!(names(place.path()), [".house.new-9", ".house.new-draft", ".household.new-7", "house"]);
        assert_eq!(names(&dir), ["summary.json"]);
    }

    #[test]
    fn a_way_through_the_folder_itself_leads_to_it() {
        let place = tempfile::tempdir().unwrap();
        let dir = place.path().join("house");
        fs::create_dir(&dir).unwrap();
        fs::write(dir.join("summary.json"), OLD).unwrap();
        replace(&dir.join("../house"), |fresh| fs::write(fresh.join("summary.json"), "{}")).unwrap();
        assert_eq!(fs::read_to_string(dir.join("summary.json")).unwrap(), "{}");
        assert_eq!(names(place.path()), ["house"]);
    }

    #[test]
    fn an_older_result_outlives_renames_that_fail() {
        // How many renames succeed, and where the older result then lies.
        for (successes, found) in [(0, "house"), (1, ".house.old")] {
            let place = tempfile::tempdir().unwrap();
            let [fresh, dir, aside] =
                [".house.new", "house", ".house.old"].map(|name| place.path().join(name));
            fs::create_dir(&fresh).unwrap();
            fs::create_dir(&dir).unwrap();
            fs::write(dir.join("summary.json"), OLD).unwrap();
            let done = std::cell::Cell::new(0);
            let outcome = exchange(&fresh, &dir, &aside, |from, to| {
                if done.get() == successes {
                    return Err(io::Error::other("no right to"));
                }
                done.set(done.get() + 1);
                fs::rename(from, to)
            });
            let message = outcome.unwrap_err().to_string();
            assert!(message.contains("no right to"), "{message}");
            assert_eq!(message.contains(".house.old"), successes == 1, "{message}");
            assert_eq!(fs::read_to_string(place.path().join(found).join("summary.json")).unwrap(), OLD);
        }
        // A fresh folder that is gone cannot be moved into place; the older one is put back.
        let place = tempfile::tempdir().unwrap();
        let dir = place.path().join("house");
        fs::create_dir(&dir).unwrap();
        fs::write(dir.join("summary.json"), OLD).unwrap();
        replace(&dir, |fresh| fs::remove_dir(fresh)).unwrap_err();
        assert_eq!(fs::read_to_string(dir.join("summary.json")).unwrap(), OLD);
        assert_eq!(names(place.path()), ["house"]);
    }

    #[test]
    fn folders_of_others_are_refused_and_left_alone() {
        let place = tempfile::tempdir().unwrap();
        for (file, text) in
            [("letter.txt", "dear customer"), ("summary.json", r#"{"total": 3}"#), ("monthly.csv", "a,b")]
        {
            let dir = place.path().join(file.replace('.', "_"));
            fs::create_dir(&dir).unwrap();
            fs::write(dir.join(file), text).unwrap();
            assert!(matches!(replace(&dir, |_| Ok(())), Err(WriteError::NotOurs { .. })), "{file}");
            assert_eq!(fs::read_to_string(dir.join(file)).unwrap(), text);
        }
        // A file of the customer's in an otherwise genuine result counts as theirs.
        let dir = place.path().join("mixed");
        fs::create_dir(&dir).unwrap();
        fs::write(dir.join("summary.json"), OLD).unwrap();
        fs::write(dir.join("notes.txt"), "call back").unwrap();
        assert!(matches!(replace(&dir, |_| Ok(())), Err(WriteError::NotOurs { .. })));
        let file = place.path().join("plain");
        fs::write(&file, "x").unwrap();
        assert!(matches!(replace(&file, |_| Ok(())), Err(WriteError::NotOurs { .. })));
    }

    /// It was read until memory ran out.
    #[cfg(unix)]
    #[test]
    fn a_summary_that_never_ends_is_none() {
        let place = tempfile::tempdir().unwrap();
        let dir = place.path().join("house");
        fs::create_dir(&dir).unwrap();
        std::os::unix::fs::symlink("/dev/zero", dir.join("summary.json")).unwrap();
        assert!(matches!(replace(&dir, |_| Ok(())), Err(WriteError::NotOurs { .. })));
        assert_eq!(names(&dir), ["summary.json"]);
    }
}
