//! What lies on a drawn firing end: deposits by texture, specks, and what it is
//! wet with.

use super::plug_svg::{Drawn, SPOTS, put};

/// Deposits by their likeliest texture.
pub(super) fn deposits(s: &mut String, d: &Drawn, deposit: &str) {
    if d.is("texture", "soot") {
        for (x, y) in SPOTS {
            put(
                s,
                format_args!(
                    "<circle cx=\"{x}\" cy=\"{y}\" r=\"8\" fill=\"{deposit}\" opacity=\".8\"/><circle cx=\"{}\" cy=\"{}\" r=\"1.2\" fill=\"#6b6864\"/>",
                    x + 3,
                    y - 3
                ),
            );
        }
        for x in [50, 66, 134, 148] {
            put(
                s,
                format_args!("<circle cx=\"{x}\" cy=\"158\" r=\"8\" fill=\"{deposit}\"/>"),
            );
        }
        put(
            s,
            format_args!(
                "<circle cx=\"92\" cy=\"44\" r=\"7\" fill=\"{deposit}\"/><circle cx=\"118\" cy=\"42\" r=\"8\" fill=\"{deposit}\"/><circle cx=\"147\" cy=\"100\" r=\"8\" fill=\"{deposit}\"/>"
            ),
        );
    } else if d.is("texture", "crust") {
        for (i, (x, y)) in SPOTS.iter().enumerate() {
            let r = 6 + (i as i32 * 5) % 5;
            put(
                s,
                format_args!(
                    "<path d=\"M{} {y}L{x} {}L{} {}L{} {}L{} {}Z\" fill=\"{deposit}\" stroke=\"#6e6252\" stroke-width=\"1.5\"/>",
                    x - r,
                    y - r,
                    x + r,
                    y - 3,
                    x + r - 2,
                    y + 5,
                    x - 3,
                    y + r
                ),
            );
        }
        for (x, y) in [
            (96, 34),
            (116, 36),
            (134, 38),
            (148, 70),
            (147, 120),
            (60, 152),
            (132, 150),
        ] {
            put(
                s,
                format_args!(
                    "<path d=\"M{} {y}L{x} {}L{} {}L{} {}Z\" fill=\"{deposit}\" stroke=\"#6e6252\" stroke-width=\"1.5\"/>",
                    x - 9,
                    y - 10,
                    x + 10,
                    y - 3,
                    x + 5,
                    y + 8
                ),
            );
        }
    } else if d.is("texture", "glaze") {
        put(
            s,
            format_args!(
                "<path d=\"M74 156L85 90Q100 84 115 90L126 156Z\" fill=\"{deposit}\" opacity=\".7\"/><path d=\"M86 148L92 96\" stroke=\"#fff7d8\" stroke-width=\"6\" stroke-linecap=\"round\"/><path d=\"M100 150L101 128\" stroke=\"#fff7d8\" stroke-width=\"4\" stroke-linecap=\"round\"/>"
            ),
        );
    } else if d.is("texture", "beads") {
        for (i, (x, y)) in SPOTS.iter().enumerate() {
            let r = 4 + (i as i32 * 3) % 4;
            put(
                s,
                format_args!(
                    "<circle cx=\"{x}\" cy=\"{}\" r=\"{r}\" fill=\"{deposit}\" stroke=\"#45423b\" stroke-width=\"1.5\"/>",
                    y + 6
                ),
            );
        }
        for x in [60, 70, 80, 120, 130, 140] {
            put(
                s,
                format_args!(
                    "<circle cx=\"{x}\" cy=\"155\" r=\"6\" fill=\"{deposit}\" stroke=\"#45423b\" stroke-width=\"1.5\"/>"
                ),
            );
        }
    } else if d.is("texture", "grit") {
        for (x, y) in SPOTS {
            for (dx, dy) in [(-6, 3), (0, -4), (5, 5), (8, -2)] {
                put(
                    s,
                    format_args!(
                        "<rect x=\"{}\" y=\"{}\" width=\"4\" height=\"4\" fill=\"{deposit}\" stroke=\"#7a6a48\" stroke-width=\"1\" transform=\"rotate({} {x} {y})\"/>",
                        x + dx,
                        y + dy,
                        (dx * dy * 7) % 45
                    ),
                );
            }
        }
    } else if d.is("texture", "film") {
        put(
            s,
            format_args!(
                "<path d=\"M70 160L82 88Q100 74 118 88L130 160Z\" fill=\"{deposit}\" opacity=\".92\"/>"
            ),
        );
    } else if d.is("texture", "bare") && d.is("nose", "whole") {
        // washed clean: runs down the nose to a tide line; burnt clean leaves none
        let runs = "M90 94L86 138M100 90L100 144M110 94L114 138";
        put(
            s,
            format_args!(
                "<path d=\"{runs}\" stroke=\"#b9c4c9\" stroke-width=\"2.5\" fill=\"none\"/><path d=\"M75 148Q82 142 88 149T101 148T114 149T125 147\" stroke=\"#6f8f7d\" stroke-width=\"4\" fill=\"none\"/>"
            ),
        );
    }
}

