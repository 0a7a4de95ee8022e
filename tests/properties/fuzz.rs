//! Texts and supplies that nobody would write: whatever they are, an answer or a refusal comes of them, in time and without a
//! contradiction.
//!
//! A case is a kind and a number, and the same on every machine. The normal run takes a hundred and more of them, and all that ever found
//! something (`seeds.txt`). A long run: `SAGLINE_FUZZ=100000 cargo test --release --test properties fuzz -- --nocapture`, from another
//! first number by `SAGLINE_FUZZ_SEED=N`. It prints its counts, and each case at fault with its number; the texts of those are kept in
//! the folder that it names.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "threads that are given up when a case hangs, and files for whoever looks into it"
)]

mod examine;
mod make;

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use examine::{Fault, Outcome, examine};
use make::Kind;

/// Cases of the normal run.
const TEXTS: usize = 120;
const SUPPLIES: usize = 15;

/// Longer than this no answer takes on a bench's computer (s); it is counted, but depends on the machine.
const SLOW_SECONDS: f64 = 1.0;

/// Longer than this an answer takes on no machine: it hangs.
const HANGS_AFTER: Duration = Duration::from_mins(4);

/// Cases that found something once: a kind, a number, and what it was.
const SEEDS: &str = include_str!("fuzz/seeds.txt");

/// One case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Case {
    kind: Kind,
    number: u64,
}

impl std::fmt::Display for Case {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.kind.name(), self.number)
    }
}

/// What came of a case.
struct Report {
    case: Case,
    outcome: Outcome,
    seconds: f64,
}

/// A case that is being worked on, and since when.
type Bench = Arc<Mutex<Option<(Case, Instant)>>>;

#[test]
fn whatever_the_text_an_answer_or_a_refusal_comes_of_it() {
    let cases = cases();
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("fuzz");
    let reports = work_off(&cases);
    let said = summary(&reports, &folder);
    let at_fault = reports
        .iter()
        .any(|report| !report.outcome.faults.is_empty());
    assert!(!at_fault, "{said}");
    println!("{said}");
    // Were all refused, nothing would have been tried.
    let accepted = reports.iter().filter(|report| report.outcome.is_accepted);
    assert!(8 * accepted.count() > cases.len(), "{said}");
}

/// The cases of this run.
fn cases() -> Vec<Case> {
    let asked_for = |name: &str| std::env::var(name).ok()?.parse::<u64>().ok();
    let first = asked_for("SAGLINE_FUZZ_SEED").unwrap_or(1);
    let several = |kind, many: u64| (first..first + many).map(move |number| Case { kind, number });
    if let Some(many) = asked_for("SAGLINE_FUZZ") {
        let half = many.div_ceil(2);
        let texts = several(Kind::Text, half);
        // Side by side, so that a run that is ended early has done of both.
        return texts
            .zip(several(Kind::Supply, half))
            .flat_map(|(a, b)| [a, b])
            .collect();
    }
    let seeds = SEEDS.lines().filter_map(|line| {
        let mut words = line.split_whitespace();
        let kind = Kind::named(words.next()?)?;
        Some(Case {
            kind,
            number: words.next()?.parse().ok()?,
        })
    });
    (seeds.chain(several(Kind::Text, TEXTS as u64)))
        .chain(several(Kind::Supply, SUPPLIES as u64))
        .collect()
}

/// Works all cases off on all cores. One that hangs is given up, and another thread goes on in its place.
fn work_off(cases: &[Case]) -> Vec<Report> {
    let cases: Arc<[Case]> = cases.into();
    let next = Arc::new(AtomicUsize::new(0));
    let done = Arc::new(Mutex::new(Vec::new()));
    let begin = || {
        let bench = Bench::default();
        let (cases, next) = (Arc::clone(&cases), Arc::clone(&next));
        let (done, mine) = (Arc::clone(&done), Arc::clone(&bench));
        let thread = thread::spawn(move || {
            // Each case alone on its core: what is done in parallel would only wait for the others.
            let alone = rayon::ThreadPoolBuilder::new()
                .num_threads(1)
                .build()
                .unwrap();
            while let Some(&case) = cases.get(next.fetch_add(1, Ordering::Relaxed)) {
                *locked(&mine) = Some((case, Instant::now()));
                let report = alone.install(|| worked(case));
                if locked(&mine).take().is_none() {
                    // It was given up.
                    return;
                }
                locked(&done).push(report);
            }
        });
        (thread, bench)
    };
    let cores = thread::available_parallelism().map_or(1, usize::from);
    let mut workers: Vec<_> = (0..cores).map(|_| begin()).collect();
    while workers.iter().any(|(thread, _)| !thread.is_finished()) {
        thread::sleep(Duration::from_millis(20));
        for worker in &mut workers {
            let hanging = locked(&worker.1).take_if(|(_, since)| since.elapsed() > HANGS_AFTER);
            if let Some((case, since)) = hanging {
                locked(&done).push(Report {
                    case,
                    outcome: Outcome::at_fault(Fault::Hangs, String::new()),
                    seconds: since.elapsed().as_secs_f64(),
                });
                *worker = begin();
            }
        }
    }
    std::mem::take(&mut locked(&done))
}

