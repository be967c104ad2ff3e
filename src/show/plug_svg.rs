//! A firing end drawn from the chart's data: shell, insulator nose, electrodes,
//! and what lies on them by colour, texture and wetness; the whole plug small
//! beside it. Shape and texture carry the condition as well as colour, for
//! readers who do not see the colours.

use super::plug_deposits::{on_metal, on_nose, specks, wet};
use super::plug_drawn::{Drawn, mixed, rgb};
use super::plug_whole::whole;

/// Adds to a drawing; writing to a string cannot fail.
macro_rules! draw {
    ($s:expr, $($part:tt)*) => {{
        use std::fmt::Write;
        let _ = write!($s, $($part)*);
    }};
}
pub(super) use draw;

/// Middle of the nose.
pub(super) const MIDDLE: f64 = 190.0;

/// The drawing, 300 by 260, without a caption; `id` sets its gradients apart from
/// those of other drawings on a page.
pub fn svg(d: &Drawn, id: &str) -> String {
    let mut s = String::from(
        r#"<svg viewBox="0 0 300 260" xmlns="http://www.w3.org/2000/svg" role="img" stroke-linejoin="round">"#,
    );
    gradients(&mut s, d, id);
    whole(&mut s, d);
    shell(&mut s, d, id);
    nose(&mut s, d, id);
    centre(&mut s, d, id);
    on_nose(&mut s, d);
    strap(&mut s, d, id);
    on_metal(&mut s, d);
    gap(&mut s, d);
    specks(&mut s, d);
    wet(&mut s, d);
    s.push_str("</svg>");
    s
}

/// Light from the left; soot and oil swallow it.
fn gradients(s: &mut String, d: &Drawn, id: &str) {
    for (name, colour) in [("n", &d.colours.nose), ("m", &d.colours.metal)] {
        let is_dark = rgb(colour).1 < 90;
        let (light, dark) = if is_dark { (0.07, 0.3) } else { (0.35, 0.35) };
        let (left, right) = (
            mixed(colour, "#ffffff", light),
            mixed(colour, "#000000", dark),
        );
        draw!(
            s,
            r#"<linearGradient id="{id}-{name}"><stop offset="0" stop-color="{colour}"/><stop offset=".3" stop-color="{left}"/><stop offset="1" stop-color="{right}"/></linearGradient>"#
        );
    }
    draw!(
        s,
        r##"<linearGradient id="{id}-t"><stop offset="0" stop-color="#7d8084"/><stop offset=".3" stop-color="#c9ccd0"/><stop offset="1" stop-color="#55585c"/></linearGradient>"##
    );
}

/// Thread, rim and the well that the nose stands in.
fn shell(s: &mut String, d: &Drawn, id: &str) {
    draw!(
        s,
        r##"<path d="M130 190V262H250V190" fill="url(#{id}-t)" stroke="#2c2d2f" stroke-width="2"/>"##
    );
    for y in [208, 222, 236, 250] {
        draw!(
            s,
            r##"<path d="M130 {y}Q190 {} 250 {}" fill="none" stroke="#3c3f43" stroke-width="3"/>"##,
            y + 16,
            y - 5
        );
    }
    if d.is("seat", "rusty") {
        for (x, y, r) in [
            (142, 214, 13),
            (168, 240, 16),
            (199, 222, 12),
            (226, 246, 17),
            (240, 212, 10),
            (150, 254, 9),
        ] {
            draw!(
                s,
                r##"<path d="M{} {y}q{r} -{r} {} -2q6 {r} -{r} {r}q-{r} 2 -{r} -{r}" fill="#9c4a26" stroke="#6e2f14" stroke-width="1.5" stroke-dasharray="3 2"/>"##,
                x - r,
                r * 2
            );
        }
    }
    if d.is("seat", "streaked") {
        for (i, x) in (136..248).step_by(13).enumerate() {
            draw!(
                s,
                r##"<path d="M{x} 262q4 -30 -2 -{}" fill="none" stroke="#0f0e0d" stroke-width="{}" opacity=".85"/>"##,
                40 + (i * 17) % 30,
                5 + (i * 3) % 5
            );
        }
    }
    if d.is("seat", "oily") {
        draw!(
            s,
            r##"<path d="M130 200V262H250V200Q236 232 222 206Q206 246 190 208Q172 240 158 206Q144 226 130 200" fill="#17110a" opacity=".88"/><path d="M140 214V256M176 226V256M212 226V252" stroke="#fff" stroke-width="2.5" opacity=".5"/>"##
        );
    }
    inside(s, d);
    draw!(
        s,
        r##"<path d="M124 182V194A66 17 0 0 0 256 194V182Z" fill="url(#{id}-m)" stroke="#2c2d2f" stroke-width="2"/><ellipse cx="190" cy="182" rx="66" ry="17" fill="url(#{id}-m)" stroke="#2c2d2f" stroke-width="2"/><ellipse cx="190" cy="183" rx="50" ry="11.5" fill="#141312" stroke="#2c2d2f" stroke-width="2"/>"##
    );
}

