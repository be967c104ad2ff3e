//! What people and machines do to files: nothing is lost, nothing foreign is
//! written over, nothing hidden reaches the terminal, nothing waits for ever.

mod common;

use common::{PUMP, Shop, said};
use pretty_assertions::assert_eq;
use std::fs;
use std::process::Stdio;
use std::time::{Duration, Instant};

const SHOP: &str = "shop: 1\nname: Hill\n";

#[test]
fn a_document_never_goes_over_a_job_or_a_shop_file() {
    let shop = Shop::new();
    shop.write("shop.yaml", SHOP);
    #[cfg(unix)]
    std::os::unix::fs::symlink("pump.yaml", shop.path("link.yaml")).unwrap();
    #[cfg(not(unix))]
    fs::hard_link(shop.path("pump.yaml"), shop.path("link.yaml")).unwrap();
    shop.write("dark.yaml", "# mine\n{\"sootsayer\": 1}\n");
    for words in [
        "report pump.yaml --out pump.yaml",
        "report pump.yaml --out shop.yaml",
        "chart pump.yaml",
        "chart link.yaml",
        "chart dark.yaml",
        "plug pump.yaml --chart pump.yaml",
        "rules draw rings-stuck --out pump.yaml",
    ] {
        for line in [words.to_string(), format!("{words} --force")] {
            if words.starts_with("report") && line == words {
                continue;
            }
            let words: Vec<&str> = line.split(' ').collect();
            let output = shop.run(&words);
            assert!(
                output.contains("which is never written over"),
                "{line}: {output}"
            );
            assert!(output.ends_with("status 2\n"), "{line}: {output}");
        }
    }
    assert_eq!(
        (
            shop.read("pump.yaml").as_str(),
            shop.read("shop.yaml").as_str()
        ),
        (PUMP, SHOP)
    );
    assert!(shop.path("link.yaml").exists());
}

#[test]
fn another_file_goes_only_by_force_and_a_page_of_this_program_by_itself() {
    let shop = Shop::new();
    for name in ["letter.html", "note.bif"] {
        shop.write(name, "mine\n");
    }
    for (words, name) in [
        (&["chart", "letter.html"][..], "letter.html"),
        (
            &[
                "rules",
                "export",
                "industrial-petrol",
                "note.bif",
                "--cylinders",
                "1",
            ],
            "note.bif",
        ),
    ] {
        let output = shop.run(words);
        assert!(output.contains("exists already"), "{output}");
        assert_eq!(shop.read(name), "mine\n");
        let forced = shop.run(&[words, &["--force"]].concat());
        assert!(forced.ends_with("status 0\n"), "{forced}");
        assert!(shop.read(name).len() > 1000);
    }
    assert_eq!(
        shop.run(&["chart", "letter.html"]),
        "wrote letter.html\nstatus 0\n"
    );
    assert_eq!(shop.files(), ["letter.html", "note.bif", "pump.yaml"]);
}

/// A limit on the size of files stands for a full disk.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_the_old_page() {
    let shop = Shop::new();
    shop.run(&["chart", "page.html"]);
    let old = shop.read("page.html");
    let program = env!("CARGO_BIN_EXE_sootsayer");
    let script = format!("ulimit -f 1; trap '' XFSZ; exec {program} chart page.html");
    let mut command = std::process::Command::new("bash");
    command.args(["-c", &script]).current_dir(shop.path(""));
    let output = said(command.output().unwrap());
    assert!(
        output.starts_with("error: `page.html` cannot be written: "),
        "{output}"
    );
    assert_eq!(shop.read("page.html"), old);
    assert_eq!(shop.files(), ["page.html", "pump.yaml"]);
}

#[cfg(target_os = "linux")]
#[test]
fn noted_and_recorded_is_said_after_saving() {
    let shop = Shop::new();
    let full = || fs::File::options().write(true).open("/dev/full").unwrap();
    for (words, kept) in [
        (
            &["fact", "pump.yaml", "long-lay-up"][..],
            "- long-lay-up=yes",
        ),
        (
            &["record", "pump.yaml", "smoke-from-bay=no"],
            "- smoke-from-bay=",
        ),
        (
            &["record", "pump.yaml", "oil-use=normal"],
            "- oil-use=normal",
        ),
        (&["undo", "pump.yaml"], "undo: "),
    ] {
        let before = shop.read("pump.yaml");
        let output = said(shop.command(words).stdout(full()).output().unwrap());
        let after = shop.read("pump.yaml");
        assert!(
            output.contains("do not enter it again"),
            "{words:?}: {output}"
        );
        assert!(
            after.len() > before.len() && after.contains(kept),
            "{after}"
        );
    }
    // a reader that is gone: quiet, and kept all the same
    let mut child = (shop.command(&["fact", "pump.yaml", "long-lay-up=no"]))
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    child.wait().unwrap();
    assert!(shop.read("pump.yaml").contains("- long-lay-up=no"));
    let help = said(shop.command(&["--help"]).stdout(full()).output().unwrap());
    assert!(help.ends_with("status 2\n"), "{help}");
}

