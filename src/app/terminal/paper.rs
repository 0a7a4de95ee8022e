//! The envelope as a picture file.

use crate::app::terminal::PictureArguments;
use crate::app::terminal::input::Complaint;
use crate::parts::Supply;

/// Draws and writes it.
///
/// # Errors
/// If the supply has no envelope, the picture cannot be drawn, or the file cannot be written.
pub(super) fn draw(_supply: &Supply, wanted: &PictureArguments) -> Result<(), Complaint> {
    Err(Complaint::about(&wanted.output, &"not written yet"))
}
