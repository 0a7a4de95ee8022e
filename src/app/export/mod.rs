//! What leaves the window: pictures drawn without a display.

pub mod picture;
pub mod raster;
