//! The colour hint from a photograph: the colour difference against published
//! values, and pictures made here with known colours under known light.

#[path = "plug_bench/mod.rs"]
mod bench;
mod common;
#[path = "plug_bench/pairs.rs"]
mod pairs;

use bench::{petrol, rules};
use common::Shop;
use image::{ImageFormat, Rgb, RgbImage};
use pairs::SHARMA;
use pretty_assertions::assert_eq;
use sootsayer::plug::Chart;
use sootsayer::plug::colour::{Lab, light};
use sootsayer::plug::photo::{Hint, Photo, Spot};
use sootsayer::problem::Problem;
use std::io::Cursor;

fn lab([l, a, b]: [f64; 3]) -> Lab {
    Lab { l, a, b }
}

#[test]
fn the_colour_difference_is_the_published_one() {
    for (one, other, expected) in SHARMA {
        let (one, other) = (lab(one), lab(other));
        for found in [one.difference(&other), other.difference(&one)] {
            let off = (found - expected).abs();
            assert!(off < 0.00006, "{one:?} {other:?}: {found}, not {expected}");
        }
        assert_eq!(one.difference(&one), 0.0);
    }
}

#[test]
fn srgb_becomes_the_lab_that_others_compute() {
    // scikit-image 0.26.0, rgb2lab, D65, 2 degrees
    for (colour, expected) in [
        ("#b8946a", [63.682, 7.819, 27.310]),
        ("#a3a19b", [66.246, -0.396, 3.376]),
        ("#efece2", [93.378, -0.719, 5.201]),
        ("#1d1b1a", [9.951, 0.725, 1.042]),
        ("#5b3f2a", [29.278, 9.412, 17.693]),
        ("#c9a545", [69.298, 2.666, 53.165]),
        ("#a1502f", [43.539, 30.929, 34.302]),
        ("#6f9c7d", [60.459, -21.901, 11.422]),
        ("#ff0000", [53.241, 80.092, 67.203]),
        ("#0000ff", [32.296, 79.186, -107.857]),
    ] {
        let found = Lab::of_hex(colour).unwrap();
        let off = (found.l - expected[0]).abs() + (found.a - expected[1]).abs();
        assert!(
            off + (found.b - expected[2]).abs() < 0.05,
            "{colour} {found:?}"
        );
    }
    for wrong in ["b8946a", "#b8946", "#b8946ag", "#gggggg", ""] {
        assert_eq!(Lab::of_hex(wrong), None, "{wrong}");
    }
}

const WHITE: Spot = Spot { x: 40, y: 30 };
const NOSE: Spot = Spot { x: 150, y: 100 };

/// The sRGB value of a share of light.
fn value(light: f64) -> u8 {
    let light = light.clamp(0.0, 1.0);
    let v = match light <= 0.0031308 {
        true => 12.92 * light,
        false => 1.055 * light.powf(1.0 / 2.4) - 0.055,
    };
    (v * 255.0).round() as u8
}

/// A bench of grey with a white card of 90 % and a nose of one colour, under light
/// of these strengths of red, green and blue.
fn scene(nose: [u8; 3], cast: [f64; 3]) -> RgbImage {
    RgbImage::from_fn(240, 180, |x, y| {
        let near = |s: Spot| x.abs_diff(s.x) < 25 && y.abs_diff(s.y) < 25;
        let surface = match (near(WHITE), near(NOSE)) {
            (true, _) => [0.9; 3],
            (_, true) => nose.map(light),
            _ => [0.18; 3],
        };
        Rgb([0, 1, 2].map(|i| value(surface[i] * cast[i])))
    })
}

