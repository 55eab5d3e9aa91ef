//! Hot-water use of a job: how much, when, how warm and what for.

use serde::Serialize;
use solar_geometry::time::month_and_day;

use super::DaySpan;

/// Hot-water use at the taps.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterUse {
    /// Daily pattern.
    pub pattern: Pattern,
    /// Factor on the daily volume, by month.
    pub month_factor: [f64; 12],
    /// Days nobody is at home.
    pub absences: Vec<DaySpan>,
    /// Days with more people in the house, or fewer.
    pub guests: Vec<Guests>,
    /// Coolest water still fit for a shower or bath, in degC (default 40.5, 105 F).
    pub usable_c: f64,
}

impl WaterUse {
    /// Factor on the volume of a day of the year, 1 to 365: that of its month times those of the guests; 0 while nobody is
    /// at home.
    pub fn day_factor(&self, day: u32) -> f64 {
        if self.absences.iter().any(|span| span.contains(day)) {
            return 0.0;
        }
        let guests = self.guests.iter().filter(|guests| guests.days.contains(day));
        self.month_factor[month_and_day(day).0 as usize - 1]
            * guests.map(|guests| guests.factor).product::<f64>()
    }
}

/// Days on which the house is fuller than usual.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guests {
    /// From arrival to departure.
    pub days: DaySpan,
    /// Factor on the daily volume.
    pub factor: f64,
}

/// What is drawn on a day.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "one a job, never moved in a loop")]
pub enum Pattern {
    /// A daily volume shared out over the hours of clock time.
    Hourly {
        /// Volume at the tap on a day in m3.
        daily_m3: f64,
        /// Temperature at the tap in degC.
        use_c: f64,
        /// Each hour's share on Monday to Friday; sums to 1.
        weekday_frac: [f64; 24],
        /// Each hour's share on Saturday and Sunday.
        weekend_frac: [f64; 24],
        /// Each hour's share flows evenly through its first so many minutes, 1 to 60.
        minutes: u32,
        /// True if the flow counts as showers for comfort.
        comfort: bool,
    },
    /// Single draws at their own times.
    Events {
        /// Monday to Friday.
        weekday: Vec<Event>,
        /// Saturday and Sunday.
        weekend: Vec<Event>,
    },
    /// Draws on their own days of the year, as a meter logged them.
    Dated(Vec<DatedEvent>),
    /// Single draws by chance, laid out by [`crate::draws::by_chance`].
    Random(RandomDraws),
}

/// What draws by chance keep to.
#[derive(Clone, Debug, PartialEq)]
pub struct RandomDraws {
    /// Volume at the tap on an average day in m3.
    pub daily_m3: f64,
    /// Each hour's share of the volume on Monday to Friday; sums to 1.
    pub weekday_frac: [f64; 24],
    /// Each hour's share on Saturday and Sunday.
    pub weekend_frac: [f64; 24],
    /// What the water is for; the shares add to 1.
    pub kinds: Vec<DrawKind>,
    /// The same seed gives the same year.
    pub seed: u64,
}

impl Pattern {
    /// Mean volume at the tap on a day in m3, before the factors of months, guests and absences.
    pub fn daily_m3(&self) -> f64 {
        let sum = |events: &[Event]| -> f64 { events.iter().map(Event::volume_m3).sum() };
        match self {
            Self::Hourly { daily_m3, .. } => *daily_m3,
            Self::Random(draws) => draws.daily_m3,
            Self::Events { weekday, weekend } => (5.0 * sum(weekday) + 2.0 * sum(weekend)) / 7.0,
            Self::Dated(draws) => draws.iter().map(|dated| dated.event.volume_m3()).sum::<f64>() / 365.0,
        }
    }

    /// Hottest water asked for at a tap in degC; minus infinity if none is.
    pub fn hottest_use_c(&self) -> f64 {
        let hottest = |levels: &mut dyn Iterator<Item = f64>| levels.fold(f64::NEG_INFINITY, f64::max);
        match self {
            Self::Hourly { use_c, .. } => *use_c,
            Self::Events { weekday, weekend } => {
                hottest(&mut weekday.iter().chain(weekend).map(|event| event.use_c))
            }
            Self::Dated(draws) => hottest(&mut draws.iter().map(|dated| dated.event.use_c)),
            Self::Random(draws) => hottest(&mut draws.kinds.iter().map(|kind| kind.use_c)),
        }
    }
}

/// One draw of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Start in seconds after midnight, clock time.
    pub start_s: u32,
    /// Duration in s.
    pub duration_s: u32,
    /// Flow at the tap in m3/s.
    pub flow_m3_s: f64,
    /// Temperature at the tap in degC.
    pub use_c: f64,
    /// What it is for.
    pub purpose: Purpose,
}

impl Event {
    /// Volume at the tap in m3.
    pub fn volume_m3(&self) -> f64 {
        self.flow_m3_s * f64::from(self.duration_s)
    }
}

/// One draw of a year.
#[derive(Clone, Debug, PartialEq)]
pub struct DatedEvent {
    /// Day of the year by the clock, 1 to 365.
    pub day: u32,
    /// The draw on that day.
    pub event: Event,
}

/// A kind of draw for draws by chance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawKind {
    /// What it is for.
    pub purpose: Purpose,
    /// Share of the year's volume.
    pub share_frac: f64,
    /// Mean volume of a draw at the tap in m3.
    pub mean_m3: f64,
    /// Standard deviation of the volume of a draw as a share of the mean.
    pub spread_frac: f64,
    /// Flow at the tap in m3/s.
    pub flow_m3_s: f64,
    /// Temperature at the tap in degC.
    pub use_c: f64,
}

/// What a draw is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// Someone stands under it.
    Shower,
    /// A bath being filled.
    Bath,
    /// Hand washing, cooking.
    Sink,
    /// A dishwasher.
    Dishwasher,
    /// A clothes washer.
    Laundry,
    /// Anything else.
    Other,
}

impl Purpose {
    /// Every purpose with its word in the job file; in this order they are shown.
    pub const WORDS: [(&'static str, Self); 6] = [
        ("shower", Self::Shower),
        ("bath", Self::Bath),
        ("sink", Self::Sink),
        ("dishwasher", Self::Dishwasher),
        ("laundry", Self::Laundry),
        ("other", Self::Other),
    ];

    /// The word for it in the job file.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, purpose)| *purpose == self).map_or("", |(word, _)| word)
    }

    /// True for draws in which cool water is felt.
    pub fn is_comfort(self) -> bool {
        matches!(self, Self::Shower | Self::Bath)
    }
}
