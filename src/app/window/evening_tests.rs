//! Evenings of steady work, each ended by the program being killed: what is on the disk then, and what the next start makes
//! of it.
//!
//! `SAGLINE_KILLS=200 cargo test --lib evening -- --nocapture` kills more often and says how much was lost and what it cost.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Command as Program, Stdio};
use std::time::{Duration, Instant, SystemTime};

use super::*;
use crate::app::panels::notices::Offer;
use crate::app::work::command::Edit;
use crate::app::work::history::Change;
use crate::parts::file;

/// Set in the program that is killed: where it works.
const FOLDER: &str = "SAGLINE_EVENING_FOLDER";
/// How many kills.
const KILLS: &str = "SAGLINE_KILLS";
/// Evenings at a time; they wait more than they work.
const LANES: usize = 4;
/// A change that is older than this is on the disk (ms).
const SAFE_AFTER_MS: u64 = 1000;

/// Random numbers, the same in every run.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = self.0.wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }
}

fn now_ms() -> u64 {
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH);
    u64::try_from(since.expect("after 1970").as_millis()).expect("in this age")
}

fn supply_in(folder: &Path) -> PathBuf {
    folder.join("bench/mine.ron")
}

fn folders_in(folder: &Path) -> Folders {
    Folders {
        config: Some(folder.join("config")),
        recovery: Some(folder.join("recovery")),
    }
}

/// The number of the last change of this work.
fn number(work: &Work) -> u64 {
    let number = work.notes.strip_prefix("change ");
    number.and_then(|n| n.parse().ok()).unwrap_or(0)
}

/// The window as the next start finds it.
fn started(folder: &Path) -> App {
    App::open(Some(supply_in(folder)), folders_in(folder)).expect("the demo supply")
}

/// What is offered, with the number of its last change.
fn offered(app: &App) -> Vec<(usize, u64)> {
    let of = |(place, notice): (usize, &Notice)| match &notice.offer {
        Offer::Restore(found) => Some((place, number(&found.work))),
        _ => None,
    };
    app.notices.iter().enumerate().filter_map(of).collect()
}

/// Works until it is killed: a change every few hundredths of a second, saved now and then. Says each change when it is
/// made, and the longest that the copy ever took of a frame.
#[test]
#[ignore = "it works until it is killed, by the test below"]
fn works_until_it_is_killed() {
    let folder = PathBuf::from(std::env::var_os(FOLDER).expect("a folder"));
    let mut dice = Dice(u64::from(std::process::id()));
    let ctx = egui::Context::default();
    let mut app = started(&folder);
    // The latest of what was left; what is older is thrown away.
    while let Some((place, _)) = offered(&app).into_iter().min_by_key(|(_, n)| *n) {
        if offered(&app).len() > 1 {
            app.dismiss(place);
        } else {
            app.accept(place, &ctx);
        }
    }
    let since = Instant::now();
    let mut longest = Duration::ZERO;
    let mut out = std::io::stdout();
    for change in number(app.work()) + 1.. {
        let edit = Edit::Notes(format!("change {change}"));
        let step = Change {
            label: "Notes".to_owned(),
            control: None,
        };
        let moment = Moment {
            seconds: since.elapsed().as_secs_f64(),
            held: false,
        };
        app.ledger
            .apply(Command::Edit(Box::new(edit), step), moment);
        writeln!(
            out,
            "\nchange {change} {} {}",
            now_ms(),
            longest.as_micros()
        )
        .expect("heard");
        out.flush().expect("heard");
        for _ in 0..=dice.roll(3) {
            let input = egui::RawInput {
                time: Some(since.elapsed().as_secs_f64()),
                ..egui::RawInput::default()
            };
            let mut drawn = ctx.run_ui(input, |ui| {
                let began = Instant::now();
                app.keep_recovery(ui.ctx());
                longest = longest.max(began.elapsed());
            });
            drawn.textures_delta.clear();
            assert!(
                app.notices.iter().all(|n| n.offer != Offer::None),
                "{:?}",
                app.notices
            );
            std::thread::sleep(Duration::from_millis(3 + dice.roll(14)));
        }
        if dice.roll(60) == 0 {
            app.write(&supply_in(&folder)).expect("saved");
        }
    }
}

/// What came of the kills.
#[derive(Debug, Default)]
struct Toll {
    kills: u64,
    /// Kills after which the very last change was not there.
    short_of_the_last: u64,
    /// The oldest change that was ever lost (ms before the kill).
    oldest_lost_ms: u64,
    /// The longest that the copy took of a frame (µs).
    longest_us: u64,
}

