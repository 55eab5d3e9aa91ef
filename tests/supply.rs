//! What the program is built of: licenses, crates in two versions, crates nobody uses, versions of Rust, and no unsafe code of
//! our own.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// Licenses that the program's own, MIT or Apache-2.0, may be given away with.
const LICENSES: [&str; 6] = ["MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "Zlib", "Unicode-3.0"];

/// Crates that come in more than one version, with the reason.
const TWICE: [(&str, &str); 3] = [
    ("miniz_oxide", "png 0.18 packs pictures with 0.8, flate2 elsewhere below resvg with 0.9"),
    (
        "rand_core",
        "our chance stays with rand_chacha 0.9, whose numbers the kept results hang on; proptest has a newer one",
    ),
    ("syn", "maud 0.27 expands its pages with 2, the macros of serde and clap with 3"),
];

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// The packages of the lock file, tests and tools included, as cargo sees them on this platform.
fn packages() -> Vec<Value> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let host = Command::new(&cargo).arg("-vV").output().expect("cargo");
    let host = String::from_utf8(host.stdout).expect("text");
    let host = host.lines().find_map(|line| line.strip_prefix("host: ")).expect("a host").to_owned();
    let told = Command::new(cargo)
        .current_dir(ROOT)
        .args(["metadata", "--locked", "--offline", "--format-version", "1", "--filter-platform", &host])
        .output()
        .expect("cargo");
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    let metadata: Value = serde_json::from_slice(&told.stdout).expect("JSON");
    metadata["packages"].as_array().expect("packages").clone()
}

fn text<'v>(package: &'v Value, key: &str) -> &'v str {
    package[key].as_str().unwrap_or("")
}

/// True if an SPDX expression leaves a way among the allowed licenses; `/` is the older "or".
fn allowed(expression: &str) -> bool {
    let plain = expression.replace(['(', ')'], " ").replace('/', " OR ");
    // Without nested brackets: a side of an AND may hold OR only where brackets say so, and then each word is looked at.
    plain.split(" AND ").all(|side| side.split(" OR ").any(|word| LICENSES.contains(&word.trim())))
}

#[test]
fn every_license_is_one_of_the_list() {
    let packages = packages();
    assert!(packages.len() > 50, "{}", packages.len());
    let others: Vec<String> = packages
        .iter()
        .filter(|package| !allowed(text(package, "license")))
        .map(|package| {
            format!("{} {}: {}", text(package, "name"), text(package, "version"), package["license"])
        })
        .collect();
    assert!(others.is_empty(), "{others:#?}");
    for refused in ["GPL-3.0-only", "", "MIT AND GPL-2.0-only", "MPL-2.0"] {
        assert!(!allowed(refused), "{refused}");
    }
}

#[test]
fn no_crate_comes_in_two_versions_without_a_reason() {
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for package in &packages() {
        versions
            .entry(text(package, "name").to_owned())
            .or_default()
            .insert(text(package, "version").to_owned());
    }
    let twice: Vec<_> = versions.into_iter().filter(|(_, versions)| versions.len() > 1).collect();
    let known = |name: &str| TWICE.iter().any(|(known, reason)| *known == name && !reason.is_empty());
    let unknown: Vec<_> = twice.iter().filter(|(name, _)| !known(name)).collect();
    assert!(unknown.is_empty(), "{unknown:#?}");
    for (name, _) in TWICE {
        assert!(twice.iter().any(|(found, _)| found == name), "{name} comes once by now");
    }
}

/// Sources of Rust below a folder.
fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if path.is_dir() && !name.starts_with('.') && name != "target" {
            sources(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

#[test]
fn our_own_sources_hold_no_unsafe_code() {
    let mut found = Vec::new();
    for folder in ["crates", "tests", "benches"] {
        sources(&Path::new(ROOT).join(folder), &mut found);
    }
    assert!(found.len() > 200, "{}", found.len());
    // Put together, so that this file does not name it itself.
    let word = ["un", "safe"].concat();
    for path in found {
        let text = fs::read_to_string(&path).expect("a source");
        let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
        for line in code {
            let is_word = |part: &str| part == word;
            let named = line.split(|c: char| !c.is_alphanumeric() && c != '_').any(is_word);
            assert!(!named, "{}: {line}", path.display());
        }
    }
    // The compiler refuses it in every package of the workspace.
    let root = fs::read_to_string(Path::new(ROOT).join("Cargo.toml")).expect("the manifest");
    assert!(root.contains(&format!("{word}_code = \"forbid\"")));
}

/// What a package asks for stands in its sources, and what only tests use is asked for by them alone.
#[test]
fn every_crate_that_is_asked_for_is_used() {
    let packages = packages();
    let mut looked_at = 0;
    for package in packages.iter().filter(|package| package["source"].is_null()) {
        let folder = Path::new(text(package, "manifest_path")).parent().expect("a folder");
        let [own, tests] = match text(package, "name") {
            "suncask" => [vec!["crates/runner"], vec!["crates/runner", "tests", "benches"]],
            _ => [vec!["src"], vec!["src", "tests"]],
        };
        for dependency in package["dependencies"].as_array().expect("dependencies") {
            let word = text(dependency, "name").replace('-', "_");
            let mut found = Vec::new();
            for place in if text(dependency, "kind") == "dev" { &tests } else { &own } {
                sources(&folder.join(place), &mut found);
            }
            let named = |path: &PathBuf| {
                let source = fs::read_to_string(path).expect("a source");
                source.split(|c: char| !c.is_alphanumeric() && c != '_').any(|part| part == word)
            };
            assert!(found.iter().any(named), "{}: nothing uses {word}", text(package, "name"));
            looked_at += 1;
        }
    }
    assert!(looked_at > 20, "{looked_at}");
}

#[test]
fn every_package_states_the_same_version_of_rust() {
    let packages = packages();
    let own: Vec<&Value> = packages.iter().filter(|package| package["source"].is_null()).collect();
    assert_eq!(own.len(), 3, "{own:#?}");
    let stated = text(own[0], "rust_version");
    assert!(!stated.is_empty());
    for package in &own {
        assert_eq!(text(package, "rust_version"), stated, "{}", text(package, "name"));
        assert_eq!(text(package, "license"), "MIT OR Apache-2.0", "{}", text(package, "name"));
    }
    // What comes from elsewhere asks for no newer one, and the README names it.
    let number = |version: &str| -> [u32; 3] {
        let mut parts = version.split('.').map(|part| part.parse().unwrap_or(0));
        std::array::from_fn(|_| parts.next().unwrap_or(0))
    };
    for package in &packages {
        let asked = text(package, "rust_version");
        assert!(number(asked) <= number(stated), "{} asks for Rust {asked}", text(package, "name"));
    }
    let readme = fs::read_to_string(Path::new(ROOT).join("README.md")).expect("the README");
    assert!(
        readme.contains(&format!("Rust ({stated} or newer")),
        "the README names another version than {stated}"
    );
    let fuzz = fs::read_to_string(Path::new(ROOT).join("tests/fuzz/Cargo.toml")).expect("a manifest");
    assert!(fuzz.contains(&format!("rust-version = \"{stated}\"")));
}
