//! How long switching on takes: one transient as a dragged closing shows it (a frame or two: 30 ms at most), and 10,000 switch-ons with
//! every fuse judged (2 s at most on two cores).

#![expect(
    clippy::unwrap_used,
    reason = "a benchmark that cannot read its preset has nothing to measure"
)]

use divan::{Bencher, black_box};
use sagline::bench::fuses::{AskedSurges, Before, InrushInput, USUAL, inrush, load_currents};
use sagline::parts::Work;
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read_work;
use sagline::parts::spread::inputs;
use sagline::physics::switch_on::{Closing, SwitchOn};
use sagline::physics::watch::Unwatched;
use sagline::physics::{Model, envelope};

const PRESETS: [&str; 3] = ["school", "choke-input", "silicon"];

fn main() {
    divan::main();
}

fn work(name: &str) -> Work {
    let (_, text) = presets()
        .iter()
        .find(|(file, _)| file.contains(name))
        .unwrap();
    read_work(text, &Catalogue::built_in()).unwrap()
}

#[divan::bench(args = PRESETS, sample_count = 20)]
fn one_transient(bencher: Bencher<'_, '_>, name: &str) {
    let work = work(name);
    let model = Model::of(&work.supply).unwrap();
    bencher.bench_local(|| {
        let on = SwitchOn::of(black_box(&model), &work.primary, 0.0).unwrap();
        on.transient(&Closing::cold(10.0, 0.4), 6).unwrap()
    });
}

#[divan::bench(args = PRESETS, sample_count = 3)]
fn ten_thousand_switch_ons(bencher: Bencher<'_, '_>, name: &str) {
    let work = work(name);
    let model = Model::of(&work.supply).unwrap();
    let envelope = envelope(&model).unwrap();
    let (inputs, currents) = (inputs(&work), load_currents(&envelope));
    let input = InrushInput {
        model: &model,
        primary: &work.primary,
        inputs: &inputs,
        currents: &currents,
        asked: AskedSurges {
            samples: USUAL,
            seed: 1,
            before: Before::Cold,
        },
    };
    bencher.bench_local(|| inrush(black_box(&input), &Unwatched).unwrap());
}
