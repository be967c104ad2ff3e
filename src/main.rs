//! The command line of sootsayer: parse, run, exit code.
//!
//! Exit status 0 when answered, 1 when a check or a script line failed, 2 when
//! the input or the usage is wrong. A closed pipe ends quietly.

use sootsayer::cli;
use sootsayer::visible::Visible;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let mut out = Visible::new(anstream::stdout().lock());
    let ended = cli::run(std::env::args_os(), &mut out)
        .and_then(|()| out.flush().map_err(cli::Ending::from));
    match ended {
        Ok(()) => ExitCode::SUCCESS,
        Err(ending) => {
            ending.tell();
            ExitCode::from(ending.status())
        }
    }
}
