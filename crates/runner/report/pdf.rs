//! `report.pdf`: the page printed by a browser that is installed.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::picture::Units;

/// Names the program to print with.
pub(super) const VARIABLE: &str = "SUNCASK_BROWSER";

/// Browsers that print a page from the command line, in the order in which they are looked for.
const BROWSERS: [&str; 5] =
    ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge"];

/// A page takes a few seconds; a browser that takes this long hangs.
const LIMIT: Duration = Duration::from_secs(60);

/// How often is looked whether the browser is done.
const PAUSE: Duration = Duration::from_millis(25);

/// On what a page is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Paper {
    /// The browser's own size, Letter where nothing else is set.
    AsTheBrowser,
    /// A4.
    A4,
}

impl From<Units> for Paper {
    /// A4 where people use SI.
    fn from(units: Units) -> Self {
        match units {
            Units::Us => Self::AsTheBrowser,
            Units::Si => Self::A4,
        }
    }
}

/// Why there is no PDF. The page itself stands.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// Nothing to print with.
    #[error(
        "no report.pdf: none of {} is installed, and {VARIABLE} names no browser. report.html is written: print it from \
         any browser.",
        BROWSERS.join(", ")
    )]
    NoBrowser,
    /// It could not be started.
    #[error("no report.pdf: {} could not be started ({source}). report.html is written: print it from any browser.", browser.display())]
    NotStarted {
        /// The browser.
        browser: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// It ran and left no PDF.
    #[error("no report.pdf: {} {what}. report.html is written: print it from any browser.", browser.display())]
    NotPrinted {
        /// The browser.
        browser: PathBuf,
        /// What it did, as the end of a sentence.
        what: String,
    },
}

/// The browser to print with: the one the user names, else the first that is found.
fn browser(named: Option<OsString>, path: Option<OsString>) -> Result<PathBuf, PdfError> {
    if let Some(named) = named.filter(|named| !named.is_empty()) {
        return Ok(PathBuf::from(named));
    }
    let folders: Vec<PathBuf> = path.as_deref().map(std::env::split_paths).into_iter().flatten().collect();
    let found = BROWSERS.iter().flat_map(|name| {
        let name = format!("{name}{}", std::env::consts::EXE_SUFFIX);
        folders.iter().map(move |folder| folder.join(&name))
    });
    found.into_iter().find(|path| path.is_file()).ok_or(PdfError::NoBrowser)
}

/// Prints `report.html` of a folder to `report.pdf` beside it; on failure nothing is left of it.
pub(super) fn print(folder: &Path, paper: Paper) -> Result<(), PdfError> {
    print_with(&browser(std::env::var_os(VARIABLE), std::env::var_os("PATH"))?, folder, paper, LIMIT)
}

fn print_with(browser: &Path, folder: &Path, paper: Paper, limit: Duration) -> Result<(), PdfError> {
    // What the browser needs meanwhile; goes away whatever happens.
    let own = folder.join("printing");
    let pdf = own.join("report.pdf");
    let failed = |what: String| PdfError::NotPrinted { browser: browser.to_owned(), what };
    let disk = |error: io::Error| failed(format!("had no place to work in ({error})"));
    let outcome = prepared(folder, &own, paper).map_err(disk).and_then(|page| {
        let said = own.join("said");
        let child = started(browser, &own, &pdf, &page, &said)
            .map_err(|source| PdfError::NotStarted { browser: browser.to_owned(), source })?;
        let end = waited(child, limit).map_err(disk)?;
        let whole = fs::read(&pdf).is_ok_and(|bytes| bytes.starts_with(b"%PDF-") && tail_has_end(&bytes));
        match end {
            None => {
                Err(failed(format!("was stopped because it took longer than {} seconds", limit.as_secs())))
            }
            Some(true) if whole => fs::rename(&pdf, folder.join("report.pdf")).map_err(disk),
            Some(success) => {
                let how = if success { "wrote no whole PDF" } else { "failed" };
                Err(failed(format!("{how}{}", last_words(&said))))
            }
        }
    });
    // What would be left there would count as somebody's own in the results.
    outcome.and(removed(&own).map_err(disk))
}

