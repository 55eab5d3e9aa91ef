//! One binary for all fuzz targets; `SUNCASK_FUZZ` names the one that runs. Built and started by `run`.

#![no_main]

mod targets;

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;

static TARGET: OnceLock<targets::Target> = OnceLock::new();

fuzz_target!(|bytes: &[u8]| {
    let target = TARGET.get_or_init(|| {
        let name = std::env::var("SUNCASK_FUZZ").expect("SUNCASK_FUZZ names a target");
        targets::named(&name).unwrap_or_else(|| panic!("no target is called {name}"))
    });
    target(bytes);
});
