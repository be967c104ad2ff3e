//! What lies on a drawn firing end: deposits by texture, specks, and what it is
//! wet with.

use super::plug_drawn::{Drawn, mixed};
use super::plug_svg::{MIDDLE, draw};

/// Points strewn over the nose, always the same for a seed.
pub(super) fn spots(count: usize, seed: u32) -> Vec<(f64, f64)> {
    let mut state = seed.wrapping_mul(2_654_435_761).wrapping_add(12_345);
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1u32 << 24)
    };
    (0..count)
        .map(|i| {
            // down the nose in order, so that nothing bunches
            let y = 102.0 + (i as f64 + next()) * 82.0 / count as f64;
            let half = 13.0 + (y - 100.0) * 17.0 / 86.0;
            (MIDDLE + (2.0 * next() - 1.0) * half, y)
        })
        .collect()
}

/// Deposits on the insulator nose and in the well.
pub(super) fn on_nose(s: &mut String, d: &Drawn) {
    let deposit = &d.colours.deposit;
    let dark = mixed(deposit, "#000000", 0.45);
    let light = mixed(deposit, "#ffffff", 0.45);
    match d.value("texture") {
        "powder" => {
            for (x, y) in spots(26, 3) {
                draw!(
                    s,
                    r##"<circle cx="{x:.0}" cy="{y:.0}" r="1.1" fill="{dark}" opacity=".45"/>"##
                );
            }
        }
        "soot" => {
            for (x, y) in spots(60, 7) {
                draw!(
                    s,
                    r##"<circle cx="{x:.0}" cy="{y:.0}" r="7" fill="{deposit}"/><circle cx="{:.0}" cy="{:.0}" r="1.3" fill="#75716b"/>"##,
                    x + 3.0,
                    y - 2.0
                );
            }
        }
        "crust" => {
            for (i, (x, y)) in spots(24, 11).into_iter().enumerate() {
                // caked on one side more than on the other
                clump(s, x + 5.0, y, 5.0 + ((i * 5) % 6) as f64, deposit, &dark);
            }
        }
        "glaze" => draw!(
            s,
            r##"<path d="M157 184L173 106Q190 94 207 106L223 184Q190 194 157 184Z" fill="{deposit}" opacity=".8"/><path d="M168 176L180 108L187 107L180 178Z" fill="#fffbe6" opacity=".95"/><path d="M200 112L204 140L208 139L204 111ZM206 148L209 166L213 165L210 147Z" fill="#fffbe6" opacity=".85"/>"##
        ),
        "beads" => {
            let on_it = spots(15, 13).into_iter().enumerate();
            let on_it = on_it.map(|(i, (x, y))| (x, 128.0 + (y - 102.0) * 0.68, 4 + (i * 3) % 4));
            let in_well =
                (0..9).map(|i| (146.0 + 11.0 * i as f64, 185.0 + ((i * 7) % 5) as f64, 6));
            for (x, y, r) in on_it.chain(in_well) {
                draw!(
                    s,
                    r##"<circle cx="{x:.0}" cy="{y:.0}" r="{r}" fill="{deposit}" stroke="{dark}" stroke-width="1.6"/><circle cx="{:.0}" cy="{:.0}" r="1.6" fill="{light}"/>"##,
                    x - 2.0,
                    y - 2.0
                );
            }
        }
        "grit" => {
            for (i, (x, y)) in spots(70, 17).into_iter().enumerate() {
                let r = 2.5 + ((i * 3) % 4) as f64;
                draw!(
                    s,
                    r##"<path d="M{:.0} {y:.0}L{x:.0} {:.0}L{:.0} {:.0}L{x:.0} {:.0}Z" fill="{deposit}" stroke="{dark}"/><path d="M{:.0} {:.0}l2 -2" stroke="#fff" stroke-width="1.4"/>"##,
                    x - r,
                    y - r,
                    x + r,
                    y - 1.0,
                    y + r,
                    x - 1.0,
                    y
                );
            }
        }
        "film" => draw!(
            s,
            r##"<path d="M154 186L170 104Q190 84 210 104L226 186Q218 200 210 190Q202 206 192 191Q182 203 172 190Q160 198 154 186Z" fill="{deposit}"/>"##
        ),
        // washed clean: runs down the nose to a tide line; burnt clean leaves none
        "bare" if d.is("nose", "whole") => draw!(
            s,
            r##"<path d="M172 172L182 106" stroke="#fff" stroke-width="7" opacity=".9"/><path d="M180 104L173 166M191 98V172M200 102L209 168M186 120L184 150" stroke="#9fb4bf" stroke-width="2.2" fill="none"/><path d="M158 178Q166 168 174 176T190 176T206 176T222 178" stroke="#5f8f74" stroke-width="5" fill="none"/><path d="M134 186q6 8 14 4M232 190q8 2 14 -6M176 196q8 4 14 0" stroke="#5f8f74" stroke-width="5" fill="none"/>"##
        ),
        _ => {}
    }
}

/// One lump of cinder.
fn clump(s: &mut String, x: f64, y: f64, r: f64, fill: &str, ink: &str) {
    draw!(
        s,
        r##"<path d="M{:.0} {:.0}L{:.0} {:.0}L{:.0} {:.0}L{:.0} {:.0}L{:.0} {:.0}Z" fill="{fill}" stroke="{ink}" stroke-width="1.4"/>"##,
        x - r,
        y - r * 0.4,
        x - r * 0.2,
        y - r,
        x + r,
        y - r * 0.6,
        x + r * 0.8,
        y + r * 0.5,
        x - r * 0.4,
        y + r * 0.8
    );
}

