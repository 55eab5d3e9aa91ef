//! Rules of thumb beside what the year came to. They inform; nothing is enforced.

use maud::{Markup, html};

use super::Report;
use super::sheet::{capital, wide};
use crate::job::Job;
use crate::job::check::{
    COMPUTED, Finding, Standing, US_DOE, area_m2, metric, range, shown, standing, with_source,
};
use crate::job::quantity::size::{BTU_J, GALLON_M3, SQUARE_FOOT_M2};
use crate::picture::Units;
use crate::record::{Accounts, Column, YearResult};

const BTU_PER_KWH: f64 = 3.6e6 / BTU_J;

/// Days of the year.
const DAYS: f64 = 365.0;

/// Heat of a year for a gallon a day raised by 65 F: 8.34 lb x 65 Btu/lb x 365 days, in kWh.
const KWH_PER_GALLON_A_DAY: f64 = 8.34 * 65.0 * DAYS / BTU_PER_KWH;

/// Sets rules of thumb beside the results of a year.
pub(super) fn findings(job: &Job, result: &YearResult) -> Vec<Finding> {
    let Some(solar) = &job.plant.solar_loop else { return Vec::new() };
    let (year, area_ft2) = (&result.annual, area_m2(solar) / SQUARE_FOOT_M2);
    let mut list = vec![season_yield(year, area_ft2)];
    list.extend(good_sun(&result.hourly, area_ft2));
    list.extend(use_of_heat(year));
    // Without a backup all that comes is the sun's, however little it is.
    if year[Column::BackupHeat] > 0.0 {
        list.extend(summer_share(&result.monthly));
        list.extend(year_share(year));
    }
    list.extend(programme(year));
    list.extend(pump(year));
    list
}

/// A value beside a rule that is one figure: near within a fifth.
fn about(what: &str, value: f64, rule: f64, unit: &str, source: &str, comment: &str) -> Finding {
    let standing = standing(value, rule, rule);
    let words = |unit: &str, size: f64| {
        let [value, rule] = [value, rule].map(|value| shown(value * size));
        [format!("{value} {unit}"), format!("about {rule} {unit}")]
    };
    let [found, own_rule] = words(unit, 1.0);
    let metric = metric(unit).map(|(unit, size)| with_source(words(unit, size), &own_rule));
    Finding {
        what: what.into(),
        found,
        rule: own_rule,
        metric,
        source: source.into(),
        standing,
        // Near is all that a single figure can be.
        comment: if standing == Standing::Off { comment.into() } else { String::new() },
    }
}

fn season_yield(year: &Accounts, area_ft2: f64) -> Finding {
    range(
        "Solar heat of a day, mean of the year",
        year[Column::HeatIntoTank] * BTU_PER_KWH / DAYS / area_ft2,
        (390.0, 470.0),
        "Btu per ft2 of collector",
        "measured on two repaired 64 ft2 systems in the cold US with 60 to 80 gal a day (Building America monitoring)",
        "more sun and more use give more; shade, a small use or a large field give less",
    )
}

/// The best hour of the year, if there are hours.
fn good_sun(hourly: &[Accounts], area_ft2: f64) -> Option<Finding> {
    let best_kwh = hourly.iter().map(|hour| hour[Column::HeatIntoTank]).reduce(f64::max)?;
    Some(about(
        "Best hour of solar heat",
        best_kwh * BTU_PER_KWH / area_ft2,
        150.0,
        "Btu per ft2 of collector",
        "300 Btu/h of good sun at 50 % (a builder's note)",
        "cold water and a bright, cold day give more; a hot tank or a small exchanger gives less",
    ))
}

fn use_of_heat(year: &Accounts) -> Option<Finding> {
    let daily_gal = year[Column::TapVolume] * 0.001 / GALLON_M3 / DAYS;
    (daily_gal > 0.0).then(|| {
        about(
            "Heat of the hot water wanted",
            year[Column::Load] / daily_gal,
            KWH_PER_GALLON_A_DAY,
            "kWh a year for a gallon a day",
            "computed here for a rise of 65 F",
            "the cold water of this place or the temperature at the taps makes another rise",
        )
    })
}

/// Of the three months with the most sun, whichever they are.
fn summer_share(monthly: &[Accounts]) -> Option<Finding> {
    let mut sunny: Vec<&Accounts> = monthly.iter().collect();
    sunny.sort_by(|a, b| b[Column::Ghi].total_cmp(&a[Column::Ghi]));
    let sum = |column: Column| sunny.iter().take(3).map(|month| month[column]).sum::<f64>();
    let (delivered_kwh, backup_kwh) = (sum(Column::Delivered), sum(Column::BackupHeat));
    (delivered_kwh > 0.0).then(|| {
        range(
            "Sun's share of the hot water in the three sunniest months",
            100.0 * (1.0 - backup_kwh / delivered_kwh),
            (90.0, 100.0),
            "%",
            US_DOE,
            "less leaves the backup at work in summer: its hours, its set temperature or the size of the field",
        )
    })
}

