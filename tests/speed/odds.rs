//! How long bands and odds take: 2,000 supplies with all limits and the regulator, and the ranking of what to measure next. On two
//! cores 2,000 supplies should take 0.7 s and may take 1.5 s.

#![expect(
    clippy::unwrap_used,
    reason = "a benchmark that cannot read its preset has nothing to measure"
)]

use divan::{Bencher, black_box};
use sagline::bench::odds::{Asked, Question, USUAL_ROWS, corner, currents, middle, odds, rankings};
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read_work;
use sagline::parts::spread::inputs;
use sagline::physics::spread::Spreading;
use sagline::physics::{Model, envelope};

const PRESETS: [&str; 3] = ["school", "choke-input", "twin-triode"];

fn main() {
    divan::main();
}

/// A supply to be drawn from, with the currents and the point at which it is looked at.
fn spreading(name: &str) -> (Spreading, Vec<f64>, [f64; 2]) {
    let (_, text) = presets()
        .iter()
        .find(|(file, _)| file.contains(name))
        .unwrap();
    let work = read_work(text, &Catalogue::built_in()).unwrap();
    let model = Model::of(&work.supply).unwrap();
    let envelope = envelope(&model).unwrap();
    let at = middle(&envelope);
    let currents = currents(&envelope, at);
    (Spreading::of(&model, &inputs(&work)), currents, at)
}

#[divan::bench(args = PRESETS, sample_count = 5)]
fn two_thousand_supplies(bencher: Bencher<'_, '_>, name: &str) {
    let (spreading, currents, at) = spreading(name);
    let asked = Asked {
        at,
        samples: 2000,
        seed: 1,
    };
    bencher.bench_local(|| odds(black_box(&spreading), &currents, asked).unwrap());
}

#[divan::bench(args = PRESETS, sample_count = 5)]
fn worst_corner(bencher: Bencher<'_, '_>, name: &str) {
    let (spreading, _, at) = spreading(name);
    bencher.bench_local(|| corner(black_box(&spreading), Question::Dropout(at[0])).unwrap());
}

#[divan::bench(args = PRESETS, sample_count = 3)]
fn what_to_measure_next(bencher: Bencher<'_, '_>, name: &str) {
    let (spreading, _, at) = spreading(name);
    let dropout = Question::Dropout(at[0]);
    bencher.bench_local(|| rankings(black_box(&spreading), [dropout], [USUAL_ROWS, 1]).unwrap());
}
