//! The priced part of the shop file: every fault with its place, and whole money.

use sootsayer::job::shop::Shop;
use sootsayer::money::{Currency, part};
use sootsayer::rules;
use std::fs;
use std::path::Path;

fn read(pricing: &str) -> Result<Shop, String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.yaml");
    fs::write(&path, format!("shop: 1\npricing:\n{pricing}")).unwrap();
    let rules = rules::load_whole(None).rules;
    Shop::read(&path, &rules).map_err(|problems| {
        let all: Vec<String> = problems.iter().map(|p| p.to_string()).collect();
        all.join("\n")
    })
}

#[test]
fn prices_are_read_to_the_smallest_unit() {
    let shop = read(
        "  currency: EUR\n  labour: 78.5\n  markup: 15%\n  tax: 7.5%\n  parts:\n    head-gasket: 28-55-140\n    thermostat: 9.95 EUR\n    piston: 40-90\n",
    )
    .unwrap();
    let pricing = &shop.pricing;
    assert_eq!(
        (pricing.labour, pricing.markup, pricing.tax),
        (7850, 1500, 750)
    );
    assert_eq!(pricing.parts["head-gasket"], [2800, 5500, 14000]);
    assert_eq!(pricing.parts["thermostat"], [995; 3]);
    assert_eq!(pricing.parts["piston"], [4000, 6500, 9000]);
    assert_eq!(pricing.comeback_share, 0.5);
}

#[test]
fn every_fault_is_told_with_its_place() {
    let told = read(
        "  currency: EUR\n  labour: -3\n  tax: 19\n  parts:\n    head-gaskit: 5\n    piston: 40 USD\n    liner: 90-40\n    head: -7\n  hours:\n    hone-and-ring: {low: -1, likely: 1, high: 2}\n",
    )
    .unwrap_err();
    for (place, what) in [
        ("4:", "below nothing: -3"),
        ("5:", "`19` is no share"),
        ("7:", "no part is called `head-gaskit`"),
        ("8:", "this is in USD"),
        ("9:", "do not rise"),
        ("10:", "below nothing: -7"),
        ("12:", "hours of -1, 1 and 2 cannot be"),
    ] {
        let found = told
            .lines()
            .any(|l| l.contains(&format!("shop.yaml:{place}")) && l.contains(what));
        assert!(found, "{place} {what}\n{told}");
    }
    assert!(told.contains("did you mean `head-gasket`?"), "{told}");
}

#[test]
fn an_unknown_currency_and_free_labour_are_refused() {
    assert!(
        read("  currency: EURO\n  labour: 5\n")
            .unwrap_err()
            .contains("`EURO` is no currency")
    );
    assert!(
        read("  currency: EUR\n  labour: 0\n")
            .unwrap_err()
            .contains("must cost something")
    );
    assert!(read("  labour: 5\n").unwrap_err().contains("currency"));
    let yen = read("  currency: JPY\n  labour: 9000.5\n").unwrap_err();
    assert!(yen.contains("JPY has 0 decimals"), "{yen}");
}

/// Minor units as listed in ISO 4217 (list one).
#[test]
fn decimals_are_those_of_the_standard() {
    for (code, digits) in [
        ("USD", 2),
        ("JPY", 0),
        ("ISK", 0),
        ("BHD", 3),
        ("TND", 3),
        ("CLF", 4),
        ("CHF", 2),
    ] {
        assert_eq!(
            Currency::named(code).map(|c| c.digits),
            Ok(digits),
            "{code}"
        );
    }
    let dinar = Currency::named("BHD").unwrap();
    assert_eq!(dinar.exact(dinar.read("1.25").unwrap()), "1.250 BHD");
}

#[test]
fn halves_go_away_from_zero_for_even_and_odd_divisors() {
    assert_eq!(
        [part(5, 1, 10), part(-5, 1, 10), part(4, 1, 10)],
        [1, -1, 0]
    );
    assert_eq!([part(3, 1, 7), part(4, 1, 7), part(-4, 1, 7)], [0, 1, -1]);
    assert_eq!(part(i64::MAX, 2, 1), i64::MAX);
}

#[test]
fn the_example_shop_prices_every_part() {
    let rules = rules::load_whole(None).rules;
    let shop = Shop::read(Path::new("demo/shop.yaml"), &rules).unwrap();
    let missing: Vec<&String> = rules
        .parts
        .keys()
        .filter(|id| !shop.pricing.parts.contains_key(*id))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
    assert!(shop.file.name.contains("invented"));
}
