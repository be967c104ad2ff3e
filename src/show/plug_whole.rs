//! The whole plug, small, beside its firing end: where it was tracked outside,
//! how it sat, how long its thread is.

use super::plug_drawn::Drawn;
use super::plug_svg::draw;

/// Draws it into the left sixth of the picture, firing end up.
pub(super) fn whole(s: &mut String, d: &Drawn) {
    let ink = r##"stroke="#3b3d40" stroke-width="1.5""##;
    // how far the thread reaches up from the seat at 130
    let top = match d.value("reach") {
        "long" => 58,
        "short" => 98,
        _ => 78,
    };
    draw!(
        s,
        r##"<path d="M36 {0}V{1}Q36 {2} 54 {2}V{3}" fill="none" stroke="#6d6f72" stroke-width="4"/><path d="M42 {0}L45 {1}H53L56 {0}Z" fill="#f3f0e8" {ink}/><rect x="34" y="{0}" width="30" height="{4}" fill="#a9acb0" {ink}/>"##,
        top,
        top - 12,
        top - 20,
        top - 14,
        130 - top
    );
    for y in (top + 6..128).step_by(7) {
        draw!(
            s,
            r##"<path d="M34 {y}L64 {}" stroke="#55585c" stroke-width="1.5"/>"##,
            y - 3
        );
    }
    draw!(
        s,
        r##"<rect x="24" y="130" width="50" height="7" rx="2" fill="#8d7a55" {ink}/><path d="M22 137H76V160H22Z" fill="#c3c6ca" {ink}/><path d="M38 137V160M60 137V160" {ink}/><path d="M32 160H66L62 176H36Z" fill="#a9acb0" {ink}/><path d="M37 176L39 232H59L61 176Z" fill="#fbfaf5" {ink}/><path d="M37 186H61M38 198H60M38 210H60" stroke="#b9b5aa" stroke-width="2"/><rect x="43" y="232" width="12" height="16" rx="3" fill="#a9acb0" {ink}/>"##
    );
    if d.is("outside", "tracked") {
        draw!(
            s,
            r##"<path d="M50 176L46 190L52 200L47 214L53 224L50 234" fill="none" stroke="#120d0a" stroke-width="3.5"/><path d="M66 196L84 188M66 212L84 216" stroke="#a3261f" stroke-width="2.5"/><path d="M66 196l8 -7M66 196l9 1M66 212l9 -3M66 212l7 6" stroke="#a3261f" stroke-width="2"/>"##
        );
    }
    match d.value("seat") {
        "streaked" => draw!(
            s,
            r##"<path d="M27 160L30 104M38 158L37 96M49 160L50 92M58 158L60 100M70 160L67 106" stroke="#0f0e0d" stroke-width="4.5" opacity=".85"/>"##
        ),
        "oily" => draw!(
            s,
            r##"<path d="M34 {top}H64V137H34Z" fill="#17110a" opacity=".85"/><path d="M40 {}V128" stroke="#fff" stroke-width="2" opacity=".6"/>"##,
            top + 6
        ),
        "rusty" => draw!(
            s,
            r##"<path d="M24 134q10 -8 18 2t14 -2t16 4M36 112q8 -8 12 2t14 -4M30 150q12 -8 20 0t20 -4" fill="none" stroke="#9c4a26" stroke-width="6" stroke-dasharray="7 2"/>"##
        ),
        _ => {}
    }
    if d.is("fit", "loose") {
        // turned without effort: an arrow round the hexagon, and a gap under the seat
        draw!(
            s,
            r##"<path d="M14 152A36 13 0 0 0 84 152" fill="none" stroke="#a3261f" stroke-width="3"/><path d="M84 152l-10 2M84 152l3 10" stroke="#a3261f" stroke-width="3"/><path d="M8 126H22M76 126H92" stroke="#3b3d40" stroke-width="3"/><path d="M16 122q-6 -8 0 -14t0 -14M84 122q6 -8 0 -14t0 -14" fill="none" stroke="#4b4b4b" stroke-width="2.5"/>"##
        );
    }
    if !d.is("reach", "right") {
        draw!(
            s,
            r##"<path d="M14 78H86" stroke="#a3261f" stroke-width="2" stroke-dasharray="5 3"/><path d="M22 {top}H30M82 78V{top}M78 {top}H86" stroke="#a3261f" stroke-width="2"/>"##
        );
    }
}
