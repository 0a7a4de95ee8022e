//! The envelope as a picture file: `sagline picture`.

use crate::app::export::picture::{PictureOptions, Subject, picture, png};
use crate::app::files;
use crate::app::terminal::input::Complaint;
use crate::app::terminal::{Paper, PictureArguments};
use crate::parts::Supply;
use crate::physics::envelope::envelope;

/// Draws and writes it.
///
/// # Errors
/// If the supply has no envelope, the picture cannot be drawn, or the file cannot be written.
pub(super) fn draw(supply: &Supply, wanted: &PictureArguments) -> Result<(), Complaint> {
    let envelope = envelope(supply).map_err(|failure| Complaint::about(&wanted.file, &failure))?;
    let subject = Subject {
        supply,
        envelope: &envelope,
        point: None,
        selected_load: None,
    };
    let options = PictureOptions {
        width: wanted.width,
        height: wanted.height,
        scale: wanted.scale,
        theme: match wanted.theme {
            Paper::Light => egui::Theme::Light,
            Paper::Dark => egui::Theme::Dark,
        },
    };
    let bytes = picture(subject, options)
        .and_then(|drawn| png(&drawn))
        .map_err(|error| Complaint::about(&wanted.output, &error))?;
    files::write_bytes(&wanted.output, &bytes).map_err(|error| Complaint(error.to_string()))
}
