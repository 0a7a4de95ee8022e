//! Answers that take longer than a frame: what stays on the screen meanwhile, and what comes in the end.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::App;
use sagline::app::settings::Folders;
use sagline::parts::Volts;

use crate::{click, window, window_of, window_on, words};

const SIZE: [f32; 2] = [1440.0, 900.0];
const CALCULATING: &str = "Calculating …";
const OF_SUPPLY_BEFORE: &str = "what follows is of the supply before";
const OF_POINT_BEFORE: &str = "what follows is of the point before";
const VERDICT: &str = "Moves with the point, the tightest first";

/// The supplies whose envelopes take longest.
const SLOW: [&str; 3] = ["slow-2277", "slow-2646", "slow-85"];

fn slow(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/files/hard");
    folder.join(name).with_extension("ron")
}

/// A window whose frames wait so long for answers.
fn waiting(patience: Duration, file: Option<PathBuf>) -> Harness<'static, App> {
    let open = move || {
        let app = App::open(file, Folders::default()).expect("the demo supply");
        app.with_patience(patience)
    };
    window_on(open, SIZE)
}

/// The program as it is.
fn as_it_is(file: Option<PathBuf>) -> Harness<'static, App> {
    let open = move || App::open(file, Folders::default()).expect("the demo supply");
    window_on(open, SIZE)
}

fn mains_to(h: &Harness<'_, App>, volts: f64) {
    h.get_by_role_and_label(egui::Role::Slider, "Mains now")
        .set_value_accesskit(volts);
}

fn plot_value(h: &Harness<'_, App>) -> String {
    let plots = h.query_all_by_role(egui::Role::GraphicsObject);
    plots
        .filter_map(|node| node.accesskit_node().value())
        .collect()
}

/// What is worked out is held back, or comes again.
fn hold(h: &Harness<'_, App>) {
    h.state().hold().store(true, Ordering::Relaxed);
}

fn release(h: &Harness<'_, App>) {
    h.state().hold().store(false, Ordering::Relaxed);
}

/// Draws frames until nothing is being worked out any more.
fn settle(h: &mut Harness<'_, App>) {
    let since = Instant::now();
    loop {
        h.run();
        if !words(h).contains(CALCULATING) && !plot_value(h).contains(CALCULATING) {
            return;
        }
        assert!(since.elapsed() < Duration::from_mins(3), "{}", words(h));
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// The demo supply, of which no frame waits for an answer.
fn impatient() -> Harness<'static, App> {
    let mut h = waiting(Duration::ZERO, None);
    settle(&mut h);
    h
}

#[test]
fn the_first_picture_comes_when_it_is_worked_out_and_then_nothing_is_drawn() {
    let open = || {
        let app = App::open(None, Folders::default()).expect("the demo supply");
        app.hold().store(true, Ordering::Relaxed);
        app
    };
    let mut h = window_on(open, SIZE);
    let said = words(&h);
    assert!(said.contains(CALCULATING), "{said}");
    assert!(!said.contains(VERDICT), "{said}");
    assert!(!h.ctx.has_requested_repaint(), "idle while it waits");
    release(&h);
    settle(&mut h);
    let said = words(&h);
    assert!(said.contains(VERDICT), "{said}");
    assert_eq!(said, words(&window()));
    h.run();
    assert!(!h.ctx.has_requested_repaint());
}

#[test]
fn the_end_of_a_job_wakes_the_window() {
    let mut h = impatient();
    hold(&h);
    mains_to(&h, 122.0);
    h.run();
    let woken = Arc::new(AtomicBool::new(false));
    let wake = Arc::clone(&woken);
    h.ctx.set_request_repaint_callback(move |info| {
        if info.delay.is_zero() {
            wake.store(true, Ordering::Relaxed);
        }
    });
    std::thread::sleep(Duration::from_millis(50));
    assert!(!woken.load(Ordering::Relaxed), "while it is held");
    release(&h);
    let since = Instant::now();
    while !woken.load(Ordering::Relaxed) {
        assert!(since.elapsed() < Duration::from_mins(1), "it sleeps on");
        std::thread::sleep(Duration::from_millis(5));
    }
    h.run();
    assert!(!words(&h).contains(CALCULATING));
}

#[test]
fn the_picture_before_stays_and_says_that_it_is_of_before() {
    let mut h = impatient();
    hold(&h);
    mains_to(&h, 122.0);
    h.run();
    assert_eq!(h.state().supply().mains.present, Volts(122.0));
    let said = words(&h);
    assert!(said.contains(OF_SUPPLY_BEFORE), "{said}");
    assert!(said.contains(VERDICT), "{said}");
    assert!(plot_value(&h).contains(CALCULATING), "{}", plot_value(&h));
    release(&h);
    settle(&mut h);
    let mut straight = window();
    mains_to(&straight, 122.0);
    straight.run();
    assert_eq!(words(&h), words(&straight));
}

#[test]
fn of_a_slider_that_moves_on_meanwhile_the_last_place_wins() {
    let mut h = impatient();
    hold(&h);
    for volts in [116.0, 124.0, 117.0] {
        mains_to(&h, volts);
        h.run();
        assert!(words(&h).contains(OF_SUPPLY_BEFORE), "{volts} V");
    }
    release(&h);
    settle(&mut h);
    let mut straight = window();
    mains_to(&straight, 117.0);
    straight.run();
    assert_eq!(words(&h), words(&straight));
    assert_eq!(plot_value(&h), plot_value(&straight));
}

#[test]
fn undo_comes_back_to_what_is_known_and_nothing_later_takes_its_place() {
    let mut h = impatient();
    let (before, value) = (words(&h), plot_value(&h));
    hold(&h);
    mains_to(&h, 126.0);
    h.run();
    assert!(words(&h).contains(OF_SUPPLY_BEFORE));
    click(&mut h, "Undo");
    assert_eq!(plot_value(&h), value, "it was never forgotten");
    release(&h);
    // What was begun for the other mains comes to its end unheeded.
    for _ in 0..20 {
        assert_eq!(words(&h), before);
        assert_eq!(plot_value(&h), value);
        std::thread::sleep(Duration::from_millis(20));
        h.step();
    }
}

#[test]
fn another_file_never_shows_the_answers_of_the_one_before() {
    let choke_input = |h: &mut Harness<'_, App>| {
        click(h, "Menu");
        click(h, "Presets");
        click(h, "Choke-input supply 250 V / 200 mA");
    };
    let mut straight = window();
    choke_input(&mut straight);
    let value = plot_value(&straight);
    let mut h = impatient();
    let before = plot_value(&h);
    assert_ne!(before, value);
    hold(&h);
    choke_input(&mut h);
    assert!(words(&h).contains(OF_SUPPLY_BEFORE), "{}", words(&h));
    release(&h);
    let since = Instant::now();
    while plot_value(&h) != value {
        let now = plot_value(&h);
        assert!(now.contains(CALCULATING), "{now}");
        assert!(since.elapsed() < Duration::from_mins(1), "{now}");
        std::thread::sleep(Duration::from_millis(5));
        h.step();
    }
    h.run();
    assert_eq!(words(&h), words(&straight));
}

