//! Plants side by side: the ledger closes, nothing differs from itself, and the causes named are the causes.

use suncask::job::file::{Draft, read_text};
use suncask::job::{Baseline, Job, STARTERS};
use suncask::record::Column;
use suncask::study::compare::{
    Axis, Comparison, Layout, Measure, PARTS, Shape, Side, Year, candidates, crossings, derived, differences,
};
use suncask::study::draws::by_chance;
use suncask::study::{Candidate, Journal, Row, run};
use suncask::weather;
use suncask::year::Shared;

/// What a contractor might sell; invented.
const STOCK: &str = "[stock]\ncost_per_collector = \"$1,100\"\nfixed_cost = \"$3,200\"\nnew_heater_cost = \"$1,500\"\n\
    [[stock.tank]]\nvolume = \"80 gal\"\ncost = \"$1,600\"\nfloor = \"5 ft2\"\n\
    [[stock.tank]]\nvolume = \"120 gal\"\n";

fn starter(kind: &str) -> &'static str {
    STARTERS.iter().find(|starter| starter.kind == kind).expect("a starter").text
}

fn draft(text: &str) -> Draft {
    Draft::of_text("job.toml", text).expect("sound")
}

/// Layouts of a starter with the stock, as its use is written.
fn layouts(kind: &str) -> Vec<Layout> {
    let draft = draft(&format!("{}\n{STOCK}", starter(kind)));
    derived(&draft, &draft.job().expect("a sound job")).layouts
}

fn years(candidates: &[Candidate]) -> Vec<Row> {
    let weather = weather::demo();
    let shared = Shared::new(&weather);
    let outcome = run(candidates, &shared, &Journal::none(), &()).expect("a study");
    outcome.rows.into_iter().flatten().collect()
}

/// The layouts compared, with the rows as they are and with the backup off.
fn compared(layouts: &[Layout]) -> (Comparison, Vec<Row>, Vec<Row>) {
    let mut own = years(&candidates(layouts));
    let off = own.split_off(layouts.len());
    (Comparison::of(layouts, &own, &off, true), own, off)
}

fn part(parts: &[f64; PARTS.len()], key: &str) -> f64 {
    parts[PARTS.iter().position(|part| part.key == key).expect("a part")]
}

#[test]
fn a_job_does_not_differ_from_itself() {
    let job = read_text("job.toml", starter("one-tank")).expect("the starter");
    let layouts = ["house", "house (2)"].map(|name| Layout::of_job(name.into(), job.clone()));
    let (mut found, own, off) = compared(&layouts);
    let main = found.main().expect("a difference").clone();
    // Equality of bits: a difference of equal numbers is zero.
    assert_eq!((main.saved_kwh, main.saved_money), (0.0, Some(0.0)));
    assert_eq!(main.parts_kwh, [0.0; PARTS.len()]);
    assert!(main.monthly_kwh.iter().all(|month| *month == [0.0; PARTS.len()]));
    assert_eq!((&own[0].annual, &own[0].morning), (&own[1].annual, &own[1].morning));
    assert_eq!(off[0].annual, off[1].annual);
    // Nothing to flip.
    assert!(found.is_a_draw() && found.trials(&layouts).is_empty());
    found.flipped(&own, &[]);
    assert!(found.flips.is_empty());
    let weather = weather::demo();
    let sides = [0, 1].map(|i: usize| Side { name: &layouts[i].name, job: &job, weather: &weather });
    assert!(differences(&sides[0], &sides[1]).is_empty());
}

