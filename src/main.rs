//! The `hosewright` command: hands the arguments to the library and returns its exit status.

use std::process::ExitCode;

fn main() -> ExitCode {
    hosewright::cli::run(std::env::args_os())
}
