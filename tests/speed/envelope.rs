//! How long one frame's answer takes, and what a general-purpose integrator needs for the same.
//!
//! The supplies are the demo (capacitor, choke, capacitor) and the same cut down to its first capacitor; every grid
//! begins with light load just entering conduction. The comparison marches the same circuit from switch-on with an
//! adaptive Runge–Kutta method (Dormand–Prince 5(4), crate `ode_solvers`) until it has settled to 0.05 % of the bus mean.

#![expect(
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a benchmark prints, and stops where its supplies are wrong"
)]

use std::hint::black_box;
use std::time::Instant;

use nalgebra::SVector;
use ode_solvers::dopri5::Dopri5;
use sagline::bench::change::{Variant, compare};
use sagline::bench::holding::holding;
use sagline::bench::load_line::load_line;
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::{read_checked, read_work};
use sagline::parts::{Dummy, SeriesElement, Supply, WindingVolts, Work};
use sagline::physics::Model;
use sagline::physics::envelope::{Counted, Envelope, margin_map};
use sagline::physics::steady_state::operate;
use sagline::physics::{Case, envelope};

fn demo() -> Supply {
    let (_, text) = presets()[0];
    read_checked(text, &Catalogue::built_in()).expect("the demo is a supply")
}

/// A preset with its loads.
fn preset(name: &str) -> Work {
    let (_, text) = presets()
        .iter()
        .find(|(n, _)| *n == name)
        .expect("a preset");
    read_work(text, &Catalogue::built_in()).expect("a supply")
}

/// The demo's three dummy loads.
fn dummies() -> Vec<Dummy> {
    preset(presets()[0].0).dummies
}

fn capacitor_input() -> Supply {
    let mut supply = demo();
    supply.filter.sections.clear();
    supply
}

/// A supply made ready, as it is from the frame before.
fn ready(supply: &Supply) -> Model {
    Model::of(supply).expect("a supply")
}

/// Everything that one frame shows: envelope at three mains with all limits, the point, three dummies.
fn frame(supply: &Supply, dummies: &[Dummy], last: &Model) -> usize {
    let model = last.changed(supply).expect("a supply");
    let envelope = envelope(&model).expect("an envelope");
    let lines = dummies
        .iter()
        .map(|d| load_line(&envelope, d))
        .map(|l| l.stretches.len())
        .sum::<usize>();
    let point = envelope.point(&model, 0.04, 300.0).expect("a point");
    lines + point.uses.len() + envelope.region.len()
}

#[divan::bench(sample_count = 200)]
fn frame_capacitor_input(bencher: divan::Bencher<'_, '_>) {
    let (supply, dummies) = (capacitor_input(), dummies());
    let last = ready(&supply);
    bencher.bench_local(|| frame(black_box(&supply), &dummies, &last));
}

#[divan::bench(sample_count = 200)]
fn frame_capacitor_choke_capacitor(bencher: divan::Bencher<'_, '_>) {
    let (supply, dummies) = (demo(), dummies());
    let last = ready(&supply);
    bencher.bench_local(|| frame(black_box(&supply), &dummies, &last));
}

#[divan::bench(sample_count = 100, args = ["choke-input.ron", "half-wave.ron", "silicon-bridge.ron", "small-fixed-range.ron"])]
fn frame_of_preset(bencher: divan::Bencher<'_, '_>, name: &str) {
    let work = preset(name);
    let last = ready(&work.supply);
    bencher.bench_local(|| frame(black_box(&work.supply), &work.dummies, &last));
}

/// What one frame computes while a capacitor is dragged with three ghosts kept, their changes listed and the margin map
/// on; the ghosts' own envelopes were worked out when they were kept. To stay within 8 ms.
#[divan::bench(sample_count = 200)]
fn frame_with_three_ghosts_and_the_margin_map(bencher: divan::Bencher<'_, '_>) {
    let (supply, dummies) = (demo(), dummies());
    let ghosts: Vec<(Model, Envelope)> = [22e-6, 33e-6, 47e-6]
        .into_iter()
        .map(|farads| {
            let mut ghost = demo();
            if let Some(first) = &mut ghost.filter.input_capacitor {
                first.unit.0 = farads;
            }
            let ghost = ready(&ghost);
            let known = envelope(&ghost).expect("an envelope");
            (ghost, known)
        })
        .collect();
    let last = ready(&supply);
    bencher.bench_local(|| {
        let model = last.changed(black_box(&supply)).expect("a supply");
        let now = envelope(&model).expect("an envelope");
        let lines: Vec<_> = dummies.iter().map(|d| load_line(&now, d)).collect();
        let at =
            |model: &Model, known: &Envelope| known.point(model, 0.04, 300.0).expect("a point");
        let point = at(&model, &now);
        let points: Vec<_> = ghosts.iter().map(|(s, e)| at(s, e)).collect();
        let (ghost, known) = &ghosts[0];
        let before = Variant {
            model: ghost,
            envelope: known,
            point: &points[0],
            dummies: &dummies,
            load_lines: &lines,
        };
        let after = Variant {
            model: &model,
            envelope: &now,
            point: &point,
            dummies: &dummies,
            load_lines: &lines,
        };
        let changes = compare(&before, &after).limits.len();
        let map = margin_map(&now, &model);
        changes + map.grid(Counted::MovedByThePoint, &now.region, 28).len()
    });
}

