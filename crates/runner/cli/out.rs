//! What leaves a command: text on the terminal, and files that appear whole or not at all.

use std::ffi::OsString;
use std::io::{ErrorKind, Write};
use std::path::Path;

use super::Failure;
use crate::picture;
use crate::problem::{Problem, Severity};

/// Prints text and a line end, in color only on a terminal; a closed pipe ends the program quietly.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout().lock();
    let written = writeln!(out, "{}", text.trim_end()).and_then(|()| out.flush());
    match written {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => std::process::exit(0),
        Err(error) => Err(Failure::input(format_args!("cannot print: {error}"))),
        Ok(()) => Ok(()),
    }
}

/// Says what went wrong, on the error channel.
pub(super) fn complain(message: &str) {
    // Nobody is left to tell if this channel is closed too.
    let _ = writeln!(anstream::stderr().lock(), "{}", message.trim_end());
}

/// Problems as lines, errors first.
pub(super) fn lines(problems: &[Problem]) -> String {
    let mut sorted: Vec<&Problem> = problems.iter().collect();
    sorted.sort_by_key(|problem| std::cmp::Reverse(problem.severity));
    let word = |severity| match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    };
    let line = |problem: &&Problem| format!("{}: {problem}", word(problem.severity));
    sorted.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// A paragraph behind a dash, broken between words to lines of at most 80 letters.
pub(super) fn bullet(text: &str) -> String {
    let mut shown = String::from("-");
    let mut column = 1;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if column + 1 + length > 80 {
            shown.push_str("\n ");
            column = 1;
        }
        shown.push(' ');
        shown.push_str(word);
        column += 1 + length;
    }
    shown
}

/// Writes a file beside its place and moves it there when it is whole, so that nothing half-written is ever found.
pub(super) fn save(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let failed = |error| Failure::input(format_args!("cannot write {}: {error}", path.display()));
    let Some(name) = path.file_name() else {
        return Err(Failure::input(format_args!("{} is not the name of a file", path.display())));
    };
    let mut fresh = OsString::from(".");
    fresh.push(name);
    fresh.push(format!(".new-{}", std::process::id()));
    let fresh = path.with_file_name(fresh);
    std::fs::write(&fresh, bytes).and_then(|()| std::fs::rename(&fresh, path)).map_err(|error| {
        // The first fault is the one to tell.
        let _ = std::fs::remove_file(&fresh);
        failed(error)
    })
}

/// Pictures as PNG are drawn at twice their size on paper.
const PNG_SCALE: f32 = 2.0;

/// Saves pictures as `STEM-WHAT.svg` and `.png` in a folder, made if need be (the current one if none is named), and says
/// where they are.
pub(super) fn pictures(
    folder: Option<&Path>,
    stem: &str,
    pictures: &[(&str, String)],
) -> Result<String, Failure> {
    let folder = folder.unwrap_or(Path::new(""));
    if !folder.as_os_str().is_empty() {
        std::fs::create_dir_all(folder).map_err(|error| {
            Failure::input(format_args!("cannot make the folder {}: {error}", folder.display()))
        })?;
    }
    let mut text = String::new();
    for (what, svg) in pictures {
        let name = format!("{stem}-{what}");
        let svg_path = folder.join(format!("{name}.svg"));
        save(&svg_path, svg.as_bytes())?;
        save(&folder.join(format!("{name}.png")), &picture::png(svg, PNG_SCALE))?;
        text.push_str(&format!("\nPicture: {} and .png", svg_path.display()));
    }
    Ok(text)
}

/// What a picture is saved as, by the ending of its name.
#[derive(Clone, Copy)]
pub(super) enum PictureKind {
    Svg,
    Png,
}

impl PictureKind {
    /// The kind that a typed name asks for.
    pub(super) fn of(path: &Path) -> Result<Self, Failure> {
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        match ending.to_ascii_lowercase().as_str() {
            "svg" => Ok(Self::Svg),
            "png" => Ok(Self::Png),
            _ => Err(Failure::usage(format_args!(
                "{}: a picture is an .svg or a .png; write for example {}",
                path.display(),
                path.with_extension("png").display()
            ))),
        }
    }
}

/// Saves one picture.
pub(super) fn picture(path: &Path, kind: PictureKind, svg: &str) -> Result<(), Failure> {
    match kind {
        PictureKind::Svg => save(path, svg.as_bytes()),
        PictureKind::Png => save(path, &picture::png(svg, PNG_SCALE)),
    }
}

#[cfg(test)]
mod tests {
    use super::bullet;

    #[test]
    fn a_long_paragraph_is_broken_between_words() {
        assert_eq!(bullet("one two"), "- one two");
        let word = "x".repeat(38);
        // A dash, 38 letters twice with their spaces are 79 letters; a third word begins a line.
        assert_eq!(bullet(&format!("{word} {word} {word}")), format!("- {word} {word}\n  {word}"));
    }
}
