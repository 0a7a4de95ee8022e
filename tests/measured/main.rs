//! The laws of tubes against measured ones: fitted to part of a tube's points, held against the rest.

#![expect(
    clippy::unwrap_used,
    clippy::format_push_string,
    reason = "a test fails by panicking, and a report is built once"
)]

mod pentode;
mod points;
mod triodes;
