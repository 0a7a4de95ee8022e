//! The window.

pub mod export;
pub(crate) mod plots;
pub(crate) mod theme;
