//! Arguments, window; nothing else.

use std::process::ExitCode;

fn main() -> ExitCode {
    let file = std::env::args_os().nth(1).map(std::path::PathBuf::from);
    match sagline::app::run_window(file) {
        Ok(()) => ExitCode::SUCCESS,
        Err(_error) => ExitCode::from(2),
    }
}
