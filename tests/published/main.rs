//! The main job against what is published: closed forms, makers' typical operation rows, tube families.

mod rectifier_rows;
mod supply;
