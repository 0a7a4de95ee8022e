//! The main job against what is published: closed forms, makers' typical operation rows, tube families.

#![expect(
    clippy::unwrap_used,
    clippy::format_push_string,
    reason = "a test fails by panicking, and a report is built once"
)]

mod closed_forms;
mod copper;
mod fuses;
mod left_out;
mod mains_shape;
mod nasty_fits;
mod rail;
mod rail_on_winding;
mod rating_charts;
mod rectifier_circuit;
mod rectifier_rows;
mod regulator;
mod supply;
mod tube_family;
mod tube_fits;