/// What one frame computes while the point or a part is dragged with the regulation view open: the whole answer, and how the output
/// is held around the point. To stay within 8 ms.
#[divan::bench(sample_count = 200, args = ["school-laboratory.ron", "choke-input.ron", "small-fixed-range.ron"])]
fn frame_with_the_regulation_view(bencher: divan::Bencher<'_, '_>, name: &str) {
    let Work {
        supply, dummies, ..
    } = preset(name);
    let last = ready(&supply);
    bencher.bench_local(|| {
        let model = last.changed(black_box(&supply)).expect("a supply");
        let now = envelope(&model).expect("an envelope");
        let lines: Vec<_> = dummies.iter().map(|d| load_line(&now, d)).collect();
        let point = now.point(&model, 0.03, 225.0).expect("a point");
        let held = holding(&model, &now, [0.03, 225.0]).expect("a regulator");
        lines.len() + point.uses.len() + held.over_amps.len() + held.over_volts.len()
    });
}

/// How the output is held around a point, the envelope being known.
#[divan::bench(sample_count = 200)]
fn the_regulation_view_alone(bencher: divan::Bencher<'_, '_>) {
    let supply = demo();
    let model = ready(&supply);
    let known = envelope(&model).expect("an envelope");
    bencher.bench_local(|| holding(black_box(&model), &known, [0.03, 200.0]).expect("a regulator"));
}

#[divan::bench]
fn one_steady_state(bencher: divan::Bencher<'_, '_>) {
    let raw = demo().raw();
    bencher.bench_local(|| operate(black_box(&raw), Case::Present, 0.1));
}

/// The demo's circuit as an ODE for a general-purpose integrator: first capacitor, choke, bus, and the bus integrated.
struct Circuit {
    peak_volts: f64,
    angular_frequency: f64,
    ohms: f64,
    /// V per A^(2/3).
    device: f64,
    first_farads: f64,
    balancing_ohms: [f64; 2],
    choke: (f64, f64),
    bus_farads: f64,
    bleeder_ohms: f64,
    amps: f64,
}

impl Circuit {
    fn of(supply: &Supply, output_amps: f64) -> Self {
        let mains = supply.mains.present.0;
        let transformer = &supply.transformer;
        let WindingVolts::OpenCircuit(winding) = transformer.winding else {
            panic!("open-circuit volts")
        };
        let ratio = winding.higher().0 / transformer.primary_volts.0;
        let emf =
            ratio * (mains - transformer.primary_resistance.0 * transformer.auxiliary.0 / mains);
        let sagline::parts::RectifierLaw::Vacuum { drop, at } = &supply.rectifier.kind.law else {
            panic!("a vacuum rectifier")
        };
        let first = supply
            .filter
            .input_capacitor
            .as_ref()
            .expect("capacitor input");
        let section = supply.filter.sections.first().expect("a section");
        let SeriesElement::Choke {
            inductance,
            resistance,
            ..
        } = &section.series
        else {
            panic!("a choke")
        };
        Self {
            peak_volts: std::f64::consts::SQRT_2 * emf,
            angular_frequency: std::f64::consts::TAU * supply.mains.frequency.0,
            ohms: transformer.secondary_resistance.0
                + ratio * ratio * transformer.primary_resistance.0,
            device: drop.value.0 / at.0.powf(2.0 / 3.0),
            first_farads: first.farads(),
            balancing_ohms: [first.balancing_ohms(), section.capacitor.balancing_ohms()],
            choke: (inductance.0, resistance.0),
            bus_farads: section.capacitor.farads(),
            bleeder_ohms: supply.filter.bleeder.map_or(f64::INFINITY, |r| r.0),
            amps: output_amps + supply.filter.internal_current.0,
        }
    }

    fn rectifier_amps(&self, volts: f64) -> f64 {
        if volts <= 0.0 {
            return 0.0;
        }
        let mut u = (volts / self.device).sqrt();
        for _ in 0..20 {
            let step = (u * u * (self.ohms * u + self.device) - volts)
                / (u * (3.0 * self.ohms * u + 2.0 * self.device));
            u -= step;
            if step.abs() < 1e-9 * u {
                break;
            }
        }
        u * u * u
    }
}

