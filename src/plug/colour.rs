//! Colours as people tell them apart: sRGB to CIELAB, and the CIEDE2000
//! difference of two colours.

/// A colour in CIELAB under daylight (D65, 2 degrees).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    /// Lightness, 0 black to 100 white.
    pub l: f64,
    /// Green (below 0) to red.
    pub a: f64,
    /// Blue (below 0) to yellow.
    pub b: f64,
}

/// The white point of D65.
const WHITE: [f64; 3] = [0.95047, 1.0, 1.08883];

/// The light of an sRGB value of 0 to 255, from 0 to 1 (IEC 61966-2-1).
///
/// ```
/// use sootsayer::plug::colour::light;
/// assert_eq!((light(0), light(255)), (0.0, 1.0));
/// assert!((light(188) - 0.503).abs() < 0.001); // half the light of white
/// ```
pub fn light(value: u8) -> f64 {
    let v = f64::from(value) / 255.0;
    match v <= 0.04045 {
        true => v / 12.92,
        false => ((v + 0.055) / 1.055).powf(2.4),
    }
}

impl Lab {
    /// From linear red, green and blue, 1 being white.
    pub fn of_light([r, g, b]: [f64; 3]) -> Self {
        let xyz = [
            0.4124564 * r + 0.3575761 * g + 0.1804375 * b,
            0.2126729 * r + 0.7151522 * g + 0.0721750 * b,
            0.0193339 * r + 0.119_192 * g + 0.9503041 * b,
        ];
        let f = |t: f64| match t > 216.0 / 24389.0 {
            true => t.cbrt(),
            false => (24389.0 / 27.0 * t + 16.0) / 116.0,
        };
        let [x, y, z] = [0, 1, 2].map(|i| f(xyz[i] / WHITE[i]));
        Lab {
            l: 116.0 * y - 16.0,
            a: 500.0 * (x - y),
            b: 200.0 * (y - z),
        }
    }

    /// From `#rrggbb` in sRGB; `None` when it is no such colour.
    pub fn of_hex(colour: &str) -> Option<Self> {
        let digits = colour.strip_prefix('#').filter(|d| d.len() == 6)?;
        let value = u32::from_str_radix(digits, 16).ok()?;
        let [_, r, g, b] = value.to_be_bytes();
        Some(Lab::of_light([light(r), light(g), light(b)]))
    }

    /// The CIEDE2000 difference: about 1 can just be seen side by side, 10 and more
    /// is another colour.
    ///
    /// After G. Sharma, W. Wu and E. N. Dalal, The CIEDE2000 color-difference
    /// formula, Color Research and Application 30 (2005), 21-30; its 34 test pairs
    /// are checked in `tests/plug_photo.rs`.
    ///
    /// ```
    /// use sootsayer::plug::colour::Lab;
    /// let (a, b) = (Lab { l: 50.0, a: 2.5, b: 0.0 }, Lab { l: 73.0, a: 25.0, b: -18.0 });
    /// assert!((a.difference(&b) - 27.1492).abs() < 0.00005);
    /// ```
    pub fn difference(&self, other: &Lab) -> f64 {
        let chroma = |lab: &Lab, a: f64| a.hypot(lab.b);
        let mean = (chroma(self, self.a) + chroma(other, other.a)) / 2.0;
        let seventh = |c: f64| (c.powi(7) / (c.powi(7) + 25f64.powi(7))).sqrt();
        let stretch = 1.0 + 0.5 * (1.0 - seventh(mean));
        let (a1, a2) = (self.a * stretch, other.a * stretch);
        let (c1, c2) = (chroma(self, a1), chroma(other, a2));
        let (h1, h2) = (hue(a1, self.b), hue(a2, other.b));
        let grey = c1 * c2 == 0.0;
        let turn = if grey { 0.0 } else { turned(h1, h2) };
        let dl = other.l - self.l;
        let dc = c2 - c1;
        let dh = 2.0 * (c1 * c2).sqrt() * (turn / 2.0).to_radians().sin();
        let l = (self.l + other.l) / 2.0;
        let c = (c1 + c2) / 2.0;
        let h = if grey { h1 + h2 } else { between(h1, h2) };
        let cos = |degrees: f64| degrees.to_radians().cos();
        let t = 1.0 - 0.17 * cos(h - 30.0) + 0.24 * cos(2.0 * h) + 0.32 * cos(3.0 * h + 6.0)
            - 0.20 * cos(4.0 * h - 63.0);
        let from_50 = (l - 50.0).powi(2);
        let sl = 1.0 + 0.015 * from_50 / (20.0 + from_50).sqrt();
        let sc = 1.0 + 0.045 * c;
        let sh = 1.0 + 0.015 * c * t;
        let tilt = 60.0 * (-((h - 275.0) / 25.0).powi(2)).exp();
        let rt = -seventh(c) * 2.0 * tilt.to_radians().sin();
        let (l, c, h) = (dl / sl, dc / sc, dh / sh);
        (l * l + c * c + h * h + rt * c * h).max(0.0).sqrt()
    }
}

/// Hue in degrees, 0 to 360.
fn hue(a: f64, b: f64) -> f64 {
    match a == 0.0 && b == 0.0 {
        true => 0.0,
        false => b.atan2(a).to_degrees().rem_euclid(360.0),
    }
}

/// Hues that lie opposite each other, but for the last digits.
const HALF: f64 = 180.0 + 1e-9;

/// The way from one hue to another, at most half a turn.
fn turned(h1: f64, h2: f64) -> f64 {
    match h2 - h1 {
        d if d > HALF => d - 360.0,
        d if d < -HALF => d + 360.0,
        d => d,
    }
}

/// The hue half way between two.
fn between(h1: f64, h2: f64) -> f64 {
    match ((h1 - h2).abs(), h1 + h2) {
        (apart, sum) if apart <= HALF => sum / 2.0,
        (_, sum) if sum < 360.0 => (sum + 360.0) / 2.0,
        (_, sum) => (sum - 360.0) / 2.0,
    }
}
