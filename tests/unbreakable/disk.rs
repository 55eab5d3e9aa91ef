//! A disk without room fails in words, and leaves what was there.
//!
//! The limit of a file's size stands for a full disk on any machine; where the test may mount one, a small disk is filled
//! as well.

use std::path::Path;
use std::process::{Command, Output};

use super::{COMMANDS, differing, done, files, place, program, strays};

/// Runs the command where no file may grow beyond so many blocks of 512 bytes. The signal is ignored, so that a write says
/// what is wrong, as it does on a full disk.
fn limited(folder: &Path, blocks: u32, arguments: &[&str]) -> Output {
    Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f \"$1\"; shift; exec \"$@\"", "sh", &blocks.to_string()])
        .arg(program())
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("a shell")
}

/// One message that says what could not be written, and no panic.
fn told(output: &Output, what: &str) {
    let words = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{what}: {words}");
    assert!(!words.contains("panicked"), "{what}: {words}");
    assert!(words.contains("could not be written") || words.contains("cannot"), "{what}: {words}");
}

#[test]
fn a_file_that_cannot_grow_fails_in_words() {
    for (arguments, folder) in COMMANDS {
        let place = place();
        let result = place.path().join(folder);
        // Nothing at all, the list of finished years, the tables, the pictures: each is the first to find no room.
        for blocks in [0, 8, 60, 200] {
            let output = limited(place.path(), blocks, arguments);
            told(&output, &format!("{arguments:?} within {blocks} blocks"));
            assert!(!result.exists(), "{arguments:?} within {blocks} blocks");
        }
        done(place.path(), arguments);
        let whole = files(&result);
        let output = limited(place.path(), 60, arguments);
        told(&output, &format!("{arguments:?} over an older result"));
        assert!(differing(&whole, &files(&result)).is_empty());
        // What a study has finished is kept; a later run goes on from it to the same result.
        done(place.path(), arguments);
        assert!(differing(&whole, &files(&result)).is_empty());
        assert_eq!(strays(place.path(), &["house.toml", folder]), [""; 0]);
    }
}

#[test]
fn a_full_channel_is_told() {
    // The device that is always full, where there is one.
    let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") else { return };
    let place = place();
    let output = Command::new(program())
        .args(["check", "house.toml"])
        .current_dir(place.path())
        .stdout(full)
        .output()
        .expect("the command");
    told(&output, "check on a full channel");
}

/// A disk of so many KiB mounted on a folder until dropped; `None` where that is not allowed.
struct SmallDisk<'a>(&'a Path);

impl<'a> SmallDisk<'a> {
    fn mount(folder: &'a Path, kib: u32) -> Option<Self> {
        let size = format!("size={kib}k");
        let mounted = Command::new("mount").args(["-t", "tmpfs", "-o", &size, "tmpfs"]).arg(folder).output();
        mounted.is_ok_and(|output| output.status.success()).then_some(Self(folder))
    }
}

impl Drop for SmallDisk<'_> {
    fn drop(&mut self) {
        let unmounted = Command::new("umount").arg(self.0).status();
        assert!(unmounted.is_ok_and(|status| status.success()), "{} stays mounted", self.0.display());
    }
}

#[test]
fn a_full_disk_fails_in_words() {
    for (arguments, folder) in COMMANDS {
        let place = tempfile::tempdir().expect("a folder");
        let Some(disk) = SmallDisk::mount(place.path(), 120) else {
            println!("not tried: no disk may be mounted here");
            return;
        };
        std::fs::write(disk.0.join("house.toml"), super::small_house()).expect("room for the job");
        let output = super::suncask(disk.0, arguments);
        told(&output, &format!("{arguments:?} on a full disk"));
        assert!(!disk.0.join(folder).exists());
        let known = ["house.toml", &format!("{folder}.unfinished")];
        assert_eq!(strays(disk.0, &known), [""; 0], "{arguments:?}");
    }
}