/// Deposits on the electrodes and the rim.
pub(super) fn on_metal(s: &mut String, d: &Drawn) {
    let deposit = &d.colours.deposit;
    let dark = mixed(deposit, "#000000", 0.45);
    // the side electrode's underside, its upright and the rim
    let places = [
        (176, 44),
        (194, 42),
        (212, 44),
        (230, 46),
        (250, 62),
        (255, 92),
        (253, 124),
        (255, 154),
        (134, 184),
        (150, 194),
        (176, 198),
        (206, 198),
        (232, 194),
        (248, 184),
    ];
    match d.value("texture") {
        // fuel has washed it off the metal
        "soot" if !d.is("wetness", "fuel") => {
            for (x, y) in places {
                draw!(
                    s,
                    r##"<circle cx="{x}" cy="{y}" r="10" fill="{deposit}"/><circle cx="{}" cy="{}" r="9" fill="{deposit}"/><circle cx="{}" cy="{}" r="1.3" fill="#75716b"/>"##,
                    x + 7,
                    y + 6,
                    x + 2,
                    y - 3
                );
            }
        }
        "crust" => {
            for (i, (x, y)) in places.into_iter().enumerate() {
                let (x, y) = (f64::from(x), f64::from(y));
                clump(s, x, y, 11.0 - ((i * 3) % 4) as f64, deposit, &dark);
                clump(s, x + 9.0, y + 5.0, 7.0, deposit, &dark);
            }
        }
        "grit" => {
            for (x, y) in places {
                draw!(
                    s,
                    r##"<path d="M{x} {y}l6 -7l5 8zM{} {}l8 -4l1 8z" fill="{deposit}" stroke="{dark}" stroke-width="1.4"/>"##,
                    x + 6,
                    y + 7
                );
            }
        }
        _ => {}
    }
    if d.is("seat", "rusty") {
        for (i, (x, y)) in places.into_iter().enumerate().skip(3) {
            let r = 5 + (i * 3) % 4;
            draw!(
                s,
                r##"<circle cx="{x}" cy="{y}" r="{r}" fill="#9c4a26" stroke="#6e2f14" stroke-width="1.5" stroke-dasharray="3 2"/>"##
            );
        }
    }
}

/// Specks of metal or of knock.
pub(super) fn specks(s: &mut String, d: &Drawn) {
    if d.is("specks", "metal") {
        let on_metal = [
            (180.0, 50.0),
            (206.0, 48.0),
            (254.0, 84.0),
            (253.0, 130.0),
            (150.0, 190.0),
        ];
        for (x, y) in spots(16, 19).into_iter().chain(on_metal) {
            draw!(
                s,
                r##"<circle cx="{x:.0}" cy="{y:.0}" r="4.5" fill="#e9eef3" stroke="#2f3a45" stroke-width="1.6"/><circle cx="{:.0}" cy="{:.0}" r="1.6" fill="#fff"/>"##,
                x - 1.5,
                y - 1.5
            );
        }
    }
    if d.is("specks", "dark") {
        for (i, (x, y)) in spots(46, 23).into_iter().enumerate() {
            let (r, fill) = if i % 3 == 0 {
                (1.4, "#77736d")
            } else {
                (2.0, "#141312")
            };
            draw!(
                s,
                r##"<circle cx="{x:.0}" cy="{y:.0}" r="{r}" fill="{fill}"/>"##
            );
        }
    }
}

/// A wet shine with drips, thin drops that smell, or drops of water.
pub(super) fn wet(s: &mut String, d: &Drawn) {
    let drops = [
        (176, 130),
        (196, 116),
        (204, 156),
        (180, 168),
        (194, 178),
        (184, 64),
        (254, 110),
        (254, 150),
        (140, 200),
        (238, 202),
    ];
    let mut drop = |fill: &str, ink: &str, size: i32| {
        for (x, y) in drops {
            draw!(
                s,
                r##"<path d="M{x} {}Q{} {y} {x} {}Q{} {y} {x} {}Z" fill="{fill}" fill-opacity=".85" stroke="{ink}" stroke-width="1.5"/><path d="M{} {}v4" stroke="#fff" stroke-width="2"/>"##,
                y - size - 2,
                x + size,
                y + size - 2,
                x - size,
                y - size - 2,
                x - 2,
                y - 1
            );
        }
    };
    match d.value("wetness") {
        "oil" => draw!(
            s,
            r##"<path d="M168 174L180 108" stroke="#fff" stroke-width="6" stroke-linecap="round" opacity=".85"/><path d="M204 120L212 168" stroke="#fff" stroke-width="3" stroke-linecap="round" opacity=".55"/><path d="M252 170V84M176 47H222M136 184Q150 194 170 196" fill="none" stroke="#fff" stroke-width="3.5" stroke-linecap="round" opacity=".75"/><path d="M142 196Q134 224 142 232Q150 224 142 196ZM176 200Q166 240 176 250Q186 240 176 200ZM228 198Q220 218 228 226Q236 218 228 198ZM172 57Q165 72 172 78Q179 72 172 57Z" fill="#120e0a" stroke="#fff" stroke-width="1.2"/><path d="M173 226v14M140 216v8" stroke="#fff" stroke-width="2" opacity=".8"/>"##
        ),
        "fuel" => {
            drop("#e3c869", "#fff3c4", 7);
            // it smells, and dries while it is looked at
            draw!(
                s,
                r##"<path d="M128 150q-9 -10 0 -20t0 -20t0 -20M112 160q-9 -10 0 -20t0 -20t0 -20M278 150q-9 -10 0 -20t0 -20t0 -20" fill="none" stroke="#a8842a" stroke-width="3" stroke-linecap="round"/>"##
            );
        }
        "water" => drop("#8fc4ea", "#1f5f92", 8),
        _ => {}
    }
}
