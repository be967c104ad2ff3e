//! A firing end drawn from the chart's data: shell, insulator nose, electrodes,
//! and what lies on them by colour, texture and wetness. Texture and shape carry
//! the condition as well as colour, for readers who do not see the colours.

use super::plug_deposits::{deposits, specks, wet};
use crate::plug::{Chart, Known};
use std::fmt::Write;

/// What is drawn: the likeliest value of each look, and three colours.
pub(super) struct Drawn<'a> {
    chart: &'a Chart<'a>,
    known: &'a Known<'a>,
}

impl Drawn<'_> {
    /// The likeliest value of a look; what a sound plug shows where the condition says nothing.
    pub(super) fn is(&self, look: &str, value: &str) -> bool {
        let Some(i) = self.chart.look(look) else {
            return false;
        };
        let shown = self.known.shows[i].as_ref();
        let Some(shown) = shown.or(self.chart.sound.shows[i].as_ref()) else {
            return false;
        };
        let mut best = 0;
        for (k, p) in shown.iter().enumerate() {
            if *p > shown[best] {
                best = k;
            }
        }
        (self.chart.looks[i].values.get(best)).is_some_and(|v| v.value == value)
    }
}

/// Spots spread over the nose, the same in every drawing.
pub(super) const SPOTS: [(i32, i32); 16] = [
    (88, 96),
    (104, 88),
    (112, 118),
    (94, 124),
    (83, 138),
    (101, 142),
    (118, 140),
    (108, 104),
    (90, 110),
    (80, 150),
    (97, 156),
    (114, 156),
    (124, 152),
    (99, 112),
    (86, 126),
    (110, 132),
];

/// The drawing of a condition, 200 by 230, without a caption.
pub fn svg(chart: &Chart, known: &Known) -> String {
    let d = Drawn { chart, known };
    let colours = &known.it.colours;
    let (deposit, nose, metal) = (&colours.deposit, &colours.nose, &colours.metal);
    let mut s = String::from(
        "<svg viewBox=\"0 0 200 230\" xmlns=\"http://www.w3.org/2000/svg\" role=\"img\">",
    );
    shell(&mut s, &d, metal);
    insulator(&mut s, &d, nose);
    electrodes(&mut s, &d, metal, deposit);
    deposits(&mut s, &d, deposit);
    specks(&mut s, &d);
    wet(&mut s, &d);
    s.push_str("</svg>");
    s
}

pub(super) fn put(s: &mut String, part: std::fmt::Arguments) {
    // Writing to a string cannot fail.
    let _ = s.write_fmt(part);
}

fn shell(s: &mut String, d: &Drawn, metal: &str) {
    put(
        s,
        format_args!(
            "<rect x=\"48\" y=\"166\" width=\"104\" height=\"60\" fill=\"#9a9ca0\" stroke=\"#3b3d40\" stroke-width=\"2\"/>"
        ),
    );
    for y in [180, 192, 204, 216] {
        put(
            s,
            format_args!(
                "<path d=\"M48 {y}L152 {}\" stroke=\"#5c5f63\" stroke-width=\"3\"/>",
                y - 5
            ),
        );
    }
    if d.is("seat", "rusty") {
        for (x, y) in [
            (56, 182),
            (74, 210),
            (98, 190),
            (120, 214),
            (140, 184),
            (66, 198),
            (132, 200),
        ] {
            put(
                s,
                format_args!(
                    "<ellipse cx=\"{x}\" cy=\"{y}\" rx=\"11\" ry=\"6\" fill=\"#a1502f\" opacity=\".85\"/>"
                ),
            );
        }
    }
    if d.is("seat", "streaked") {
        for x in [54, 70, 86, 104, 122, 140] {
            put(
                s,
                format_args!(
                    "<path d=\"M{x} 226Q{} 196 {} 168\" stroke=\"#141312\" stroke-width=\"7\" fill=\"none\" opacity=\".75\"/>",
                    x + 6,
                    x - 3
                ),
            );
        }
    }
    put(
        s,
        format_args!(
            "<rect x=\"42\" y=\"156\" width=\"116\" height=\"14\" rx=\"3\" fill=\"{metal}\" stroke=\"#2c2d2f\" stroke-width=\"2\"/>"
        ),
    );
    put(
        s,
        format_args!(
            "<ellipse cx=\"100\" cy=\"157\" rx=\"46\" ry=\"7\" fill=\"#222\" opacity=\".65\"/>"
        ),
    );
}

