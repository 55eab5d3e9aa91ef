//! Time: instants for the ephemeris, solar time and the year of 365 days.

/// A moment, as the ephemeris needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instant {
    /// Julian day of universal time, days.
    pub julian_day_ut: f64,
    /// Terrestrial time minus universal time, s.
    pub delta_t_s: f64,
}

impl Instant {
    /// The moment of a civil date (Gregorian from 15 October 1582, Julian before) and an hour of universal time.
    ///
    /// The hour may lie outside 0 to 24; it then counts into the neighbouring days. UTC is taken as UT1, which is
    /// within 0.9 s. The Julian day follows J. Meeus, Astronomical Algorithms (1998), chapter 7; delta T is
    /// [`delta_t_s`].
    pub fn from_utc(year: i32, month: u32, day: u32, hour: f64) -> Self {
        let decimal_year = f64::from(year) + (f64::from(month) - 0.5) / 12.0;
        Self {
            julian_day_ut: julian_midnight(year, month, day) + hour / 24.0,
            delta_t_s: delta_t_s(decimal_year),
        }
    }

    /// The moment a number of seconds later (or earlier, if negative), with the same delta T.
    pub fn plus_seconds(self, seconds: f64) -> Self {
        Self { julian_day_ut: self.julian_day_ut + seconds / SECONDS_PER_DAY, ..self }
    }
}

/// Seconds of a mean day, s.
pub const SECONDS_PER_DAY: f64 = 86_400.0;

/// Days of each month in a year without leap day.
pub const DAYS_IN_MONTH: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Julian day at 0 h universal time of a civil date.
fn julian_midnight(year: i32, month: u32, day: u32) -> f64 {
    let gregorian = (year, month, day) >= (1582, 10, 15);
    // January and February count as the months 13 and 14 of the year before, so that the leap day comes last.
    let (y, m) = if month > 2 { (year, month) } else { (year - 1, month + 12) };
    let (y, m) = (f64::from(y), f64::from(m));
    let century = (y / 100.0).floor();
    let leap_correction = if gregorian { 2.0 - century + (century / 4.0).floor() } else { 0.0 };
    (365.25 * (y + 4716.0)).floor() + (30.6001 * (m + 1.0)).floor() + f64::from(day) + leap_correction
        - 1524.5
}

/// Terrestrial time minus universal time for a decimal year, s.
///
/// Polynomials of F. Espenak and J. Meeus, Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141; past 2005
/// they are a forecast, some 4 s too high in 2023. An error of 1 s moves the sun by 0.00001 deg.
pub fn delta_t_s(decimal_year: f64) -> f64 {
    let y = decimal_year;
    let long_term_s = -20.0 + 32.0 * square((y - 1820.0) / 100.0);
    if (2050.0..2150.0).contains(&y) {
        return long_term_s - 0.5628 * (2150.0 - y);
    }
    for piece in &DELTA_T {
        if y >= piece.from_year && y < piece.until_year {
            let u = (y - piece.origin_year) / piece.unit_years;
            return piece.coefficients.iter().rev().fold(0.0, |sum, c| sum * u + c);
        }
    }
    long_term_s
}

/// One piece of the delta-T curve: a polynomial in `(year - origin) / unit`.
struct DeltaTPiece {
    from_year: f64,
    until_year: f64,
    origin_year: f64,
    unit_years: f64,
    coefficients: &'static [f64],
}

const fn piece(
    years: [f64; 2],
    origin_year: f64,
    unit_years: f64,
    coefficients: &'static [f64],
) -> DeltaTPiece {
    DeltaTPiece { from_year: years[0], until_year: years[1], origin_year, unit_years, coefficients }
}

