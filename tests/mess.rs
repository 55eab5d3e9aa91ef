//! Files that are none, cannot be read or cannot be written, and job files in a mess: one clear message, in good time.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use rustix::time::{ClockId, clock_gettime};
use suncask::job::file::{read, read_text, render};
use suncask::job::starter;
use suncask::problem::Problem;

const PROGRAM: &str = env!("CARGO_BIN_EXE_suncask");

fn suncask(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(PROGRAM).current_dir(folder).args(arguments).output().expect("the program starts")
}

/// The one message of a command that must fail for what it was given.
#[track_caller]
fn failed(done: &Output) -> String {
    let told = String::from_utf8_lossy(&done.stderr).into_owned();
    assert_eq!(done.status.code(), Some(1), "{told}");
    assert!(!told.contains("fault of its own"), "{told}");
    told
}

fn problems(text: &str) -> Vec<Problem> {
    match read_text("house.toml", text) {
        Ok(job) => job.notes,
        Err(problems) => problems,
    }
}

/// The same job, but for its words.
#[track_caller]
fn same_plant(text: &str, clean: &str) {
    let [found, wanted] = [text, clean]
        .map(|text| read_text("house.toml", text).unwrap_or_else(|problems| panic!("{problems:#?}")));
    assert_eq!(found.plant, wanted.plant);
    assert_eq!(found.aspect, wanted.aspect);
}

#[test]
fn a_folder_a_pipe_and_a_device_are_no_files() {
    let place = tempfile::tempdir().expect("folder");
    let folder = place.path();
    fs::create_dir(folder.join("folder")).expect("folder");
    let made = Command::new("mkfifo").arg(folder.join("pipe")).status().expect("mkfifo");
    assert!(made.success());
    for (file, why) in
        [("folder", "it is a folder"), ("pipe", "it is a pipe"), ("/dev/zero", "it is a pipe or a device")]
    {
        for (job, arguments) in [
            (format!("[weather]\nfile = \"{file}\"\n"), vec!["check", "house.toml"]),
            (format!("[hot_water]\nfile = \"{file}\"\n"), vec!["check", "house.toml"]),
            (format!("[electricity]\nhourly = \"{file}\"\n"), vec!["check", "house.toml"]),
            (String::new(), vec!["check", file]),
            (String::new(), vec!["weather", file]),
        ] {
            fs::write(folder.join("house.toml"), &job).expect("job");
            let told = failed(&suncask(folder, &arguments));
            assert!(told.contains(file) && told.contains(why), "{arguments:?} {job}: {told}");
        }
    }
}

/// Root reads everything: there the program runs as nobody.
#[cfg(unix)]
#[test]
fn without_permission_the_file_is_named() {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;

    let place = tempfile::tempdir().expect("folder");
    let folder = place.path();
    let mode =
        |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("a mode");
    mode(folder, 0o755);
    let program = folder.join("suncask");
    fs::copy(PROGRAM, &program).expect("a copy");
    mode(&program, 0o755);
    for name in ["closed.toml", "closed.csv"] {
        fs::write(folder.join(name), "").expect("file");
        mode(&folder.join(name), 0o000);
    }
    fs::write(folder.join("house.toml"), "[weather]\nfile = \"closed.csv\"\n").expect("file");
    mode(&folder.join("house.toml"), 0o644);
    let root = fs::read(folder.join("closed.csv")).is_ok();
    let run = |arguments: &[&str]| {
        let mut command = Command::new(&program);
        command.current_dir(folder).args(arguments);
        if root {
            // The number of "nobody" on Linux.
            command.uid(65_534).gid(65_534);
        }
        failed(&command.output().expect("the program starts"))
    };
    for (arguments, named) in [
        (&["check", "closed.toml"][..], "closed.toml"),
        (&["weather", "closed.csv"], "closed.csv"),
        (&["run", "house.toml"], "closed.csv"),
    ] {
        let told = run(arguments);
        assert!(told.contains(named) && told.contains("ermission denied"), "{told}");
    }
    if root {
        // A folder of somebody else.
        let told = run(&["new", "mine.toml"]);
        assert!(told.contains("mine.toml") && told.contains("ermission denied"), "{told}");
        let told = run(&["run"]);
        assert!(told.contains("suncask-demo-results") && told.contains("ermission denied"), "{told}");
    }
}

/// A limit on the size of files stands for a full disk: writing fails half-way in both.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_the_older_result_and_nothing_else() {
    let place = tempfile::tempdir().expect("folder");
    let folder = place.path();
    fs::write(folder.join("house.toml"), "").expect("job");
    assert!(suncask(folder, &["run", "house.toml"]).status.success());
    let results = folder.join("house-results");
    let older = fs::read(results.join("summary.json")).expect("a result");
    // Blocks of 512 bytes; the signal that goes with the limit is ignored, so that the write fails as on a full disk.
    let limited = |command: &str| {
        let script = format!("trap '' XFSZ; ulimit -f 16; exec '{PROGRAM}' {command}");
        Command::new("sh").current_dir(folder).args(["-c", &script]).output().expect("a shell")
    };
    let told = failed(&limited("run house.toml --hourly"));
    assert!(told.contains("house-results") && told.contains("File too large"), "{told}");
    assert_eq!(fs::read(results.join("summary.json")).expect("still there"), older);
    let told = failed(&limited("check house.toml --picture plant.svg"));
    assert!(told.contains("plant") && told.contains("File too large"), "{told}");
    let mut left: Vec<_> =
        fs::read_dir(folder).expect("folder").map(|entry| entry.expect("entry").file_name()).collect();
    left.sort();
    assert_eq!(left, ["house-results", "house.toml"]);
    // What is printed may find no room either.
    let script = format!("exec '{PROGRAM}' columns > /dev/full");
    let told = failed(&Command::new("sh").args(["-c", &script]).output().expect("a shell"));
    assert!(told.contains("cannot print"), "{told}");
}