fn insulator(s: &mut String, d: &Drawn, nose: &str) {
    let shape = match d.is("nose", "melted") {
        true => "M72 160L80 112Q84 96 96 102Q108 90 118 108L128 160Z",
        false => "M72 160L84 88Q85 80 100 80Q115 80 116 88L128 160Z",
    };
    put(
        s,
        format_args!("<path d=\"{shape}\" fill=\"{nose}\" stroke=\"#3b3530\" stroke-width=\"2\"/>"),
    );
    if d.is("nose", "blistered") {
        for (x, y) in SPOTS.iter().step_by(2) {
            put(
                s,
                format_args!(
                    "<circle cx=\"{x}\" cy=\"{y}\" r=\"5\" fill=\"#fff\" stroke=\"#8c8371\" stroke-width=\"1.5\"/>"
                ),
            );
        }
    }
    if d.is("nose", "cracked") {
        put(
            s,
            format_args!(
                "<path d=\"M84 88L94 100L88 110L98 122L92 138\" fill=\"none\" stroke=\"#1a1714\" stroke-width=\"3\"/><path d=\"M105 79L117 79L116 98Z\" fill=\"#55504a\" stroke=\"#1a1714\" stroke-width=\"1.5\"/>"
            ),
        );
    }
    if d.is("outside", "tracked") {
        put(
            s,
            format_args!(
                "<path d=\"M112 82L106 96L113 108L107 122L114 138L109 158\" fill=\"none\" stroke=\"#17120f\" stroke-width=\"2.5\"/>"
            ),
        );
    }
}

fn electrodes(s: &mut String, d: &Drawn, metal: &str, deposit: &str) {
    let ink = "stroke=\"#26241f\" stroke-width=\"2\"";
    if d.is("electrodes", "melted") {
        put(
            s,
            format_args!(
                "<path d=\"M92 100Q88 84 100 82Q112 84 108 102Z\" fill=\"{metal}\" {ink}/><path d=\"M140 157L140 96Q138 74 146 74Q158 78 154 98L154 157Z\" fill=\"{metal}\" {ink}/><circle cx=\"143\" cy=\"84\" r=\"9\" fill=\"{metal}\" {ink}/>"
            ),
        );
        return;
    }
    let worn = d.is("electrodes", "rounded");
    let burnt = d.is("electrodes", "burnt");
    let centre = match (worn, burnt) {
        (true, _) => "M93 82L94 76Q100 66 106 76L107 82Z",
        (_, true) => "M93 82L95 70L99 74L102 66L107 82Z",
        _ => "M92 82L92 62L108 62L108 82Z",
    };
    put(
        s,
        format_args!("<path d=\"{centre}\" fill=\"{metal}\" {ink}/>"),
    );
    if d.is("electrodes", "struck") {
        put(
            s,
            format_args!(
                "<path d=\"M140 157L140 98L112 74L92 66L94 56L118 60L154 90L154 157Z\" fill=\"{metal}\" {ink}/><path d=\"M98 60L108 65M108 59L122 68\" stroke=\"#fff\" stroke-width=\"3\"/>"
            ),
        );
        return;
    }
    let side = match (worn, burnt, d.is("gap", "wide")) {
        (true, _, _) => {
            "M140 157L140 54Q138 45 126 44Q98 42 86 32Q84 26 96 26Q144 24 152 38L154 157Z"
        }
        (_, true, _) => {
            "M140 157L140 52L126 42L112 46L100 36L86 40L90 26L140 26Q154 28 154 44L154 157Z"
        }
        (_, _, true) => "M140 157L140 48Q140 38 128 38L84 38L84 24L136 24Q154 24 154 44L154 157Z",
        _ => "M140 157L140 62Q140 52 128 52L84 52L84 38L136 38Q154 38 154 58L154 157Z",
    };
    let tint = if burnt { "#5a6286" } else { metal };
    put(
        s,
        format_args!("<path d=\"{side}\" fill=\"{tint}\" {ink}/>"),
    );
    if d.is("gap", "bridged") {
        put(
            s,
            format_args!(
                "<path d=\"M90 66Q84 58 92 48L110 48Q118 58 110 68Z\" fill=\"{deposit}\" stroke=\"#15110e\" stroke-width=\"2.5\"/><circle cx=\"97\" cy=\"58\" r=\"3\" fill=\"#15110e\"/><circle cx=\"105\" cy=\"54\" r=\"2\" fill=\"#cdbfae\"/>"
            ),
        );
    }
}
