//! The shop file: read to the end, every fault with its place.

use sootsayer::job::shop::Shop;
use sootsayer::measure::units;
use sootsayer::rules;
use std::fs;

fn read(text: &str) -> Result<Shop, String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.yaml");
    fs::write(&path, text).unwrap();
    let rules = rules::load_whole(None).rules;
    Shop::read(&path, &rules).map_err(|problems| {
        let here = folder.path().display().to_string();
        let all: Vec<String> = problems.iter().map(|p| p.to_string()).collect();
        all.join("\n").replace(&format!("{here}/"), "")
    })
}

#[test]
fn a_shop_is_described_once() {
    let shop = read(
        "shop: 1\nname: Quay Lane\nunits: us\naltitude: 5000\nhas: [compression-gauge, leak-down-tester]\n\
         instruments:\n  - instrument: blue tester\n    takes: [leak-down]\n    restrictor: 0.040\n    supply: 80\n    scale: two-gauge\n    repeatability: 1 psi\n",
    )
    .unwrap();
    // Standard atmosphere: 12.23 psia at 5000 ft.
    assert!((shop.workbench.around.get(units::PSIA) - 12.23).abs() < 0.01);
    let tester = shop.workbench.instrument(None, "leak-down").unwrap();
    assert!((tester.restrictor.unwrap().get(units::MM) - 1.016).abs() < 1e-9);
    assert_eq!(shop.has("borescope"), Some(false));
    assert_eq!(shop.has("compression-gauge"), Some(true));
    assert!(
        shop.workbench
            .instrument(Some("red"), "leak-down")
            .is_none()
    );
}

#[test]
fn every_fault_is_told_with_its_place() {
    let said = read(
        "shop: 1\naltitude: 90000 ft\nbarometer: 0 kPa\nhas: [borscope]\n\
         instruments:\n  - instrument: a\n    takes: [leakdown]\n    restrictor: 0 mm\n    supply: 80,5 psi\n",
    )
    .unwrap_err();
    for part in [
        "error: shop.yaml:2:11: altitude 90000 ft is outside -1476 to 19685 ft",
        "error: shop.yaml:3:12: barometer 0 kPa abs is outside 45 to 110 kPa abs",
        "error: shop.yaml:4:7: no equipment is called `borscope`",
        "did you mean `borescope`?",
        "error: shop.yaml:7:13: no reading is called `leakdown`",
        "error: shop.yaml:8:17: restrictor 0 mm is outside 0.2 to 5 mm",
        "error: shop.yaml:9:13: `80,5 psi` has a comma in the number",
    ] {
        assert!(said.contains(part), "{part}\nis not in\n{said}");
    }
}

#[test]
fn a_newer_shop_file_is_left_alone() {
    let said = read("shop: 9\nnews: [1]\n").unwrap_err();
    assert!(said.contains("version 9"), "{said}");
    let said = read("name: no version\n").unwrap_err();
    assert!(said.contains("shop"), "{said}");
    assert!(read("shop: [1\n").is_err());
    assert!(read("").is_err());
}