fn year_share(year: &Accounts) -> Option<Finding> {
    (year[Column::Delivered] > 0.0).then(|| {
        range(
            "Sun's share of the hot water in the year",
            100.0 * year[Column::SolarFraction],
            (39.0, 60.0),
            "%",
            "a year-long trial of 88 homes (Energy Saving Trust 2011, abstract): median 39 %, well-used systems about 60 %",
            "measured homes often do worse than their plans: backup that runs in the evening and another use than assumed",
        )
    })
}

/// Of plants whose backup is an electric element.
fn programme(year: &Accounts) -> Option<Finding> {
    (year[Column::ElementHeat] > 0.0 && year[Column::ElementHeat] == year[Column::BackupHeat]).then(|| {
        about(
            "Saved in the year at equal service",
            year[Column::EqualServiceSaved],
            2_793.0,
            "kWh",
            "mean of a pilot programme in mild California, electric backup",
            "another use, field or climate than the mean of that programme",
        )
    })
}

/// Of a plant with a loop pump.
fn pump(year: &Accounts) -> Vec<Finding> {
    if year[Column::PumpHours] == 0.0 || year[Column::Pump] == 0.0 || year[Column::HeatIntoTank] <= 0.0 {
        return Vec::new();
    }
    let most = if year[Column::Refills] > 0.0 { 14.0 } else { 7.0 };
    vec![
        range(
            "Electricity of pumps over solar heat",
            100.0 * year[Column::Pump] / year[Column::HeatIntoTank],
            (0.0, most),
            "%",
            COMPUTED,
            "a smaller or efficient circulator pays here",
        ),
        about(
            "Pump hours",
            year[Column::PumpHours],
            2_000.0,
            "h",
            "EU label method, from memory",
            "few hours: a dull place or a late start; many: a sunny one, or a pump that runs without gain",
        ),
    ]
}

/// How a value stands to its rule, in words.
pub(super) fn mark(standing: Standing) -> &'static str {
    match standing {
        Standing::Within => "in line",
        Standing::Near => "near",
        Standing::Off => "look at",
    }
}

/// Value and rule for a reader of these units; a rule that was turned into SI has the figure of its source behind it.
fn words(finding: &Finding, units: Units) -> [&str; 2] {
    match (&finding.metric, units) {
        (Some([found, rule]), Units::Si) => [found, rule],
        _ => [&finding.found, &finding.rule],
    }
}

/// Rules as a table.
pub(super) fn table(label: &str, findings: &[Finding], units: Units) -> Markup {
    wide(
        label,
        &html! {
            table.words.rules {
                caption { "Near: up to a fifth beyond the rule. They inform; the year decides." }
                thead {
                    tr {
                        th scope="col" { "What" } th scope="col" { "Here" } th scope="col" { "Rule" }
                        th scope="col" { "Stands" } th scope="col" { "Where the rule is from" }
                    }
                }
                tbody {
                    @for finding in findings {
                        tr {
                            th scope="row" { (finding.what) }
                            @let [found, rule] = words(finding, units);
                            td { (found) }
                            td { (rule) }
                            td.off[finding.standing == Standing::Off] { (mark(finding.standing)) }
                            td {
                                (finding.source) "."
                                @if finding.standing != Standing::Within && !finding.comment.is_empty() {
                                    " " (capital(&finding.comment)) "."
                                }
                            }
                        }
                    }
                }
            }
        },
    )
}

