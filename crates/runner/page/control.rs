//! What is decided at the kitchen table, as far as it means something for the job: which keys of the job file each control
//! moves, where it stands, and what can be chosen.

use std::collections::BTreeSet;

use serde::Serialize;
use thermal_network::spec::LoopKind;

use super::habits::{AWAY, HABITS, NOBODY_AWAY};
use super::scale::{Measure, Reach, Scale, money_scales, new_price_scales, reach};
use crate::job::file::Draft;
use crate::job::patterns::{self, Origin};
use crate::job::quantity::when;
use crate::job::{Job, Pattern};
use crate::study::tune::{has_differences, has_pump, has_timed_heat, heaters};

/// A control of the page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Control {
    /// Its name in requests.
    pub id: &'static str,
    /// The heading it stands under.
    pub group: &'static str,
    /// What it is called.
    pub label: &'static str,
    /// What moving it does besides.
    pub help: &'static str,
    /// What the job says, in its words.
    pub said: String,
    /// Keys of the job file it moves.
    #[serde(skip)]
    pub keys: Vec<String>,
    /// A slider or a choice.
    #[serde(flatten)]
    pub dial: Dial,
}

/// How a control is moved.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Dial {
    /// A slider: in US units, in SI.
    Range(Box<[Scale; 2]>),
    /// One of several words; the job's own is none of them.
    Choice(Vec<Word>),
}

/// One thing that can be chosen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Word {
    /// What is sent.
    pub value: String,
    /// What is read.
    pub label: String,
}

/// How a reader is told that there are no absences.
const NOBODY: &str = "nobody is ever away";

/// Collects controls of one job.
struct Collector<'a> {
    draft: &'a Draft,
    job: &'a Job,
    found: Vec<Control>,
}

/// Name, heading, label and help of a control.
struct Head {
    id: &'static str,
    group: &'static str,
    label: &'static str,
    help: &'static str,
}

const fn head(id: &'static str, group: &'static str, label: &'static str, help: &'static str) -> Head {
    Head { id, group, label, help }
}

