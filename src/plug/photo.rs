//! A hint from a photograph: the colour of the insulator nose against a white
//! reference in the same light, and the deposit colours of the chart nearest to it.
//!
//! Colour alone names no condition; whoever shows a hint says so beside it.

use super::chart::Chart;
use super::colour::{Lab, light};
use crate::problem::Problem;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageReader, Limits, RgbImage};
use std::io::Cursor;
use std::path::Path;

/// Pictures wider or higher than this are refused.
const WIDEST: u32 = 20_000;
/// Bytes that a picture may take, in its file and opened.
const LARGEST: u64 = 512 << 20;
/// Light that a white paper or card throws back: judgement.
const CARD: f64 = 0.9;
/// From this value on the camera may have cut the light off.
const CUT_OFF: u8 = 250;
/// Below this value a white is too dark to tell its tint.
const DARK: u8 = 60;
/// Factor between the strongest and the weakest colour of a white from which the
/// light is too coloured, or the reference is not white: judgement.
const TINTED: f64 = 5.0;
/// A spot that differs more than this within itself shows several things: judgement.
const MIXED: f64 = 8.0;

/// A round spot of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spot {
    /// Pixels from the left.
    pub x: u32,
    /// Pixels from the top.
    pub y: u32,
}

impl std::str::FromStr for Spot {
    type Err = String;

    /// `412,300`.
    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || {
            format!(
                "`{text}` is no spot; write the pixels from the left and from the top, such as `412,300`"
            )
        };
        let (x, y) = text.split_once([',', 'x']).ok_or_else(wrong)?;
        let number = |part: &str| part.trim().parse().map_err(|_| wrong());
        Ok(Spot {
            x: number(x)?,
            y: number(y)?,
        })
    }
}

/// An opened picture, upright.
#[derive(Debug, Clone)]
pub struct Photo {
    pixels: RgbImage,
}

/// What a picture says of the colour of a nose.
#[derive(Debug, Clone, PartialEq)]
pub struct Hint {
    /// The colour of the nose in daylight.
    pub seen: Lab,
    /// Difference within the spot: four of five of its pixels are as near as this to `seen`.
    pub spread: f64,
    /// Radius of the spots, in pixels.
    pub radius: u32,
    /// The colours of the chart: index in the look `colour`, difference; nearest first.
    pub near: Vec<(usize, f64)>,
}

impl Hint {
    /// Whether the spot shows several things.
    pub fn is_mixed(&self) -> bool {
        self.spread > MIXED
    }
}

impl Photo {
    /// Opens a PNG or JPEG, turned as its camera says.
    ///
    /// # Errors
    /// A file that cannot be read, is no such picture, is damaged, is too large, or
    /// has no colours.
    pub fn open(path: &Path) -> Result<Self, Problem> {
        let name = path.display();
        let unread = |e: std::io::Error| Problem::new(format!("{name} cannot be read: {e}"));
        let size = std::fs::metadata(path).map_err(unread)?.len();
        if size > LARGEST {
            let what = format!("{name} is too large: {} MB", size >> 20);
            return Err(Problem::new(what).hint("make it smaller, or cut the plug out of it"));
        }
        Photo::read(std::fs::read(path).map_err(unread)?, &name.to_string())
    }

    /// Reads a picture from the bytes of its file; `name` is the file's.
    ///
    /// # Errors
    /// As [`Photo::open`].
    pub fn read(bytes: Vec<u8>, name: &str) -> Result<Self, Problem> {
        let broken = |e: image::ImageError| match e {
            image::ImageError::Limits(_) => Problem::new(format!("{name} is too large"))
                .hint("make it smaller, or cut the plug out of it"),
            e => Problem::new(format!("{name} is no picture that can be read: {e}"))
                .hint("give a PNG or a JPEG"),
        };
        let mut reader = ImageReader::new(Cursor::new(bytes))
            .with_guessed_format()
            .map_err(|e| Problem::new(format!("{name} cannot be read: {e}")))?;
        let mut limits = Limits::default();
        limits.max_image_width = Some(WIDEST);
        limits.max_image_height = Some(WIDEST);
        limits.max_alloc = Some(LARGEST);
        reader.limits(limits);
        let mut decoder = reader.into_decoder().map_err(broken)?;
        let turned = decoder.orientation().unwrap_or(Orientation::NoTransforms);
        let mut picture = DynamicImage::from_decoder(decoder).map_err(broken)?;
        if !picture.color().has_color() {
            let what = format!("{name} is grey: it holds no colours");
            return Err(Problem::new(what).hint("take it in colour"));
        }
        picture.apply_orientation(turned);
        Ok(Photo {
            pixels: picture.into_rgb8(),
        })
    }

    /// Width and height in pixels.
    pub fn size(&self) -> (u32, u32) {
        self.pixels.dimensions()
    }