#[test]
fn what_a_person_wrote_into_a_job_stays() {
    let shop = Shop::new();
    let own = format!("{PUMP}# the last remark\nunits: us\n...\n");
    shop.write("pump.yaml", &own);
    for _ in 0..2 {
        let output = shop.run(&["record", "pump.yaml", "oil-use=high"]);
        assert!(output.ends_with("status 0\n"), "{output}");
    }
    let now = shop.read("pump.yaml");
    assert!(now.starts_with(PUMP), "{now}");
    assert!(
        now.ends_with("# the last remark\nunits: us\n...\n"),
        "{now}"
    );
    assert_eq!(now.matches("oil-use=high").count(), 3);
    // a diary in one line, with a remark that would be lost
    let line = PUMP.split("diary").next().unwrap().to_string()
        + "diary: [{time: 2026-11-25T08:10:00+13:00, readings: [oil-use=high]}]\n";
    shop.write("pump.yaml", &line);
    let output = shop.run(&["record", "pump.yaml", "oil-use=high"]);
    assert!(output.contains("without losing the comments"), "{output}");
    assert_eq!(shop.read("pump.yaml"), line);
}

#[test]
fn a_job_with_two_names_or_write_protected_is_left_alone() {
    let shop = Shop::new();
    fs::hard_link(shop.path("pump.yaml"), shop.path("other.yaml")).unwrap();
    let output = shop.run(&["record", "pump.yaml", "oil-use=high"]);
    assert!(output.contains("a hard link"), "{output}");
    fs::remove_file(shop.path("other.yaml")).unwrap();
    let mut rights = fs::metadata(shop.path("pump.yaml")).unwrap().permissions();
    rights.set_readonly(true);
    fs::set_permissions(shop.path("pump.yaml"), rights).unwrap();
    let output = shop.run(&["record", "pump.yaml", "oil-use=high"]);
    assert!(output.contains("write-protected"), "{output}");
    assert!(shop.run(&["show", "pump.yaml"]).ends_with("status 0\n"));
    assert_eq!(shop.read("pump.yaml"), PUMP);
}

/// What terminals act upon: cursor, title, clipboard, device control, bell, back,
/// return, C1, delete, direction of writing.
const HIDDEN: &str = "\u{1b}[2J\u{1b}]0;t\u{7}\u{1b}]52;c;eA==\u{7}\u{1b}P\u{8}\r\u{9b}31m\u{7f}\u{202e}\u{2066}\u{200f}";

fn clean(text: &str) {
    let odd = text.chars().find(|c| sootsayer::visible::is_hidden(*c));
    assert_eq!(odd, None, "{text:?}");
    assert!(
        !text.lines().any(|l| l.starts_with("warning: forged")),
        "{text}"
    );
}

