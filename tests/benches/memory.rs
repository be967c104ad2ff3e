//! Peak memory of the whole process for posterior and values, case by case:
//! `cargo bench --bench memory` (Linux: `/proc/self`).

#[path = "../network/generate.rs"]
#[allow(dead_code)]
mod generate;
#[path = "../network/shape.rs"]
#[allow(dead_code)]
mod shape;

use shape::{Load, engine};
use sootsayer::network::Solved;
use std::fs;

fn main() {
    println!(
        "{:28} {:>9} {:>9}",
        "peak of the process, MiB", "posterior", "values"
    );
    for (name, cylinders, load) in [
        ("typical, 4 cylinders", 4, Load::Typical),
        ("typical, 8 cylinders", 8, Load::Typical),
        ("typical, 12 cylinders", 12, Load::Typical),
        ("heavy, 8 cylinders", 8, Load::Heavy),
        ("heavy, 12 cylinders", 12, Load::Heavy),
    ] {
        let shape = engine(1, cylinders);
        let evidence = shape.evidence(1, load);
        forget_peak();
        let solved = Solved::new(&shape.net, &evidence);
        let posterior = peak();
        if let Ok(solved) = &solved {
            let _ = solved.values(&shape.tests(&evidence), &shape.causes);
        }
        println!("{name:28} {posterior:9.1} {:9.1}", peak());
    }
}

/// Sets the recorded peak back to what is in use now.
fn forget_peak() {
    let _ = fs::write("/proc/self/clear_refs", "5");
}

/// Largest resident memory since then, MiB; 0 where the system does not tell.
fn peak() -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmHWM"));
    let kib = line.and_then(|l| l.split_whitespace().nth(1)?.parse::<f64>().ok());
    kib.unwrap_or(0.0) / 1024.0
}
