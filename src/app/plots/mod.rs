//! The plots: each draws what physics and bench have worked out, and says what the user did to it.

pub(crate) mod below;
pub(crate) mod cycle;
pub(crate) mod discharge;
pub(crate) mod energy;
pub(crate) mod envelope;
pub(crate) mod geometry;
pub(crate) mod labels;
pub(crate) mod regulation;
pub(crate) mod switching;