#[test]
fn the_parts_add_up_to_the_difference() {
    for kind in ["gas", "heat-pump", "flow-through", "recirculation"] {
        let layouts = layouts(kind);
        assert_eq!(layouts.len(), 4, "{kind}");
        let (found, own, off) = compared(&layouts);
        let best = found.best;
        for difference in &found.differences {
            let than = difference.than;
            let saved = |i: usize| own[i].annual[Column::EqualServiceSaved];
            let sum: f64 = difference.parts_kwh.iter().sum();
            // Terms of some thousand kWh are exact to 1e-12.
            assert!((sum - (saved(best) - saved(than))).abs() < 1e-9, "{kind}: {sum}");
            for (month, parts) in difference.monthly_kwh.iter().enumerate() {
                let saved = |i: usize| own[i].monthly[month][Column::EqualServiceSaved];
                let sum: f64 = parts.iter().sum();
                assert!((sum - (saved(best) - saved(than))).abs() < 1e-9, "{kind}, month {month}: {sum}");
            }
            // The same house: use, cold water, rooms and the heater without sun are equal to the bit.
            let (a, b) = (&layouts[best].job, &layouts[than].job);
            assert_eq!(
                (&a.water_use, &a.cold_water, &a.baseline),
                (&b.water_use, &b.cold_water, &b.baseline)
            );
            assert_eq!((a.rooms.tank, a.rooms.without_sun), (b.rooms.tank, b.rooms.without_sun));
            let bought = |i: usize| own[i].annual[Column::BaselinePurchased].to_bits();
            assert_eq!(bought(best), bought(than), "{kind}");
        }
        for (row, off) in own.iter().zip(&off) {
            // Nothing but the standby of a flow-through heater is left of the backup, and the sun brings more.
            assert_eq!(off.annual[Column::BackupHeat], 0.0, "{}", off.name);
            assert!(off.annual[Column::HeatIntoTank] > row.annual[Column::HeatIntoTank], "{}", off.name);
        }
        // What is left over is heat in store and warmth of pumps: little, as the year closes on itself.
        for (row, off) in own.iter().zip(&off) {
            let (own, off) = (&row.annual, &off.annual);
            let rest = (PARTS[PARTS.len() - 1].value)(&Year { own, off }) + own[Column::StoredChange];
            let pumps = own[Column::Pump] + own[Column::RecirculationPump];
            assert!(rest > -15.0 && rest < pumps, "{kind}: {rest} of {pumps}");
        }
    }
}

/// One tank beside the same tank before the customer's heater: what the ledger names is what makes the difference.
#[test]
fn two_tanks_differ_by_the_causes_named() {
    let layouts = layouts("one-tank");
    let pair = [layouts[0].clone(), layouts[2].clone()];
    assert_eq!([pair[0].shape, pair[1].shape], [Shape::OneTank, Shape::TwoTanks]);
    let two_less_one = |pair: &[Layout; 2]| -> (f64, [f64; PARTS.len()]) {
        let (_, own, off) = compared(pair);
        let year = |i: usize| Year { own: &own[i].annual, off: &off[i].annual };
        (year(1).saved_kwh() - year(0).saved_kwh(), year(1).less(&year(0)))
    };
    let (plain_kwh, plain) = two_less_one(&pair);
    // The element leaves less to the sun than a heater behind it; the second tank and its pipe cool.
    assert!(part(&plain, "backup_in_the_suns_place_kwh") > 50.0, "{plain:?}");
    let standby = part(&plain, "second_tank_loss_kwh");
    assert!(standby < -200.0 && part(&plain, "pipe_between_loss_kwh") < -30.0, "{plain:?}");
    assert!(plain_kwh < 0.0, "{plain_kwh}");
    // Take the causes away, and the difference follows: a heater behind that does not cool wins by what the sun is left with.
    let mut dewar = pair.clone();
    let tank = &mut dewar[1].job.plant.tanks[1];
    (tank.side_w_m2_k, tank.top_w_m2_k, tank.bottom_w_m2_k, tank.fittings_even_w_k) = (0.0, 0.0, 0.0, 0.0);
    tank.fittings.clear();
    let (dewar_kwh, parts) = two_less_one(&dewar);
    assert_eq!(part(&parts, "second_tank_loss_kwh"), 0.0);
    // Not all of its loss comes back: in summer it lost sun that nobody needed.
    let regained_kwh = dewar_kwh - plain_kwh;
    assert!(
        dewar_kwh > 0.0 && regained_kwh > 0.4 * -standby && regained_kwh < -standby,
        "{regained_kwh} {standby}"
    );
    // An element that may run in the small hours only heats less of what the sun could have: that part shrinks, by itself.
    let mut night = pair.clone();
    night[0].job.element_hours[0].minutes = vec![(16 * 60, 22 * 60)];
    let (_, parts) = two_less_one(&night);
    let (before, after) =
        (part(&plain, "backup_in_the_suns_place_kwh"), part(&parts, "backup_in_the_suns_place_kwh"));
    assert!(after < before - 20.0, "{before} {after}");
}