/// Removes the place to work in; parts of a browser that was stopped may still write there for a moment.
fn removed(own: &Path) -> io::Result<()> {
    for _ in 0..80 {
        if fs::remove_dir_all(own).is_ok() {
            return Ok(());
        }
        sleep(PAUSE);
    }
    fs::remove_dir_all(own)
}

/// A PDF ends with a mark.
fn tail_has_end(bytes: &[u8]) -> bool {
    bytes[bytes.len().saturating_sub(1024)..].windows(5).any(|window| window == b"%%EOF")
}

/// Makes the place to work in and the page to print in it.
fn prepared(folder: &Path, own: &Path, paper: Paper) -> io::Result<PathBuf> {
    fs::create_dir(own)?;
    let mut page = fs::read_to_string(folder.join("report.html"))?;
    if paper == Paper::A4 {
        page = page.replacen("</style>", "@page { size: A4; }\n</style>", 1);
    }
    let copy = own.join("report.html");
    fs::write(&copy, page)?;
    fs::canonicalize(copy)
}

fn started(browser: &Path, own: &Path, pdf: &Path, page: &Path, said: &Path) -> io::Result<Child> {
    let argument = |name: &str, path: &Path| {
        let mut argument = OsString::from(name);
        argument.push(path);
        argument
    };
    let profile = own.join("profile");
    fs::create_dir(&profile)?;
    let mut command = Command::new(browser);
    command.args([
        "--headless",
        "--disable-gpu",
        "--disable-extensions",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
        "--no-pdf-header-footer",
    ]);
    if is_root(&profile) {
        command.arg("--no-sandbox");
    }
    command.arg(argument("--user-data-dir=", &fs::canonicalize(&profile)?));
    let pdf = fs::canonicalize(own)?.join(pdf.file_name().unwrap_or_default());
    command.arg(argument("--print-to-pdf=", &pdf)).arg(address(page));
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(File::create(said)?).spawn()
}

/// True if what this program makes belongs to root: such a browser refuses its own sandbox.
#[cfg(unix)]
fn is_root(made: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(made).is_ok_and(|facts| facts.uid() == 0)
}

#[cfg(not(unix))]
fn is_root(_made: &Path) -> bool {
    false
}

/// Address of a file, every byte but plain letters escaped (RFC 3986, RFC 8089).
fn address(path: &Path) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"/-._~:".contains(&byte);
    let path = path.to_string_lossy().replace('\\', "/");
    let escaped = path
        .bytes()
        .map(|byte| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") });
    format!("file://{}{}", if path.starts_with('/') { "" } else { "/" }, escaped.collect::<String>())
}

/// Whether the child ended well; `None` if it had to be stopped.
fn waited(mut child: Child, limit: Duration) -> io::Result<Option<bool>> {
    let begun = Instant::now();
    loop {
        if let Some(status) = child.try_wait()? {
            return Ok(Some(status.success()));
        }
        if begun.elapsed() >= limit {
            child.kill()?;
            child.wait()?;
            return Ok(None);
        }
        sleep(PAUSE);
    }
}

/// The last line of what the browser said, to put behind what it did.
fn last_words(said: &Path) -> String {
    let said = fs::read(said).unwrap_or_default();
    let said = String::from_utf8_lossy(&said);
    said.lines().rev().find(|line| !line.trim().is_empty()).map_or(String::new(), |line| {
        let line: String = line.trim().chars().take(200).collect();
        format!(" (\u{201c}{line}\u{201d})")
    })
}

#[cfg(all(test, unix))]
mod tests {
    use std::os::unix::fs::PermissionsExt;

    use super::*;

    /// A folder with a page, and a browser that is this script. `$pdf` is where it must print to.
    fn place(script: &str) -> (tempfile::TempDir, PathBuf) {
        let place = tempfile::tempdir().expect("a folder");
        fs::create_dir(place.path().join("results #1 50%")).expect("a folder");
        fs::write(place.path().join("results #1 50%/report.html"), "<style>p {}</style>the page")
            .expect("a page");
        let browser = place.path().join("browser");
        let head = "#!/bin/sh\nfor one in \"$@\"; do case $one in --print-to-pdf=*) pdf=${one#*=};; esac; page=$one; done\n";
        fs::write(&browser, format!("{head}{script}")).expect("a script");
        fs::set_permissions(&browser, fs::Permissions::from_mode(0o755)).expect("rights");
        (place, browser)
    }

