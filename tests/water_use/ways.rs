//! The ways in which `[hot_water]` says what is drawn.

use suncask::job::file::read_text;
use suncask::job::{Event, Job, Pattern, Purpose};
use suncask::problem::Severity;

const GALLON_M3: f64 = 0.003_785_411_784;

fn job(water: &str) -> Job {
    read_text("job.toml", &format!("[hot_water]\n{water}\n"))
        .unwrap_or_else(|problems| panic!("{problems:?}"))
}

/// The errors of a section as `line:column message (help)`.
fn errors(water: &str) -> Vec<String> {
    let problems = read_text("job.toml", &format!("[hot_water]\n{water}\n")).err().unwrap_or_default();
    problems.iter().filter(|p| p.severity == Severity::Error).map(ToString::to_string).collect()
}

fn events(water: &str) -> Vec<Event> {
    match job(water).water_use.pattern {
        Pattern::Events { weekday, weekend } => {
            assert_eq!(weekday, weekend, "laws know no weekend");
            weekday
        }
        other => panic!("{other:?}"),
    }
}

fn echoed(job: &Job, key: &str) -> String {
    let echo = job.echo.iter().find(|echo| echo.key == key).unwrap_or_else(|| panic!("{key} is not echoed"));
    format!("{} [{}]", echo.written, echo.default_source.as_deref().unwrap_or(""))
}

fn close(got: f64, wanted: f64) {
    // A few conversions.
    assert!((got - wanted).abs() <= 1e-11 * wanted.abs(), "{got} is not {wanted}");
}

#[test]
fn patterns_of_the_united_states() {
    // Totals as printed in 10 CFR 430 Subpart B Appendix E.
    for (name, gallons) in [("US very small", 10.0), ("us-low", 38.0), ("US medium", 55.0), ("US high", 84.0)]
    {
        let day = events(&format!("pattern = \"{name}\""));
        close(day.iter().map(Event::volume_m3).sum::<f64>() / GALLON_M3, gallons);
        // The first draw at 6 am unless said otherwise; all at 125 F.
        assert_eq!(day[0].start_s, 6 * 3600, "{name}");
        assert!(day.iter().all(|event| (event.use_c - 93.0 / 1.8).abs() < 1e-9), "{name}");
    }
    let late = events("pattern = \"US low\"\nfirst_draw = \"8:30 pm\"\ntemperature = \"120 F\"");
    // 8:30 pm and 10:30 h after it: past midnight, so it comes first in the day. 15 gal at 1.7 gal/min take 529 s.
    assert_eq!((late[0].start_s, late[0].duration_s), (7 * 3600, 212));
    assert!(late.iter().any(|event| event.start_s == 73_800 && event.duration_s == 529));
    close(late[0].use_c, 88.0 / 1.8);
    // What is from memory is said in the result.
    let job = job("pattern = \"US medium\"");
    assert!(echoed(&job, "hot_water.pattern").contains("single draws from memory"));
    assert!(job.notes.iter().any(|note| note.message.contains("single draws from memory")));
}

#[test]
fn patterns_of_the_european_union() {
    for (name, kwh) in [
        ("EU 3XS", 0.345),
        ("EU XXS", 2.1),
        ("EU XS", 2.1),
        ("EU S", 2.1),
        ("EU M", 5.845),
        ("EU L", 11.655),
        ("EU XL", 19.07),
        ("EU XXL", 24.53),
    ] {
        let day = events(&format!("pattern = \"{name}\""));
        // The rule's 4.186 kJ/(kg K) and 1 kg/L over water at 10 degC gives the printed heat back.
        close(day.iter().map(|e| e.volume_m3() * 4.186e6 * (e.use_c - 10.0)).sum::<f64>() / 3.6e6, kwh);
        assert!(day[0].start_s >= 7 * 3600, "{name}: nothing before 7:00");
    }
    // Dishes of 0.735 kWh at 55 degC and 4 L/min: 14.05 L in 211 s.
    let dishes =
        events("pattern = \"EU M\"").into_iter().find(|event| event.start_s == 73_800).expect("20:30");
    assert_eq!((dishes.use_c, dishes.duration_s), (55.0, 211));
}

