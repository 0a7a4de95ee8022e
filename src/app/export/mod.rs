//! What leaves the window: pictures drawn without a display, and curves as tables.

pub mod card;
pub mod curves;
pub(crate) mod day;
pub mod drawing;
pub mod lettering;
pub(crate) mod page;
pub mod pdf;
pub mod picture;
pub mod picture_file;
pub mod raster;
pub mod svg;
pub mod view;