    /// The colours of the chart nearest to the nose, once the light is evened out by
    /// the white; a spot is a hundredth of the picture's shorter side in radius
    /// unless that is given.
    ///
    /// # Errors
    /// A spot outside the picture; a white that is cut off, dark or not white; a
    /// nose that is cut off or lighter than the white; a chart without colours.
    pub fn hint(
        &self,
        chart: &Chart,
        nose: Spot,
        white: Spot,
        radius: Option<u32>,
    ) -> Result<Hint, Problem> {
        let (width, height) = self.size();
        let radius = radius.unwrap_or(width.min(height) / 100);
        let radius = radius.clamp(1, width.min(height).max(2) / 2);
        let nose_pixels = self.spot("nose", nose, radius)?;
        let white_pixels = self.spot("white", white, radius)?;
        let white = usable_white(&white_pixels)?;
        if is_cut_off(&nose_pixels) {
            let what = "the nose is overexposed: its colour is cut off";
            return Err(Problem::new(what).hint(DARKER));
        }
        let even = |pixel: &[u8; 3]| [0, 1, 2].map(|i| light(pixel[i]) / white[i] * CARD);
        let each: Vec<[f64; 3]> = nose_pixels.iter().map(even).collect();
        let middle = [0, 1, 2].map(|i| part(0.5, each.iter().map(|p| p[i])));
        let seen = Lab::of_light(middle);
        if seen.l > 101.0 {
            let what = "the nose is lighter than the white reference";
            let hint = "point at white in the same light as the plug, and away from glare";
            return Err(Problem::new(what).hint(hint));
        }
        let differences = each.iter().map(|p| Lab::of_light(*p).difference(&seen));
        let spread = part(0.8, differences);
        let colours = chart.look("colour").map(|i| &chart.looks[i].values);
        let known = colours.into_iter().flatten().enumerate();
        let mut near: Vec<(usize, f64)> = known
            .filter_map(|(i, v)| Some((i, Lab::of_hex(v.colour.as_deref()?)?)))
            .map(|(i, colour)| (i, seen.difference(&colour)))
            .collect();
        near.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        match near.is_empty() {
            true => Err(Problem::new("the chart gives no look a colour")),
            false => Ok(Hint {
                seen,
                spread,
                radius,
                near,
            }),
        }
    }

    /// The pixels of a spot.
    fn spot(&self, what: &str, at: Spot, radius: u32) -> Result<Vec<[u8; 3]>, Problem> {
        let (width, height) = self.size();
        if at.x >= width || at.y >= height {
            let what = format!("the {what} at {},{} is outside the picture", at.x, at.y);
            return Err(Problem::new(what).hint(format!(
                "it is {width} pixels wide and {height} high, counted from 0 at the top left"
            )));
        }
        let range = |middle: u32, end: u32| {
            middle.saturating_sub(radius)..=middle.saturating_add(radius).min(end - 1)
        };
        let near = |x: u32, y: u32| {
            let (dx, dy) = (u64::from(x.abs_diff(at.x)), u64::from(y.abs_diff(at.y)));
            dx * dx + dy * dy <= u64::from(radius).pow(2)
        };
        let pixels = range(at.y, height).flat_map(|y| range(at.x, width).map(move |x| (x, y)));
        Ok(pixels
            .filter(|&(x, y)| near(x, y))
            .map(|(x, y)| self.pixels.get_pixel(x, y).0)
            .collect())
    }
}

/// What to do about too much light.
const DARKER: &str = "take it again with less light or a shorter exposure";

/// The light of a white, by red, green and blue.
fn usable_white(pixels: &[[u8; 3]]) -> Result<[f64; 3], Problem> {
    if is_cut_off(pixels) {
        let what = "the white reference is overexposed: its colour is cut off";
        return Err(Problem::new(what).hint(DARKER));
    }
    let white = [0, 1, 2].map(|i| part(0.5, pixels.iter().map(|p| light(p[i]))));
    let strongest = white.iter().copied().fold(0.0, f64::max);
    let weakest = white.iter().copied().fold(1.0, f64::min);
    if strongest < light(DARK) {
        let what = "the white reference is too dark to tell the tint of the light";
        return Err(Problem::new(what).hint("take it again by daylight"));
    }
    if weakest <= 0.0 || strongest / weakest > TINTED {
        let what = "the white reference is not white, or the light is strongly coloured";
        let hint = "lay a white paper or card beside the plug, by daylight";
        return Err(Problem::new(what).hint(hint));
    }
    Ok(white)
}

/// Whether the camera has cut the light of a tenth of the pixels off.
fn is_cut_off(pixels: &[[u8; 3]]) -> bool {
    let cut_off = pixels.iter().filter(|p| p.iter().any(|v| *v >= CUT_OFF));
    cut_off.count() * 10 >= pixels.len().max(1)
}

/// The value that a share of some values does not exceed, 0.5 the middle one; 0 of none.
fn part(share: f64, values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    let at = (values.len() as f64 * share) as usize;
    values.get(at).copied().unwrap_or(0.0)
}
