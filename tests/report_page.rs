//! The owner's document: hostile text stays text, nothing is fetched or run.

mod common;
use common::Shop;

const HOSTILE: &str = "\
sootsayer: 1
engine:
  name: 'Pump <script>alert(1)</script>'
  family: industrial-petrol
  cylinders: 4
complaint: '\"><img src=x onerror=alert(2)> & ''smokes'''
opened: 2026-11-25T08:00:00+13:00
diary:
- time: 2026-11-25T08:10:00+13:00
  readings:
  - oil-use=high
  - plug-oil-wet@3=yes
";

fn page(shop: &Shop) -> String {
    let words = [
        "report",
        "pump.yaml",
        "--out",
        "out.html",
        "--date",
        "</p><script>",
    ];
    assert_eq!(shop.run(&words), "wrote out.html\nstatus 0\n");
    shop.read("out.html")
}

#[test]
fn hostile_text_stays_text_and_nothing_is_fetched() {
    let shop = Shop::new();
    shop.write("pump.yaml", HOSTILE);
    shop.write("shop.yaml", "shop: 1\nname: '<b onclick=x>Yard'\n");
    let page = page(&shop);
    for bad in [
        "<script",
        "<img",
        "<b onclick",
        "<link",
        "http:",
        "https:",
        "url(",
        "@import",
    ] {
        assert!(!page.contains(bad), "{bad}");
    }
    assert!(page.contains("Pump &lt;script&gt;alert(1)&lt;/script&gt;"));
    assert!(page.contains("&lt;img src=x onerror=alert(2)&gt; &amp; 'smokes'"));
    for whole in [
        "<h1>",
        "lang=\"en\"",
        "scope=\"col\"",
        "aria-label=",
        "Valid for 30 days",
        "The owner, date",
    ] {
        assert!(page.contains(whole), "{whole}");
    }
    assert!(page.contains("Amounts are in hours of labour"));
    assert!(!page.contains("plug-oil-wet"), "ids are not for owners");
}

#[test]
fn a_file_that_cannot_be_written_is_said() {
    let shop = Shop::new();
    let said = shop.run(&["report", "pump.yaml", "--out", "no/such/out.html"]);
    assert!(
        said.contains("`no/such/out.html` cannot be written") && said.ends_with("status 2\n"),
        "{said}"
    );
}
