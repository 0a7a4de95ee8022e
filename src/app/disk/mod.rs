//! What lives on the disk: supplies, settings, a user's own types, the recovery copy, and the dialogs that ask where.

pub(crate) mod dialogs;
pub(crate) mod drawer;
pub(crate) mod files;
pub(crate) mod own_types;
pub(crate) mod presets;
pub(crate) mod recovery;
pub mod settings;
