//! The command line of sootsayer.

fn main() {}
