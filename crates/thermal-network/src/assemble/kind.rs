//! Checks of what a loop is besides a plain pumped one.

use super::Checks;
use crate::hydraulics::DESIGN_LOOP_C;
use crate::loop_kind::drainback::Lifted;
use crate::spec::{DrainbackSpec, Duties, ExchangerSpec, LoopKind, LoopSpec, NaturalSpec, PumpDrive};

/// A flow at which a circuit must resist, in m3/s.
const SOME_FLOW_M3_S: f64 = 1e-5;

pub(super) fn check(checks: &mut Checks, solar: &LoopSpec) {
    match &solar.kind {
        LoopKind::Filled => {}
        LoopKind::Drainback(spec) => drainback(checks, solar, spec),
        LoopKind::Batch => {
            let part = "batch collector";
            checks.expect(part, solar.supply.is_empty() && solar.ret.is_empty(), || {
                "has no pipes of a loop".into()
            });
            checks.expect(part, solar.controller.duties == Duties::default(), || {
                "has no pump that could have other duties".into()
            });
        }
        LoopKind::Leaking(spec) => natural(checks, solar, spec, "check valve"),
        LoopKind::Thermosiphon(spec) => {
            natural(checks, solar, spec, "thermosiphon");
            checks.expect("thermosiphon", solar.controller.duties == Duties::default(), || {
                "has no pump that could have other duties".into()
            });
        }
    }
}

fn drainback(checks: &mut Checks, solar: &LoopSpec, spec: &DrainbackSpec) {
    let part = "drainback";
    checks.not_negative(part, "fluid in the collector", spec.collector_m3);
    checks.not_negative(part, "loss of the reservoir", spec.reservoir_w_k);
    checks.not_negative(part, "power while filling", spec.fill_w);
    checks.positive(part, "fluid in the reservoir", spec.reservoir_m3);
    let lifted = Lifted::of(solar, spec);
    checks.expect(part, lifted.dry_j_m2_k > 0.0, || {
        format!(
            "the collector's heat capacity a5 ({} J/(m2 K)) must be more than that of its fluid ({} J/(m2 K))",
            solar.collector.a5_j_m2_k,
            solar.collector.a5_j_m2_k - lifted.dry_j_m2_k
        )
    });
    checks.expect(part, spec.reservoir_m3 > lifted.needed_m3, || {
        format!(
            "the reservoir holds {} m3, but filling pipes and collector takes {} m3",
            spec.reservoir_m3, lifted.needed_m3
        )
    });
    checks.expect(part, solar.controller.duties.freeze.is_none(), || {
        "a loop that drains has nothing to keep from freezing".into()
    });
}

fn natural(checks: &mut Checks, solar: &LoopSpec, spec: &NaturalSpec, part: &str) {
    checks.positive(part, "height of the collector", spec.collector_m);
    let ends = [spec.cold_end_m, spec.hot_end_m];
    checks.expect(part, ends.iter().all(|end_m| end_m.is_finite()), || "heights must be numbers".into());
    checks.expect(part, spec.cold_end_m <= spec.hot_end_m, || {
        format!("the cold end ({} m) lies above the hot end ({} m)", spec.cold_end_m, spec.hot_end_m)
    });
    checks.height(part, "share that flows back", spec.back_frac);
    checks.expect(part, !matches!(solar.exchanger, ExchangerSpec::Plate { .. }), || {
        "natural circulation does not pass a plate exchanger: its tank side stands still".into()
    });
    checks.expect(part, spec.circuit.head_m(DESIGN_LOOP_C, SOME_FLOW_M3_S) > 0.0, || {
        "nothing resists the flow".into()
    });
}

pub(super) fn second_field(checks: &mut Checks, solar: &LoopSpec) {
    let part = "second field";
    let Some(second) = &solar.second_field else { return };
    checks.collector(part, &second.collector);
    checks.expect(part, second.flow_frac > 0.0 && second.flow_frac < 1.0, || {
        format!("its share of the flow must lie between 0 and 1, is {}", second.flow_frac)
    });
    checks.expect(part, solar.kind != LoopKind::Batch, || "a batch collector has no field beside it".into());
}

pub(super) fn duties(checks: &mut Checks, solar: &LoopSpec) {
    let part = "controller";
    let Duties { drive, start_below_c, freeze, night_cooling, dump } = &solar.controller.duties;
    checks.expect(part, start_below_c.is_none_or(|limit_c| !limit_c.is_nan()), || {
        "limit of the start is not a number".into()
    });
    match *drive {
        PumpDrive::Differential | PumpDrive::Timer => {}
        PumpDrive::Proportional { least_frac, full_k } => {
            checks.expect(part, least_frac > 0.0 && least_frac <= 1.0, || {
                format!("least speed must be above 0 and at most 1, is {least_frac}")
            });
            checks.expect(part, full_k > solar.controller.off_k && full_k.is_finite(), || {
                format!("difference of full speed ({full_k} K) must lie above the off-difference")
            });
        }
        PumpDrive::Sun { start_w_m2, full_w_m2 } => {
            checks.expect(part, start_w_m2 >= 0.0 && start_w_m2 < full_w_m2 && full_w_m2.is_finite(), || {
                format!(
                    "a module's start ({start_w_m2} W/m2) must lie below its full flow ({full_w_m2} W/m2)"
                )
            });
            checks.expect(part, freeze.is_none() && night_cooling.is_none() && dump.is_none(), || {
                "a pump on a photovoltaic module has no current for frost, night cooling or a dump".into()
            });
        }
    }
    if let Some(freeze) = freeze {
        checks.expect(part, freeze.on_c < freeze.off_c, || {
            format!("freeze circulation must start ({} C) below its end ({} C)", freeze.on_c, freeze.off_c)
        });
    }
    if let Some(cooling) = night_cooling {
        checks.expect(part, cooling.off_c < cooling.on_c, || {
            format!("night cooling must end ({} C) below its start ({} C)", cooling.off_c, cooling.on_c)
        });
    }
    if let Some(dump) = dump {
        checks.expect(part, dump.on_c.is_finite(), || format!("the dump opens at {} C", dump.on_c));
        checks.not_negative(part, "reset of the dump", dump.reset_k);
        checks.not_negative(part, "conductance of the dump", dump.ua_w_k);
    }
}
