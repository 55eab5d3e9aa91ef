//! Pump curves and coil tubes as a job file gives them, and the exchangers against their table.

use suncask::job::Job;
use suncask::job::file::read_text;
use suncask::record::Column;
use suncask::weather;
use suncask::year::{RunOptions, Setting, run};
use thermal_network::counterflow_effectiveness;
use thermal_network::spec::{ExchangerSpec, PumpFlow, PumpOverTemperature};

/// Effectiveness over NTU; origin in the file.
const EFFECTIVENESS: &str = include_str!("../crates/thermal-network/tests/data/hx_effectiveness.csv");

const GPM_M3_S: f64 = 0.003_785_411_784 / 60.0;

fn job(text: &str) -> Job {
    read_text("job.toml", text).unwrap_or_else(|problems| {
        let lines: Vec<String> = problems.iter().map(ToString::to_string).collect();
        panic!("{}", lines.join("\n"))
    })
}

/// Messages of errors and warnings.
fn messages(text: &str) -> String {
    let problems = match read_text("job.toml", text) {
        Ok(job) => job.notes,
        Err(problems) => problems,
    };
    problems.iter().map(|problem| problem.message.clone()).collect::<Vec<_>>().join("; ")
}

/// Flow in m3/s and electric power in W.
fn pump(job: &Job) -> (f64, f64) {
    let pump = job.plant.solar_loop.as_ref().expect("a loop").pump;
    match pump.flow {
        PumpFlow::VolumeM3S(flow) => (flow, pump.power_w),
        PumpFlow::MassKgS(flow) => panic!("a mass flow of {flow} kg/s"),
    }
}