/// Specks of metal or of knock.
pub(super) fn specks(s: &mut String, d: &Drawn) {
    if d.is("specks", "metal") {
        for (x, y) in SPOTS
            .iter()
            .step_by(2)
            .chain([(96, 46), (120, 44), (147, 90), (146, 128)].iter())
        {
            put(
                s,
                format_args!(
                    "<circle cx=\"{x}\" cy=\"{y}\" r=\"4\" fill=\"#e8edf2\" stroke=\"#4b5560\" stroke-width=\"1.5\"/><circle cx=\"{}\" cy=\"{}\" r=\"1.3\" fill=\"#fff\"/>",
                    x - 1,
                    y - 1
                ),
            );
        }
    }
    if d.is("specks", "dark") {
        for (x, y) in SPOTS {
            put(
                s,
                format_args!(
                    "<circle cx=\"{x}\" cy=\"{y}\" r=\"1.8\" fill=\"#1b1a19\"/><circle cx=\"{}\" cy=\"{}\" r=\"1.2\" fill=\"#6d6a66\"/>",
                    x - 5,
                    y + 4
                ),
            );
        }
    }
}

/// A wet shine, or drops.
pub(super) fn wet(s: &mut String, d: &Drawn) {
    if d.is("wetness", "oil") {
        put(
            s,
            format_args!(
                "<path d=\"M80 150L89 98\" stroke=\"#fff\" stroke-width=\"5\" stroke-linecap=\"round\" opacity=\".75\"/><path d=\"M144 148L144 78\" stroke=\"#fff\" stroke-width=\"3\" stroke-linecap=\"round\" opacity=\".7\"/><path d=\"M90 42L122 42\" stroke=\"#fff\" stroke-width=\"3\" stroke-linecap=\"round\" opacity=\".7\"/><path d=\"M64 168Q58 186 64 190Q71 186 64 168ZM134 168Q126 196 134 202Q142 196 134 168Z\" fill=\"#17130f\" stroke=\"#fff\" stroke-width=\"1\"/>"
            ),
        );
    } else if d.is("wetness", "fuel") {
        for (x, y) in [
            (86, 120),
            (104, 100),
            (112, 140),
            (96, 150),
            (98, 58),
            (147, 110),
            (60, 168),
            (128, 172),
        ] {
            put(
                s,
                format_args!(
                    "<path d=\"M{x} {}Q{} {y} {x} {}Q{} {y} {x} {}Z\" fill=\"#d9c27a\" opacity=\".8\" stroke=\"#fff6cf\" stroke-width=\"1.2\"/>",
                    y - 9,
                    x + 8,
                    y + 5,
                    x - 8,
                    y - 9
                ),
            );
        }
    } else if d.is("wetness", "water") {
        for (x, y) in [
            (86, 112),
            (106, 96),
            (114, 136),
            (94, 146),
            (99, 58),
            (147, 96),
            (60, 172),
            (136, 176),
        ] {
            put(
                s,
                format_args!(
                    "<path d=\"M{x} {}Q{} {y} {x} {}Q{} {y} {x} {}Z\" fill=\"#8fc4ea\" stroke=\"#1f5f92\" stroke-width=\"1.5\"/>",
                    y - 11,
                    x + 9,
                    y + 6,
                    x - 9,
                    y - 11
                ),
            );
        }
    }
}