#[test]
fn costs_and_floor_are_those_of_the_stock() {
    let text = format!(
        "{}\n{STOCK}",
        starter("one-tank").replace(
            "[[money.replacement]]",
            "[money.tank_avoided]\ncost = \"$1,500\"\nyear = 4\n[[money.replacement]]"
        )
    );
    let draft = draft(&text);
    let found = derived(&draft, &draft.job().expect("a sound job"));
    let names: Vec<&str> = found.layouts.iter().map(|layout| layout.name.as_str()).collect();
    let expected = [
        "one tank, 80 gal",
        "one tank, 120 gal",
        "80 gal solar tank, present heater",
        "80 gal solar tank, new heater",
    ];
    assert_eq!(names, expected);
    // 1600 + 2 x 1100 + 3200; a price is missing; the customer's heater costs nothing; a new one 1500.
    let costs: Vec<Option<f64>> = found.layouts.iter().map(|layout| layout.installed_cost).collect();
    assert_eq!(costs, [Some(7000.0), None, Some(7000.0), Some(8500.0)]);
    let plan = |layout: &Layout| layout.job.money.as_ref().and_then(|money| money.plan.clone());
    assert_eq!(plan(&found.layouts[3]).map(|plan| plan.installed_cost), Some(8500.0));
    assert_eq!(plan(&found.layouts[1]), None);
    // The present heater stays, and is due some day as before.
    let avoided: Vec<Option<bool>> =
        found.layouts.iter().map(|layout| plan(layout).map(|plan| plan.tank_avoided.is_some())).collect();
    assert_eq!(avoided, [Some(true), None, Some(false), Some(true)]);
    assert_eq!(found.missing.len(), 1);
    assert!(found.missing[0].add.contains("volume = \"120 gal\""), "{:?}", found.missing);
    let foot2 = |layout: &Layout| layout.floor_m2 / (0.3048 * 0.3048);
    assert!((foot2(&found.layouts[0]) - 5.0).abs() < 1e-9);
    // A 50 gal tank 2.5 times as high as wide is 1.50 ft wide, 1.83 ft with 2 in (here 5 cm) of foam: 3.35 ft2, by hand.
    assert!((foot2(&found.layouts[2]) - 8.35).abs() < 0.02, "{}", foot2(&found.layouts[2]));
    // No stock: the rest is laid out, and what to add is told.
    let bare = self::draft(starter("one-tank"));
    let found = derived(&bare, &bare.job().expect("a sound job"));
    assert_eq!(found.layouts.len(), 2);
    assert!(found.missing[0].add.contains("[[stock.tank]]"), "{:?}", found.missing);
}

/// The customer's heater is the same heater behind the solar tank.
#[test]
fn the_present_heater_keeps_its_keys() {
    let loss_w_k = |tank: &thermal_network::spec::TankSpec| {
        let end_m2 = tank.volume_m3 / tank.height_m;
        let side_m2 = (4.0 * std::f64::consts::PI * end_m2).sqrt() * tank.height_m;
        tank.side_w_m2_k * side_m2 + (tank.top_w_m2_k + tank.bottom_w_m2_k) * end_m2 + tank.fittings_even_w_k
    };
    let present = |job: &Job| match &job.baseline {
        Baseline::Simulated { tank, .. } => (**tank).clone(),
        Baseline::HeldAtSetPoint { .. } => panic!("stepped"),
    };
    for kind in ["one-tank", "two-tank", "gas", "heat-pump"] {
        let layouts = layouts(kind);
        let layout = layouts.iter().find(|layout| layout.name.contains("present heater")).expect("a layout");
        let (own, behind) = (present(&layout.job), &layout.job.plant.tanks[1]);
        assert_eq!(
            (own.volume_m3, own.elements[0].set_c),
            (behind.volume_m3, behind.elements[0].set_c),
            "{kind}"
        );
        assert_eq!(own.elements.len(), behind.elements.len(), "{kind}");
        let (a, b) = (loss_w_k(&own), loss_w_k(behind));
        // Label or insulation go through the same conversion.
        assert!((a - b).abs() < 1e-9 * a, "{kind}: {a} {b}");
        assert_eq!(layout.job.rooms.second_tank, layout.job.rooms.without_sun, "{kind}");
    }
    let held = "[heater_without_sun]\nkind = \"held at set point\"\nloss = \"2 W/K\"\n";
    let draft = draft(held);
    let found = derived(&draft, &draft.job().expect("a sound job"));
    let behind = &found.layouts[0].job.plant.tanks[1];
    assert!((loss_w_k(behind) - 2.0).abs() < 1e-9, "{}", loss_w_k(behind));
    // A job's own heater that is not the customer's is the new one.
    let names: Vec<String> = layouts("heat-pump").into_iter().map(|layout| layout.name).collect();
    assert!(names[3].ends_with("heater of the job"), "{names:?}");
}