fn coil_ua_w_k(text: &str) -> f64 {
    match job(text).plant.solar_loop.expect("a loop").exchanger {
        ExchangerSpec::Coil { ua_w_k, .. } => ua_w_k,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_straight_pump_curve_meets_square_drops_in_closed_form() {
    // Without tubes, 5 ft at 1 gpm in the field, two collectors in a row of 2.5 ft each, and as much in the exchanger: 20 ft (1 - q/4) = 10 ft q^2, in gpm.
    let text = "[pipes.supply]\nindoors = \"0 ft\"\noutdoors = \"0 ft\"\n[pipes.return]\nindoors = \"0 ft\"\n\
                outdoors = \"0 ft\"\n[collectors]\narrangement = \"series\"\n[collectors.rating]\npressure_drop = [[\"1 gpm\", \"2.5 ft\"]]\n[tank.plate]\n\
                pressure_drop = [[\"1 gpm\", \"5 ft\"]]\n[pump]\ncurve = [[\"0 gpm\", \"20 ft\"], [\"4 gpm\", \"0 ft\"]]\n\
                power = [[\"0 gpm\", \"40 W\"], [\"4 gpm\", \"80 W\"]]\n";
    let gpm = (825.0_f64.sqrt() - 5.0) / 20.0;
    let (flow_m3_s, power_w) = pump(&job(text));
    // Closed form against closed form, with a handful of roundings.
    assert!((flow_m3_s / (gpm * GPM_M3_S) - 1.0).abs() < 1e-12, "{}", flow_m3_s / GPM_M3_S);
    assert!((power_w - (40.0 + 10.0 * gpm)).abs() < 1e-9, "{power_w}");
    // Side by side each has half the flow: 2.5 ft at 2 gpm, 20 (1 - q/4) = 5.625 q^2.
    let gpm = ((25.0 + 450.0_f64).sqrt() - 5.0) / 11.25;
    let (beside, _) = pump(&job(&text.replace("series", "parallel")));
    assert!((beside / (gpm * GPM_M3_S) - 1.0).abs() < 1e-12, "{}", beside / GPM_M3_S);
    // A drop as a pressure: 5 ft of water at 20 degC, 998.4 kg/m3, are 14,921 Pa; the density fit is good to 6e-5.
    let as_pressure = text.replace("\"5 ft\"", "\"14.921 kPa\"").replace("\"2.5 ft\"", "\"7.4605 kPa\"");
    let (as_pressure, _) = pump(&job(&as_pressure));
    assert!((as_pressure / flow_m3_s - 1.0).abs() < 1e-4);
}

#[test]
fn counted_fittings_are_lengths_of_tube() {
    let text = |supply: &str| {
        format!(
            "[pipes]\nfittings_allowance = \"0 %\"\n[pipes.supply]\nindoors = {supply}\n[pump]\n\
             curve = [[\"0 gpm\", \"18 ft\"], [\"6 gpm\", \"9 ft\"], [\"12 gpm\", \"0 ft\"]]\n"
        )
    };
    // 6 elbows of 30 bores, a valve of 8 and a check valve of 135 in tube of 20.6 mm: 6.6538 m.
    let (counted, _) = pump(&job(&text("\"10 m\"\nelbows = 6\nvalves = 1\ncheck_valves = 1")));
    let (longer, _) = pump(&job(&text("\"16.6538 m\"")));
    let (bare, _) = pump(&job(&text("\"10 m\"")));
    assert!((counted / longer - 1.0).abs() < 1e-12 && counted < 0.99 * bare, "{counted} {longer} {bare}");
    // The allowance is a share of the straight length: the supply's 10 m and 15 ft, the return's 25 and 15 ft.
    let allowed = pump(&job(&text("\"10 m\"").replace("\"0 %\"", "\"50 %\""))).0;
    let by_length = text(
        "\"15 m\"\noutdoors = \"22.5 ft\"\n[pipes.return]\nindoors = \"37.5 ft\"\noutdoors = \"22.5 ft\"",
    );
    assert!((allowed / pump(&job(&by_length)).0 - 1.0).abs() < 1e-12);
}

#[test]
fn a_pump_on_its_curve_follows_the_fluid() {
    let curve = "[pump]\ncurve = [[\"0 gpm\", \"9 ft\"], [\"6 gpm\", \"0 ft\"]]\n";
    let found = job(curve);
    let (flow_m3_s, power_w) = pump(&found);
    let given = job(&format!("[pump]\nflow = \"{flow_m3_s} m3/s\"\npower = \"{power_w} W\"\n"));
    let follows = |job: &Job| job.plant.solar_loop.as_ref().and_then(|solar| solar.pump.over_temperature);
    let table = follows(&found).expect("a pump with a curve");
    assert_eq!(follows(&given), None);
    // 40 % glycol thins as it warms (where its flow turns turbulent, about 20 to 40 degC, friction jumps), and 50 degC, midway
    // between two levels, is the design: chords of a bent line.
    let [thick, cold, .., warm, hot] = table.flow_frac;
    assert!(thick < cold && cold < 1.0 && 1.0 < warm && warm < hot, "{table:?}");
    assert!((0.5 * (table.flow_frac[3] + table.flow_frac[4]) - 1.0).abs() < 5e-3, "{table:?}");
    assert_eq!(table.power_frac, [1.0; PumpOverTemperature::LEVELS]);
    let weather = weather::demo();
    let annual = |job: &Job| {
        let year = run(job, &Setting::new(job, &weather), &RunOptions::default()).expect("a year");
        year.annual
    };
    // Held at the design flow, it is the plant whose job gives that flow.
    let mut held = found.clone();
    if let Some(solar) = &mut held.plant.solar_loop {
        let ones = [1.0; PumpOverTemperature::LEVELS];
        solar.pump.over_temperature = Some(PumpOverTemperature { flow_frac: ones, power_frac: ones });
    }
    let fixed = annual(&given);
    assert_eq!(annual(&held), fixed);
    // A flow that is lower in the cold changes the year's heat by little, and the power not at all.
    let following = annual(&found);
    let moved = following[Column::HeatIntoTank] / fixed[Column::HeatIntoTank] - 1.0;
    assert!(moved != 0.0 && moved.abs() < 0.01, "{moved}");
    // What cold fluid does to the flow is written beside it.
    let flow = found.echo.iter().find(|echo| echo.key == "pump.flow").expect("an echo of the flow");
    assert!(
        flow.written.contains("at 122 F (50 C); ") && flow.written.contains("at 50 F (10 C)"),
        "{flow:?}"
    );
    assert_eq!(flow.si, Some(flow_m3_s));
}

#[test]
fn a_coil_of_tube_has_the_conductance_of_the_worked_table() {
    let text = |fluid: &str, more: &str| {
        format!(
            "[loop]\nfluid = \"{fluid}\"\n[pump]\nflow = \"5 L/min\"\n[tank.coil]\nkind = \"immersed\"\ntube = \"3/4 in\"\n\
             tube_type = \"L\"\ntube_length = \"10 m\"\ncoil_diameter = \"0.4 m\"\n\
             design_loop_temperature = \"65 C\"\ndesign_tank_temperature = \"50 C\"\n{more}"
        )
    };
    // Worked table: 45.7 and 31.2 W/K for each meter at 5 L/min, 50 degC in the tank and 65 degC in the coil; 0.8 % as there.
    for (fluid, each_w_k) in [("water", 45.7), ("40 % propylene glycol", 31.2)] {
        let found = coil_ua_w_k(&text(fluid, ""));
        assert!((found / (10.0 * each_w_k) - 1.0).abs() < 8e-3, "{fluid}: {found}");
    }
    let ua = |more: &str| coil_ua_w_k(&text("water", more));
    let hard = |years: u32| ua(&format!("water_hardness = \"hard\"\nscale_years = {years}\n"));
    // Scale grows for ten years: 1.76e-4 m2 K/W on pi x 22.22 mm add 0.00252 m K/W to 1/45.7, and the water's film loses some.
    assert!(hard(10) < hard(5) && hard(5) < ua("") && hard(10) == hard(20));
    let added = 10.0 / hard(10) - 10.0 / ua("");
    assert!((0.002_52..0.0040).contains(&added), "{added}");
    // A bond that hardly conducts bounds what a wrapped coil can do: 10 m x 2 W/mK.
    let wrapped = "[tank.coil]\ntube_length = \"10 m\"\nbond = \"2 W/mK\"\n";
    assert!((10.0..20.0).contains(&coil_ua_w_k(wrapped)));
}

#[test]
fn scale_of_a_plate_by_hand() {
    let text = |more: &str| format!("[tank.plate]\nua = \"900 W/K\"\n{more}");
    let scale_k_w = |more: &str| match job(&text(more)).plant.solar_loop.expect("a loop").exchanger {
        ExchangerSpec::Plate { scale_k_w, .. } => scale_k_w,
        other => panic!("{other:?}"),
    };
    assert_eq!((scale_k_w(""), scale_k_w("area = \"0.5 m2\"\n")), (0.0, 0.0));
    // 12 grains a gallon: 0.0003583 m2K/W in ten years on 0.5 m2, half of it in five; four figures of the hand's.
    let after = |years: u32| {
        scale_k_w(&format!("area = \"0.5 m2\"\nwater_hardness = \"12 grains/gal\"\nscale_years = {years}\n"))
    };
    assert!((after(10) / 0.000_716_6 - 1.0).abs() < 2e-4, "{}", after(10));
    assert!((after(5) / 0.000_358_3 - 1.0).abs() < 2e-4 && after(10) == after(30));
}

#[test]
fn what_is_written_down_says_whether_the_conductance_follows_the_flow() {
    let written = |text: &str, key: &str| {
        let job = job(text);
        job.echo.iter().find(|echo| echo.key == key).expect("an echo").written.clone()
    };
    for given in ["ua = \"420 W/K\"\n", ""] {
        let coil = written(&format!("[tank.coil]\n{given}"), "tank.coil.ua");
        assert!(coil.ends_with(", the same at any flow and temperature"), "{coil}");
    }
    let tube = written("[tank.coil]\ntube_length = \"100 ft\"\n", "tank.coil.ua");
    assert!(tube.ends_with("; in the year it follows flow and temperatures"), "{tube}");
    for given in ["ua = \"900 W/K\"\n", "", "effectiveness = \"75 %\"\n"] {
        let key = if given.starts_with("eff") { "tank.plate.effectiveness" } else { "tank.plate.ua" };
        let plate = written(&format!("[tank.plate]\n{given}"), key);
        assert!(plate.ends_with(", clean plates at full flow; less at part flow"), "{plate}");
    }
    let row = written("[collectors]\narrangement = \"series\"\n", "collectors.arrangement");
    assert!(
        row.ends_with("this changes each collector's flow and what the loop resists, nothing else)"),
        "{row}"
    );
}

#[test]
fn a_year_of_a_slowed_pump_takes_less_from_a_coil_of_tube() {
    let weather = weather::demo();
    let heat_kwh = |coil: &str, pump: &str| {
        let job = job(&format!("[tank.coil]\nkind = \"immersed\"\n{coil}[pump]\n{pump}"));
        let year = run(&job, &Setting::new(&job, &weather), &RunOptions::default()).expect("a year");
        assert!(year.annual[Column::BalanceResidual] < 1e-9);
        (year.annual[Column::HeatIntoTank], job.echoed("tank.coil.ua").expect("a conductance"))
    };
    let tube = "tube_length = \"60 ft\"\n";
    let (_, design_w_k) = heat_kwh(tube, "");
    let constant = format!("ua = \"{design_w_k} W/K\"\n");
    let slow = "speed = \"proportional\"\n";
    let loss = |pump: &str| 1.0 - heat_kwh(tube, pump).0 / heat_kwh(&constant, pump).0;
    let (full, slowed) = (loss(""), loss(slow));
    // At full flow the design point is a fair mean of the year; a slowed pump has the worse film.
    assert!(full.abs() < 2e-3 && slowed > full + 2e-3 && slowed < 0.02, "{full} {slowed}");
}

#[test]
fn faults_are_told() {
    let curve = "[pump]\ncurve = [[\"0 gpm\", \"18 ft\"], [\"12 gpm\", \"0 ft\"]]\n";
    for (text, message) in [
        (format!("{curve}flow = \"2 gpm\"\n"), "`flow` and `curve` say the same thing twice"),
        (
            format!("{curve}start_lift = \"20 ft\"\n"),
            "the pump lifts to 18 ft (5.486 m) at most and cannot fill the loop",
        ),
        (
            "[pump]\ncurve = [[\"0 gpm\", \"18 ft\"], [\"4 gpm\", \"18 ft\"]]\n".into(),
            "`curve`, point 2: the head does not fall as the flow rises",
        ),
        ("[pump]\ncurve = [[\"0 gpm\"]]\n".into(), "`curve` is a list of pairs"),
        ("[pump]\ncurve = \"2 gpm\"\n".into(), "`curve` is a list of pairs"),
        ("[pump]\ncurve = [[\"0 ft\", \"18 ft\"]]\n".into(), "`0 ft` is a length, but a flow belongs here"),
        (
            format!("{curve}[collectors.rating]\npressure_drop = [[\"0 gpm\", \"0 ft\"]]\n"),
            "`pressure_drop`, point 1: flow and drop must be above zero",
        ),
        (curve.into(), "the pump's flow comes out too high: what [tank.coil] resists is not known"),
        ("[pipes.supply]\nelbows = 6\n".into(), "`elbows` changes nothing: the pump has no curve"),
        (
            "[tank.coil]\nua = \"300 W/K\"\ntube_length = \"100 ft\"\n".into(),
            "`ua` and `tube_length` say the same thing twice",
        ),
        ("[tank.coil]\nbond = \"30 W/mK\"\n".into(), "`bond` needs the coil's tube_length"),
        ("[tank.coil]\ntube_length = \"100 ft\"\nwater_hardness = \"12\"\n".into(), "`12` has no unit"),
        (
            "[tank.coil]\ntube_length = \"100 ft\"\nwater_hardness = \"limy\"\n".into(),
            "`limy` is not known for `water_hardness`",
        ),
        ("[tank.plate]\nwater_hardness = \"12 gpg\"\n".into(), "`water_hardness` needs the plates' area"),
        (
            "[tank.plate]\narea = \"6 ft2\"\n".into(),
            "`area` changes nothing: the water counts as soft, which leaves no scale",
        ),
        (
            "[tank.coil]\ntube_length = \"60 ft\"\nscale_years = 5\n".into(),
            "`scale_years` changes nothing: the water counts as soft",
        ),
        ("[tank.plate]\nscale_years = 5\n".into(), "`scale_years` needs the plates' area"),
        (
            "[tank]\nvolume = \"80\"\n[tank.coil]\nkind = \"immersed\"\ntube_length = \"30 ft\"\n".into(),
            "`80` has no unit",
        ),
    ] {
        let found = messages(&text);
        assert!(found.contains(message), "{text}: {found}");
    }
}

#[test]
fn a_start_against_the_lift_is_slower() {
    let text = "[loop]\nfluid = \"water\"\n[pump]\ncurve = [[\"0 gpm\", \"18 ft\"], [\"12 gpm\", \"0 ft\"]]\nstart_lift = \"14 ft\"\n";
    let job = job(text);
    let start_m3_s = job.echoed("pump.flow_at_start").expect("a flow at start");
    assert!(start_m3_s > 0.0 && start_m3_s < 0.6 * pump(&job).0);
}

#[test]
fn counterflow_and_coil_meet_the_table_of_effectiveness() {
    let mut rows = 0;
    for line in EFFECTIVENESS.lines().filter(|line| line.starts_with(|first: char| first.is_ascii_digit())) {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("a number")).collect();
        let ntu = cells[0];
        for (column, ratio) in [(1, 1e-12), (2, 0.25), (3, 0.5), (4, 0.75), (5, 1.0)] {
            let found = counterflow_effectiveness(ntu, 1.0, 1.0 / ratio);
            // The table has four decimals.
            assert!((found - cells[column]).abs() < 5.1e-5, "{line}: {found} at ratio {ratio}");
        }
        rows += 1;
    }
    assert_eq!(rows, 9);
}
