//! Why, and what moves it: found by name, worked out beside the frames, and copied as a page.

use std::time::{Duration, Instant};

use egui_kittest::kittest::Queryable as _;

use crate::{click, window, words};

#[test]
fn what_moves_the_tightest_limit_is_said_once_it_is_worked_out() {
    let mut h = window();
    assert!(!words(&h).contains("What moves"), "closed at first");
    h.get_by_label("Why, and what moves it").scroll_to_me();
    h.run();
    h.get_by_label("Why, and what moves it").click();
    h.run();
    assert!(words(&h).contains("Going up"), "{}", words(&h));
    let since = Instant::now();
    while !words(&h).contains("What moves") && since.elapsed() < Duration::from_mins(1) {
        std::thread::sleep(Duration::from_millis(50));
        h.run();
    }
    let said = words(&h);
    assert!(said.contains("What moves"), "{said}");
    click(&mut h, "Copy worked page");
}
