//! Recording from the command line, whole texts in and out.

mod common;

use common::{Shop, without_clock};
use pretty_assertions::assert_eq;

#[test]
fn readings_are_recorded_as_typed_and_a_persons_remarks_stay() {
    let shop = Shop::new();
    assert_eq!(
        shop.run(&[
            "record",
            "pump.yaml",
            "leak-down@3=60/80",
            "compression@3=95",
            "psi",
            "air-at-breather@all=no",
            "note:hot"
        ]),
        "\
recorded 3: Leak-down: 60/80 psi, cylinder 3
recorded 4: Cranking compression, dry: 95 psi, cylinder 3
recorded 5 to 8: Tester's air heard strongly at the breather: no, at 1, 2, 3 and 4
status 0
"
    );
    assert_eq!(
        without_clock(&shop.read("pump.yaml")),
        format!(
            "{}\
- time: NOW
  readings:
  - leak-down@3=60/80 psi
  - compression@3=95 psi
  - air-at-breather@1=no
  - air-at-breather@2=no
  - air-at-breather@3=no
  - air-at-breather@4=no
  note: hot
",
            common::PUMP
        )
    );
    assert_eq!(shop.files(), ["pump.yaml"]);
}

#[test]
fn a_whole_engine_goes_in_one_line() {
    let shop = Shop::new();
    assert_eq!(
        shop.run(&["leakdown", "pump.yaml", "8", "12", "-", "9"]),
        "\
recorded 3: Leak-down: 8%, cylinder 1
recorded 4: Leak-down: 12%, cylinder 2
recorded 5: Leak-down: 9%, cylinder 4

Leak-down
Where  Reading  Comes to  Grade
─────────────────────────────────────────────────────────
1           8%   8 ± 2.2  good   ███··|·····|··········|·
2          12%  12 ± 2.4  good   █████|·····|··········|·
4           9%   9 ± 2.3  good   ████·|·····|··········|·
| marks the bounds between grades: 12, 25 and 50
status 0
"
    );
    let wet = ["--wet", "150", "148", "95", "151", "psi"];
    let said = shop.run(&[&["compression", "pump.yaml"][..], &wet].concat());
    let recorded = "\
recorded 6: Cranking compression, wet: 150 psi, cylinder 1
recorded 7: Cranking compression, wet: 148 psi, cylinder 2
recorded 8: Cranking compression, wet: 95 psi, cylinder 3
recorded 9: Cranking compression, wet: 151 psi, cylinder 4
";
    assert!(
        said.starts_with(recorded) && said.ends_with("status 0\n"),
        "{said}"
    );
    assert_eq!(
        shop.run(&["leakdown", "pump.yaml", "8", "12", "9"]),
        "\
error: 3 figures for 4 cylinders
   = give one for each cylinder in order; `-` skips one
status 2
"
    );
}

#[test]
fn what_is_hidden_is_not_counted_and_a_contradiction_is_told() {
    let shop = Shop::new();
    assert_eq!(
        shop.run(&["plug", "pump.yaml", "3", "overheated"]),
        "\
recorded 3: Plug white, blistered or burnt: yes, cylinder 3
warning: Plug white, blistered or burnt: yes, cylinder 3: this cannot be judged and is not counted, because of Plug wet with oil: yes, cylinder 3
status 0
"
    );
    assert_eq!(
        shop.run(&["record", "pump.yaml", "oil-use=normal"]),
        "\
recorded 4: Oil use: normal
warning: Oil use: high and normal: these contradict each other; either is taken as possible, so retract the one that is wrong
status 0
"
    );
    assert_eq!(
        shop.run(&["record", "pump.yaml", "compression@1=150 psi", "compression@1=60 psi"]),
        "\
recorded 5: Cranking compression, dry: 150 psi, cylinder 1
recorded 6: Cranking compression, dry: 60 psi, cylinder 1
warning: Cranking compression, dry: 150 psi and 60 psi, cylinder 1: these contradict each other; retract the one that is wrong
status 0
"
    );
}