#[test]
fn a_job_file_in_other_clothes_is_the_same_job() {
    let clean = starter();
    same_plant(&format!("\u{feff}{clean}"), clean);
    same_plant(&clean.replace('\n', "\r\n"), clean);
    same_plant(clean.trim_end(), clean);
    // Blanks that do not break, as web pages have them, and the degree sign of a Spanish keyboard.
    same_plant("[tank]\nvolume = \"80\u{a0}gal\"\n", "[tank]\nvolume = \"80 gal\"\n");
    same_plant("[controller]\nhigh_limit = \"160 \u{ba}F\"\n", "[controller]\nhigh_limit = \"160 F\"\n");
    same_plant("[controller]\nhigh_limit = \"160\u{b0}F\"\n", "[controller]\nhigh_limit = \"160 F\"\n");
}

#[test]
fn a_job_file_in_a_mess_is_told_by_line_and_remedy() {
    for (text, place, told) in [
        ("[tank]\nvolume = \u{201c}80 gal\u{201d}\n", "house.toml:2:10", "texts and quantities in quotes"),
        ("[tank]\nvolume = 80 gal\n", "house.toml:2:", "texts and quantities in quotes"),
        ("[tank]\nvolume = \"80 gal\n[pump]\n", "house.toml:2:", "texts and quantities in quotes"),
        ("[tank]\nvolume = \"80 gal\"\nvolume = \"90 gal\"\n", "house.toml:3:1", "duplicate key"),
        ("[tank]\n[tank]\n", "house.toml:2:", "duplicate key"),
        ("[tank]\nheight = \"1,5 m\"\n", "house.toml:2:12", "decimals with a point"),
        ("[tank]\nvolume = \"nan gal\"\n", "house.toml:2:11", "no number in `nan gal`"),
        ("[tank]\nvolume = nan\n", "house.toml:2:10", "no number in `nan`"),
        ("[tank]\nvolume = \"1e999 gal\"\n", "house.toml:2:11", "not a number that can be used"),
        ("[tank]\nvolume = \"1/0 gal\"\n", "house.toml:2:11", "not a number that can be used"),
        ("[tank]\nheight = \"1 m/m/m/m/m/m\"\n", "house.toml:2:", "a length"),
        ("<html>\n", "house.toml:1:", "not understood"),
        ("{\"tank\": 1}\n", "house.toml:1:", "not understood"),
    ] {
        let found: Vec<String> = problems(text).iter().map(ToString::to_string).collect();
        assert!(
            found.iter().any(|problem| problem.starts_with(place) && problem.contains(told)),
            "{text}: {found:#?}"
        );
    }
    let place = tempfile::tempdir().expect("folder");
    let path = place.path().join("house.toml");
    for (bytes, told) in [
        (&b"\xff\xfe[\0t\0a\0n\0k\0]\0"[..], "UTF-8"),
        (b"[tank]\nvolume = \"80 gal\" # 60 \xb0C\n", "UTF-8"),
        (b"PK\x03\x04", "not understood"),
        (b"[tank]\nvolume = \"80\0gal\"\n", "house.toml:2:"),
    ] {
        fs::write(&path, bytes).expect("file");
        let faults = read(&path).expect_err("no job").to_string();
        assert!(faults.contains(told), "{faults}");
    }
}

/// Far more CPU time, in s, than it takes here in a debug build, far less than what grows with the square of the length.
const PATIENCE_S: i64 = 30;

#[test]
fn endless_texts_take_no_more_than_their_length() {
    // Of this thread alone: whatever else the machine does takes nothing from it.
    let spent_s = || clock_gettime(ClockId::ThreadCPUTime).tv_sec;
    let begun_s = spent_s();
    // Nearly all that a job may have.
    let long = |piece: &str| piece.repeat((250 << 10) / piece.len());
    let value = |piece: &str| format!("[tank]\nvolume = \"{}\"\n", long(piece));
    for text in [
        long("a"),
        long("["),
        long("[[a]]\n"),
        long("a.") + "b = 1\n",
        format!("a = {}", long("[")),
        format!("a = {}", long("{b=")),
        long("x\n"),
        long("= \"\n"),
        (0..25_000).map(|i| format!("[a{i}]\n")).collect(),
        (0..22_000).map(|i| format!("k{i} = 1\n")).collect(),
        long("[[hot_water.draw]]\n"),
        long("[[backup]]\nband = 1\n"),
        format!("[bills]\nkwh = [{}]\n", long("\"x\",")),
        format!("[bills]\nkwh = [{}]\n", long("1,")),
        format!("[hot_water]\nabsences = \"{}\"\n", long("Jan 1 - ")),
        format!("[backup]\nhours = \"{}\"\n", long("5 am - 8 am, ")),
        format!("[collectors]\nsize = \"{}\"\n", long("4x")),
        format!("[roof]\nazimuth = \"{}\"\n", long("10 degrees west of ")),
        value("\u{b0}"),
        value("80 gal "),
        value("g"),
        value("m3 "),
        value("1,000"),
        value("1 1/2 "),
        value("deg "),
    ] {
        let found = problems(&text);
        assert!(!found.is_empty() && found.len() <= 100, "{} of {:.40}", found.len(), text);
        assert!(!render(&found, &text).is_empty());
    }
    assert!(spent_s() - begun_s < PATIENCE_S, "{} s", spent_s() - begun_s);
    let told = problems(&"#".repeat(1 << 20));
    assert!(told[0].message.contains("1024 kB"), "{told:?}");
}
