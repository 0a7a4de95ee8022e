//! The window and the terminal commands: the only layer with a toolkit, a disk, threads and a clock.
//!
//! From left to right, each may use what stands before it: `work` is what is open and how it changes, `disk` where it
//! lives, `answers` what was computed, `theme`, `widgets`, `plots`, `export` and `panels` how it looks, `window` and
//! `terminal` what the user meets.

mod answers;
mod disk;
pub mod export;
mod panels;
pub(crate) mod plots;
pub mod terminal;
pub(crate) mod theme;
mod widgets;
mod window;
mod work;

pub use disk::settings;
pub use window::App;
pub use window::launch::{WindowError, run_window};
