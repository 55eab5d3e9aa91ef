//! What can be wrong with pipe work.

use crate::assemble::Checks;
use crate::spec::{PlantSpec, TransferSpec, WaterPipeSpec, WaterPumpSpec};

impl Checks {
    /// Faults of the pipe work between tanks and taps.
    pub(crate) fn plumbing(&mut self, spec: &PlantSpec) {
        let tanks = spec.tanks.len();
        let plumbing = &spec.plumbing;
        for (what, fitted) in [
            ("pipe between the tanks", plumbing.between.is_some()),
            ("bypass", plumbing.bypass.is_some()),
            ("transfer pump", plumbing.transfer.is_some()),
        ] {
            self.expect(what, !fitted || tanks == 2, || "needs two tanks".into());
        }
        if let Some(pipe) = &plumbing.between {
            self.water_pipe("pipe between the tanks", pipe);
        }
        if let Some(bypass) = &plumbing.bypass {
            self.expect("bypass", !bypass.opens_c.is_nan(), || "its temperature is not a number".into());
            self.not_negative("bypass", "band", bypass.band_k);
        }
        if let Some(transfer) = &plumbing.transfer {
            self.transfer(transfer);
        }
        if let Some(line) = &plumbing.recirculation {
            let part = "recirculation loop";
            self.water_pipe(part, &line.pipe);
            self.water_pump(part, &line.pump);
            self.expect(part, line.return_tank < tanks, || {
                format!("comes back to tank {}, which is not there", line.return_tank + 1)
            });
            self.height(part, "height of the return", line.return_frac);
        }
        for (i, mixing) in plumbing.inlet_mixing.iter().enumerate() {
            if let Some(mixing) = mixing {
                let part = format!("inlet of tank {}", i + 1);
                self.expect(&part, i < tanks, || "its tank is not there".into());
                self.positive(&part, "bore", mixing.bore_m);
            }
        }
    }

    fn water_pipe(&mut self, part: &str, pipe: &WaterPipeSpec) {
        self.positive(part, "length", pipe.length_m);
        self.positive(part, "bore", pipe.bore_m);
        self.expect(part, pipe.tube_outer_m >= pipe.bore_m, || {
            format!("outer diameter {} m is less than the bore {} m", pipe.tube_outer_m, pipe.bore_m)
        });
        self.not_negative(part, "insulation thickness", pipe.insulation_m);
        if pipe.insulation_m > 0.0 {
            self.positive(part, "insulation conductivity", pipe.insulation_w_m_k);
        }
        self.not_negative(part, "wall capacity", pipe.wall_capacity_j_m_k);
        if let Some(film) = pipe.outer_film_w_m2_k {
            self.positive(part, "outside film", film);
        }
    }

    fn water_pump(&mut self, part: &str, pump: &WaterPumpSpec) {
        self.positive(part, "flow of the pump", pump.flow_m3_s);
        self.not_negative(part, "power of the pump", pump.power_w);
        self.height(part, "share of its power that warms the water", pump.heat_to_water_frac);
    }

    fn transfer(&mut self, transfer: &TransferSpec) {
        let part = "transfer pump";
        self.water_pump(part, &transfer.pump);
        self.expect(part, transfer.off_k < transfer.on_k && transfer.off_k >= 0.0, || {
            format!(
                "off-difference {} K must be below on-difference {} K and not negative",
                transfer.off_k, transfer.on_k
            )
        });
        self.expect(part, !transfer.limit_c.is_nan(), || "its limit is not a number".into());
        for (what, frac) in [
            ("height at which it takes water", transfer.take_frac),
            ("height to which it brings water", transfer.give_frac),
            ("height from which water comes back", transfer.back_from_frac),
            ("height to which water comes back", transfer.back_to_frac),
        ] {
            self.height(part, what, frac);
        }
    }
}
