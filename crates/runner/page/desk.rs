//! Years that wait for a core, and those that nobody waits for any more.
//!
//! A page has one place in the queue for each of its two variants: a newer request takes the place of an older one. A request
//! whose client has gone is never begun.

use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError, RwLock};

use tokio::sync::oneshot;

use super::TOO_MUCH;
use super::answer;
use super::asked::{Save, Side, Year};
use super::house::House;
use super::save;
use crate::weather::WeatherYear;
use crate::year::Shared;

/// Requests that may wait: several windows and a report.
const MOST_WAITING: usize = 16;

/// What is kept of one year for the next is thrown away after so many: each tilt and each use of water keeps its own.
const YEARS_KEPT: usize = 48;

/// What became of a request.
#[derive(Debug)]
pub(super) enum Turned {
    /// Its answer, or why there is none.
    Done(Result<String, String>),
    /// A newer one of the same page and variant came first.
    Overtaken,
    /// Too many are waiting.
    Full,
}

type Work = Box<dyn FnOnce(&House, &Shared<'_>) -> Result<String, String> + Send>;

/// Whose place in the queue.
type Slot = (String, Option<Side>);

struct Task {
    slot: Slot,
    work: Work,
    answer: oneshot::Sender<Turned>,
}

#[derive(Default)]
struct Queue {
    waiting: VecDeque<Task>,
    closed: bool,
}

/// A house, and the requests that wait for its years.
pub(super) struct Desk {
    house: House,
    queue: Mutex<Queue>,
    changed: Condvar,
}

impl Desk {
    pub(super) fn new(house: House) -> Self {
        Self { house, queue: Mutex::default(), changed: Condvar::new() }
    }

    pub(super) fn house(&self) -> &House {
        &self.house
    }

    /// A year of a variant as JSON.
    pub(super) async fn year(&self, asked: Year) -> Turned {
        if !asked.is_small() {
            return Turned::Done(Err(TOO_MUCH.into()));
        }
        let slot = (asked.page.clone(), Some(asked.side));
        self.wait(slot, Box::new(move |house, shared| Ok(answer::year(house, shared, &asked)))).await
    }

    /// Writes the report of a variant.
    pub(super) async fn report(&self, asked: Save) -> Turned {
        if !asked.variant.is_small() {
            return Turned::Done(Err(TOO_MUCH.into()));
        }
        self.wait(
            (asked.file.clone(), None),
            Box::new(move |house, shared| save::report(house, shared, &asked)),
        )
        .await
    }

    async fn wait(&self, slot: Slot, work: Work) -> Turned {
        let (answer, turned) = oneshot::channel();
        {
            let mut queue = self.locked();
            // Those that have gone make room.
            queue.waiting.retain(|task| !task.answer.is_closed());
            let task = Task { slot, work, answer };
            let full = queue.waiting.len() >= MOST_WAITING || queue.closed;
            match queue.waiting.iter_mut().find(|waiting| waiting.slot == task.slot) {
                Some(older) => {
                    let older = std::mem::replace(older, task);
                    let _ = older.answer.send(Turned::Overtaken);
                }
                None if full => return Turned::Full,
                None => queue.waiting.push_back(task),
            }
        }
        self.changed.notify_one();
        // A worker that fails says so itself; a closed desk answers nobody.
        turned.await.unwrap_or(Turned::Full)
    }

    /// Works until the desk is closed: one thread of several.
    pub(super) fn work(&self, weather: &Memory<'_>) {
        while let Some(task) = self.next() {
            if task.answer.is_closed() {
                continue;
            }
            let shared = weather.shared();
            // A fault of the program in one year must not leave the page without the next.
            let done = catch_unwind(AssertUnwindSafe(|| (task.work)(&self.house, &shared)));
            let done = done.unwrap_or_else(|_| Err("suncask met a fault of its own in this year".into()));
            let _ = task.answer.send(Turned::Done(done));
        }
    }

    fn next(&self) -> Option<Task> {
        let mut queue = self.locked();
        loop {
            if queue.closed {
                return None;
            }
            if let Some(task) = queue.waiting.pop_front() {
                return Some(task);
            }
            queue = self.changed.wait(queue).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Ends the workers after the year each of them is in, and leaves the rest without an answer.
    pub(super) fn close(&self) {
        let mut queue = self.locked();
        queue.closed = true;
        queue.waiting.clear();
        self.changed.notify_all();
    }

    fn locked(&self) -> MutexGuard<'_, Queue> {
        self.queue.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What years in the same weather have in common, kept for a number of them.
pub(super) struct Memory<'w> {
    weather: &'w WeatherYear,
    kept: RwLock<(usize, Arc<Shared<'w>>)>,
}

impl<'w> Memory<'w> {
    pub(super) fn new(weather: &'w WeatherYear) -> Self {
        Self { weather, kept: RwLock::new((0, Arc::new(Shared::new(weather)))) }
    }

    fn shared(&self) -> Arc<Shared<'w>> {
        let mut kept = self.kept.write().unwrap_or_else(PoisonError::into_inner);
        kept.0 += 1;
        if kept.0 > YEARS_KEPT {
            *kept = (1, Arc::new(Shared::new(self.weather)));
        }
        Arc::clone(&kept.1)
    }
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;
    use std::sync::atomic::{AtomicU32, Ordering};
    use std::thread;
    use std::time::Duration;

    use super::*;
    use crate::job;
    use crate::page::house::Given;
    use crate::weather;

    fn desk(weather: &WeatherYear) -> Desk {
        let given = Given { folder: PathBuf::new(), file: None, text: job::starter().to_owned() };
        Desk::new(House::new(given, weather, String::new()).expect("the starter"))
    }

    fn slot(page: &str) -> Slot {
        (page.into(), Some(Side::A))
    }

    /// Waits for an answer on a runtime of its own.
    fn wait(desk: &Desk, slot: Slot, work: Work) -> Turned {
        let runtime = tokio::runtime::Builder::new_current_thread().build().expect("a runtime");
        runtime.block_on(desk.wait(slot, work))
    }

    fn until(true_at_last: impl Fn() -> bool) {
        while !true_at_last() {
            thread::sleep(Duration::from_millis(2));
        }
    }

    #[test]
    fn a_newer_request_takes_the_place_of_an_older_one_and_a_full_desk_says_so() {
        let weather = weather::demo();
        let desk = desk(&weather);
        let ran = AtomicU32::new(0);
        let work = |name: &'static str| -> Work { Box::new(move |_, _| Ok(name.to_owned())) };
        let waiting = || desk.locked().waiting.len();
        let pages: Vec<String> = (1..MOST_WAITING).map(|page| page.to_string()).collect();
        thread::scope(|scope| {
            // Nobody works yet: all wait.
            let older = scope.spawn(|| wait(&desk, slot("one"), work("older")));
            until(|| waiting() == 1);
            let newer = scope.spawn(|| wait(&desk, slot("one"), work("newer")));
            assert!(matches!(older.join().expect("no panic"), Turned::Overtaken));
            let others: Vec<_> = pages
                .iter()
                .map(|page| {
                    scope.spawn(|| {
                        let turned = wait(&desk, slot(page), work("other"));
                        ran.fetch_add(1, Ordering::Relaxed);
                        turned
                    })
                })
                .collect();
            until(|| waiting() == MOST_WAITING);
            assert!(matches!(wait(&desk, slot("late"), work("late")), Turned::Full));
            scope.spawn(|| desk.work(&Memory::new(&weather)));
            let Turned::Done(Ok(name)) = newer.join().expect("no panic") else { panic!("not done") };
            assert_eq!(name, "newer");
            for other in others {
                assert!(matches!(other.join().expect("no panic"), Turned::Done(Ok(_))));
            }
            desk.close();
        });
        assert_eq!(ran.load(Ordering::Relaxed), MOST_WAITING as u32 - 1);
        assert!(matches!(wait(&desk, slot("closed"), work("closed")), Turned::Full));
    }

    #[test]
    fn work_nobody_waits_for_is_never_begun_and_a_panic_leaves_the_next_alone() {
        let weather = weather::demo();
        let desk = desk(&weather);
        let begun = Arc::new(AtomicU32::new(0));
        let counted = |begun: &Arc<AtomicU32>| -> Work {
            let begun = Arc::clone(begun);
            Box::new(move |_, _| Ok(begun.fetch_add(1, Ordering::Relaxed).to_string()))
        };
        let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().expect("a runtime");
        // Its client goes before anybody works.
        let gone = desk.wait(slot("gone"), counted(&begun));
        assert!(
            runtime.block_on(async { tokio::time::timeout(Duration::from_millis(20), gone).await }).is_err()
        );
        thread::scope(|scope| {
            scope.spawn(|| desk.work(&Memory::new(&weather)));
            let failed = wait(&desk, slot("failed"), Box::new(|_, _| panic!("a fault made for this test")));
            assert!(matches!(failed, Turned::Done(Err(_))));
            let Turned::Done(Ok(before)) = wait(&desk, slot("next"), counted(&begun)) else {
                panic!("not done")
            };
            assert_eq!(before, "0", "the one nobody waited for did not run");
            desk.close();
        });
    }
}
