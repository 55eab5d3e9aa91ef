//! The words of `[backup]`, `[backup_tank]` and `[heater_without_sun]`: gas, heat pump and flow-through heaters.

use suncask::job::file::read_text;
use suncask::job::{Baseline, DaySpan, Job, Room};
use suncask::problem::Problem;
use suncask::record::Column;
use suncask::year::{RunOptions, Setting, run};
use thermal_network::spec::{Energy, PlumbingSpec, SourceSpec, Surroundings};

/// Btu/h in W: international table Btu (1055.06 J).
const BTU_H_W: f64 = 1_055.055_852_62 / 3600.0;

fn job(text: &str) -> Job {
    read_text("job.toml", text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn messages(text: &str) -> Vec<String> {
    let problems: Vec<Problem> = match read_text("job.toml", text) {
        Ok(job) => job.notes,
        Err(problems) => problems,
    };
    problems.into_iter().map(|problem| problem.message).collect()
}

fn close(found: f64, expected: f64) {
    // Conversion takes a few roundings.
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found} against {expected}");
}

#[test]
fn a_gas_heater_behind_the_solar_tank() {
    let job = job(
        "[backup_tank]\nkind = \"gas heater\"\nstanding_loss = \"180 W\"\nrecovery_efficiency = \"78 %\"\npower = \"36000 Btu/h\"\n\
         pilot = \"400 Btu/h\"\npilot_to_water = \"30 %\"\nflue_share = \"50 %\"\nstands_in = \"garage\"\nhours = \"never\"\n",
    );
    let [solar, heater] = job.plant.tanks.as_slice() else { panic!("two tanks") };
    // Where a second tank heats, the sun has the first to itself.
    assert!(solar.elements.is_empty());
    assert_eq!((heater.surroundings, job.rooms.second_tank), (Surroundings::SecondTankRoom, Room::Garage));
    assert_eq!(job.element_hours.len(), 1);
    let SourceSpec::Burner(burner) = heater.elements[0].source else { panic!("a burner") };
    // 180 W at 45 K are 4 W/K, half of it up the flue.
    close(burner.flue_w_k, 2.0);
    close(burner.efficiency_frac, 0.78);
    close(burner.pilot_w, 400.0 * BTU_H_W);
    close(burner.pilot_to_water_frac, 0.3);
    close(heater.elements[0].power_w, 0.78 * 36_000.0 * BTU_H_W);
    close(super::rating::heaters::loss_w_k(heater), 2.0);
}

#[test]
fn a_heat_pump_heater_and_its_label() {
    let of = |keys: &str| {
        job(&format!("[backup_tank]\nkind = \"heat pump heater\"\n{keys}\n")).plant.tanks.remove(1)
    };
    let heater = of("uef = 3.5\nloss = \"1.5 W/K\"");
    // Upper element first, then the compressor.
    let [element, compressor] = heater.elements.as_slice() else { panic!("two stages") };
    assert!(heater.interlock && element.source == SourceSpec::Electric);
    let SourceSpec::HeatPump(heat_pump) = compressor.source else { panic!("a heat pump") };
    // Heat drawn on the medium pattern: 30,585 Btu; standby 1.5 W/K x 57.5 F for a day.
    let standby = 1.5 * 57.5 / 1.8 * 86_400.0 / (30_585.0 * 1055.056);
    assert!((heat_pump.cop - 3.5 * (1.0 + standby)).abs() < 1e-4, "{}", heat_pump.cop);
    let alone = of("cop = 3.0\nelement_power = \"0 W\"\ncondenser_top = \"40 %\"");
    let SourceSpec::HeatPump(heat_pump) = alone.elements[0].source else { panic!("a heat pump") };
    assert_eq!((alone.elements.len(), heat_pump.cop, heat_pump.condenser_top_frac), (1, 3.0, 0.4));
}

#[test]
fn a_flow_through_heater_and_its_hours() {
    let job = job(
        "[[backup]]\nkind = \"flow-through heater\"\nfuel = \"electric\"\npower = \"20 kW\"\nefficiency = \"98 %\"\ninlet_limit = \"140 F\"\n\
         hours = \"5 am - 9 am\"\n[[backup]]\nkind = \"electric element\"\n",
    );
    let heater = job.plant.flow_heater.expect("a heater");
    assert_eq!((heater.energy, heater.inlet_limit_c), (Energy::Electricity, Some(60.0)));
    close(heater.power_w, 19_600.0);
    // Its hours stand behind those of the element.
    assert_eq!(job.plant.tanks[0].elements.len(), 1);
    assert_eq!(job.element_hours[1].minutes, [(300, 540)]);
}

#[test]
fn two_elements_with_a_winter_season() {
    let job = job(
        "[[backup]]\nheight = \"75 %\"\nthermostat_height = \"78 %\"\n[[backup]]\nheight = \"55 %\"\nthermostat_height = \"55 %\"\n\
         dates = \"Nov - Feb\"\nweekdays = \"weekend\"\n",
    );
    assert!(job.plant.tanks[0].interlock);
    // 1 November to 28 February.
    assert_eq!(job.element_hours[1].days, [DaySpan { first: 305, last: 59 }]);
}

#[test]
fn present_heaters_of_every_kind() {
    let of = |keys: &str| match job(&format!("[heater_without_sun]\n{keys}\n")).baseline {
        Baseline::Simulated { tank, flow_heater, efficiency_frac } => (*tank, flow_heater, efficiency_frac),
        Baseline::HeldAtSetPoint { .. } => panic!("simulated"),
    };
    let (gas, none, efficiency) = of("kind = \"gas heater\"");
    assert!(matches!(gas.elements[0].source, SourceSpec::Burner(_)) && none.is_none() && efficiency == 1.0);
    let (heat_pump, _, _) = of("kind = \"heat pump heater\"");
    assert!(matches!(heat_pump.elements[1].source, SourceSpec::HeatPump(_)));
    let (pipe, heater, _) = of("kind = \"flow-through heater\"\nminimum_fire = \"0 W\"");
    assert!(pipe.elements.is_empty() && heater.is_some_and(|heater| heater.energy == Energy::Fuel));
    assert_eq!(of("kind = \"electric heater\""), of("kind = \"simulated\""));
    // The older words for a gas heater stay what they were: its label alone, without flue and pilot apart.
    let (older, _, efficiency) = of("fuel = \"gas\"");
    assert!(older.elements[0].source == SourceSpec::Electric && efficiency < 1.0);
}

#[test]
fn heaters_that_cannot_be_or_hardly() {
    for (text, expected) in [
        (
            "[backup_tank]\nkind = \"gas heater\"\nuef = 0.66\npilot = \"500 Btu/h\"\n",
            "the pilot alone burns more than the label's standby loss",
        ),
        (
            "[backup_tank]\nkind = \"heat pump heater\"\nuef = 3\ncop = 3\n",
            "`cop` and `uef` say the same thing twice",
        ),
        (
            "[backup_tank]\nkind = \"heat pump heater\"\nlowest_air = \"70 F\"\nhighest_air = \"60 F\"\n",
            "`lowest_air` is above `highest_air`",
        ),
        (
            "[backup]\nkind = \"flow-through heater\"\nfuel = \"electric\"\nset_temperature = \"110 F\"\n",
            "the flow-through heater is set to 110 F, 43.33 C, below the 120 F, 48.89 C wanted at the tap",
        ),
        (
            "[backup]\nkind = \"flow-through heater\"\nfuel = \"electric\"\ninlet_limit = \"113 F\"\n",
            "solar water between 113 F, 45 C and the 120 F, 48.89 C wanted at the tap passes unheated",
        ),
        (
            "[backup]\nkind = \"flow-through heater\"\npower = \"30000 Btu/h\"\nminimum_fire = \"35000 Btu/h\"\n",
            "the smallest fire is larger than the whole heater",
        ),
        (
            "[[backup]]\nkind = \"flow-through heater\"\n[[backup]]\nkind = \"flow-through heater\"\n",
            "one flow-through heater is enough: this is the second",
        ),
        (
            "[backup]\nkind = \"flow-through heater\"\n",
            "no draw is large enough to light the flow-through heater",
        ),
        (
            "[backup_tank]\nkind = \"gas heater\"\nset_temperature = \"125 F\"\n",
            "the backup tank comes on at 110 F, 43.33 C only, below the 120 F, 48.89 C wanted at the tap",
        ),
        (
            "[backup_tank]\nkind = \"heat pump heater\"\nuef = 3\nef = 2\n",
            "`uef` and `ef` say the same thing twice",
        ),
        ("[backup]\nkind = \"flow through\"\n", "`flow through` is not known for `kind`"),
    ] {
        let found = messages(text);
        assert!(found.iter().any(|message| message == expected), "{text}: {found:?}");
    }
    // Kinds of energy are told apart where they differ, and only there.
    let note = "the heater without sun uses electricity, the backup beside the sun burns gas";
    assert!(
        messages("[backup_tank]\nkind = \"gas heater\"\nset_temperature = \"140 F\"\n")
            .contains(&note.to_string())
    );
    let both = "[backup_tank]\nkind = \"gas heater\"\nset_temperature = \"140 F\"\n[heater_without_sun]\nkind = \"gas heater\"\n";
    assert_eq!(messages(both), [""; 0]);
}

/// What a second tank shares with any other means the same whatever heats it.
#[test]
fn a_backup_tank_of_any_kind_has_ports_and_pipe_work() {
    for kind in ["electric heater", "gas heater", "heat pump heater"] {
        let job = job(&format!(
            "[backup_tank]\nkind = \"{kind}\"\nheat_traps = \"hot\"\nslices = 12\nhot_outlet = \"90 %\"\nstands_in = \"garage\"\n\
             [pipe_between]\nlength = \"10 ft\"\n[recirculation]\n"
        ));
        let heater = &job.plant.tanks[1];
        // The cold port without a trap is at the top: 0.25 W/K.
        let fittings: Vec<_> =
            heater.fittings.iter().map(|fitting| (fitting.height_frac, fitting.loss_w_k)).collect();
        assert_eq!(fittings, [(1.0, 0.25)], "{kind}");
        assert_eq!((heater.slices, heater.hot_outlet_frac), (12, 0.9), "{kind}");
        assert_eq!(
            (heater.surroundings, job.rooms.second_tank),
            (Surroundings::SecondTankRoom, Room::Garage)
        );
        assert_eq!(job.plant.plumbing.recirculation.map(|line| line.return_tank), Some(1), "{kind}");
        close(job.plant.plumbing.between.expect("a pipe").length_m, 3.048);
        assert_eq!(job.element_hours.len(), heater.elements.len(), "{kind}");
    }
}

#[test]
fn the_plant_without_sun_has_its_own_flow_through_heater() {
    let own = "[backup]\nkind = \"flow-through heater\"\nfuel = \"electric\"\n";
    assert!(job(own).plant_without_sun().expect("simulated").flow_heater.is_none());
    let present = job("[heater_without_sun]\nkind = \"flow-through heater\"\n");
    let spec = present.plant_without_sun().expect("simulated");
    assert!(spec.flow_heater.is_some() && present.plant.flow_heater.is_none());
}

/// With nothing from the sun the plant is the heater without sun: same tank behind one that passes cold water on. The solar tank
/// stands in the same room and is without loss.
#[test]
fn without_sun_the_backup_is_the_present_heater() {
    for kind in ["gas heater", "heat pump heater"] {
        let heater = format!("kind = \"{kind}\"\nset_temperature = \"140 F\"\n");
        let text = format!(
            "[collectors.rating]\neta0b = 0.3\n[controller]\non_difference = \"80 F\"\n[tank]\ntotal_loss = \"0 W/K\"\nfittings_loss = \"0 W/K\"\n\
             [backup_tank]\n{heater}[heater_without_sun]\n{heater}"
        );
        let mut job = job(&text);
        let solar = job.plant.solar_loop.as_mut().expect("a loop");
        (solar.controller.on_k, solar.controller.off_k) = (1e6, 1e3);
        job.control_w = 0.0;
        // The pipe between the tanks would lose heat of its own.
        job.plant.plumbing = PlumbingSpec::default();
        let setting = Setting::new(&job, &suncask::weather::demo());
        let annual = run(&job, &setting, &RunOptions::default()).expect("a year").annual;
        // The tank between delays the seasons of the cold water by a day or two.
        let (own, present) = (annual[Column::BackupPurchased], annual[Column::BaselinePurchased]);
        assert!((own / present - 1.0).abs() < 0.01, "{kind}: {own} and {present} kWh");
    }
}
