//! The main job against what is published: closed forms, makers' typical operation rows, tube families.

mod closed_forms;
mod rectifier_rows;
mod supply;
mod tube_family;