impl ode_solvers::System<f64, SVector<f64, 4>> for &Circuit {
    fn system(&self, time: f64, y: &SVector<f64, 4>, dy: &mut SVector<f64, 4>) {
        let emf = (self.peak_volts * (self.angular_frequency * time).sin()).abs();
        dy[0] = (self.rectifier_amps(emf - y[0]) - y[1] - y[0] / self.balancing_ohms[0])
            / self.first_farads;
        dy[1] = (y[0] - y[2] - self.choke.1 * y[1]) / self.choke.0;
        dy[2] = (y[1] - self.amps - y[2] / self.bleeder_ohms - y[2] / self.balancing_ohms[1])
            / self.bus_farads;
        dy[3] = y[2];
    }
}

/// Marches from switch-on until the means of the last 24 half cycles (two swings of choke and bus) lie within 0.05 %, and
/// returns half cycles and mean. Steps are short enough to see the
/// rectifier's peak to 0.3 %.
fn march(circuit: &Circuit) -> (u32, f64) {
    let period = std::f64::consts::PI / circuit.angular_frequency;
    let mut y = SVector::<f64, 4>::zeros();
    let mut means: Vec<f64> = Vec::new();
    for half_cycle in 1..2_000 {
        y[3] = 0.0;
        let start = f64::from(half_cycle - 1) * period;
        let mut solver = Dopri5::from_param(
            circuit,
            start,
            start + period,
            period,
            y,
            1e-6,
            1e-6,
            0.9,
            0.04,
            0.2,
            10.0,
            period / 80.0,
            0.0,
            100_000,
            1000,
            ode_solvers::dop_shared::OutputType::Sparse,
        );
        solver.integrate().expect("the integrator finishes");
        y = *solver.y_out().last().expect("an end");
        let mean = y[3] / period;
        means.push(mean);
        let last = &means[means.len().saturating_sub(24)..];
        let spread = last
            .iter()
            .map(|m| (m / mean - 1.0).abs())
            .fold(0.0, f64::max);
        if last.len() == 24 && spread < 5e-4 {
            return (half_cycle, mean);
        }
    }
    panic!("not settled");
}

/// Seconds that one run takes, the mean of several.
fn time_of(count: u32, run: &dyn Fn()) -> f64 {
    let start = Instant::now();
    (0..count).for_each(|_| run());
    start.elapsed().as_secs_f64() / f64::from(count)
}

fn main() {
    divan::main();
    let supply = demo();
    let (raw, model) = (supply.raw(), ready(&supply));
    println!(
        "\none steady state against a general-purpose integrator, same circuit, to 0.05 % of the bus mean"
    );
    for amps in [0.0, 0.03, 0.1] {
        let converged = operate(&supply.raw(), Case::Present, amps)
            .expect("an operation")
            .bus
            .mean_volts;
        let circuit = Circuit::of(&supply, amps);
        let ours = time_of(200, &|| {
            black_box(operate(black_box(&raw), Case::Present, amps)).ok();
        });
        let (half_cycles, mean) = march(&circuit);
        let theirs = time_of(3, &|| {
            black_box(march(black_box(&circuit)));
        });
        println!(
            "  {:3.0} mA: ours {:.1} µs from nothing   marched {half_cycles} half cycles, {:+.3} % off, {:.0} µs   ratio {:.0}",
            1e3 * amps,
            1e6 * ours,
            100.0 * (mean / converged - 1.0),
            1e6 * theirs,
            theirs / ours
        );
    }
    let columns = envelope(&model).expect("an envelope");
    let points = columns
        .columns
        .iter()
        .map(|c| c.operations.len())
        .sum::<usize>();
    let periods = columns
        .columns
        .iter()
        .flat_map(|c| &c.operations)
        .map(|o| o.periods)
        .sum::<u32>();
    let whole = (0..20).map(|_| {
        let start = Instant::now();
        black_box(envelope(black_box(&model))).ok();
        start.elapsed().as_secs_f64()
    });
    let best = whole.fold(f64::INFINITY, f64::min);
    println!(
        "  envelope of the demo: {points} points, {periods} periods computed, in {:.2} ms, {:.1} µs a point with everything",
        1e3 * best,
        1e6 * best / points as f64
    );
    let currents: Vec<f64> = columns.amps.clone();
    let marched = time_of(1, &|| {
        for amps in currents.iter().step_by(8) {
            black_box(march(&Circuit::of(&supply, *amps)));
        }
    }) / (currents.len().div_ceil(8)) as f64;
    let column = time_of(20, &|| {
        black_box(sagline::physics::steady_state::operate_many(
            &supply.raw(),
            Case::Present,
            &currents,
        ))
        .ok();
    }) / currents.len() as f64;
    println!(
        "  over the grid of currents: ours {:.1} µs a point, marched {:.0} µs a point, ratio {:.0}",
        1e6 * column,
        1e6 * marched,
        marched / column
    );
}