#[test]
fn a_point_that_takes_long_is_followed_by_its_verdict() {
    let mut h = impatient();
    hold(&h);
    crate::type_in(&mut h, "Output volts", "140", egui::Key::Tab);
    let said = words(&h);
    assert!(said.contains(OF_POINT_BEFORE), "{said}");
    assert!(!said.contains(OF_SUPPLY_BEFORE), "{said}");
    assert!(plot_value(&h).starts_with("140 V"), "{}", plot_value(&h));
    release(&h);
    settle(&mut h);
    let said = words(&h);
    assert!(!said.contains(OF_POINT_BEFORE), "{said}");
    assert!(plot_value(&h).contains("140 V"), "{}", plot_value(&h));
}

#[test]
fn what_leaves_the_window_waits_for_the_answer() {
    let table = |h: &mut Harness<'_, App>| {
        h.get_by_role_and_label(egui::Role::Button, "Copy table")
            .click();
        let since = Instant::now();
        loop {
            h.step();
            let commands = h.output().platform_output.commands.clone();
            let text = commands.into_iter().find_map(|command| match command {
                egui::OutputCommand::CopyText(text) => Some(text),
                _ => None,
            });
            if let Some(text) = text {
                return text;
            }
            assert!(since.elapsed() < Duration::from_mins(1), "no text");
        }
    };
    let mut straight = window();
    click(&mut straight, "Menu");
    click(&mut straight, "Export");
    let before = table(&mut straight);
    mains_to(&straight, 126.0);
    straight.run();
    click(&mut straight, "Menu");
    click(&mut straight, "Export");
    let after = table(&mut straight);
    assert_ne!(before, after);

    let mut h = impatient();
    hold(&h);
    mains_to(&h, 126.0);
    h.run();
    assert!(words(&h).contains(OF_SUPPLY_BEFORE));
    click(&mut h, "Menu");
    click(&mut h, "Export");
    let held = h.state().hold();
    let later = std::thread::spawn(move || {
        std::thread::sleep(Duration::from_millis(300));
        held.store(false, Ordering::Relaxed);
    });
    assert_eq!(table(&mut h), after);
    later.join().expect("released");
}

/// A drag of the mains at 60 frames a second and back: no frame waits for an envelope. Prints what the frames took.
#[test]
fn no_frame_of_a_drag_waits_for_a_slow_envelope() {
    for name in SLOW {
        let since = Instant::now();
        let straight = window_of(Some(slow(name)), Folders::default(), SIZE);
        let alone = since.elapsed();
        drop(straight);
        let mut h = as_it_is(Some(slow(name)));
        let since = Instant::now();
        settle(&mut h);
        let came_after = since.elapsed();
        let mains = h.state().supply().mains.clone();
        let mut frames = Vec::new();
        let mut pictures = 0;
        let mut last = plot_value(&h);
        for k in 0..90_u8 {
            let share = 1.0 - (f64::from(k) / 45.0 - 1.0).abs();
            mains_to(&h, mains.low.0 + share * (mains.high.0 - mains.low.0));
            let since = Instant::now();
            h.step();
            frames.push(since.elapsed());
            let now = plot_value(&h);
            pictures += usize::from(now != last);
            last = now;
            std::thread::sleep(Duration::from_millis(16).saturating_sub(since.elapsed()));
        }
        frames.sort();
        let (largest, middle) = (frames[frames.len() - 1], frames[frames.len() / 2]);
        println!(
            "{name}: window with its picture {alone:?}, picture after {came_after:?}; {} frames: largest {largest:?}, median {middle:?}; words changed {pictures} times",
            frames.len()
        );
        // Far from what an envelope takes, whatever else the machine does.
        assert!(
            largest < alone / 2,
            "{name}: a frame took {largest:?} where all takes {alone:?}"
        );
        settle(&mut h);
    }
}
