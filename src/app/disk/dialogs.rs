//! File dialogs that do not freeze the window: a named thread asks, a channel brings the answer, `logic` collects it.
//!
//! Where no dialog can be had (no session bus with a portal, no helper program) a field opens to type the path in. Where
//! there is a bus but nothing on it that shows dialogs, the toolkit answers as if it were cancelled, at once; nobody
//! cancels that fast, so such an answer opens the field as well.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// An empty answer within this time came from no human.
const TOO_FAST: Duration = Duration::from_millis(400);

/// What the path is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Purpose {
    /// To open a file.
    Open,
    /// To save in a file.
    Save,
    /// To write the curves to a file.
    Curves,
    /// To write the worked page to a file.
    Page,
    /// To write the drawer as a table to a file.
    Drawer,
    /// To write a picture to a file.
    Picture,
}

impl Purpose {
    /// The end of such a file's name.
    pub(crate) fn end(self) -> &'static str {
        match self {
            Self::Open | Self::Save => "ron",
            Self::Curves | Self::Drawer => "csv",
            Self::Page => "md",
            Self::Picture => "png",
        }
    }
}

/// A dialog that is open.
#[derive(Debug)]
pub(crate) struct Dialog {
    /// What it asks for.
    pub(crate) purpose: Purpose,
    answer: Receiver<Option<PathBuf>>,
    since: Instant,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// It is still open.
    Waiting,
    /// This path.
    Path(PathBuf),
    /// The user does not want to.
    Cancelled,
    /// No dialog could be shown here.
    Unavailable,
}

impl Dialog {
    /// Asks for a file; `suggested` is its name or where to begin.
    pub(crate) fn show(purpose: Purpose, suggested: PathBuf, ctx: &egui::Context) -> Self {
        let (send, answer) = channel();
        if !can_be_had() {
            // The sender is dropped here, which reads as "unavailable" in the next frame.
            ctx.request_repaint();
            return Self {
                purpose,
                answer,
                since: Instant::now(),
            };
        }
        let ctx = ctx.clone();
        let asked = std::thread::Builder::new()
            .name("file dialog".to_owned())
            .spawn(move || {
                // The window may be gone by then; nobody waits for the answer any more.
                let _nobody_waits = send.send(ask(purpose, &suggested));
                ctx.request_repaint();
            });
        // Without a thread the sender is dropped at once, which reads as "unavailable".
        drop(asked);
        Self {
            purpose,
            answer,
            since: Instant::now(),
        }
    }

    /// One that is answered with this path already.
    #[cfg(test)]
    pub(crate) fn answered(purpose: Purpose, path: PathBuf) -> Self {
        let (send, answer) = channel();
        send.send(Some(path)).expect("the receiver is here");
        Self {
            purpose,
            answer,
            since: Instant::now(),
        }
    }

    /// The answer so far.
    pub(crate) fn poll(&self) -> Outcome {
        match self.answer.try_recv() {
            Ok(Some(path)) => Outcome::Path(path),
            Ok(None) if self.since.elapsed() < TOO_FAST => Outcome::Unavailable,
            Ok(None) => Outcome::Cancelled,
            Err(TryRecvError::Empty) => Outcome::Waiting,
            Err(TryRecvError::Disconnected) => Outcome::Unavailable,
        }
    }
}

/// Whether there is anything that could show a dialog: a bus of the session, or the helper program.
#[cfg(target_os = "linux")]
fn can_be_had() -> bool {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
    let on_the_bus = set("DBUS_SESSION_BUS_ADDRESS").is_some()
        || set("XDG_RUNTIME_DIR").is_some_and(|folder| PathBuf::from(folder).join("bus").exists());
    on_the_bus
        || set("PATH").is_some_and(|path| {
            std::env::split_paths(&path).any(|folder| folder.join("zenity").exists())
        })
}

#[cfg(not(target_os = "linux"))]
fn can_be_had() -> bool {
    true
}

fn ask(purpose: Purpose, suggested: &std::path::Path) -> Option<PathBuf> {
    let (title, what, ends): (&str, &str, &[&str]) = match purpose {
        Purpose::Open => ("Open a supply", "Supply", &["ron"]),
        Purpose::Save => ("Save the supply", "Supply", &["ron"]),
        Purpose::Curves => ("Export curves", "Comma-separated values", &["csv"]),
        Purpose::Drawer => (
            "Save the drawer as a table",
            "Comma-separated values",
            &["csv"],
        ),
        Purpose::Page => ("Save the worked page", "Markdown", &["md"]),
        Purpose::Picture => ("Export picture", "Picture", &["png", "svg", "pdf"]),
    };
    let mut dialog = rfd::FileDialog::new()
        .set_title(title)
        .add_filter(what, ends);
    if let Some(folder) = suggested.parent().filter(|f| f.is_dir()) {
        dialog = dialog.set_directory(folder);
    }
    if purpose == Purpose::Open {
        return dialog.pick_file();
    }
    let name = suggested
        .file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_default();
    dialog.set_file_name(name).save_file()
}