#[test]
fn what_is_not_understood_is_told_and_nothing_is_recorded() {
    let shop = Shop::new();
    for (words, error) in [
        (
            "leakdown@3=38%",
            "error: no finding is called `leakdown`\n   = did you mean `leak-down`?\n",
        ),
        (
            "leak-down@9=38%",
            "error: this engine has no cylinder 9\n   = its cylinders are 1 to 4\n",
        ),
        (
            "leak-down=38%",
            "error: `leak-down` needs a place: it is read at each cylinder\n   = write `leak-down@1=...`, or `leak-down@all=...` for all alike\n",
        ),
        (
            "oil-use@2=high",
            "error: `oil-use` is of the whole engine, not of a cylinder\n   = write `oil-use=...`\n",
        ),
        (
            "plug-oil-wet@3-upper=yes",
            "error: this engine has one plug to a cylinder\n   = write `plug-oil-wet@3=...`\n",
        ),
        (
            "compression@3=95 mm",
            "error: `95 mm`: `mm` is a unit of a length, not of a pressure\n   = units of a pressure are psi, bar, kPa, MPa, kg/cm2, inHg, cmHg, mmHg, inH2O, mmH2O, mbar, Pa\n",
        ),
        (
            "compression@3=9500 psi",
            "error: Cranking compression, dry 9500 psi is outside 0 to 1015 psi\n   = check the figure and its unit\n",
        ),
        (
            "oil-use=hihg",
            "error: `oil-use` cannot be `hihg`\n   = did you mean `high`? It can be `normal`, `raised`, `high`, `extreme`, `yes` (seen, degree not said) or `at least high`, or a figure in L/h, or `unknown`\n",
        ),
        (
            "turbo-shaft-play=none",
            "error: `turbo-shaft-play` is not of this engine\n   = it is for engines with turbocharged; this one has naturally-aspirated\n",
        ),
        (
            "long-lay-up=yes",
            "error: no finding is called `long-lay-up`\n   = it is a fact of the engine's past: `fact long-lay-up=yes`\n",
        ),
    ] {
        let said = shop.run(&["record", "pump.yaml", words, "air-at-intake@1=no"]);
        assert_eq!(said, format!("{error}status 2\n"), "{words}");
    }
    assert_eq!(
        shop.run(&["record", "pump.yaml", "leak-down"]),
        "\
error: `leak-down` says no value
   = write FINDING=VALUE or FINDING@WHERE=VALUE, like `oil-use=high` or `leak-down@3=38%`
status 2
"
    );
    assert_eq!(shop.read("pump.yaml"), common::PUMP);
}

#[test]
fn several_faults_are_all_told() {
    let shop = Shop::new();
    assert_eq!(
        shop.run(&["record", "pump.yaml", "leakdown@3=38%", "oil-use=bad"]),
        "\
error: no finding is called `leakdown`
   = did you mean `leak-down`?
error: `oil-use` cannot be `bad`
   = it can be `normal`, `raised`, `high`, `extreme`, `yes` (seen, degree not said) or `at least high`, or a figure in L/h, or `unknown`
status 2
"
    );
}

#[test]
fn facts_set_ups_and_tools_have_one_grammar() {
    let shop = Shop::new();
    assert_eq!(
        shop.run(&["fact", "pump.yaml", "hours-low", "short-trips=no"]),
        "noted: Few hours, well inside its life: yes\nnoted: Short runs from cold: no\nstatus 0\n"
    );
    assert_eq!(
        shop.run(&["fact", "pump.yaml", "hours-high"]),
        "noted: At or past its overhaul life: yes\nnoted: Few hours, well inside its life: no\nstatus 0\n"
    );
    assert_eq!(
        shop.run(&["set-up", "pump.yaml", "plugs-out"]),
        "the engine stands now: Spark plugs out\nstatus 0\n"
    );
    assert_eq!(
        shop.run(&["tools", "pump.yaml", "borescope=no"]),
        "not at hand: Borescope\nstatus 0\n"
    );
    assert_eq!(
        shop.run(&["tools", "pump.yaml", "boroscope"]),
        "error: no tool is called `boroscope`\n   = did you mean `borescope`?\nstatus 2\n"
    );
    assert_eq!(
        shop.run(&["fact", "pump.yaml", "hours-low=maybe"]),
        "error: `hours-low` cannot be `maybe`\n   = say `yes`, `no`, `perhaps` or `unknown`\nstatus 2\n"
    );
}
