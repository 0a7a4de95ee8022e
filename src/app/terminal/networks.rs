//! What of the drawer makes a load for a point or for so many ohms, and which few loads show the envelope: `sagline networks`.

use crate::app::disk::drawer::{KeptDrawer, read_any};
use crate::app::disk::settings::Folders;
use crate::app::terminal::NetworksArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers;
use crate::bench::networks::{USUAL_MARGIN, Wanted, networks};
use crate::bench::showing::showing;
use crate::explain::networks as words;
use crate::parts::Drawer;
use crate::parts::escape::escaped_lines;
use crate::physics::envelope::envelope;
use crate::physics::{Failure, Model};

/// The text for a supply and a drawer.
///
/// # Errors
/// If the drawer cannot be read or no load leads to the point, and where the loads that show the envelope are asked for, if the parts
/// give none.
pub(super) fn print(wanted: &NetworksArguments, opened: &Opened) -> Result<String, Complaint> {
    let drawer = drawer(wanted)?;
    let asked = asked(wanted)?;
    let found = asked.map(|asked| (asked, networks(&drawer, asked, USUAL_MARGIN)));
    let shows = if asked.is_none() {
        let about = |failure: Failure| opened.fails(&failure);
        let model = Model::of(&opened.work.supply).map_err(about)?;
        let envelope = envelope(&model).map_err(about)?;
        Some(showing(&envelope, &drawer, USUAL_MARGIN))
    } else {
        None
    };
    if wanted.json {
        return Ok(numbers::networks(
            &opened.work.name,
            &drawer,
            found.as_ref(),
            shows.as_deref(),
        ));
    }
    let mut text = String::new();
    if let Some((asked, found)) = &found {
        text.push_str(&words::text(found, *asked, &drawer, USUAL_MARGIN));
    }
    if let Some(shows) = &shows {
        if drawer.resistors.is_empty() {
            text.push_str(words::EMPTY);
            text.push('\n');
        } else {
            text.push_str(&words::showing_text(shows));
        }
        text.push_str(words::CAUTION);
        text.push('\n');
    }
    Ok(escaped_lines(&text))
}

/// The drawer that is named, else that of the user.
fn drawer(wanted: &NetworksArguments) -> Result<Drawer, Complaint> {
    let Some(path) = &wanted.drawer else {
        let (_, drawer, faults) = KeptDrawer::load(&Folders::of_system());
        return if faults.is_empty() {
            Ok(drawer)
        } else {
            Err(Complaint(faults.join("\nsagline: ")))
        };
    };
    read_any(path).map_err(|faults| Complaint(faults.join("\nsagline: ")))
}

/// What is wanted of it; none where it is asked which loads show the envelope.
fn asked(wanted: &NetworksArguments) -> Result<Option<Wanted>, Complaint> {
    match (&wanted.at, &wanted.ohms) {
        (Some(at), _) => {
            let asked = Wanted::at([at.amps.0, at.volts.0]);
            let none = || {
                Complaint(format!(
                    "--at: found {} at {}, expected a current and volts above zero: no load leads there",
                    at.volts, at.amps
                ))
            };
            asked.ok_or_else(none).map(Some)
        }
        (None, Some(ohms)) if ohms.0 > 0.0 => Ok(Some(Wanted {
            ohms: ohms.0,
            volts: wanted
                .volts
                .map(|volts| volts.0)
                .filter(|volts| *volts > 0.0),
        })),
        (None, Some(ohms)) => Err(Complaint(format!(
            "--ohms: found {ohms}, expected a resistance above zero"
        ))),
        (None, None) => Ok(None),
    }
}