#[test]
fn nothing_hidden_in_a_file_or_an_argument_reaches_the_terminal() {
    let shop = Shop::new();
    let evil = HIDDEN
        .chars()
        .map(|c| format!("\\u{:04x}", u32::from(c)))
        .collect::<String>()
        + "\\nwarning: forged";
    let job = PUMP
        .replace("Hill pump", &format!("\"a{evil}\""))
        .replace("Uses a litre of oil a day", &format!("\"b{evil}\""))
        + &format!("  test: \"t{evil}\"\n  instrument: \"i{evil}\"\n  note: \"n{evil}\"\n")
        + &format!("- time: 2026-11-25T08:11:00+13:00\n  retract: [1]\n  note: \"r{evil}\"\n");
    shop.write("evil.yaml", &job);
    for words in [&["show", "evil.yaml"][..], &["rank", "evil.yaml"]] {
        let output = shop.run(words);
        assert!(output.ends_with("status 0\n"), "{output}");
        clean(&output);
    }
    clean(&shop.fed(
        &["talk", "evil.yaml"],
        &format!("show\nfind {HIDDEN} smoke\nrecord {HIDDEN}=x\n"),
    ));
    shop.run(&["report", "evil.yaml", "--out", "page.html"]);
    clean(&shop.read("page.html"));
    // values that are wrong are told of
    for (from, to) in [
        ("family: industrial-petrol", format!("family: \"f{evil}\"")),
        ("oil-use=high", format!("\"oil{evil}-use=high\"")),
        ("cylinders: 4", format!("cylinders: \"c{evil}\"")),
        ("cylinders: 4", format!("\"k{evil}\": 4")),
    ] {
        shop.write("wrong.yaml", &PUMP.replace(from, &to));
        clean(&shop.run(&["show", "wrong.yaml"]));
    }
    shop.write(
        "mine.yaml",
        &format!("system: s\ntitle: S\ncauses: [{{cause: \"c{evil}\", title: \"t{evil}\"}}]\n"),
    );
    clean(&shop.run(&["rules", "check", "--rules", "."]));
    shop.write(
        "net.bif",
        &format!("network x {{ }}\nvariable \"{HIDDEN}\" {{ type discrete [ 2 ] {{ a, b }}; }}\n"),
    );
    clean(&shop.run(&["solve", "net.bif"]));
    // arguments and names of files
    for words in [
        ["show", HIDDEN],
        ["record", HIDDEN],
        [HIDDEN, "x"],
        ["show", "a\nwarning: forged"],
        ["chart", "b\nwarning: forged"],
    ] {
        clean(&shop.run(&words));
    }
    clean(&shop.run(&[
        "new",
        "n.yaml",
        "--family",
        "industrial-petrol",
        "--name",
        "x\nwarning: forged",
    ]));
    clean(&shop.run(&["record", "pump.yaml", "oil-use=high", "--note", HIDDEN]));
    assert_eq!(shop.read("pump.yaml"), PUMP);
}

/// Runs words and says how long it took.
fn timed(shop: &Shop, words: &[&str]) -> (String, Duration) {
    let begun = Instant::now();
    let output = shop.run(words);
    (output, begun.elapsed())
}

#[test]
fn pipes_devices_and_large_files_are_refused_before_they_are_read() {
    let shop = Shop::new();
    let large = format!("{PUMP}# {}\n", "x".repeat(5_000_000));
    for name in ["large.yaml", "large.csv", "large.bif"] {
        shop.write(name, &large);
    }
    let output = shop.run(&["show", "large.yaml"]);
    assert!(output.contains("larger than 4 MB"), "{output}");
    let output = shop.run(&["record", "pump.yaml", "--csv", "large.csv"]);
    assert!(output.contains("larger than 4 MB"), "{output}");
    if cfg!(unix) {
        let made = std::process::Command::new("mkfifo")
            .args(["pipe.yaml", "pipe.bif", "pipe.csv"])
            .current_dir(shop.path(""))
            .status();
        assert!(made.unwrap().success());
        for words in [
            &["show", "pipe.yaml"][..],
            &["show", "pump.yaml", "--shop", "pipe.yaml"],
            &["solve", "pipe.bif"],
            &["record", "pump.yaml", "--csv", "pipe.csv"],
            &["rules", "check", "--rules", "."],
            &["show", "/dev/zero"],
            &["rank", "pump.yaml", "--shop", "/dev/zero"],
        ] {
            let output = shop.run(words);
            assert!(output.contains("pipe or a device"), "{words:?}: {output}");
        }
    }
}

#[test]
fn anchors_that_stand_for_millions_of_values_are_refused_at_once() {
    let shop = Shop::new();
    let many = |name: &str| vec![name; 300].join(", ");
    let bomb = format!(
        "{PUMP}  note: x\n  a: &a [{}]\n  b: [{}]\n",
        many("x"),
        many("*a")
    );
    shop.write("bomb.yaml", &bomb);
    let (output, took) = timed(&shop, &["show", "bomb.yaml"]);
    assert!(
        output.contains("refers to another place") || output.contains("names this place"),
        "{output}"
    );
    assert!(took < Duration::from_secs(10), "{took:?}");
}

#[test]
fn long_questions_are_answered_and_numbers_of_redraws_have_bounds() {
    let shop = Shop::new();
    let words: Vec<String> = (0..3000).map(|i| format!("smoke{i}")).collect();
    let mut line = vec!["find", "pump.yaml"];
    line.extend(words.iter().map(String::as_str));
    let (_, took) = timed(&shop, &line);
    assert!(took < Duration::from_secs(20), "{took:?}");
    for count in ["0", "10001", "999999999", "-1", "x"] {
        let output = shop.run(&["rank", "pump.yaml", &format!("--doubt={count}")]);
        assert!(output.contains("from 1 to 10000"), "{output}");
    }
}

