//! Hot-water use and incoming cold water together, against closed forms; what a job may say of its use, and logged draws.

mod log;
mod ways;

use suncask::draws::{AirClimate, DrawYear, UseSummary, cold_water_by_day, taps};
use suncask::job::{Calendar, ColdWater, DaySpan, Pattern, WaterUse, file};
use suncask::record::Column;
use suncask::weather;
use suncask::year::{RunOptions, Setting, run};

/// Heat in kWh that a year of 242 L/day at 48.8889 degC takes from cold water that swings by 5.5 K about 16 degC.
fn load_kwh(hour: usize, daylight_saving: Option<DaySpan>) -> f64 {
    let mut frac = [0.0; 24];
    frac[hour] = 1.0;
    let water_use = WaterUse {
        pattern: Pattern::Hourly {
            daily_m3: 0.242,
            use_c: 48.8889,
            weekday_frac: frac,
            weekend_frac: frac,
            minutes: 10,
            comfort: false,
        },
        month_factor: [1.0; 12],
        absences: Vec::new(),
        guests: Vec::new(),
        usable_c: 40.5,
    };
    let cosine = ColdWater::Cosine { mean_c: 16.0, amplitude_k: 5.5, coldest_day: 35.0 };
    let air = AirClimate { mean_c: 10.0, monthly_swing_k: 20.0, southern: false };
    let cold_c = cold_water_by_day(&cosine, &air);
    let draws = DrawYear::build(&water_use, &Calendar { first_weekday: 0, daylight_saving });
    let heat = |segment: &suncask::draws::Segment| {
        let day = (segment.start_s / 86_400) as usize;
        // Water at 990 kg/m3 and 4186 J/(kg K), as in the closed form.
        segment.volume_m3() * 990.0 * 4186.0 * (segment.draw.use_c - cold_c[day]) / 3.6e6
    };
    draws.segments().iter().map(heat).sum()
}

#[test]
fn water_use_of_a_year_takes_the_heat_of_the_closed_form() {
    // The cosine sums to zero over 365 days: 88.33 m3 x 990 x 4186 x 32.8889 K = 3344.1789 kWh, computed independently and
    // given to eight figures.
    assert!((load_kwh(7, None) - 3344.1789).abs() < 1e-4);
    // Daylight saving moves a draw soon after midnight into the day before: still 365 draws, with a slightly different day's
    // cold water for some. The cosine moves by at most 0.1 K a day, so the year by less than 0.3 %.
    let moved_kwh = load_kwh(0, Some(DaySpan { first: 68, last: 305 }));
    assert!((moved_kwh / 3344.1789 - 1.0).abs() < 3e-3 && moved_kwh != load_kwh(0, None));
}

/// The summary and the year that runs count the same water and the same heat, whichever way it is said.
#[test]
fn the_summary_agrees_with_the_year() {
    let weather = weather::demo();
    for way in [
        "pattern = \"random draws\"\nguests = [\"Aug 1 - Aug 9: 2 people\"]",
        "pattern = \"EU M\"",
        "spread = \"10 min\"",
    ] {
        let text = format!(
            "[hot_water]\n{way}\nabsences = [\"Mar 1 - Mar 5\"]\n[calendar]\ndaylight_saving = \"US\"\n"
        );
        let job = file::read_text("job", &text).expect("a sound job");
        let cold_c = cold_water_by_day(&job.cold_water, &AirClimate::of(&weather));
        let tank = &job.plant.tanks[0];
        let taps = taps(&job.water_use, &job.calendar);
        let seen = UseSummary::of(&taps, &job.calendar, &cold_c, tank.water_kg_m3 * tank.water_j_kg_k);
        let setting = Setting::new(&job, &weather);
        let year = run(&job, &setting, &RunOptions::default()).expect("a plant").annual;
        // Sums of some ten thousand draws in another order, overlapping ones by their mean temperature.
        let close =
            |got: f64, wanted: f64| assert!((got / wanted - 1.0).abs() < 1e-9, "{way}: {got} {wanted}");
        close(seen.annual.heat_j / 3.6e6, year[Column::Load]);
        close(seen.annual.volume_m3 * 1000.0, year[Column::TapVolume]);
        close(seen.monthly.iter().map(|month| month.volume_m3).sum(), seen.annual.volume_m3);
        let hours: f64 =
            (seen.weekday_m3.iter().sum::<f64>() * 261.0) + seen.weekend_m3.iter().sum::<f64>() * 104.0;
        close(hours, seen.annual.volume_m3);
    }
}
