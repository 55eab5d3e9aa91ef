//! Sizing: the grid is the single runs side by side, and what follows from it is worked out by hand.

use suncask::job::file::{Draft, read_text};
use suncask::job::{Job, starter};
use suncask::record::Column;
use suncask::report::WeatherFacts;
use suncask::report::size::{SizeReport, page, picture, text};
use suncask::study::size::{Findings, Grid, findings};
use suncask::study::{Journal, Row, Watch, run};
use suncask::weather;
use suncask::year::{RunOptions, Setting, Shared};

use super::study::StopAfter;

const STOCK: &str = "\n[stock]\ncollectors = [\"two 4x8 ft\", \"one 4x8 ft\"]\ncost_per_collector = \"$1,100\"\nfixed_cost = \"$3,200\"\n\
    [[stock.tank]]\nvolume = \"120 gal\"\ncost = \"$2,200\"\n[[stock.tank]]\nvolume = \"80 gal\"\ncost = \"$1,600\"\n";

fn sound(text: &str) -> (Draft, Job) {
    let job = read_text("job.toml", text).unwrap_or_else(|problems| panic!("{problems:?}"));
    (Draft::of_text("job.toml", text).expect("TOML"), job)
}

fn grid(text: &str) -> Grid {
    let (draft, job) = sound(text);
    Grid::of(&draft, &job).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn rows(grid: &Grid, watch: &dyn Watch) -> Vec<Option<Row>> {
    let weather = weather::demo();
    run(&grid.candidates, &Shared::new(&weather), &Journal::none(), watch).expect("a study").rows
}

#[test]
fn a_cell_is_the_run_of_its_job_alone() {
    let grid = grid(&format!("{}{STOCK}", starter()));
    assert_eq!((grid.counts.as_slice(), grid.tanks[0].volume.as_str()), (&[1, 2][..], "80 gal"));
    let rows = rows(&grid, &());
    let weather = weather::demo();
    // Written by hand: 1.6 gal/min and 420 W/K of two collectors are 0.8 and 210 of one; another tank has no height of its own.
    for (place, changes) in [
        (
            0,
            vec![
                ("\"two 4x8 ft\"  ", "\"one 4x8 ft\"  "),
                ("1.6 gal/min", "0.8 gal/min"),
                ("\"420 W/K\"", "\"210 W/K\""),
                ("$7,000", "$5,900"),
            ],
        ),
        (1, vec![("$7,000", "$7,000")]),
        (
            2,
            vec![
                ("\"two 4x8 ft\"  ", "\"one 4x8 ft\"  "),
                ("1.6 gal/min", "0.8 gal/min"),
                ("\"420 W/K\"", "\"210 W/K\""),
                ("volume = \"80 gal\"", "volume = \"120 gal\""),
                ("height = \"52 in\"", ""),
                ("$7,000", "$6,500"),
            ],
        ),
        (
            3,
            vec![
                ("volume = \"80 gal\"", "volume = \"120 gal\""),
                ("height = \"52 in\"", ""),
                ("$7,000", "$7,600"),
            ],
        ),
    ] {
        let mut text = starter().to_owned();
        for (old, new) in changes {
            assert!(text.contains(old), "{old}");
            text = text.replacen(old, new, 1);
        }
        let (_, job) = sound(&text);
        let alone =
            suncask::year::run(&job, &Setting::new(&job, &weather), &RunOptions::default()).expect("a year");
        let row = rows[place].as_ref().expect("a row");
        assert_eq!(row.annual, alone.annual, "{}", row.name);
        let account = alone.money.expect("prices");
        assert_eq!(row.money("saved"), Some(account.saving()), "{}", row.name);
        let outlook = account.outlook.expect("costs");
        assert_eq!(row.money("paid_at_start"), Some(outlook.paid_at_start), "{}", row.name);
        assert_eq!(row.money("simple_payback_years"), outlook.simple_payback_years, "{}", row.name);
    }
}

#[test]
fn costs_and_paybacks_by_hand() {
    let grid = grid(&format!("{}{STOCK}", starter()));
    let rows = rows(&grid, &());
    let found = findings(&grid, &rows, 0.25);
    // Fixed 3200, 1100 each, 1600 or 2200 for the tank; upkeep is $70 a year; tank by tank.
    for (place, cost) in [5900.0, 7000.0, 6500.0, 7600.0].into_iter().enumerate() {
        let (row, cell) =
            (rows[place].as_ref().expect("a row"), found.cells[place].as_ref().expect("a cell"));
        let saved = row.money("saved").expect("prices");
        assert_eq!(row.money("paid_at_start"), Some(cost));
        let payback = cost / (saved - 70.0);
        // A few roundings.
        assert!((cell.payback_years.expect("costs") / payback - 1.0).abs() < 1e-12, "{cell:?}");
        assert_eq!(cell.saved, saved);
    }
    let saved = |place: usize| found.cells[place].as_ref().expect("a cell").saved;
    let second = found.cells[1].as_ref().expect("a cell");
    assert_eq!(second.next_saves, Some(saved(1) - saved(0)));
    assert_eq!(second.next_pays_back_years, Some(1100.0 / (saved(1) - saved(0))));
    let value = |place: usize| found.cells[place].as_ref().expect("a cell").net_present_value.expect("costs");
    let best = found.chosen.expect("a size");
    assert!((0..4).all(|place| value(place) <= value(best)), "{found:?}");
}

#[test]
fn each_collector_brings_less_than_the_one_before() {
    let text = starter()
        .replace("[money]", "[stock]\ncollectors = [\"one 4x8 ft\", \"two 4x8 ft\", \"4 4x8 ft\"]\n[money]");
    let grid = grid(&text);
    // Tanks are not listed, costs neither: both are said, and no payback is shown.
    let said = grid.said.join("\n");
    for words in
        ["no tanks are listed: 50 gal, 65 gal", "there is no payback", "cost_per_collector in [stock]"]
    {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("no collectors are listed"));
    let rows = rows(&grid, &());
    let found = findings(&grid, &rows, 0.25);
    assert_eq!(found.cells.len(), 15);
    for tank in found.cells.chunks(3) {
        let next: Vec<f64> = tank
            .iter()
            .map(|cell| cell.as_ref().and_then(|cell| cell.next_saves).expect("a saving"))
            .collect();
        assert!(next[0] > next[1] && next[1] > next[2] && next[2] > 0.0, "{next:?}");
        assert!(tank.iter().flatten().all(|cell| cell.payback_years.is_none()));
    }
    // The third and the fourth collector come together: each has half of what both bring.
    let saved = |place: usize| found.cells[place].as_ref().expect("a cell").saved;
    assert_eq!(found.cells[2].as_ref().expect("a cell").next_saves, Some((saved(2) - saved(1)) / 2.0));
    let share = |step: usize| found.steps[step].next_saves / found.steps[0].next_saves;
    let at = |frac: f64| {
        let found: Findings = findings(&grid, &rows, frac);
        (found.returns_diminish_at, found.chosen.map(|place| grid.counts[place % 3]))
    };
    assert_eq!(at(share(1) + 0.01), (Some(2), Some(1)));
    assert_eq!(at(share(1) - 0.01), (Some(4), Some(2)));
    assert_eq!(at(share(2) - 0.01), (None, Some(4)));
    // The tank that follows is the smallest that is nearly as good as the best.
    let chosen = found.chosen.expect("a size");
    let best = (0..5).map(|tank| saved(3 * tank + chosen % 3)).fold(0.0, f64::max);
    assert!(saved(chosen) >= 0.97 * best);
    assert!(chosen < 3 || saved(chosen - 3) < 0.97 * best);
}

#[test]
fn a_stopped_study_says_so_and_names_no_size() {
    let grid = grid(&format!("{}{STOCK}", starter()));
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("threads");
    let rows = one.install(|| rows(&grid, &StopAfter::rows(3)));
    let found = findings(&grid, &rows, 0.25);
    assert_eq!(found.cells.iter().flatten().count(), 3);
    assert_eq!((found.chosen, found.knee, found.most_gained, found.soonest), (None, None, None, None));
    assert!(found.steps.is_empty() && found.returns_diminish_at.is_none());
    let facts = WeatherFacts::from(&weather::demo());
    let report = SizeReport {
        name: "Invented house",
        currency: grid.candidates[0].job.money.as_ref().map(|money| money.currency),
        grid: &grid,
        found: &found,
        turned: &[],
        rules: &[],
        weather: &facts,
        version: "0.1.0",
        date: "1 June 2026",
    };
    let picture = picture(&report);
    assert!(picture.matches("not run").count() == 1 && !picture.contains("NaN"), "{picture}");
    let page = page(&report, &picture);
    assert!(page.contains("3 of 4 sizes are done") && page.contains("Not every year is done"));
    assert!(text(&report).contains("Not every year is done"));
}

#[test]
fn totals_scale_and_shares_stay() {
    let text = starter()
        .replace("\"1.6 gal/min\"", "\"0.025 gpm/ft2\"")
        .replace("height = \"52 in\"", "total_loss = \"2 W/K\"");
    let text = text
        .replace("insulation = \"R-16\"  ", "# ")
        .replace("insulation = \"R-16\"", "#")
        .replace("arrangement = \"parallel\"", "arrangement = \"2 in series\"");
    let grid = grid(&format!("{text}{STOCK}"));
    let loop_of = |place: usize| grid.candidates[place].job.plant.solar_loop.clone().expect("a loop");
    let flow = |place: usize| match loop_of(place).pump.flow {
        thermal_network::spec::PumpFlow::VolumeM3S(flow) => flow,
        other => panic!("{other:?}"),
    };
    // One rounding.
    assert!((2.0 * flow(0) / flow(1) - 1.0).abs() < 1e-12);
    assert_eq!(grid.candidates[0].job.collectors.arrangement.in_parallel, 1);
    assert_eq!(grid.candidates[1].job.collectors.arrangement.in_series, 2);
    let said = grid.said.join("\n");
    assert!(
        said.contains("piped in parallel")
            && said.contains("the coil's UA")
            && !said.contains("the pump's flow,"),
        "{said}"
    );
    assert!(said.contains("total loss goes with its surface"), "{said}");
}

#[test]
fn lists_that_cannot_be_used_are_told() {
    let told = |stock: &str| {
        let (draft, job) = sound(&format!("{}{stock}", starter()));
        let problems = Grid::of(&draft, &job).expect_err("refused");
        problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    let other = told("\n[stock]\ncollectors = [\"one 4x10 ft\"]\n");
    assert!(other.contains("of another size than the job's collector, 4x8 ft"), "{other}");
    let (draft, job) =
        sound(suncask::job::STARTERS.iter().find(|s| s.kind == "batch").expect("a batch").text);
    let batch = Grid::of(&draft, &job).expect_err("refused");
    assert!(batch[0].message.contains("tank and collector in one"), "{batch:?}");
    // A small tank for the element's height in inches: the size is named.
    let (draft, job) = sound(&format!(
        "{}{}",
        starter().replace("height = \"62 %\"", "height = \"48 in\"").replace("\"70 %\"", "\"49 in\""),
        STOCK.replace("80 gal", "20 gal")
    ));
    let small = Grid::of(&draft, &job).expect_err("refused");
    assert!(small[0].message.starts_with("1 collector, 20 gal: "), "{small:?}");
}

#[test]
fn the_size_that_follows_is_tried_on_other_planes() {
    let text = format!(
        "{}{STOCK}[size]\ntilts = [\"45 deg\", \"6/12\"]\nazimuths = [\"SSE\", \"10 degrees west of south\"]\n",
        starter()
    );
    let (draft, job) = sound(&text);
    let grid = Grid::of(&draft, &job).expect("a grid");
    // Four planes, one of them the job's own.
    assert_eq!(grid.turned_count(), 3);
    let turned = grid.turned(&draft, &job, 1).expect("planes");
    let planes: Vec<(f64, f64)> =
        turned.iter().map(|one| (one.job.aspect.tilt_deg.round(), one.job.aspect.azimuth_deg)).collect();
    assert_eq!(planes, [(45.0, 157.5), (45.0, 190.0), (27.0, 157.5)]);
    assert!(
        turned.iter().all(|one| one.settings.len() == 4 && one.job.plant == grid.candidates[1].job.plant)
    );
    assert_eq!(turned[0].settings[2], ("tilt".to_owned(), "45 deg".to_owned()));
    let weather = weather::demo();
    let rows = run(&turned, &Shared::new(&weather), &Journal::none(), &()).expect("a study").rows;
    let saved = |place: usize| rows[place].as_ref().expect("a row").annual[Column::EqualServiceSaved];
    assert!(saved(0) != saved(2));
}