#[test]
fn wrong_input_is_named_in_plain_words_at_its_place() {
    let shop = Shop::new();
    for (from, to, what) in [
        ("2026-11-25T08:00:00+13:00", "yesterday", "evil.yaml:7:9: "),
        ("- oil-use=high", "- [5]", "evil.yaml:12:5: "),
        (
            "cylinders: 4",
            "cylinders: many",
            "a whole number, not below 0, not the text `many`",
        ),
    ] {
        shop.write("evil.yaml", &PUMP.replace(from, to));
        let output = shop.run(&["show", "evil.yaml"]);
        assert!(output.contains(what), "{output}");
        for rust in ["struct ", "usize", "untagged", "enum "] {
            assert!(!output.contains(rust), "{output}");
        }
    }
    shop.write(
        "shop.yaml",
        "shop: 1\npricing: {currency: EUR, labour: 88, comeback_share: 500%}\n",
    );
    let output = shop.run(&["show", "pump.yaml"]);
    assert!(output.contains("from 0% to 100%"), "{output}");
    fs::remove_file(shop.path("shop.yaml")).unwrap();
    for (words, what) in [
        ("gauge convert -500C F", "below absolute zero"),
        (
            "gauge convert 99999999999999999999psi bar",
            "larger than anything measured",
        ),
        ("record pump.yaml note:hello", "a note goes with a reading"),
    ] {
        let words: Vec<&str> = words.split(' ').collect();
        let output = shop.run(&words);
        assert!(output.contains(what), "{output}");
    }
}

#[test]
fn a_circle_of_causes_stops_every_word_that_uses_them() {
    let shop = Shop::new();
    fs::create_dir(shop.path("own")).unwrap();
    shop.write(
        "own/c.yaml",
        "causes:\n  - {cause: rings-stuck, brought_on_by: {rings-stuck: {chance: often, basis: judgement}}}\n",
    );
    for words in ["rules check --rules own", "rank pump.yaml --rules own"] {
        let words: Vec<&str> = words.split(' ').collect();
        let output = shop.run(&words);
        assert!(output.contains("error"), "{output}");
        assert!(!output.ends_with("status 0\n"), "{output}");
    }
}

#[test]
fn a_job_removed_under_the_shell_is_said_to_be() {
    use sootsayer::job::file::Act;
    use sootsayer::job::store::Store;
    let shop = Shop::new();
    let mut store = Store::open(&shop.path("pump.yaml")).unwrap();
    fs::remove_file(shop.path("pump.yaml")).unwrap();
    let problem = store
        .add(Act {
            note: Some("x".into()),
            ..Act::now()
        })
        .unwrap_err();
    assert!(
        problem.what.contains("moved or removed meanwhile"),
        "{problem}"
    );
}

#[test]
fn what_a_killed_writer_left_is_cleared_by_the_next() {
    let shop = Shop::new();
    shop.write(".pump.yaml.new", "half a jo");
    shop.write(".pump.yaml.lock", "process 1 since 1 Jan 2026 00:00");
    shop.write(".page.html.new", "<!DOC");
    let output = shop.run(&["record", "pump.yaml", "oil-use=high"]);
    assert!(output.ends_with("status 0\n"), "{output}");
    shop.run(&["chart", "page.html"]);
    assert_eq!(shop.files(), ["page.html", "pump.yaml"]);
}

/// `tests/jobs/` holds a job of every version that was ever written.
#[test]
fn jobs_of_every_version_open_and_can_be_added_to() {
    let mut versions = 0;
    for item in fs::read_dir("tests/jobs").unwrap() {
        let text = fs::read_to_string(item.unwrap().path()).unwrap();
        let shop = Shop::new();
        shop.write("old.yaml", &text);
        for words in [
            &["show", "old.yaml"][..],
            &["rank", "old.yaml"],
            &["undo", "old.yaml"],
        ] {
            let output = shop.run(words);
            assert!(output.ends_with("status 0\n"), "{output}");
            assert!(!output.contains("is not used"), "{output}");
        }
        assert!(shop.read("old.yaml").starts_with(&text));
        versions += 1;
    }
    assert_eq!(versions, sootsayer::job::file::VERSION);
}
