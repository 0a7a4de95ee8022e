//! How long a whole step of the window takes while a slider moves: every panel, the plot with three ghosts and the margin map, the
//! answers, and its meshes made ready for the graphics card. To stay within 12 ms.

#![expect(
    clippy::expect_used,
    reason = "a benchmark stops where its window is wrong"
)]

use std::hint::black_box;

use egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use sagline::app::App;
use sagline::app::settings::Folders;

/// A window of this size on the demo, with three variants kept in outline and the envelope shaded.
fn window(size: [f32; 2]) -> Harness<'static, App> {
    let mut h = Harness::builder().with_size(size).build_eframe(|frame| {
        let app = App::open(None, Folders::default()).expect("the demo");
        app.dress(&frame.egui_ctx);
        app
    });
    h.run();
    slider(&h).focus();
    h.run();
    for _ in 0..3 {
        h.key_press(Key::ArrowRight);
        h.run();
        h.key_press_modifiers(Modifiers::COMMAND, Key::G);
        h.run();
    }
    h.get_by_role_and_label(Role::CheckBox, "Shade by margin")
        .click();
    h.run();
    slider(&h).focus();
    h.run();
    h
}

fn slider<'h>(h: &'h Harness<'_, App>) -> egui_kittest::Node<'h> {
    h.get_by_role_and_label(Role::Slider, "Mains now")
}

#[divan::bench(sample_count = 100, args = [[1024, 700], [1440, 900], [1920, 1080]])]
fn a_step_with_three_ghosts_and_the_margin_map(bencher: divan::Bencher<'_, '_>, size: [u16; 2]) {
    let mut h = window(size.map(f32::from));
    let mut keys = [Key::ArrowRight, Key::ArrowLeft].into_iter().cycle();
    let before = h.state().supply().mains.present;
    bencher.bench_local(|| {
        h.key_press(keys.next().expect("a cycle"));
        h.step();
        let shapes = h.output().shapes.clone();
        black_box(h.ctx.tessellate(shapes, h.ctx.pixels_per_point()).len())
    });
    h.key_press(Key::ArrowRight);
    h.step();
    assert!(
        h.state().supply().mains.present != before,
        "the slider has the keyboard"
    );
}

/// The same step while the tolerance band is drawn anew behind it, all the time: it is to take no more.
#[divan::bench(sample_count = 100, args = [[1024, 700], [1440, 900], [1920, 1080]])]
fn a_step_beside_the_tolerance_band(bencher: divan::Bencher<'_, '_>, size: [u16; 2]) {
    let mut h = window(size.map(f32::from));
    h.get_by_role_and_label(Role::CheckBox, "Show the tolerance band")
        .click();
    h.run();
    slider(&h).focus();
    h.run();
    let mut keys = [Key::ArrowRight, Key::ArrowLeft].into_iter().cycle();
    bencher.bench_local(|| {
        h.key_press(keys.next().expect("a cycle"));
        h.step();
        let shapes = h.output().shapes.clone();
        black_box(h.ctx.tessellate(shapes, h.ctx.pixels_per_point()).len())
    });
}

fn main() {
    divan::main();
}
