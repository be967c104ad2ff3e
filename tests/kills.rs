//! Kills at any moment: what was said to be recorded is in the file afterwards, and
//! every file opens. A short seeded run here; for a long one set `KILLS=10000` and
//! run `cargo test --release --test kills -- --nocapture`.
#![cfg(unix)]

mod common;

use common::{PUMP, Shop};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use sootsayer::job::store::Store;
use std::io::Read;
use std::process::Stdio;
use std::time::{Duration, Instant};

/// Kills of the run in the tests.
const FEW: usize = 12;

#[test]
fn a_kill_at_any_moment_loses_nothing_that_was_said_to_be_kept() {
    let kills = std::env::var("KILLS").ok().and_then(|n| n.parse().ok());
    let kills: usize = kills.unwrap_or(FEW);
    let shop = Shop::new();
    let mut rng = ChaCha8Rng::seed_from_u64(18);
    // how long a word takes here, so that kills fall before, into and after its work
    let begun = Instant::now();
    shop.run(&["record", "pump.yaml", "oil-use=high"]);
    let whole = begun.elapsed();
    let (mut said, mut kept, mut cut) = (0, 0, 0);
    for number in 0..kills {
        let note = format!("kill {number}");
        let acts = Store::read(&shop.path("pump.yaml"))
            .unwrap()
            .job
            .file
            .diary
            .len();
        // a diary that grows for ever would measure the reader
        if acts > 200 {
            shop.write("pump.yaml", PUMP);
            continue;
        }
        let words = match rng.next_u32() % 4 {
            0 => vec!["undo", "pump.yaml"],
            1 => vec!["fact", "pump.yaml", "long-lay-up", "--note", &note],
            _ => vec!["record", "pump.yaml", "oil-use=high", "--note", &note],
        };
        let mut child = (shop.command(&words))
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let share = f64::from(rng.next_u32()) / f64::from(u32::MAX);
        std::thread::sleep(Duration::from_secs_f64(whole.as_secs_f64() * 1.2 * share));
        child.kill().unwrap();
        let killed = child.wait().unwrap().code().is_none();
        let mut answer = String::new();
        child
            .stdout
            .take()
            .unwrap()
            .read_to_string(&mut answer)
            .unwrap();
        let told = ["recorded", "noted", "undone"]
            .iter()
            .any(|w| answer.contains(w));
        let now = Store::read(&shop.path("pump.yaml"));
        let now = now.unwrap_or_else(|p| panic!("kill {number}: the job does not open: {p}"));
        let more = now.job.file.diary.len();
        assert!(
            more == acts || more == acts + 1,
            "kill {number}: {acts} acts, now {more}"
        );
        assert!(
            !told || more == acts + 1,
            "kill {number}: lost after `{answer}`"
        );
        said += usize::from(told);
        kept += usize::from(more > acts);
        cut += usize::from(killed);
    }
    println!(
        "{kills} words, {cut} killed before their end: {kept} kept, {said} of them said so, none lost"
    );
    // the next writer clears up
    let output = shop.run(&["record", "pump.yaml", "oil-use=high"]);
    assert!(output.ends_with("status 0\n"), "{output}");
    assert_eq!(shop.files(), ["pump.yaml"]);
}
