//! Years that wait for a core, and those that nobody waits for any more.
//!
//! A page has one place in the queue for each of its two variants: a newer request takes the place of an older one, and stops
//! the year of one that runs. A request whose client has gone is never begun, and its year stops. A report that was begun is
//! written to its end.

use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

use tokio::sync::oneshot;

use super::TOO_MUCH;
use super::answer;
use super::asked::{Save, Side, Year};
use super::house::House;
use super::save;
use crate::year::{Shared, Stop};

/// Requests that may wait: several windows and a report.
const MOST_WAITING: usize = 16;

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

/// Makes an answer, or says why there is none; nothing if it was told to stop.
type Work = Box<dyn FnOnce(&House, &Shared<'_>, &Stop) -> Option<Result<String, String>> + Send>;

/// Whose place in the queue.
type Slot = (String, Option<Side>);

struct Task {
    slot: Slot,
    work: Work,
    answer: oneshot::Sender<Turned>,
    stop: Stop,
}

#[derive(Default)]
struct Queue {
    waiting: VecDeque<Task>,
    running: Vec<(Slot, Stop)>,
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
        self.wait(
            slot,
            Box::new(move |house, shared, stop| answer::year(house, shared, &asked, stop).map(Ok)),
        )
        .await
    }

    /// Writes the report of a variant.
    pub(super) async fn report(&self, asked: Save) -> Turned {
        if !asked.variant.is_small() {
            return Turned::Done(Err(TOO_MUCH.into()));
        }
        self.wait(
            (asked.file.clone(), None),
            Box::new(move |house, shared, _| Some(save::report(house, shared, &asked))),
        )
        .await
    }

    async fn wait(&self, slot: Slot, work: Work) -> Turned {
        let (answer, turned) = oneshot::channel();
        let stop = Stop::default();
        // Left by the way out or because the client has gone.
        let _left = Left(stop.clone());
        {
            let mut guard = self.locked();
            let queue = &mut *guard;
            // Those that have gone make room.
            queue.waiting.retain(|task| !task.answer.is_closed());
            let task = Task { slot, work, answer, stop };
            let full = queue.waiting.len() >= MOST_WAITING || queue.closed;
            let older = queue.waiting.iter_mut().find(|waiting| waiting.slot == task.slot);
            if older.is_none() && full {
                return Turned::Full;
            }
            queue.running.iter().filter(|(slot, _)| *slot == task.slot).for_each(|(_, stop)| stop.tell());
            match older {
                Some(older) => {
                    let older = std::mem::replace(older, task);
                    let _ = older.answer.send(Turned::Overtaken);
                }
                None => queue.waiting.push_back(task),
            }
        }
        self.changed.notify_one();
        // A worker that fails says so itself; a closed desk answers nobody.
        turned.await.unwrap_or(Turned::Full)
    }

    /// Works until the desk is closed: one thread of several.
    pub(super) fn work(&self, shared: &Shared<'_>) {
        while let Some(Task { work, answer, stop, .. }) = self.next() {
            // A fault of the program in one year must not leave the page without the next.
            let done = catch_unwind(AssertUnwindSafe(|| work(&self.house, shared, &stop)));
            let done =
                done.unwrap_or_else(|_| Some(Err("suncask met a fault of its own in this year".into())));
            let _ = answer.send(done.map_or(Turned::Overtaken, Turned::Done));
            // It is over: told or not, nobody has to tell it any more.
            stop.tell();
            self.locked().running.retain(|(_, stop)| !stop.told());
        }
    }

    fn next(&self) -> Option<Task> {
        let mut queue = self.locked();
        loop {
            if queue.closed {
                return None;
            }
            if let Some(task) = queue.waiting.pop_front() {
                if task.answer.is_closed() {
                    continue;
                }
                queue.running.push((task.slot.clone(), task.stop.clone()));
                return Some(task);
            }
            queue = self.changed.wait(queue).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Stops the years that run, lets reports be written, and leaves the rest without an answer.
    pub(super) fn close(&self) {
        let mut queue = self.locked();
        queue.closed = true;
        queue.waiting.clear();
        queue.running.iter().for_each(|(_, stop)| stop.tell());
        self.changed.notify_all();
    }

    fn locked(&self) -> MutexGuard<'_, Queue> {
        self.queue.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Tells a year to stop when nobody waits for its answer any more.
struct Left(Stop);

impl Drop for Left {
    fn drop(&mut self) {
        self.0.tell();
    }
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
    use std::thread;
    use std::time::Duration;

    use super::*;
    use crate::job;
    use crate::page::house::Given;
    use crate::weather::{self, WeatherYear};
    use crate::year::RunOptions;

    fn desk(weather: &WeatherYear) -> Desk {
        let given = Given { folder: PathBuf::new(), file: None, text: job::starter().to_owned() };
        Desk::new(House::new(given, weather).expect("the starter"))
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
        let work = |name: &'static str| -> Work { Box::new(move |_, _, _| Some(Ok(name.to_owned()))) };
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
            scope.spawn(|| desk.work(&Shared::new(&weather)));
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
            Box::new(move |_, _, _| Some(Ok(begun.fetch_add(1, Ordering::Relaxed).to_string())))
        };
        let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().expect("a runtime");
        // Its client goes before anybody works.
        let gone = desk.wait(slot("gone"), counted(&begun));
        assert!(
            runtime.block_on(async { tokio::time::timeout(Duration::from_millis(20), gone).await }).is_err()
        );
        thread::scope(|scope| {
            scope.spawn(|| desk.work(&Shared::new(&weather)));
            let failed =
                wait(&desk, slot("failed"), Box::new(|_, _, _| panic!("a fault made for this test")));
            assert!(matches!(failed, Turned::Done(Err(_))));
            let Turned::Done(Ok(before)) = wait(&desk, slot("next"), counted(&begun)) else {
                panic!("not done")
            };
            assert_eq!(before, "0", "the one nobody waited for did not run");
            desk.close();
        });
    }
    /// Years of the slowest plant, so many that none of them comes to its end here unless it is told to.
    fn slow(begun: &Arc<AtomicBool>, ended_early: &Arc<AtomicBool>) -> Work {
        let starter = job::STARTERS.iter().find(|starter| starter.kind == "thermosiphon").expect("a starter");
        let mut job = job::file::read_text(starter.kind, starter.text).expect("a starter");
        job.warm_up_days = 30 * 365;
        let (begun, ended_early) = (Arc::clone(begun), Arc::clone(ended_early));
        Box::new(move |_, shared, stop| {
            begun.store(true, Ordering::Relaxed);
            let year = shared.run(&job, &RunOptions { stop: stop.clone(), ..RunOptions::default() });
            ended_early.store(year.is_err() && stop.told(), Ordering::Relaxed);
            year.is_ok().then(|| Ok("slow".into()))
        })
    }

    #[test]
    fn a_year_that_runs_is_ended_by_a_newer_request_by_a_client_that_goes_and_by_the_end() {
        let weather = weather::demo();
        let desk = desk(&weather);
        let quick = |name: &'static str| -> Work { Box::new(move |_, _, _| Some(Ok(name.to_owned()))) };
        let set = |flag: &Arc<AtomicBool>| flag.load(Ordering::Relaxed);
        thread::scope(|scope| {
            // One thread: what waits begins only once what runs is over.
            let worker = scope.spawn(|| desk.work(&Shared::new(&weather)));
            let (begun, ended) = (Arc::default(), Arc::default());
            let work = slow(&begun, &ended);
            let older = scope.spawn(|| wait(&desk, slot("one"), work));
            until(|| set(&begun));
            let Turned::Done(Ok(name)) = wait(&desk, slot("one"), quick("newer")) else { panic!("not done") };
            assert_eq!(name, "newer");
            assert!(matches!(older.join().expect("no panic"), Turned::Overtaken) && set(&ended));

            let (begun, ended) = (Arc::default(), Arc::default());
            let gone = desk.wait(slot("gone"), slow(&begun, &ended));
            let runtime =
                tokio::runtime::Builder::new_current_thread().enable_time().build().expect("a runtime");
            let patience = async {
                while !set(&begun) {
                    tokio::time::sleep(Duration::from_millis(2)).await;
                }
            };
            runtime.block_on(async {
                tokio::select! {
                    _ = gone => panic!("it cannot be done"),
                    () = patience => {}
                }
            });
            // Another page's request stops nobody; it is done since the one before was left.
            assert!(matches!(wait(&desk, slot("two"), quick("next")), Turned::Done(Ok(_))) && set(&ended));

            let (begun, ended) = (Arc::default(), Arc::default());
            let work = slow(&begun, &ended);
            let last = scope.spawn(|| wait(&desk, slot("three"), work));
            until(|| set(&begun));
            desk.close();
            assert!(matches!(last.join().expect("no panic"), Turned::Overtaken) && set(&ended));
            worker.join().expect("no panic");
            assert!(desk.locked().running.is_empty());
        });
    }
}