/// The rules that the job meets and those that its year does.
pub(super) fn section(report: &Report<'_>, beside_year: &[Finding]) -> Markup {
    html! {
        h3 { "What the year came to" }
        (table("Rules beside the year", beside_year, report.units))
        @if !report.rules.is_empty() {
            h3 { "What the job gives" }
            (table("Rules beside the job", report.rules, report.units))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finding<'a>(list: &'a [Finding], what: &str) -> &'a Finding {
        list.iter().find(|finding| finding.what.starts_with(what)).expect(what)
    }

    /// A year on 64 ft2, worked by hand.
    fn year() -> (Job, YearResult) {
        let mut job = crate::job::file::read_text("starter", crate::job::starter()).expect("the starter");
        if let Some(solar) = &mut job.plant.solar_loop {
            solar.collector.area_m2 = 64.0 * SQUARE_FOOT_M2;
        }
        let mut annual = Accounts::default();
        for (column, value) in [
            // 64 ft2 x 430 Btu x 365 days are 10,044,800 Btu, 2,943.8 kWh.
            (Column::HeatIntoTank, 2_943.84),
            // 60 gal a day are 82,899 L a year.
            (Column::TapVolume, 60.0 * 3.785_411_784 * 365.0),
            (Column::Load, 3_480.0),
            (Column::Delivered, 3_000.0),
            (Column::SolarFraction, 0.75),
            (Column::BackupHeat, 750.0),
            (Column::ElementHeat, 750.0),
            (Column::EqualServiceSaved, 2_000.0),
            (Column::Pump, 103.03),
            (Column::PumpHours, 2_300.0),
        ] {
            annual[column] = value;
        }
        let mut monthly = vec![Accounts::default(); 12];
        for (i, month) in monthly.iter_mut().enumerate() {
            month[Column::Ghi] = if (4..7).contains(&i) { 200.0 } else { 50.0 };
            month[Column::Delivered] = 250.0;
            month[Column::BackupHeat] = if (4..7).contains(&i) { 50.0 } else { 250.0 };
        }
        let mut hour = Accounts::default();
        // 3 kWh are 10,236 Btu, on 64 ft2 160.
        hour[Column::HeatIntoTank] = 3.0;
        let result = YearResult {
            annual,
            monthly,
            hourly: vec![Accounts::default(), hour],
            traces: Vec::new(),
            outages: Vec::new(),
            money: None,
            morning: None,
        };
        (job, result)
    }

    #[test]
    fn figures_worked_by_hand() {
        let (job, result) = year();
        let list = findings(&job, &result);
        for (what, found, standing) in [
            ("Solar heat of a day", "430 Btu per ft2 of collector", Standing::Within),
            ("Best hour", "160 Btu per ft2 of collector", Standing::Near),
            // 3,480 kWh over 60 gal a day.
            ("Heat of the hot water", "58 kWh a year for a gallon a day", Standing::Within),
            ("Sun's share of the hot water in the three", "80 %", Standing::Near),
            ("Sun's share of the hot water in the year", "75 %", Standing::Off),
            ("Saved", "2000 kWh", Standing::Off),
            ("Electricity of pumps", "3.5 %", Standing::Within),
            ("Pump hours", "2300 h", Standing::Near),
        ] {
            let finding = finding(&list, what);
            assert_eq!((finding.found.as_str(), finding.standing), (found, standing), "{what}");
            assert!(!finding.source.is_empty());
        }
    }

    #[test]
    fn a_gap_is_explained_where_it_is_wide_and_only_there() {
        let (job, mut result) = year();
        let page = table("Rules", &findings(&job, &result), Units::Us).0;
        assert!(page.contains("Another use, field or climate") && page.contains("look at"));
        assert!(!page.contains("More sun and more use give more"));
        result.annual[Column::HeatIntoTank] = 1_000.0;
        assert!(
            table("Rules", &findings(&job, &result), Units::Us).0.contains("More sun and more use give more")
        );
    }

    #[test]
    fn a_reader_of_si_gets_them_in_si_with_the_figure_of_the_source_behind() {
        let (job, result) = year();
        let list = findings(&job, &result);
        for (what, found, rule) in [
            // A Btu/ft2 is 1055.06 J / 3.6e6 / 0.092903 m2: 0.0031546 kWh/m2.
            (
                "Solar heat of a day",
                "1.36 kWh per m\u{b2} of collector",
                "1.23 to 1.48 kWh per m\u{b2} of collector (390 to 470 Btu per ft2 of collector)",
            ),
            ("Sun's share of the hot water in the year", "75 %", "39 to 60 %"),
        ] {
            let finding = finding(&list, what);
            assert_eq!(words(finding, Units::Si), [found, rule]);
            assert_eq!(words(finding, Units::Us), [&finding.found, &finding.rule]);
        }
        // No unit of the customary kind is left in front of a bracket.
        for finding in list.iter().chain(&crate::job::check::findings(&job, None)) {
            let [found, rule] = words(finding, Units::Si);
            let shown = format!("{found} {}", rule.split(" (").next().unwrap_or(""));
            for unit in [" gal", "ft", " F", "psi", "Btu", "gpm", "R-"] {
                assert!(!shown.contains(unit), "{shown}");
            }
        }
    }

    #[test]
    fn a_plant_without_a_pump_or_with_gas_has_fewer() {
        let (job, mut result) = year();
        result.annual[Column::PumpHours] = 0.0;
        result.annual[Column::BackupFuel] = 10.0;
        result.annual[Column::ElementHeat] = 0.0;
        let list = findings(&job, &result);
        assert!(list.iter().all(|f| !f.what.contains("ump") && !f.what.starts_with("Saved in the year")));
    }

    #[test]
    fn without_a_backup_no_share_is_judged() {
        let (job, mut result) = year();
        result.annual[Column::BackupHeat] = 0.0;
        result.annual[Column::ElementHeat] = 0.0;
        let list = findings(&job, &result);
        assert!(list.iter().all(|f| !f.what.starts_with("Sun's share") && !f.what.starts_with("Saved")));
    }
}
