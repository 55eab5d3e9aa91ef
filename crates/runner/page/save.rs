//! Writes a variant's job file and its report into the page's folder, and nowhere else.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::Path;
use std::sync::PoisonError;

use serde::Serialize;

use super::TOO_MUCH;
use super::asked::Save;
use super::house::House;
use super::variant::{Moved, moved};
use crate::problem::Problem;
use crate::report::{self, ToldYear};
use crate::year::Shared;

/// Letters of a file name at most: what every file system takes.
const MOST_LETTERS: usize = 100;

/// What was written.
#[derive(Debug, Serialize)]
pub(super) struct Saved {
    /// Its name in the folder.
    pub name: String,
    /// The folder.
    pub folder: String,
}

/// A name of a job file in the folder itself: `house.toml`.
pub(super) fn plain_name(name: &str) -> Result<&str, String> {
    let name = name.trim();
    let stem = name.strip_suffix(".toml").unwrap_or_default();
    if stem.is_empty()
        || stem.starts_with(['.', ' ', '-'])
        || stem.ends_with(['.', ' '])
        || !stem.chars().all(is_plain)
    {
        return Err("name it like house.toml: letters, digits, spaces, - and _, then .toml".into());
    }
    if name.len() > MOST_LETTERS {
        return Err(format!("the name is too long: at most {MOST_LETTERS} letters"));
    }
    Ok(name)
}

/// True for the letters of a plain name.
fn is_plain(letter: char) -> bool {
    letter.is_alphanumeric() || matches!(letter, ' ' | '-' | '_' | '.' | '(' | ')' | '+' | ',' | '\'')
}

/// A name that is taken, for a house read from `file`: `house-changed.toml`.
pub(super) fn suggested(file: Option<&str>) -> String {
    const FIRST: &str = "my-house.toml";
    const END: &str = "-changed.toml";
    let Some(name) = file else { return FIRST.to_owned() };
    let stem = name.strip_suffix(".toml").unwrap_or(name);
    let plain: String = stem.chars().map(|letter| if is_plain(letter) { letter } else { '-' }).collect();
    let mut stem = plain.trim_start_matches(['.', ' ', '-']).to_owned();
    while stem.len() + END.len() > MOST_LETTERS {
        stem.pop();
    }
    if stem.is_empty() { FIRST.to_owned() } else { stem + END }
}

/// Writes the job file of a variant.
///
/// # Errors
/// The name, the variant, or what stands there already.
pub(super) fn job(house: &House, asked: &Save) -> Result<Saved, String> {
    let name = plain_name(&asked.file)?;
    if !asked.variant.is_small() {
        return Err(TOO_MUCH.into());
    }
    let text = sound(house, asked)?.text;
    let mut known = house.known.lock().unwrap_or_else(PoisonError::into_inner);
    put(&house.folder, name, &text, known.get(name).map(String::as_str))?;
    known.insert(name.to_owned(), text);
    Ok(Saved { name: name.to_owned(), folder: house.folder.display().to_string() })
}

fn sound(house: &House, asked: &Save) -> Result<Moved, String> {
    moved(house, &asked.variant).map_err(|said| {
        let errors: Vec<&str> =
            said.iter().filter(|said| said.error).map(|said| said.message.as_str()).collect();
        format!("it is not written, because it cannot be run: {}", errors.join("; "))
    })
}

/// Puts a text in the place of `name`: a new file, or one that still holds what is `known` of it.
fn put(folder: &Path, name: &str, text: &str, known: Option<&str>) -> Result<(), String> {
    let path = folder.join(name);
    let failed = |error: io::Error| format!("{name} cannot be written: {error}");
    let fresh = folder.join(format!(".{name}.new-{}", std::process::id()));
    let scratch = Scratch(&fresh);
    let mut file = OpenOptions::new().write(true).create_new(true).open(&fresh).map_err(failed)?;
    file.write_all(text.as_bytes()).and_then(|()| file.sync_all()).map_err(failed)?;
    drop(file);
    match fs::symlink_metadata(&path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            // A link is refused where something has appeared meanwhile; a rename would replace it.
            match fs::hard_link(&fresh, &path) {
                Ok(()) => {}
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(there(name)),
                // A file system without links.
                Err(_) => fs::rename(&fresh, &path).map_err(failed)?,
            }
        }
        Err(error) => return Err(failed(error)),
        Ok(found) if !found.is_file() => {
            return Err(format!("{name} is not replaced: it is not a plain file"));
        }
        Ok(_) => {
            let Some(known) = known else { return Err(there(name)) };
            if fs::read_to_string(&path).map_err(failed)? != known {
                return Err(format!(
                    "{name} has changed since this page read it and is not replaced; take another name"
                ));
            }
            fs::rename(&fresh, &path).map_err(failed)?;
        }
    }
    drop(scratch);
    Ok(())
}

