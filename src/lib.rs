//! Sagline works out what a high-voltage bench supply with a vacuum-tube series regulator can give.
//!
//! Reading the modules from top to bottom is the way of the answer; each may use only those above it:
//!
//! - [`parts`]: what the supply is;
//! - [`physics`]: what it does;
//! - [`bench`](mod@bench): what one does with it, dummy loads first;
//! - [`explain`]: results in words;
//! - [`app`]: the window and the terminal commands.

pub mod app;
pub mod bench;
pub mod explain;
pub mod parts;
pub mod physics;
