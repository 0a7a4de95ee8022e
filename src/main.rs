//! Arguments in, window or terminal answer out; everything else is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    sagline::app::terminal::run(std::env::args_os())
}