/// Where the heat range is wrong, the shell cut open: how far the nose stands free
/// inside it, the listed nose dashed; the longer one runs hotter.
fn inside(s: &mut String, d: &Drawn) {
    let (free, narrow) = match d.value("heat") {
        "hotter" => (252, 152),
        "colder" => (208, 150),
        _ => return,
    };
    draw!(
        s,
        r##"<path d="M140 192V256H240V192Z" fill="#141312" stroke="#2c2d2f" stroke-width="2"/><path d="M158 190L{narrow} {free}H{}L222 190Z" fill="{}" stroke="#3b3530" stroke-width="2"/><path d="M140 {free}H240V256H140Z" fill="#b9bcc0" stroke="#3b3d40"/><path d="M156 190L150 230H230L224 190" fill="none" stroke="#d2413a" stroke-width="2.5" stroke-dasharray="6 4"/><path d="M270 230V{free}M264 230H276M264 {free}H276" stroke="#a3261f" stroke-width="2.5"/>"##,
        380 - narrow,
        d.colours.nose
    );
}

fn nose(s: &mut String, d: &Drawn, id: &str) {
    let ink = r##"stroke="#3b3530" stroke-width="2""##;
    let shape = match d.value("nose") {
        "melted" => {
            "M156 186L164 146Q160 128 172 126Q176 108 188 122Q198 106 206 126Q222 128 216 150Q228 166 224 186Q190 197 156 186Z"
        }
        // a piece is out of the tip
        "cracked" => {
            "M156 186L171 106Q174 98 182 97L188 112L184 122L197 130L203 118L210 122L224 186Q190 197 156 186Z"
        }
        _ => "M156 186L172 104Q174 94 190 94Q206 94 208 104L224 186Q190 197 156 186Z",
    };
    draw!(s, r##"<path d="{shape}" fill="url(#{id}-n)" {ink}/>"##);
    if d.is("nose", "cracked") {
        draw!(
            s,
            r##"<path d="M182 97L188 112L184 122L197 130L203 118L210 122L207 104Q206 100 203 98Z" fill="#2a2724"/><path d="M186 124L178 140L188 152L180 168L186 182M197 131L204 146L198 158" fill="none" stroke="#17120f" stroke-width="3"/><path d="M228 166L240 160L244 168L234 173Z" fill="url(#{id}-n)" {ink}/>"##
        );
    }
    if d.is("nose", "blistered") {
        for (i, (x, y)) in super::plug_deposits::spots(22, 5).into_iter().enumerate() {
            let r = 4 + (i * 5) % 4;
            draw!(
                s,
                r##"<circle cx="{x:.0}" cy="{y:.0}" r="{r}" fill="#fffdf6" stroke="#8b8069" stroke-width="1.6"/><path d="M{:.0} {y:.0}a{r} {r} 0 0 0 {r} {r}" fill="none" stroke="#5d5544" stroke-width="1.6"/>"##,
                x - r as f64
            );
        }
    }
}

/// The centre electrode.
fn centre(s: &mut String, d: &Drawn, id: &str) {
    let shape = match d.value("electrodes") {
        "rounded" => "M180 98L182 88Q190 76 198 88L200 98Z",
        "burnt" => "M180 98L179 82L184 86L187 77L192 84L196 76L201 84L200 98Z",
        "melted" => "M176 126Q174 112 190 110Q206 112 204 126Q190 132 176 126Z",
        _ => "M179 97V71H201V97Q190 102 179 97Z",
    };
    let fill = match d.is("electrodes", "burnt") {
        true => "#4d5a86".to_string(),
        false => format!("url(#{id}-m)"),
    };
    draw!(
        s,
        r##"<path d="{shape}" fill="{fill}" stroke="#26241f" stroke-width="2"/>"##
    );
    if ["square", "struck", "missing"].contains(&d.value("electrodes")) {
        draw!(
            s,
            r##"<ellipse cx="190" cy="71" rx="11" ry="3.5" fill="url(#{id}-m)" stroke="#26241f" stroke-width="2"/>"##
        );
    }
}

/// The side electrode.
fn strap(s: &mut String, d: &Drawn, id: &str) {
    let ink = r##"stroke="#26241f" stroke-width="2""##;
    let wide = d.is("gap", "wide");
    let shape = match d.value("electrodes") {
        "rounded" => {
            "M246 186V66Q244 48 224 44Q196 46 172 36Q168 28 178 27Q230 26 250 40Q262 50 262 66V186Z"
        }
        "burnt" => {
            "M246 186V70L240 56L226 50L214 56L204 46L192 53L184 44L172 47L176 32L240 30Q262 34 262 60V186Z"
        }
        "melted" => "M246 186V120Q240 104 232 106Q218 104 220 88Q224 74 242 80Q258 86 262 108V186Z",
        "struck" => "M246 186V104L232 86L206 76L170 74L164 64L180 60L214 58L246 70L264 98L262 186Z",
        // a stump with the edge of a break, and the piece gone
        "missing" => "M246 186V128L252 118L255 126L259 112L262 122V186Z",
        _ if wide => "M246 186V54Q246 42 232 42H168V27H236Q262 27 262 54V186Z",
        _ => "M246 186V68Q246 57 232 57H168V42H236Q262 42 262 68V186Z",
    };
    let fill = match d.is("electrodes", "burnt") {
        true => "#4d5a86".to_string(),
        false => format!("url(#{id}-m)"),
    };
    draw!(s, r##"<path d="{shape}" fill="{fill}" {ink}/>"##);
    match d.value("electrodes") {
        "struck" => draw!(
            s,
            r##"<path d="M174 64L190 68M196 62L214 70M222 66L238 80" stroke="#fff" stroke-width="4"/><path d="M172 66L180 62M184 71L206 73" stroke="#26241f" stroke-width="1.5"/><path d="M196 20L190 44M182 22L184 42M212 22L200 44M184 46L190 56L200 47" fill="none" stroke="#a3261f" stroke-width="3"/>"##
        ),
        "missing" => draw!(
            s,
            r##"<path d="M246 124V68Q246 57 232 57H168V42H236Q262 42 262 68V110" fill="none" stroke="#a3261f" stroke-width="2" stroke-dasharray="6 5"/>"##
        ),
        "melted" => draw!(
            s,
            r##"<circle cx="233" cy="93" r="14" fill="url(#{id}-m)" {ink}/><path d="M226 86q4 -6 10 -4" fill="none" stroke="#fff" stroke-width="3"/><path d="M250 130Q246 146 251 150Q257 146 254 130Z" fill="url(#{id}-m)" {ink}/>"##
        ),
        "burnt" => draw!(
            s,
            r##"<path d="M250 176V110M258 170V100" stroke="#8f7fb0" stroke-width="3" opacity=".8"/><path d="M252 100V70" stroke="#b98a3a" stroke-width="4" opacity=".8"/>"##
        ),
        _ => {}
    }
}

/// The gap: filled, or measured where it has grown.
fn gap(s: &mut String, d: &Drawn) {
    let deposit = &d.colours.deposit;
    match d.value("gap") {
        "bridged" => draw!(
            s,
            r##"<path d="M174 70L170 60L180 52L196 53L210 56L208 68L200 76L184 77Z" fill="{deposit}" stroke="#15110e" stroke-width="2.5"/><path d="M180 62L192 58L202 64M186 70L198 68" fill="none" stroke="#cdbfae" stroke-width="2"/>"##
        ),
        "wide" if !d.is("electrodes", "melted") && !d.is("electrodes", "missing") => draw!(
            s,
            r##"<path d="M152 46V78M147 52L152 44L157 52M147 72L152 80L157 72M144 43H164M144 81H176" fill="none" stroke="#a3261f" stroke-width="2"/>"##
        ),
        _ => {}
    }
}
