//! The year: lays out what acts on the plant, drives the plant through it, and tells the recorder.
//!
//! ```text
//! job + weather    -> Setting (sun, air, draws, cold water, rooms, permissions)
//! Setting + Plant  -> spans of steady conditions -> Plant::advance -> Recorder
//! ```
//!
//! A span ends where anything that acts on the plant changes, and at every full hour, whoever listens: results do not
//! depend on what is recorded.

mod bought;
mod morning;
mod outage;
mod run;
mod setting;
mod shared;
mod stop;

pub use run::{RunOptions, run};
pub use setting::Setting;
pub use shared::Shared;
pub use stop::Stop;

use std::ops::Range;

use thermal_network::flows::{Conditions, Draw, Flows};
use thermal_network::{Plant, Scratch, State};

use crate::draws::clock::{DAY_S, YEAR_S};
use crate::weather::plane::PlaneBlock;

/// Every span ends at a full hour at the latest.
const HOUR_S: u32 = 3600;

/// Seconds of the year as a signed number: the warm-up counts backwards from 1 January.
const YEAR: i64 = YEAR_S as i64;

/// What a recorder hears after each span.
#[derive(Clone, Copy, Debug)]
pub struct Span<'a> {
    /// Start in s after 1 January 00:00, local standard time.
    pub start_s: u32,
    /// Length in s.
    pub duration_s: u32,
    /// Sun and weather of the span.
    pub block: &'a PlaneBlock,
    /// What acted on the plant.
    pub conditions: &'a Conditions,
    /// What crossed between its components.
    pub flows: &'a Flows,
    /// The plant.
    pub plant: &'a Plant,
    /// Its state at the end.
    pub state: &'a State,
}

/// Listens to a year as it runs. It cannot change anything, but may have heard enough.
pub trait Recorder {
    /// Hears of a span that is over. Only the year itself is told, not its warm-up.
    fn span(&mut self, span: &Span<'_>);

    /// Hears of the state at the year's first moment.
    fn begin(&mut self, _plant: &Plant, _state: &State) {}

    /// Asked at every midnight, those of the warm-up too: true ends the year there.
    fn enough(&self) -> bool {
        false
    }

    /// True if the single steps of a day (1 to 365) are wanted too.
    fn wants_steps(&self, _day: u32) -> bool {
        false
    }

    /// Hears of a step within a span: seconds of the year at its end, and the flows of the span so far.
    fn step(
        &mut self,
        _end_s: u32,
        _conditions: &Conditions,
        _flows: &Flows,
        _plant: &Plant,
        _state: &State,
    ) {
    }
}

impl<A: Recorder, B: Recorder> Recorder for (A, B) {
    fn span(&mut self, span: &Span<'_>) {
        self.0.span(span);
        self.1.span(span);
    }

    fn begin(&mut self, plant: &Plant, state: &State) {
        self.0.begin(plant, state);
        self.1.begin(plant, state);
    }

    fn enough(&self) -> bool {
        self.0.enough() || self.1.enough()
    }

    fn wants_steps(&self, day: u32) -> bool {
        self.0.wants_steps(day) || self.1.wants_steps(day)
    }

    fn step(&mut self, end_s: u32, conditions: &Conditions, flows: &Flows, plant: &Plant, state: &State) {
        self.0.step(end_s, conditions, flows, plant, state);
        self.1.step(end_s, conditions, flows, plant, state);
    }
}

impl<R: Recorder> Recorder for Option<R> {
    fn span(&mut self, span: &Span<'_>) {
        if let Some(recorder) = self {
            recorder.span(span);
        }
    }

    fn begin(&mut self, plant: &Plant, state: &State) {
        if let Some(recorder) = self {
            recorder.begin(plant, state);
        }
    }

    fn enough(&self) -> bool {
        self.as_ref().is_some_and(Recorder::enough)
    }

    fn wants_steps(&self, day: u32) -> bool {
        self.as_ref().is_some_and(|recorder| recorder.wants_steps(day))
    }

