//! `--pdf`: through a browser that is installed, and plain words where there is none.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use super::{command, text};

/// A browser that is a script; `$pdf` is where it must print to.
#[cfg(unix)]
fn browser(folder: &Path, script: &str) -> PathBuf {
    use std::os::unix::fs::PermissionsExt;
    let path = folder.join("my browser");
    let head = "#!/bin/sh\nfor one in \"$@\"; do case $one in --print-to-pdf=*) pdf=${one#*=};; esac; done\n";
    fs::write(&path, format!("{head}{script}\n")).expect("a script");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).expect("rights");
    path
}

fn with_browser(folder: &Path, arguments: &[&str], browser: &Path) -> Output {
    command(folder, arguments).env("SUNCASK_BROWSER", browser).output().expect("the command")
}

#[cfg(unix)]
#[test]
fn a_browser_that_prints_leaves_a_pdf_in_every_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let prints = browser(folder.path(), "printf '%%PDF-1.4\\n%%%%EOF\\n' > \"$pdf\"");
    let small = "name = \"Small\"\n[backup]\nkind = \"flow-through heater\"\n[tune]\non_differences = [\"12 F\"]\n\
                 off_differences = [\"4 F\"]\nsensor_error = \"0 F\"\n[stock]\ncollectors = [\"one 4x8 ft\"]\n\
                 [[stock.tank]]\nvolume = \"80 gal\"\n";
    for name in ["small.toml", "other.toml"] {
        fs::write(folder.path().join(name), small).expect("a job");
    }
    for (arguments, results) in [
        (&["run", "small.toml", "--pdf"][..], "small-results"),
        (&["size", "small.toml", "--pdf"], "small-size"),
        (&["tune", "small.toml", "--pdf"], "small-tune"),
        (&["compare", "small.toml", "other.toml", "--pdf"], "small-compare"),
        // Over its own older result, which holds a PDF too.
        (&["run", "small.toml"], "small-results"),
    ] {
        let done = with_browser(folder.path(), arguments, &prints);
        assert_eq!(done.status.code(), Some(0), "{arguments:?}: {}", text(&done.stderr));
        let results = folder.path().join(results);
        let asked = arguments.contains(&"--pdf");
        assert_eq!(results.join("report.pdf").exists(), asked, "{arguments:?}");
        assert_eq!(text(&done.stdout).contains("report.pdf"), asked, "{arguments:?}");
        assert!(results.join("report.html").exists() && !results.join("printing").exists());
    }
}

#[cfg(unix)]
#[test]
fn a_browser_that_fails_takes_nothing_from_the_results() {
    let folder = tempfile::tempdir().expect("a folder");
    let fails = browser(folder.path(), "printf '%%PDF-1.4 half' > \"$pdf\"; echo 'no display' >&2; exit 7");
    let done = with_browser(folder.path(), &["run", "--pdf"], &fails);
    assert_eq!(done.status.code(), Some(1));
    let told = text(&done.stderr);
    assert!(told.contains("no display") && told.contains("report.html is written"), "{told}");
    assert!(text(&done.stdout).contains("An estimate, not a guarantee."));
    let results = folder.path().join("suncask-demo-results");
    assert!(results.join("report.html").exists() && results.join("summary.json").exists());
    assert!(!results.join("report.pdf").exists() && !results.join("printing").exists());
}

#[test]
fn without_a_browser_the_page_stands_and_that_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let nothing = folder.path().join("no programs");
    fs::create_dir(&nothing).expect("a folder");
    let done = command(folder.path(), &["run", "--pdf"])
        .env("PATH", &nothing)
        .env_remove("SUNCASK_BROWSER")
        .output()
        .expect("the command");
    assert_eq!(done.status.code(), Some(1));
    let told = text(&done.stderr);
    for words in [
        "no report.pdf",
        "chromium",
        "google-chrome",
        "microsoft-edge",
        "SUNCASK_BROWSER",
        "report.html is written",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    assert!(folder.path().join("suncask-demo-results/report.html").exists());
}

/// The browser of this machine, if one is found where the command looks for it.
fn installed() -> Option<PathBuf> {
    let folders = std::env::var_os("PATH")?;
    let names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge"];
    std::env::split_paths(&folders)
        .flat_map(|folder| names.map(|name| folder.join(name)))
        .find(|path| path.is_file())
}

#[test]
fn a_real_browser_prints_sheets_of_the_readers_paper() {
    let Some(browser) = installed() else {
        eprintln!("SKIPPED: no browser is installed, so no page was printed");
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    // Points: Letter is 8.5 by 11 in, A4 210 by 297 mm, as chromium rounds them.
    for (units, sides) in [("us", ["612", "792"]), ("si", ["594.95", "841.9"])] {
        let done = with_browser(folder.path(), &["run", "--pdf", "--units", units], &browser);
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        let pdf = fs::read(folder.path().join("suncask-demo-results/report.pdf")).expect("a PDF");
        let pdf = String::from_utf8_lossy(&pdf);
        let boxed = pdf.split("/MediaBox").skip(1).map(|rest| rest.split(']').next().unwrap_or_default());
        let boxes: Vec<&str> = boxed.collect();
        assert!(boxes.len() > 5, "{} sheets", boxes.len());
        assert!(boxes.iter().all(|of| sides.iter().all(|side| of.contains(side))), "{units}: {:?}", boxes[0]);
    }
}
