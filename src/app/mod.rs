//! The window.

pub(crate) mod theme;
