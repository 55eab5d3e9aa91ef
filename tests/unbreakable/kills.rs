//! Killed at a random moment, a command leaves its folder whole or absent, and a study goes on to the same bits.
//!
//! `SUNCASK_KILLS=200` kills so often; the check does it a dozen times.

use std::time::{Duration, Instant};

use super::{COMMANDS, command, differing, done, files, place, program};

/// Kills without being asked for more.
const KILLS: u64 = 12;

/// The next of a row of numbers that look drawn by chance, from 0 to 1 (Knuth's linear congruence of MMIX).
fn chance(state: &mut u64) -> f64 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*state >> 11) as f64 / (1_u64 << 53) as f64
}

#[test]
fn killed_at_any_moment_nothing_is_half_done() {
    let wanted = std::env::var("SUNCASK_KILLS").ok().and_then(|kills| kills.parse().ok()).unwrap_or(KILLS);
    let mut state = 20_261_128;
    let mut met = [0; 3];
    for (i, (arguments, folder)) in COMMANDS.into_iter().enumerate() {
        let whole = place();
        let began = Instant::now();
        done(whole.path(), arguments);
        let takes = began.elapsed();
        let reference = files(&whole.path().join(folder));

        let place = place();
        let result = place.path().join(folder);
        let kills = wanted / 4 + u64::from((i as u64) < wanted % 4);
        for kill in 0..kills {
            // Half of the kills come while an older result stands there.
            if kill == kills / 2 {
                done(place.path(), arguments);
            }
            let mut child = command(&program(), place.path(), arguments).spawn().expect("the command");
            std::thread::sleep(takes.mul_f64(1.1 * chance(&mut state)) + Duration::from_millis(1));
            let outlived = child.try_wait().expect("a process").is_some();
            if !outlived {
                child.kill().expect("a kill");
            }
            child.wait().expect("an end");
            if result.exists() {
                let differing = differing(&reference, &files(&result));
                assert!(differing.is_empty(), "{arguments:?}, kill {kill}: {differing:?}");
            }
            met[if outlived { 2 } else { usize::from(result.exists()) }] += 1;
            if kill < kills / 2 && result.exists() {
                std::fs::remove_dir_all(&result).expect("a folder of ours");
            }
        }
        done(place.path(), arguments);
        let differing = differing(&reference, &files(&result));
        assert!(differing.is_empty(), "{arguments:?}, gone on after {kills} kills: {differing:?}");
    }
    println!(
        "{} killed without a result, {} with an older or a new one, {} too late",
        met[0], met[1], met[2]
    );
    assert!(met[0] + met[1] > 0, "no kill came in time");
}