    fn step(&mut self, end_s: u32, conditions: &Conditions, flows: &Flows, plant: &Plant, state: &State) {
        if let Some(recorder) = self {
            recorder.step(end_s, conditions, flows, plant, state);
        }
    }
}

/// Drives a plant through `warm_up_days` of late December and then the year, beginning at `start_c` everywhere.
/// Returns the state at the end, or where the recorder had heard enough.
pub fn drive(
    setting: &Setting,
    plant: &Plant,
    warm_up_days: u32,
    start_c: f64,
    recorder: &mut impl Recorder,
) -> State {
    let cursor = Cursor::new(setting, -i64::from(warm_up_days) * i64::from(DAY_S));
    go(cursor, [0, YEAR], plant, start_c, recorder)
}

/// Drives a plant through `days` (1 to 365 and on into the next year) alone, without a warm-up, beginning at `start_c`
/// everywhere. The recorder hears of all of them. Returns the state at the end.
pub fn drive_days(
    setting: &Setting,
    plant: &Plant,
    days: Range<u32>,
    start_c: f64,
    recorder: &mut impl Recorder,
) -> State {
    let midnight_s = |day: u32| (i64::from(day) - 1) * i64::from(DAY_S);
    let (mut from_s, mut until_s) = (midnight_s(days.start), midnight_s(days.end));
    if until_s > YEAR {
        // The year closes on itself: counted from the end of the one before, the days run into January.
        (from_s, until_s) = (from_s - YEAR, until_s - YEAR);
    }
    go(Cursor::new(setting, from_s), [from_s, until_s], plant, start_c, recorder)
}

/// Drives a plant from the cursor's place to the end of `recorded_s`, of which the recorder hears.
fn go(
    mut cursor: Cursor<'_>,
    recorded_s: [i64; 2],
    plant: &Plant,
    start_c: f64,
    recorder: &mut impl Recorder,
) -> State {
    let [from_s, until_s] = recorded_s;
    let mut state = State::new(plant, start_c);
    let mut scratch = Scratch::new(plant);
    while cursor.now_s < until_s {
        let start_s = cursor.second_of_year();
        if start_s.is_multiple_of(DAY_S) && recorder.enough() {
            break;
        }
        if cursor.now_s == from_s {
            recorder.begin(plant, &state);
        }
        let recorded = cursor.now_s >= from_s;
        let (block, conditions, duration_s) = cursor.next_span();
        let mut flows = Flows::new();
        if recorded && recorder.wants_steps(start_s / DAY_S + 1) {
            plant.advance(
                &mut state,
                &mut scratch,
                &conditions,
                duration_s,
                &mut flows,
                |gone_s, state, flows| {
                    recorder.step(start_s + gone_s, &conditions, flows, plant, state);
                },
            );
        } else {
            plant.advance(&mut state, &mut scratch, &conditions, duration_s, &mut flows, |_, _, _| {});
        }
        if recorded {
            let conditions = &conditions;
            recorder.span(&Span {
                start_s,
                duration_s,
                block,
                conditions,
                flows: &flows,
                plant,
                state: &state,
            });
        }
    }
    state
}

/// Walks through the year span by span; keeps its place in each list that acts on the plant.
struct Cursor<'a> {
    setting: &'a Setting,
    /// Seconds after 1 January 00:00; negative in the warm-up.
    now_s: i64,
    segment: usize,
    permission: usize,
    order: usize,
}

impl<'a> Cursor<'a> {
    fn new(setting: &'a Setting, now_s: i64) -> Self {
        let second = now_s.rem_euclid(YEAR) as u32;
        let segment = setting.draws.index_at(second);
        let permission = setting.permissions.index_at(second);
        let order = setting.orders.index_at(second);
        Self { setting, now_s, segment, permission, order }
    }

    fn second_of_year(&self) -> u32 {
        if self.now_s < 0 { self.now_s.rem_euclid(YEAR) as u32 } else { self.now_s as u32 }
    }

    /// The span that begins now, and moves on to its end.
    fn next_span(&mut self) -> (&'a PlaneBlock, Conditions, u32) {
        let setting = self.setting;
        let second = self.second_of_year();
        if second == 0 {
            self.segment = 0;
            self.permission = 0;
            self.order = 0;
        }
        let mut end_s = (second / HOUR_S + 1) * HOUR_S;
        end_s = end_s.min(self.end_of_light(second, end_s));
        let mut draw = Draw::default();
        let segment = setting.draws.segments().get(self.segment);
        if let Some(segment) = segment {
            if segment.start_s <= second {
                draw = segment.draw;
                end_s = end_s.min(segment.end_s);
            } else {
                end_s = end_s.min(segment.start_s);
            }
        }
        let changes = setting.permissions.changes();
        let elements_allowed = changes[self.permission].1;
        let change = changes.get(self.permission + 1).map(|&(change_s, _)| change_s);
        end_s = end_s.min(change.unwrap_or(end_s));
        let orders = setting.orders.changes();
        let bits = orders[self.order].1;
        let turn = orders.get(self.order + 1).map(|&(turn_s, _)| turn_s);
        end_s = end_s.min(turn.unwrap_or(end_s));
        // Only now is the end known; each list moves on if its own entry is over by then.
        self.segment += usize::from(segment.is_some_and(|segment| segment.end_s <= end_s));
        self.permission += usize::from(change.is_some_and(|change_s| change_s <= end_s));
        self.order += usize::from(turn.is_some_and(|turn_s| turn_s <= end_s));
        let middle_s = 0.5 * (f64::from(second) + f64::from(end_s));
        let block = &setting.plane.blocks[setting.plane.block_at(middle_s as i64)];
        let orders = setting::orders(bits);
        let timer_on = setting.timer_on(elements_allowed);
        let conditions =
            Conditions { draw, elements_allowed, orders, timer_on, ..setting.conditions(block, middle_s) };
        let duration_s = end_s - second;
        self.now_s += i64::from(duration_s);
        (block, conditions, duration_s)
    }

    /// End of the block that holds at `second`; in the dark, of the last dark block before `latest_s`, since only slow
    /// things change then.
    fn end_of_light(&self, second: u32, latest_s: u32) -> u32 {
        let plane = &self.setting.plane;
        let blocks = plane.blocks.len();
        let mut block = plane.block_at(i64::from(second));
        let after_first_s = i64::from(second) - plane.offset_s;
        let into_block_s = match u32::try_from(after_first_s) {
            Ok(after_first_s) => after_first_s % plane.block_s,
            Err(_) => after_first_s.rem_euclid(i64::from(plane.block_s)) as u32,
        };
        let mut end_s = second - into_block_s + plane.block_s;
        if plane.blocks[block].is_dark() {
            loop {
                block = if block + 1 == blocks { 0 } else { block + 1 };
                if end_s >= latest_s || !plane.blocks[block].is_dark() {
                    break;
                }
                end_s += plane.block_s;
            }
        }
        end_s
    }
}