#[test]
fn zeros_lie_on_straight_lines() {
    // 4 at 1, -2 at 3: zero a third before 3, by hand; then up again through 5.
    let found = crossings(&[(0.0, 6.0), (1.0, 4.0), (3.0, -2.0), (4.0, -2.0), (6.0, 2.0)]);
    assert_eq!(found.len(), 2);
    assert!((found[0].at - 7.0 / 3.0).abs() < 1e-12 && !found[0].positive_above);
    assert!((found[1].at - 5.0).abs() < 1e-12 && found[1].positive_above);
    assert!(crossings(&[(0.0, 1.0), (2.0, 0.0), (3.0, 5.0)]).is_empty());
}

#[test]
fn what_flips_the_verdict_does() {
    let layouts = layouts("one-tank");
    let pair = [layouts[0].clone(), layouts[3].clone()];
    let (mut found, own, _) = compared(&pair);
    let trials = found.trials(&pair);
    // Two tanks at four losses, one tank as it is; both at four thermostats (130 F is their own) and four uses.
    assert_eq!(trials.len(), 4 + 8 + 8);
    found.flipped(&own, &years(&trials));
    assert!(matches!(found.measure, Measure::Money(_)));
    let flip = found.flips.iter().find(|flip| flip.axis == Axis::BackupTankLoss).expect("an axis");
    let as_it_is = flip.points.iter().find(|point| point.0 == 1.0).expect("a point").1;
    assert_eq!(Some(as_it_is), found.main().expect("a difference").saved_money);
    // The more the heater behind loses, the worse for two tanks, all along.
    let two_tanks = |more: f64| if pair[found.best].shape == Shape::TwoTanks { more } else { -more };
    assert!(flip.points.windows(2).all(|pair| two_tanks(pair[0].1) > two_tanks(pair[1].1)), "{flip:?}");
    // At a crossing the two are level: run there, they are close to it beside what the step before and behind differ by.
    let crossing = flip.crossings.first().expect("one within the range");
    let mut level = pair.clone();
    let tank = &mut level[1].job.plant.tanks[1];
    for loss in
        [&mut tank.side_w_m2_k, &mut tank.top_w_m2_k, &mut tank.bottom_w_m2_k, &mut tank.fittings_even_w_k]
    {
        *loss *= crossing.at;
    }
    let (level, ..) = compared(&level);
    let left = level.main().expect("a difference").saved_money.expect("prices").abs();
    let span = (flip.points[0].1 - flip.points[4].1).abs();
    assert!(left < 0.03 * span, "{left} of {span}");
}

#[test]
fn where_two_jobs_are_not_one_house_is_told() {
    let base = draft(starter("one-tank"));
    let job = base.job().expect("sound");
    let weather = weather::demo();
    let mut brighter = weather.clone();
    brighter.source = "another".into();
    let told = |draft: Draft, weather: &weather::WeatherYear| {
        let other = draft.job().expect("sound");
        let first = Side { name: "a", job: &job, weather: &weather::demo() };
        differences(&first, &Side { name: "b", job: &other, weather })
    };
    assert!(told(base.clone().with("tank.volume", "120 gal"), &weather).is_empty());
    for (key, value, word) in [
        ("hot_water.daily", "50 gal", "hot-water use"),
        ("cold_water.temperature", "55 F", "cold water"),
        ("tank.stands_in", "garage", "rooms"),
        ("heater_without_sun.insulation", "R-8", "heater without sun"),
        ("electricity.price", "$0.20/kWh", "energy prices"),
        ("calendar.first_day", "Tuesday", "calendar"),
    ] {
        let found = told(base.clone().with(key, value), &weather);
        assert!(found.len() == 1 && found[0].contains(word), "{key}: {found:?}");
    }
    let found = told(base.clone(), &brighter);
    assert!(found.len() == 1 && found[0].contains("weather"), "{found:?}");
}

#[test]
fn use_spread_over_the_hours_is_drawn_by_chance() {
    let text = starter("one-tank").replace(
        "temperature = \"120 F\"              # at the tap",
        "temperature = \"120 F\"\nspread = \"20 min\"",
    );
    let draft = draft(&text);
    let drawn = by_chance(&draft, &draft.job().expect("sound")).expect("it is spread").job().expect("sound");
    // 60 gal a day either way; 1 gal = 3.785411784 L by definition.
    assert!((drawn.water_use.pattern.daily_m3() / 60.0 / 0.003_785_411_784 - 1.0).abs() < 1e-9);
    assert!(matches!(drawn.water_use.pattern, suncask::job::Pattern::Random(_)));
    let listed = self::draft("[[hot_water.draw]]\ntime = \"7 am\"\nvolume = \"20 gal\"\n");
    assert!(by_chance(&listed, &listed.job().expect("sound")).is_none());
}