fn locked<T>(of: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

fn worked(case: Case) -> Report {
    let since = Instant::now();
    let before = core_seconds();
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        examine(&make::text(case.kind, case.number))
    }));
    let outcome = outcome.unwrap_or_else(|panic| {
        let words = panic.downcast_ref::<String>().map(String::as_str);
        let words = words.or_else(|| panic.downcast_ref::<&str>().copied());
        Outcome::at_fault(Fault::Panic, words.unwrap_or_default().to_owned())
    });
    let on_the_clock = since.elapsed().as_secs_f64();
    let on_the_core = before.zip(core_seconds()).map(|(from, to)| to - from);
    Report {
        case,
        outcome,
        seconds: on_the_core.unwrap_or(on_the_clock),
    }
}

/// Seconds that this thread had a core for itself, where the system says so; others may be at work beside it.
fn core_seconds() -> Option<f64> {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let nanoseconds: f64 = told.split_whitespace().next()?.parse().ok()?;
    Some(1e-9 * nanoseconds)
}

/// The counts, what is at fault, and what is slow; the texts of those are written into the folder.
fn summary(reports: &[Report], folder: &Path) -> String {
    let mut counts: BTreeMap<Fault, usize> =
        Fault::ALL.into_iter().map(|fault| (fault, 0)).collect();
    let mut lines = Vec::new();
    for report in reports {
        let Report {
            case,
            outcome,
            seconds,
        } = report;
        let mut first_of: Vec<Fault> = Vec::new();
        for (fault, words) in &outcome.faults {
            if !first_of.contains(fault) {
                first_of.push(*fault);
                *counts.entry(*fault).or_default() += 1;
                lines.push(format!("{case}: {}: {words}", fault.name()));
            }
        }
        if *seconds > SLOW_SECONDS {
            lines.push(format!("{case}: slow: {seconds:.1} s"));
        }
        if *seconds > SLOW_SECONDS || !outcome.faults.is_empty() {
            keep(*case, folder);
        }
    }
    let faults: Vec<String> = (counts.iter())
        .map(|(fault, many)| format!("{many} {}", fault.name()))
        .collect();
    let slowest = reports.iter().map(|r| r.seconds).fold(0.0, f64::max);
    let by_kind: Vec<String> = ([Kind::Text, Kind::Supply].into_iter())
        .map(|kind| {
            let of_kind = || reports.iter().filter(|report| report.case.kind == kind);
            let accepted = of_kind().filter(|r| r.outcome.is_accepted).count();
            let without = of_kind().filter(|r| r.outcome.has_no_envelope).count();
            let all = of_kind().count();
            format!(
                "{}: {all} cases, {accepted} computed, {without} without an envelope, {} refused",
                kind.name(),
                all - accepted - without
            )
        })
        .collect();
    format!(
        "{}\n{}\n{} slower than {SLOW_SECONDS} s, the slowest {slowest:.2} s\n{}\ntexts in {}",
        by_kind.join("\n"),
        faults.join(", "),
        reports.iter().filter(|r| r.seconds > SLOW_SECONDS).count(),
        lines.join("\n"),
        folder.display(),
    )
}

fn keep(case: Case, folder: &Path) {
    let path = folder.join(format!("{}-{}.ron", case.kind.name(), case.number));
    let _as_good_as_it_gets = std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(path, make::text(case.kind, case.number)));
}
