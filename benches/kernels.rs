//! Cost of the parts of a year, each by itself: light and people in front of the plant, single components in spans that leave the
//! rest at rest, and the recorder behind it. The plant is that of case A1 with what the name says changed.

#[path = "common/annual.rs"]
mod annual;
mod common;
#[path = "common/plants.rs"]
mod plants;

use std::cell::LazyCell;
use std::hint::black_box;
use std::sync::Arc;

use solar_geometry::sun::{Observer, SunDay};
use solar_geometry::surface::Plane;
use suncask::draws::DrawYear;
use suncask::record::{Period, Tally};
use suncask::weather::plane::{PlaneBlock, PlaneOptics, PlaneYear};
use suncask::weather::sun_year::SunYear;
use suncask::year::{Recorder, Setting, Span, drive};
use thermal_network::flows::{Conditions, Flows};
use thermal_network::{Plant, State};

use common::Cost;

/// Where the sun stands at every full hour of a year.
fn sun_of_hours(observer: &Observer, utc_offset_h: f64) -> f64 {
    let mut day = SunDay::new(2002, 1, 1, utc_offset_h, observer);
    let mut up = 0.0;
    for _ in 0..365 {
        up += (0..24).map(|hour| day.at(3600.0 * f64::from(hour)).direction.up).sum::<f64>();
        day = day.next_day();
    }
    up
}

/// The spans of a year, kept to be told again.
struct Kept {
    spans: Vec<(u32, u32, PlaneBlock, Conditions, Flows)>,
}

impl Recorder for Kept {
    fn span(&mut self, span: &Span<'_>) {
        self.spans.push((span.start_s, span.duration_s, *span.block, *span.conditions, *span.flows));
    }
}

impl Kept {
    /// Tells them to another recorder, beside one state: what is summed up is another number, but as many.
    fn tell(&self, plant: &Plant, state: &State, to: &mut impl Recorder) {
        to.begin(plant, state);
        for (start_s, duration_s, block, conditions, flows) in &self.spans {
            let (start_s, duration_s) = (*start_s, *duration_s);
            to.span(&Span { start_s, duration_s, block, conditions, flows, plant, state });
        }
    }
}

fn main() {
    // Read where it is needed only: under valgrind that takes longer than most of what is counted.
    let weather = &LazyCell::new(annual::weather);
    let job = &annual::one_tank();
    let mut costs = vec![
        Cost::new("sun at the hours of a year", || {
            let site = &weather.site;
            let observer = Observer {
                latitude_deg: site.latitude_deg,
                longitude_deg: site.longitude_deg,
                elevation_m: site.elevation_m,
            };
            move || {
                black_box(sun_of_hours(&observer, site.utc_offset_h));
            }
        }),
        Cost::new("sun of a year in blocks", || {
            LazyCell::force(weather);
            || drop(black_box(SunYear::new(weather)))
        }),
        Cost::new("light on a plane for a year", || {
            let sun = SunYear::new(weather);
            let aspect = &job.aspect;
            let optics = PlaneOptics {
                sky: aspect.sky,
                modifier: aspect.modifier.clone(),
                ..PlaneOptics::open(Plane::from_deg(aspect.tilt_deg, aspect.azimuth_deg))
            };
            move || drop(black_box(PlaneYear::new(weather, &sun, &optics)))
        }),
        Cost::new("draws of a year", || || drop(black_box(DrawYear::build(&job.water_use, &job.calendar)))),
    ];
    costs.extend(plants::kernels(&job.plant).into_iter().map(|kernel| {
        let kernel = Arc::new(kernel);
        Cost::new(kernel.name, move || {
            let kernel = Arc::clone(&kernel);
            let mut work = kernel.ready();
            move || {
                black_box(kernel.run(&mut work));
            }
        })
    }));
    for (name, period) in
        [("recorder, a year of months", Period::Month), ("recorder, a year of hours", Period::Hour)]
    {
        costs.push(Cost::new(name, move || {
            let plant = Plant::assemble(&job.plant).expect("a plant");
            let mut kept = Kept { spans: Vec::new() };
            let setting = Setting::new(job, weather);
            let state = drive(&setting, &plant, job.warm_up_days, job.start_c, &mut kept);
            move || {
                let mut tally = Tally::new(period);
                kept.tell(&plant, &state, &mut tally);
                drop(black_box(tally));
            }
        }));
    }
    common::main(&costs);
}