const DELTA_T: [DeltaTPiece; 12] = [
    piece(
        [-500.0, 500.0],
        0.0,
        100.0,
        &[10583.6, -1014.41, 33.78311, -5.952053, -0.1798452, 0.022174192, 0.0090316521],
    ),
    piece(
        [500.0, 1600.0],
        1000.0,
        100.0,
        &[1574.2, -556.01, 71.23472, 0.319781, -0.8503463, -0.005050998, 0.0083572073],
    ),
    piece([1600.0, 1700.0], 1600.0, 1.0, &[120.0, -0.9808, -0.01532, 1.0 / 7129.0]),
    piece([1700.0, 1800.0], 1700.0, 1.0, &[8.83, 0.1603, -0.0059285, 0.00013336, -1.0 / 1_174_000.0]),
    piece(
        [1800.0, 1860.0],
        1800.0,
        1.0,
        &[13.72, -0.332447, 0.0068612, 0.0041116, -0.00037436, 0.0000121272, -0.0000001699, 0.000000000875],
    ),
    piece(
        [1860.0, 1900.0],
        1860.0,
        1.0,
        &[7.62, 0.5737, -0.251754, 0.01680668, -0.0004473624, 1.0 / 233_174.0],
    ),
    piece([1900.0, 1920.0], 1900.0, 1.0, &[-2.79, 1.494119, -0.0598939, 0.0061966, -0.000197]),
    piece([1920.0, 1941.0], 1920.0, 1.0, &[21.20, 0.84493, -0.076100, 0.0020936]),
    piece([1941.0, 1961.0], 1950.0, 1.0, &[29.07, 0.407, -1.0 / 233.0, 1.0 / 2547.0]),
    piece([1961.0, 1986.0], 1975.0, 1.0, &[45.45, 1.067, -1.0 / 260.0, -1.0 / 718.0]),
    piece([1986.0, 2005.0], 2000.0, 1.0, &[63.86, 0.3345, -0.060374, 0.0017275, 0.000651814, 0.00002373599]),
    piece([2005.0, 2050.0], 2000.0, 1.0, &[62.92, 0.32217, 0.005589]),
];

fn square(x: f64) -> f64 {
    x * x
}

/// Day of the year, 1 to 365, of a month and day in a year without leap day; 29 February counts as 1 March.
///
/// `month` is 1 to 12; larger values are taken as 12, zero as 1.
pub fn day_of_year(month: u32, day: u32) -> u32 {
    let before = (month.clamp(1, 12) - 1) as usize;
    DAYS_IN_MONTH[..before].iter().sum::<u32>() + day
}

/// Month (1 to 12) and day of the month of a day of the year without leap day.
///
/// Days outside 1 to 365 wrap into the year: 366 is 1 January, 0 is 31 December.
pub fn month_and_day(day_of_year: u32) -> (u32, u32) {
    let mut day = (day_of_year + 364) % 365 + 1;
    let mut month = 1;
    for length in DAYS_IN_MONTH {
        if day <= length {
            break;
        }
        day -= length;
        month += 1;
    }
    (month, day)
}

/// Apparent solar time, h, of a standard clock: `clock + (4 min/deg * longitude + equation of time) - zone`.
///
/// `longitude_deg` is east positive; the result may lie outside 0 to 24. Handbook relation (e.g. Duffie and Beckman,
/// Solar Engineering of Thermal Processes, section 1.5).
pub fn solar_time_h(clock: StandardClock, longitude_deg: f64, equation_of_time_min: f64) -> f64 {
    clock.hour + longitude_deg / 15.0 - clock.utc_offset_h + equation_of_time_min / 60.0
}

/// A reading of a standard-time clock. A type of its own, because clock and solar time are easily mixed up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandardClock {
    /// Hour of the day on the clock, h.
    pub hour: f64,
    /// Clock minus universal time, h (-7 for US Mountain Standard Time).
    pub utc_offset_h: f64,
}

/// Hour angle of an apparent solar time: zero at noon, afternoon positive, 15 deg an hour, rad.
pub fn hour_angle_rad(solar_time_h: f64) -> f64 {
    (15.0 * (solar_time_h - 12.0)).to_radians()
}