fn bytes(picture: &RgbImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(vec![]);
    picture.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn hint(picture: &RgbImage, format: ImageFormat) -> Result<Hint, Problem> {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    Photo::read(bytes(picture, format), "x")?.hint(&chart, NOSE, WHITE, None)
}

/// Deposit colours of the chart, as `rules/plug-chart.yaml` has them, by index.
const COLOURS: [[u8; 3]; 8] = [
    [0xb8, 0x94, 0x6a],
    [0xa3, 0xa1, 0x9b],
    [0xef, 0xec, 0xe2],
    [0x1d, 0x1b, 0x1a],
    [0x5b, 0x3f, 0x2a],
    [0xc9, 0xa5, 0x45],
    [0xa1, 0x50, 0x2f],
    [0x6f, 0x9c, 0x7d],
];

#[test]
fn a_colour_is_found_again_under_any_light_that_the_white_tells() {
    let lights = [
        ("daylight", [1.0, 1.0, 1.0]),
        ("shade", [0.62, 0.75, 0.95]),
        ("lamp", [0.95, 0.7, 0.38]),
        ("tube", [0.7, 0.9, 0.6]),
        ("dusk", [0.3, 0.28, 0.3]),
    ];
    for (i, colour) in COLOURS.into_iter().enumerate() {
        for (name, cast) in lights {
            let found = hint(&scene(colour, cast), ImageFormat::Png).unwrap();
            assert_eq!(found.near[0].0, i, "{name} {colour:?} {found:?}");
            // steps of 1 in 255 are all that is lost, most in the dark
            assert!(found.near[0].1 < 1.5, "{name} {colour:?} {found:?}");
            assert!(!found.is_mixed());
        }
    }
    // a JPEG at the usual quality loses a little more
    let found = hint(&scene(COLOURS[0], [0.95, 0.7, 0.4]), ImageFormat::Jpeg).unwrap();
    assert!(found.near[0].0 == 0 && found.near[0].1 < 3.0, "{found:?}");
}

#[test]
fn without_the_white_the_lamp_would_have_turned_the_answer() {
    // the check above can fail: the same light taken as daylight names another colour
    let [r, g, b] = COLOURS[1].map(light);
    let lamp = Lab::of_light([r * 0.95, g * 0.7, b * 0.38]);
    let to = |i: usize| {
        let [r, g, b] = COLOURS[i].map(light);
        lamp.difference(&Lab::of_light([r, g, b]))
    };
    assert!(
        to(0) < to(1),
        "grey in lamplight looks tan: {} {}",
        to(0),
        to(1)
    );
}

#[test]
fn spots_that_cannot_be_used_are_refused_with_a_way_out() {
    let wrong = |picture: &RgbImage| {
        let problem = hint(picture, ImageFormat::Png).unwrap_err();
        assert!(problem.hint.is_some(), "{problem:?}");
        problem.what
    };
    let tan = COLOURS[0];
    assert!(wrong(&scene(tan, [1.2; 3])).contains("white reference is overexposed"));
    assert!(wrong(&scene(tan, [0.03; 3])).contains("too dark"));
    assert!(wrong(&scene(tan, [1.0, 0.9, 0.05])).contains("not white"));
    let mut glare = scene(tan, [0.5; 3]);
    for (x, y, pixel) in glare.enumerate_pixels_mut() {
        if x.abs_diff(NOSE.x) < 25 && y.abs_diff(NOSE.y) < 25 {
            *pixel = Rgb([225, 225, 225]);
        }
    }
    assert!(wrong(&glare).contains("lighter than the white"));
    for (_, _, pixel) in glare.enumerate_pixels_mut().filter(|(x, _, _)| *x > 125) {
        *pixel = Rgb([255, 255, 255]);
    }
    assert!(wrong(&glare).contains("nose is overexposed"));
}

#[test]
fn a_spot_on_an_edge_is_told_as_mixed_and_one_outside_refused() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    let png = bytes(&scene([0x1d, 0x1b, 0x1a], [0.9; 3]), ImageFormat::Png);
    let photo = Photo::read(png, "x").unwrap();
    assert_eq!(photo.size(), (240, 180));
    let at = |nose: Spot, white: Spot| photo.hint(&chart, nose, white, Some(12));
    assert!(at(Spot { x: 126, y: 100 }, WHITE).unwrap().is_mixed());
    for (nose, white) in [
        (Spot { x: 240, y: 10 }, WHITE),
        (NOSE, Spot { x: 10, y: 180 }),
        (Spot { x: u32::MAX, y: 0 }, WHITE),
    ] {
        let problem = at(nose, white).unwrap_err();
        assert!(problem.what.contains("outside"), "{problem:?}");
        assert!(problem.hint.unwrap().contains("240 pixels wide"));
    }
    // a radius beyond the picture is cut to it
    assert!(photo.hint(&chart, NOSE, WHITE, Some(u32::MAX)).is_ok());
    for wrong in ["", "4", "4,", "a,b", "-1,4", "4,5,6", "1.5,2"] {
        assert!(wrong.parse::<Spot>().is_err(), "{wrong}");
    }
}

#[test]
fn what_is_no_picture_is_damaged_too_large_or_grey_is_refused() {
    let read = |bytes: Vec<u8>| Photo::read(bytes, "x.png").map(|p| p.size());
    for bytes in [vec![], b"engine".to_vec(), b"\x89PNG\r\n\x1a\nxx".to_vec()] {
        let problem = read(bytes).unwrap_err();
        assert!(
            problem.what.starts_with("x.png is no picture"),
            "{problem:?}"
        );
    }
    let whole = bytes(&scene(COLOURS[0], [0.9; 3]), ImageFormat::Png);
    assert!(read(whole[..whole.len() / 2].to_vec()).is_err());
    let mut large = bytes(&RgbImage::new(20_001, 1), ImageFormat::Png);
    assert!(read(large.clone()).unwrap_err().what.contains("too large"));
    // a header that promises 60 000 by 60 000 pixels is not believed
    large[16..24].copy_from_slice(&[0, 0, 234, 96, 0, 0, 234, 96]);
    assert!(read(large).is_err());
    let mut grey = Cursor::new(vec![]);
    let picture = image::GrayImage::new(40, 40);
    picture.write_to(&mut grey, ImageFormat::Png).unwrap();
    assert!(read(grey.into_inner()).unwrap_err().what.contains("grey"));
}

#[test]
fn the_word_shows_the_hint_with_its_caution_and_records_nothing() {
    let shop = Shop::new();
    let png = bytes(&scene(COLOURS[0], [0.95, 0.7, 0.4]), ImageFormat::Png);
    std::fs::write(shop.path("plug.png"), png).unwrap();
    let before = shop.read("pump.yaml");
    let photo = ["plug", "pump.yaml", "3", "--photo", "plug.png"];
    let spots = ["--nose", "150,100", "--white", "40,30"];
    let said = shop.run(&[&photo[..], &spots[..]].concat());
    assert!(said.contains("Tan to light brown"), "{said}");
    assert!(
        said.contains("A hint, nothing more: it was not recorded."),
        "{said}"
    );
    assert!(said.contains("plug 3 tan"), "{said}");
    assert_eq!(shop.read("pump.yaml"), before);

    let json = shop.run(&[&photo[..], &spots[..], &["--json"]].concat());
    assert!(
        json.contains("\"colour\": \"tan\"") && json.contains("\"caution\""),
        "{json}"
    );
    let alone = shop.run(&photo);
    assert!(
        alone.contains("--nose") && alone.ends_with("status 2\n"),
        "{alone}"
    );
    let none = shop.run(&[&["plug", "pump.yaml", "--photo", "no.png"][..], &spots[..]].concat());
    assert!(none.contains("no.png cannot be read"), "{none}");
}