#[test]
fn bedrooms_and_people_make_a_day() {
    let daily = |water: &str| job(water).water_use.pattern.daily_m3() / GALLON_M3;
    // 20 + 20 + 15 gal.
    close(daily("people = 3"), 55.0);
    // By hand for three bedrooms at 125 F: 55.8 gal to the tenth.
    assert!((daily("bedrooms = 3\ntemperature = \"125 F\"") - 55.8).abs() < 0.05);
    // What is given outweighs a rule.
    close(daily("bedrooms = 3\ndaily = \"48 gal\""), 48.0);
    let job = job("bedrooms = 4");
    assert!(echoed(&job, "hot_water.daily").contains("baths from memory"));
    assert!(errors("bedrooms = 3\npeople = 3")[0].contains("`people` and `bedrooms` both say"));
}

#[test]
fn random_draws_take_kinds_and_a_seed() {
    let Pattern::Random(usual) = job("pattern = \"random draws\"\ndaily = \"60 gal\"").water_use.pattern
    else {
        panic!("random draws")
    };
    assert_eq!((usual.seed, usual.kinds.len()), (1, 5));
    close(usual.daily_m3, 60.0 * GALLON_M3);
    let water = "pattern = \"random draws\"\nseed = 42\n\
        [[hot_water.kind]]\nfor = \"shower\"\nshare = \"75 %\"\nvolume = \"12 gal\"\nspread = \"30 %\"\nflow = \"1.5 gpm\"\n\
        temperature = \"105 F\"\n[[hot_water.kind]]\nfor = \"sink\"\nshare = \"25 %\"\n";
    let Pattern::Random(own) = job(water).water_use.pattern else { panic!("random draws") };
    assert_eq!((own.seed, own.kinds.len()), (42, 2));
    let shower = own.kinds[0];
    close(shower.mean_m3, 12.0 * GALLON_M3);
    close(shower.flow_m3_s, 1.5 * GALLON_M3 / 60.0);
    close(shower.use_c, 73.0 / 1.8);
    assert_eq!((shower.purpose, shower.share_frac, shower.spread_frac), (Purpose::Shower, 0.75, 0.3));
    assert_eq!(own.kinds[1].purpose, Purpose::Sink);
    let half = water.replace("25 %", "20 %");
    assert!(errors(&half)[0].contains("add up to 95 %"), "{:?}", errors(&half));
    assert!(errors("pattern = \"random draws\"\ndaily = \"15000 gal\"")[0].contains("draws a day"));
}

#[test]
fn guests_count_by_people_or_times() {
    let water_use =
        job("people = 2\nguests = [\"Dec 30 - Jan 2: 2 people\", \"Jul 4: 1.5 times\"]").water_use;
    // Two people use 40 gal by the rule, four 70.
    for (day, factor) in [(1, 1.75), (364, 1.75), (185, 1.5), (100, 1.0)] {
        close(water_use.day_factor(day), factor);
    }
    let assumed = job("pattern = \"EU M\"\nguests = [\"Jul 4: 1 person\"]");
    // Beside a family of four: 85 gal to 70.
    close(assumed.water_use.day_factor(185), 85.0 / 70.0);
    assert!(echoed(&assumed, "hot_water.people").contains("a family"));
    for (guests, told) in [
        ("Jul 4", "does not say when and how many"),
        ("Jul 4: many", "`many` is no number of guests"),
        ("Jul 44: 2 people", "`Jul 44` is not a date"),
        ("Jul 4: 90 times", "no number of guests"),
    ] {
        let found = errors(&format!("guests = [\"{guests}\"]"));
        assert!(found.len() == 1 && found[0].contains(told), "{guests}: {found:?}");
    }
}

#[test]
fn ways_do_not_mix() {
    for (water, told) in [
        ("pattern = \"US medum\"", "did you mean \"US medium\"?"),
        (
            "pattern = \"US medium\"\ndaily = \"60 gal\"",
            "3:9: `daily` does not go with a pattern fixed by law",
        ),
        (
            "pattern = \"EU M\"\ntemperature = \"120 F\"",
            "each draw of the EU patterns has a temperature of its own",
        ),
        ("seed = 3", "2:8: `seed` does not go with the hourly profile"),
        ("pattern = \"EU M\"\nfile = \"x.csv\"", "`file` and `pattern` both say what is drawn"),
        ("people = 3\n[[hot_water.draw]]\ntime = \"6 am\"\nvolume = \"9 gal\"", "say how much water twice"),
    ] {
        let found = errors(water);
        assert!(found.iter().any(|error| error.contains(told)), "{water}: {found:?}");
    }
}