impl Collector<'_> {
    fn add(&mut self, head: Head, keys: &[String], dial: Dial) {
        let said = keys.first().and_then(|key| self.said(key)).unwrap_or_else(|| absent(head.id).into());
        let Head { id, group, label, help } = head;
        self.found.push(Control { id, group, label, help, said, keys: keys.to_vec(), dial });
    }

    fn said(&self, key: &str) -> Option<String> {
        let echo = self.job.echo.iter().find(|echo| echo.key == key)?;
        let assumed = if echo.default_source.is_some() { ", assumed" } else { "" };
        // The job's own words, without what they were taken to mean and without the brackets of a list.
        let words = echo.written.split(" (").next().unwrap_or_default();
        Some(format!("{}{assumed}", words.trim_matches(['[', ']']).replace('"', "")))
    }

    fn range(&mut self, head: Head, keys: &[&str], measure: (Measure, Option<f64>), reach: [Reach; 2]) {
        let (measure, si) = measure;
        let keys: Vec<String> = keys.iter().map(|key| (*key).to_owned()).collect();
        self.add(head, &keys, Dial::Range(Box::new(measure.scales(si, reach[0], reach[1]))));
    }

    fn choice(&mut self, head: Head, keys: &[String], words: impl IntoIterator<Item = (String, String)>) {
        let words: Vec<Word> = words.into_iter().map(|(value, label)| Word { value, label }).collect();
        if !words.is_empty() {
            self.add(head, keys, Dial::Choice(words));
        }
    }

    fn roof(&mut self) {
        let count = self.job.collectors.arrangement;
        let count = f64::from(count.in_series * count.in_parallel);
        let batch =
            self.job.plant.solar_loop.as_ref().is_some_and(|solar| matches!(solar.kind, LoopKind::Batch));
        let group = "Roof and collectors";
        if !batch {
            let help = "Flow, coil or plate that the job gives as totals go with their number.";
            let most = reach(1.0, 8.0_f64.max(2.0 * count), 1.0);
            self.range(
                head("collectors", group, "Collectors", help),
                &["collectors.size"],
                (Measure::Count, Some(count)),
                [most; 2],
            );
        }
        let aspect = &self.job.aspect;
        let help = "From flat, 0\u{b0}, to upright, 90\u{b0}.";
        self.range(
            head("tilt", group, "Tilt", help),
            &["roof.tilt"],
            (Measure::Angle, Some(aspect.tilt_deg)),
            [reach(0.0, 90.0, 1.0); 2],
        );
        let help = "Clockwise from true north: 90\u{b0} is east, 180\u{b0} south, 270\u{b0} west.";
        self.range(
            head("azimuth", group, "Facing", help),
            &["roof.azimuth"],
            (Measure::Angle, Some(aspect.azimuth_deg.rem_euclid(360.0))),
            [reach(0.0, 355.0, 5.0); 2],
        );
        if !batch {
            let help = "Another size is 2.5 times as high as wide.";
            let volume_m3 = self.job.plant.tanks.first().map(|tank| tank.volume_m3);
            self.range(
                head("tank", "Tank and layout", "Solar tank", help),
                &["tank.volume"],
                (Measure::Volume, volume_m3),
                [reach(20.0, 200.0, 5.0), reach(80.0, 800.0, 10.0)],
            );
        }
    }

    fn people(&mut self) {
        let group = "People and habits";
        let pattern = &self.job.water_use.pattern;
        let by_day = match pattern {
            Pattern::Hourly { daily_m3, .. } => Some(*daily_m3),
            Pattern::Random(random) => Some(random.daily_m3),
            _ => None,
        };
        if let Some(daily_m3) = by_day {
            let people = self.job.echoed("hot_water.people");
            if let Some(people) = people.filter(|_| !self.draft.has("hot_water.bedrooms")) {
                let help =
                    "Where the job gives a day\u{2019}s water, each person\u{2019}s share of it stays.";
                self.range(
                    head("people", group, "People", help),
                    &["hot_water.people", "hot_water.daily"],
                    (Measure::Count, Some(people)),
                    [reach(1.0, 12.0, 1.0); 2],
                );
            }
            let help = "Of the whole house, mixed at the tap.";
            self.range(
                head("daily", group, "Hot water a day", help),
                &["hot_water.daily"],
                (Measure::Volume, Some(daily_m3)),
                [reach(5.0, 150.0, 1.0), reach(20.0, 600.0, 5.0)],
            );
            let words = HABITS.iter().map(|habit| (habit.name.to_owned(), habit.label.to_owned()));
            let help = "Invented days to try a habit with: no measured ones.";
            self.choice(head("habits", group, "When it is used", help), &["hot_water.hours".into()], words);
        }
        self.by_law(group);
        if let Some(level_c) = self.job.echoed("hot_water.temperature") {
            self.range(
                head("tap", group, "Temperature at the tap", ""),
                &["hot_water.temperature"],
                (Measure::Level, Some(level_c)),
                [reach(95.0, 140.0, 1.0), reach(35.0, 60.0, 1.0)],
            );
        }
        let key = "hot_water.absences";
        let own = self.said(key).unwrap_or_default();
        let away =
            AWAY.iter().filter(|span| own != **span).map(|span| ((*span).to_owned(), (*span).to_owned()));
        let nobody = (NOBODY_AWAY.to_owned(), NOBODY.to_owned());
        let nobody = self.draft.has(key).then_some(nobody);
        let words: Vec<_> = nobody.into_iter().chain(away).collect();
        self.choice(head("away", group, "Away", ""), &[key.into()], words);
    }

    /// The other patterns of the same law, where the job has one.
    fn by_law(&mut self, group: &'static str) {
        let all = patterns::all(0.0);
        let own = self.draft.text("hot_water.pattern").map(str::to_lowercase);
        let Some(own) = all.iter().find(|law| own.as_deref() == Some(&law.name.to_lowercase())) else {
            return;
        };
        let origin: Origin = own.origin;
        let others = all.iter().filter(|law| law.origin == origin && law.name != own.name);
        let words = others.map(|law| (law.name.to_owned(), format!("{}, {} a day", law.name, law.total)));
        self.choice(
            head("pattern", group, "Pattern of use", "Fixed by law."),
            &["hot_water.pattern".into()],
            words.collect::<Vec<_>>(),
        );
    }

    fn backup(&mut self) {
        let sections = heaters(self.draft, self.job);
        let keys = |key: &str| sections.iter().map(|section| format!("{section}.{key}")).collect::<Vec<_>>();
        let group = "Backup";
        let set = keys("set_temperature");
        if let Some(set_c) = set.first().and_then(|key| self.job.echoed(key)) {
            let help = "All elements alike.";
            let scales = Measure::Level.scales(Some(set_c), reach(105.0, 160.0, 1.0), reach(40.0, 72.0, 1.0));
            self.add(
                head("thermostat", group, "Backup thermostat", help),
                &set,
                Dial::Range(Box::new(scales)),
            );
        }
        if has_timed_heat(self.job) {
            let own = self.job.element_hours.first().map(|hours| hours.minutes.clone()).unwrap_or_default();
            let mut seen = BTreeSet::from([own]);
            let listed = self.job.tune.element_hours.iter().map(String::as_str);
            let usual = super::habits::TIMERS.into_iter().chain(listed);
            let words = usual.filter(|words| when::hours(words).is_ok_and(|minutes| seen.insert(minutes)));
            let words: Vec<_> = words.map(|words| (words.to_owned(), words.to_owned())).collect();
            let help = "Hours in which the backup may heat.";
            self.choice(head("timer", group, "Timer", help), &keys("hours"), words);
        }
    }

    fn controller(&mut self) {
        let Some(solar) = &self.job.plant.solar_loop else { return };
        let controller = solar.controller;
        let group = "Controller";
        if has_differences(self.job) {
            self.range(
                head("on", group, "On difference", "Collector above tank: the pump starts."),
                &["controller.on_difference"],
                (Measure::Difference, Some(controller.on_k)),
                [reach(4.0, 40.0, 1.0), reach(2.0, 22.0, 0.5)],
            );
            self.range(
                head("off", group, "Off difference", "The pump stops."),
                &["controller.off_difference"],
                (Measure::Difference, Some(controller.off_k)),
                [reach(1.0, 20.0, 1.0), reach(0.5, 11.0, 0.5)],
            );
        }
        if has_pump(self.job) {
            self.range(
                head("limit", group, "High limit", "Of the solar tank: the pump stays off."),
                &["controller.high_limit"],
                (Measure::Level, Some(controller.high_limit_c)),
                [reach(120.0, 200.0, 5.0), reach(50.0, 95.0, 1.0)],
            );
        }
    }

    fn prices(&mut self) {
        let group = "Prices";
        let symbol = self.job.money.as_ref().map_or("$", |money| money.currency.symbol());
        let fresh = |section: &str, reach, behind| {
            (!self.draft.has(section)).then(|| new_price_scales(reach, &format!("{symbol} "), behind))
        };
        let electricity = fresh("electricity", reach(0.05, 0.6, 0.01), "/kWh");
        let cost = fresh("money", reach(1000.0, 20_000.0, 100.0), "");
        let mut price = |id, label, key: &str, fresh: Option<[Scale; 2]>, help| {
            let own = self.draft.text(key).and_then(money_scales);
            if let Some(scales) = own.or(fresh) {
                self.add(head(id, group, label, help), &[key.to_owned()], Dial::Range(Box::new(scales)));
            }
        };
        price(
            "electricity",
            "Electricity",
            "electricity.price",
            electricity,
            "Outside hours and tiers that have their own price.",
        );
        price("fuel", "Fuel", "fuel.price", None, "");
        price(
            "cost",
            "Installed cost",
            "money.installed_cost",
            cost,
            "With another size or layout it follows the prices in [stock]; without them, set it too.",
        );
    }
}

/// What a job says that does not have a control's key.
fn absent(id: &str) -> &'static str {
    if id == "away" { NOBODY } else { "not given" }
}

/// What can be moved in a job that `draft` reads as.
pub(super) fn controls(draft: &Draft, job: &Job) -> Vec<Control> {
    let mut collector = Collector { draft, job, found: Vec::new() };
    collector.roof();
    collector.people();
    collector.backup();
    collector.controller();
    collector.prices();
    collector.found
}

/// Where a control stands in a variant.
#[derive(Debug, Serialize)]
pub(super) struct Stands {
    id: &'static str,
    said: String,
    /// In US units and in SI.
    values: Option<[Option<f64>; 2]>,
}

/// Where every control stands in a variant.
pub(super) fn stands(draft: &Draft, job: &Job) -> Vec<Stands> {
    let of = |control: Control| {
        let values = match control.dial {
            Dial::Range(scales) => Some(scales.map(|scale| scale.value)),
            Dial::Choice(_) => None,
        };
        Stands { id: control.id, said: control.said, values }
    };
    controls(draft, job).into_iter().map(of).collect()
}