/// Works on in this folder for a while and is killed; then looks at what is there.
fn an_evening(folder: &Path, dice: &mut Dice, toll: &mut Toll) {
    let mut program = Program::new(std::env::current_exe().expect("this program"))
        .args([
            "--exact",
            "app::window::evening_tests::works_until_it_is_killed",
        ])
        .args(["--ignored", "--nocapture"])
        .env(FOLDER, folder)
        .env("RUST_BACKTRACE", "0")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("started");
    let mut said = BufReader::new(program.stdout.take().expect("a pipe"));
    let mut lines = String::new();
    while !lines.contains("\nchange ") {
        let read = said.read_line(&mut lines).expect("text");
        assert!(read > 0, "it ended by itself:\n{lines}");
    }
    std::thread::sleep(Duration::from_millis(dice.roll(1900)));
    let killed_ms = now_ms();
    program.kill().expect("killed");
    said.read_to_string(&mut lines).expect("text");
    let mut complaints = String::new();
    let mut errors = program.stderr.take().expect("a pipe");
    errors.read_to_string(&mut complaints).expect("text");
    program.wait().expect("ended");
    assert!(!complaints.contains("panicked"), "{complaints}");

    let changes: Vec<[u64; 3]> = lines
        .lines()
        .filter_map(|line| line.strip_prefix("change "))
        .filter_map(|line| {
            let numbers = line.split(' ').map_while(|n| n.parse().ok());
            numbers.collect::<Vec<u64>>().try_into().ok()
        })
        .collect();
    let app = started(folder);
    // The file is whole, so are the copies, and nothing lies beside the file.
    assert_eq!(
        app.ledger.document().origin.path,
        Some(supply_in(folder)),
        "{:?}",
        app.notices
    );
    let faults = app.notices.iter().filter(|n| n.offer == Offer::None);
    assert_eq!(faults.collect::<Vec<_>>(), Vec::<&Notice>::new());
    let beside = files::all_in(&folder.join("bench"));
    assert_eq!(beside, [supply_in(folder)]);
    let copies = offered(&app).into_iter().map(|(_, n)| n);
    let kept = copies.max().unwrap_or(0).max(number(app.work()));
    let lost = changes.iter().find(|[n, ..]| *n > kept);
    let age = lost.map_or(0, |[_, at, _]| killed_ms.saturating_sub(*at));
    assert!(
        age <= SAFE_AFTER_MS,
        "a change {age} ms old was lost:\n{lines}"
    );
    toll.kills += 1;
    toll.short_of_the_last += u64::from(lost.is_some());
    toll.oldest_lost_ms = toll.oldest_lost_ms.max(age);
    let longest = changes.iter().map(|[.., longest]| *longest).max();
    toll.longest_us = toll.longest_us.max(longest.unwrap_or(0));
}

#[test]
fn of_an_evening_no_change_older_than_a_second_is_lost_by_a_kill() {
    let kills = std::env::var(KILLS).ok().and_then(|n| n.parse().ok());
    let each = kills.unwrap_or(20_usize).div_ceil(LANES);
    let lane = |seed: usize| {
        let folder = tempfile::tempdir().expect("a folder");
        files::make_folder(&folder.path().join("bench")).expect("made");
        let catalogue = Catalogue::built_in();
        let demo = presets::demo(&catalogue).expect("the demo supply");
        let text = file::write(&demo, &catalogue);
        files::write_text(&supply_in(folder.path()), &text).expect("written");
        // Caution and tour were seen: what is said otherwise is a fault.
        let settings = Settings {
            caution_read: true,
            tour_offered: true,
            ..Settings::default()
        };
        settings.save(&folders_in(folder.path())).expect("saved");
        let (mut dice, mut toll) = (Dice(seed as u64 + 1), Toll::default());
        for _ in 0..each {
            an_evening(folder.path(), &mut dice, &mut toll);
        }
        toll
    };
    let tolls: Vec<Toll> = std::thread::scope(|scope| {
        let lanes: Vec<_> = (0..LANES)
            .map(|seed| scope.spawn(move || lane(seed)))
            .collect();
        (lanes.into_iter())
            .map(|lane| lane.join().expect("no change was lost"))
            .collect()
    });
    println!("{tolls:#?}");
}
