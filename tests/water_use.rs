//! Hot-water use and incoming cold water together, against closed forms.

use suncask::draws::{AirClimate, DrawYear, cold_water_by_day};
use suncask::job::{Calendar, ColdWater, DaySpan, Pattern, WaterUse};

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