fn there(name: &str) -> String {
    format!("{name} is there already and is not of this page; take another name")
}

/// A file for the time of writing, gone at the end whatever happened.
struct Scratch<'a>(&'a Path);

impl Drop for Scratch<'_> {
    fn drop(&mut self) {
        // Moved into place, or removed here; if neither can be done there is nothing better to do.
        let _ = fs::remove_file(self.0);
    }
}

/// Writes the report of a variant, as `suncask run` would of its job file.
///
/// # Errors
/// The name, the variant, or what stands there already.
pub(super) fn report(house: &House, shared: &Shared<'_>, asked: &Save) -> Result<String, String> {
    let name = plain_name(&asked.file)?;
    let folder = format!("{}-results", name.trim_end_matches(".toml"));
    let job = sound(house, asked)?.job;
    let told =
        |problems: Vec<Problem>| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
    let setting = shared.setting(&job);
    let weather = shared.weather();
    let year = ToldYear::run(&job, weather, &setting, |options| shared.run(&job, options)).map_err(told)?;
    let date = report::today();
    let report = year.report(&job, weather, asked.units.into(), &date);
    let _turn = house.writing.lock().unwrap_or_else(PoisonError::into_inner);
    report::write(&house.folder.join(&folder), &report).map_err(|error| error.to_string())?;
    let saved = Saved { name: format!("{folder}/report.html"), folder: house.folder.display().to_string() };
    Ok(serde_json::to_string(&saved).expect("plain values under text keys"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_names_of_job_files_are_taken() {
        for name in ["house.toml", " My house 2 (new).toml", "a-b_c.toml", "Müller.toml"] {
            assert!(plain_name(name).is_ok(), "{name}");
        }
        for name in [
            "",
            ".toml",
            "house",
            "house.txt",
            "../house.toml",
            "a/b.toml",
            "a\\b.toml",
            "/etc/x.toml",
            "..toml",
            "...toml",
            ".hidden.toml",
            "C:x.toml",
            "a\0.toml",
            "a\n.toml",
            "house.toml/",
            "a..toml",
            "-rf.toml",
            "house.toml\u{202e}",
            "%2e%2e%2fx.toml",
        ] {
            assert!(plain_name(name).is_err(), "{name:?}");
        }
        assert!(plain_name(&format!("{}.toml", "x".repeat(200))).is_err());
    }

    #[test]
    fn what_is_suggested_is_taken() {
        for (file, name) in [
            (None, "my-house.toml"),
            (Some("house.toml"), "house-changed.toml"),
            (Some("O'Hara.toml"), "O'Hara-changed.toml"),
            (Some("house"), "house-changed.toml"),
            (Some("house.txt"), "house.txt-changed.toml"),
            (Some("-a & b: 50%.toml"), "a - b- 50--changed.toml"),
            (Some("...toml"), "my-house.toml"),
            (Some("\u{1f3e0}.toml"), "my-house.toml"),
        ] {
            assert_eq!(suggested(file), name);
            assert_eq!(plain_name(name), Ok(name));
        }
        for long in ["x".repeat(250), "M\u{fc}ller".repeat(30)] {
            let name = suggested(Some(&format!("{long}.toml")));
            assert_eq!(plain_name(&name), Ok(name.as_str()));
        }
    }

    #[test]
    fn nothing_but_what_is_known_is_replaced() {
        let place = tempfile::tempdir().expect("folder");
        let put = |known| put(place.path(), "house.toml", "new", known);
        let path = place.path().join("house.toml");
        put(None).expect("a new file");
        assert!(put(None).expect_err("somebody's").contains("is there already"));
        put(Some("new")).expect("its own");
        fs::write(&path, "edited").expect("written");
        assert!(put(Some("new")).expect_err("changed").contains("has changed"));
        assert_eq!(fs::read_to_string(&path).expect("read"), "edited");
        fs::remove_file(&path).expect("removed");
        fs::create_dir(&path).expect("folder");
        assert!(put(Some("new")).expect_err("a folder").contains("not a plain file"));
        #[cfg(unix)]
        {
            fs::remove_dir(&path).expect("removed");
            let outside = tempfile::NamedTempFile::new().expect("file");
            std::os::unix::fs::symlink(outside.path(), &path).expect("link");
            assert!(put(Some("")).expect_err("a link").contains("not a plain file"));
        }
        assert_eq!(fs::read_dir(place.path()).expect("folder").count(), 1, "nothing of the writing is left");
    }
}
