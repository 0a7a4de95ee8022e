//! Pictures of the plot, compared with the ones kept beside this file.
//!
//! They are drawn by the program's own picture code: no display, no graphics library, the same bytes on every run.
//! To accept new ones: `UPDATE_SNAPSHOTS=1 cargo test --test pictures`, then look at them.

mod renderer;
