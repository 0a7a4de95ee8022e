//! Opens the window, or says plainly what is missing for one.

use std::path::{Path, PathBuf};

use crate::app::answers::jobs::can_have_threads;
use crate::app::disk::files;
use crate::app::disk::settings::Folders;
use crate::app::window::App;
use crate::parts::file::FileError;

/// Why there is no window.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// Neither X11 nor Wayland is there.
    #[error(
        "found no display (neither WAYLAND_DISPLAY nor DISPLAY is set), expected a desktop session{WITHOUT}"
    )]
    NoDisplay,
    /// The system gives no thread beside the first: the toolkit and the saving of work need some.
    #[error(
        "found no thread to be had, expected a few: this user or this machine runs as many as it may{WITHOUT}"
    )]
    NoThreads,
    /// Libraries that the toolkit loads while running are missing.
    #[error("found no {}, expected on the system for a window: on Debian or Ubuntu `apt-get install {}`{WITHOUT}", listed(.0, ", ", |l| l.file), listed(.0, " ", |l| l.package))]
    MissingLibraries(Vec<Library>),
    /// The toolkit could not open a window for another reason.
    #[error(
        "found no window ({0}), expected a desktop session that answers; if a library is missing: on Debian or Ubuntu `apt-get install {PACKAGES}`{WITHOUT}"
    )]
    Toolkit(String),
    /// The demo supply in the program is at fault.
    #[error("the built-in demo supply: {0}")]
    Preset(#[from] FileError),
}

const PACKAGES: &str = "libxcursor1 libxi6 libxkbcommon-x11-0 libgl1";

/// A library that is loaded while the program runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Library {
    file: &'static str,
    package: &'static str,
}

const fn library(file: &'static str, package: &'static str) -> Library {
    Library { file, package }
}

fn listed(libraries: &[Library], between: &str, part: impl Fn(&Library) -> &'static str) -> String {
    let parts: Vec<&str> = libraries.iter().map(part).collect();
    parts.join(between)
}

const WITHOUT: &str = "\nwithout a window: `sagline numbers FILE` prints the figures, `sagline picture FILE -o OUT.png` draws the envelope";

/// What X11 needs at run time; the toolkit would panic on some of them.
const X11_LIBRARIES: [Library; 4] = [
    library("libXcursor.so.1", "libxcursor1"),
    library("libXi.so.6", "libxi6"),
    library("libxkbcommon-x11.so.0", "libxkbcommon-x11-0"),
    library("libGL.so.1", "libgl1"),
];
/// What Wayland needs at run time.
const WAYLAND_LIBRARIES: [Library; 3] = [
    library("libwayland-client.so.0", "libwayland-client0"),
    library("libxkbcommon.so.0", "libxkbcommon0"),
    library("libEGL.so.1", "libegl1"),
];

/// Opens the window with this file, or with what was open last, or with the demo supply; returns when it is closed.
///
/// # Errors
/// [`WindowError`] says what is missing and what works without a window.
pub fn run_window(file: Option<PathBuf>) -> Result<(), WindowError> {
    check_display()?;
    if !can_have_threads() {
        return Err(WindowError::NoThreads);
    }
    let folders = Folders::of_system();
    let app = Box::new(App::open(file, folders)?);
    let options = eframe::NativeOptions {
        renderer: eframe::Renderer::Glow,
        viewport: egui::ViewportBuilder::default()
            .with_title("Sagline")
            .with_app_id("sagline")
            .with_inner_size([1440.0, 900.0])
            .with_min_inner_size([960.0, 640.0]),
        persist_window: true,
        persistence_path: window_file(),
        ..eframe::NativeOptions::default()
    };
    eframe::run_native(
        "sagline",
        options,
        Box::new(|context| {
            app.dress(&context.egui_ctx);
            Ok(app)
        }),
    )
    .map_err(|error| WindowError::Toolkit(cause(&error.to_string())))
}

/// Where the toolkit keeps place and size of the window: its own file, which it would read to an end that may never come
/// where a pipe stands there; then another.
fn window_file() -> Option<PathBuf> {
    let folder = eframe::storage_dir("sagline")?;
    ["app.ron", "window.ron", "window-2.ron"]
        .map(|name| folder.join(name))
        .into_iter()
        .find(|path| files::is_free_or_readable(path))
}

/// The last part of a toolkit's sentence: what stands before it names places in its own source.
fn cause(sentence: &str) -> String {
    sentence
        .rsplit(": ")
        .next()
        .unwrap_or(sentence)
        .trim()
        .to_owned()
}

#[cfg(target_os = "linux")]
fn check_display() -> Result<(), WindowError> {
    let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let (wayland, x11) = (set("WAYLAND_DISPLAY"), set("DISPLAY"));
    if !wayland && !x11 {
        return Err(WindowError::NoDisplay);
    }
    let folders = library_folders();
    let missing = |needed: &[Library]| -> Vec<Library> {
        needed
            .iter()
            .copied()
            .filter(|one| !folders.iter().any(|folder| folder.join(one.file).exists()))
            .collect()
    };
    if wayland && missing(&WAYLAND_LIBRARIES).is_empty() {
        return Ok(());
    }
    let missing = if x11 {
        missing(&X11_LIBRARIES)
    } else {
        missing(&WAYLAND_LIBRARIES)
    };
    // A system that keeps its libraries elsewhere altogether is left to the toolkit.
    if missing.is_empty() || !knows_its_libraries(&folders) {
        Ok(())
    } else {
        Err(WindowError::MissingLibraries(missing))
    }
}

#[cfg(not(target_os = "linux"))]
fn check_display() -> Result<(), WindowError> {
    Ok(())
}

#[cfg(target_os = "linux")]
fn library_folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = std::env::var_os("LD_LIBRARY_PATH")
        .map(|paths| std::env::split_paths(&paths).collect())
        .unwrap_or_default();
    for root in ["/lib", "/usr/lib", "/usr/local/lib", "/lib64", "/usr/lib64"] {
        let root = Path::new(root);
        folders.push(root.to_owned());
        // Debian keeps them one folder deeper, by architecture.
        folders.extend(files::all_in(root).into_iter().filter(|path| {
            path.file_name()
                .is_some_and(|n| n.to_string_lossy().contains("-linux-"))
        }));
    }
    folders
}

/// The C library is always there: where it is not found, the folders are not the ones of this system.
#[cfg(target_os = "linux")]
fn knows_its_libraries(folders: &[PathBuf]) -> bool {
    folders
        .iter()
        .any(|folder| folder.join("libc.so.6").exists())
}