    fn printed(script: &str, paper: Paper, limit: Duration) -> (Result<(), PdfError>, Vec<String>, Vec<u8>) {
        let (place, browser) = place(script);
        let folder = place.path().join("results #1 50%");
        let outcome = print_with(&browser, &folder, paper, limit);
        let mut names: Vec<String> = fs::read_dir(&folder)
            .expect("entries")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        let bytes = fs::read(folder.join("report.pdf")).unwrap_or_default();
        (outcome, names, bytes)
    }

    const LONG: Duration = Duration::from_secs(20);

    #[test]
    fn a_whole_pdf_stands_beside_the_page_and_nothing_else() {
        let script = "printf '%%PDF-1.4\\n%s\\n' \"$page\" > \"$pdf\"; echo '%%EOF' >> \"$pdf\"";
        let (outcome, names, bytes) = printed(script, Paper::AsTheBrowser, LONG);
        outcome.expect("a PDF");
        assert_eq!(names, ["report.html", "report.pdf"]);
        let text = String::from_utf8(bytes).expect("text");
        // The page is named as an address, odd letters escaped.
        assert!(
            text.contains("file:///") && text.contains("/results%20%231%2050%25/printing/report.html"),
            "{text}"
        );
    }

    #[test]
    fn only_the_paper_asked_for_is_set() {
        let script = "f=$(dirname \"$pdf\")/report.html; (echo %PDF-; cat \"$f\"; echo %%EOF) > \"$pdf\"";
        for (paper, a4) in [(Paper::A4, true), (Paper::AsTheBrowser, false)] {
            let (outcome, _, bytes) = printed(script, paper, LONG);
            outcome.expect("a PDF");
            assert_eq!(String::from_utf8_lossy(&bytes).contains("size: A4"), a4);
        }
    }

    #[test]
    fn a_browser_that_fails_or_prints_half_leaves_nothing() {
        for (script, told) in [
            ("echo 'cannot open display' >&2; exit 3", "failed (\u{201c}cannot open display\u{201d})"),
            ("printf '%%PDF-1.4 half' > \"$pdf\"", "wrote no whole PDF"),
            ("true", "wrote no whole PDF"),
            ("printf '%%PDF-1.4 %%%%EOF' > \"$pdf\"; exit 1", "failed"),
        ] {
            let (outcome, names, _) = printed(script, Paper::A4, LONG);
            let message = outcome.expect_err(script).to_string();
            assert!(message.contains(told) && message.contains("report.html is written"), "{message}");
            assert_eq!(names, ["report.html"], "{script}");
        }
    }

    #[test]
    fn a_browser_that_hangs_is_stopped() {
        let begun = Instant::now();
        let (outcome, names, _) = printed("exec sleep 600", Paper::A4, Duration::from_secs(1));
        let message = outcome.expect_err("stopped").to_string();
        assert!(message.contains("longer than 1 seconds"), "{message}");
        assert!(begun.elapsed() < Duration::from_secs(60));
        assert_eq!(names, ["report.html"]);
    }

    #[test]
    fn the_named_browser_comes_first_and_none_is_told() {
        let (place, named) = place("true");
        let path = Some(place.path().as_os_str().to_owned());
        let none = browser(None, path.clone()).expect_err("none").to_string();
        assert!(none.contains("chromium, ") && none.contains("SUNCASK_BROWSER"), "{none}");
        fs::rename(&named, place.path().join("google-chrome")).expect("a name");
        assert_eq!(
            browser(Some(OsString::new()), path.clone()).expect("found"),
            place.path().join("google-chrome")
        );
        assert_eq!(browser(Some("mine".into()), path).expect("named"), PathBuf::from("mine"));
        let folder = place.path().join("results #1 50%");
        let gone =
            print_with(Path::new("/nowhere/browser"), &folder, Paper::A4, LONG).expect_err("not there");
        assert!(gone.to_string().contains("could not be started"), "{gone}");
        assert!(!folder.join("printing").exists());
    }
}
