//! Two runs into one folder at once: one of the two results stands there whole.

use super::{COMMANDS, Files, command, differing, done, files, place, program, strays};

/// Runs two commands at once into the folder of the first, and gives back what stands there.
fn at_once(arguments: [&[&str]; 2], folder: &str) -> Files {
    let place = place();
    for round in 0..3 {
        let children = arguments
            .map(|arguments| command(&program(), place.path(), arguments).spawn().expect("the command"));
        for child in children {
            let output = child.wait_with_output().expect("an end");
            let told = String::from_utf8_lossy(&output.stderr);
            assert!(output.status.success(), "round {round}, {arguments:?}: {told}");
        }
        let strays = strays(place.path(), &["house.toml", folder]);
        assert!(strays.is_empty(), "{strays:?}");
    }
    files(&place.path().join(folder))
}

#[test]
fn two_runs_into_one_folder_do_not_mix() {
    let us: &[&str] = &["run", "house.toml"];
    let si: &[&str] = &["run", "house.toml", "--units", "si", "--hourly"];
    let alone = [us, si].map(|arguments| {
        let place = place();
        done(place.path(), arguments);
        files(&place.path().join("house-results"))
    });
    assert!(!differing(&alone[0], &alone[1]).is_empty());
    let found = at_once([us, si], "house-results");
    assert!(alone.iter().any(|files| differing(files, &found).is_empty()), "{:?}", found.keys());
}

/// Two studies share a list of finished years.
#[test]
fn two_studies_into_one_folder_end_as_one_does() {
    let (arguments, folder) = COMMANDS[3];
    let place = place();
    done(place.path(), arguments);
    let alone = files(&place.path().join(folder));
    assert_eq!(differing(&alone, &at_once([arguments, arguments], folder)), [""; 0]);
}
