//! A firing end in a few character cells, for a terminal. What each cell is made
//! of is told by its sign, so nothing is lost without colour; true colour is laid
//! over it where the terminal has it.

use super::plug_drawn::{Drawn, mixed, rgb};
use anstyle::{RgbColor, Style};

/// Columns of a drawing.
pub const COLUMNS: usize = 15;
/// Lines of a drawing.
pub const LINES: usize = 9;

/// What a cell shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stuff {
    Air,
    Metal,
    Nose,
    Deposit,
    Wet,
    Thread,
}

/// The firing end, one text a line, every line [`COLUMNS`] wide.
pub fn cells(d: &Drawn, true_colour: bool) -> Vec<String> {
    let mut grid = Grid::new();
    strap(&mut grid, d);
    nose(&mut grid, d);
    grid.text(0, 7, "  \\_________/  ", Stuff::Metal);
    let thread = match d.value("seat") {
        "rusty" => "   |%/%/%/%|   ",
        "streaked" => "   |!/!/!/!|   ",
        "oily" => "   |'/'/'/'|   ",
        _ => "   |///////|   ",
    };
    grid.text(0, 8, thread, Stuff::Thread);
    if d.is("seat", "rusty") {
        grid.text(3, 7, "%_%_%_%_%", Stuff::Deposit);
    }
    grid.lines(d, true_colour)
}

/// The side electrode with the gap, and the centre electrode under it.
fn strap(grid: &mut Grid, d: &Drawn) {
    let wide = d.is("gap", "wide");
    match d.value("electrodes") {
        "melted" => {
            grid.text(9, 3, " (@)", Stuff::Metal);
            grid.column(11, 4, 7, "||", Stuff::Metal);
            grid.text(6, 3, "_", Stuff::Metal);
            return;
        }
        "missing" => {
            grid.text(6, 3, "[]", Stuff::Metal);
            grid.text(11, 5, "/^", Stuff::Metal);
            grid.text(11, 6, "||", Stuff::Metal);
            return;
        }
        "struck" => {
            grid.text(4, 0, " \\|/", Stuff::Air);
            grid.text(4, 1, "__*___", Stuff::Metal);
            grid.text(5, 2, "\\____\\", Stuff::Metal);
            grid.column(11, 2, 7, "\\\\", Stuff::Metal);
            grid.column(11, 3, 7, "||", Stuff::Metal);
            return;
        }
        "rounded" => grid.text(4, if wide { 0 } else { 1 }, " ~~~~~~.", Stuff::Metal),
        "burnt" => grid.text(4, if wide { 0 } else { 1 }, "^v^vv^v.", Stuff::Metal),
        _ => grid.text(4, if wide { 0 } else { 1 }, "=======.", Stuff::Metal),
    }
    grid.column(11, if wide { 1 } else { 2 }, 7, "||", Stuff::Metal);
    let centre = match d.value("electrodes") {
        "rounded" => "()",
        "burnt" => "/^",
        _ => "[]",
    };
    match d.value("gap") {
        "bridged" => grid.text(5, 2, "####", Stuff::Deposit),
        "wide" => {
            grid.text(2, 1, "^", Stuff::Air);
            grid.text(2, 2, "v", Stuff::Air);
            grid.text(6, 3, centre, Stuff::Metal);
        }
        "closed" => grid.text(6, 2, centre, Stuff::Metal),
        _ => {}
    }
    if !wide {
        grid.text(6, 3, centre, Stuff::Metal);
    }
}

/// The insulator nose, filled with the sign of what lies on it.
fn nose(grid: &mut Grid, d: &Drawn) {
    let sign = match d.value("texture") {
        "soot" => '▓',
        "film" => '█',
        "crust" => '%',
        "glaze" => '≡',
        "beads" => 'o',
        "grit" => '∴',
        "bare" => ' ',
        _ if d.is("colour", "black") || d.is("colour", "brown") => '▒',
        _ => '░',
    };
    let stuff = match sign {
        ' ' | '░' | '▒' => Stuff::Nose,
        _ => Stuff::Deposit,
    };
    let rows: [(usize, usize, &str, &str); 3] = match d.value("nose") {
        "melted" => [(5, 4, "_", "_"), (4, 5, "(", ")"), (3, 6, "(", ")")],
        "cracked" => [(5, 4, "/", ">"), (4, 5, "/", "<"), (3, 6, "/", "\\")],
        _ => [(5, 4, "/", "\\"), (4, 5, "/", "\\"), (3, 6, "/", "\\")],
    };
    for (number, (from, line, left, right)) in rows.into_iter().enumerate() {
        let inner = 2 + 2 * number;
        grid.text(from, line, left, Stuff::Nose);
        for k in 0..inner {
            let (sign, stuff) = over(d, number * 3 + k).unwrap_or((sign, stuff));
            grid.put(from + 1 + k, line, sign, stuff);
        }
        grid.text(from + 1 + inner, line, right, Stuff::Nose);
    }
    if d.is("texture", "soot") || d.is("texture", "crust") {
        let sign = if d.is("texture", "soot") { "▓" } else { "%" };
        for at in [4, 6, 8, 10] {
            grid.text(at, 7, sign, Stuff::Deposit);
        }
    }
    if d.is("wetness", "oil") || d.is("wetness", "water") || d.is("wetness", "fuel") {
        for (x, y) in [(4, 2), (3, 8), (9, 8), (12, 8)] {
            let sign = if d.is("wetness", "fuel") { '"' } else { '\'' };
            grid.put(x, y, sign, Stuff::Wet);
        }
    }
}

/// What lies over the deposit at one of the nose's cells.
fn over(d: &Drawn, cell: usize) -> Option<(char, Stuff)> {
    if d.is("nose", "cracked") && [1, 4, 8].contains(&cell) {
        return Some(('Z', Stuff::Air));
    }
    if d.is("nose", "blistered") && cell.is_multiple_of(2) {
        return Some(('o', Stuff::Nose));
    }
    if d.is("specks", "metal") && cell.is_multiple_of(3) {
        return Some(('*', Stuff::Metal));
    }
    if d.is("specks", "dark") && cell % 2 == 1 {
        return Some((':', Stuff::Air));
    }
    if d.is("wetness", "oil") && cell % 4 == 1 {
        return Some(('|', Stuff::Wet));
    }
    if (d.is("wetness", "water") || d.is("wetness", "fuel")) && cell % 3 == 1 {
        return Some((if d.is("wetness", "fuel") { '"' } else { '\'' }, Stuff::Wet));
    }
    None
}

/// The cells.
struct Grid {
    cells: [[(char, Stuff); COLUMNS]; LINES],
}

impl Grid {
    fn new() -> Self {
        Grid {
            cells: [[(' ', Stuff::Air); COLUMNS]; LINES],
        }
    }

    fn put(&mut self, x: usize, y: usize, sign: char, stuff: Stuff) {
        if let Some(cell) = self.cells.get_mut(y).and_then(|row| row.get_mut(x)) {
            *cell = (sign, stuff);
        }
    }

    /// Signs from left to right; a blank leaves what is there.
    fn text(&mut self, x: usize, y: usize, text: &str, stuff: Stuff) {
        for (k, sign) in text.chars().enumerate().filter(|(_, sign)| *sign != ' ') {
            self.put(x + k, y, sign, stuff);
        }
    }

    fn column(&mut self, x: usize, from: usize, until: usize, text: &str, stuff: Stuff) {
        for y in from..until {
            self.text(x, y, text, stuff);
        }
    }

    fn lines(&self, d: &Drawn, true_colour: bool) -> Vec<String> {
        let plain = |row: &[(char, Stuff)]| row.iter().map(|(sign, _)| sign).collect::<String>();
        if !true_colour {
            return self.cells.iter().map(|row| plain(row)).collect();
        }
        let row = |row: &[(char, Stuff); COLUMNS]| -> String {
            let alike = row.chunk_by(|a, b| a.1 == b.1);
            let painted = alike.map(|run| {
                let style = run.first().map_or(Style::new(), |cell| paint(d, cell.1));
                super::styled(style, plain(run))
            });
            painted.collect()
        };
        self.cells.iter().map(row).collect()
    }
}

/// The colours of a cell: its sign over the colour of what it shows.
fn paint(d: &Drawn, stuff: Stuff) -> Style {
    let colour = |text: &str| {
        let (r, g, b) = rgb(text);
        Some(RgbColor(r, g, b).into())
    };
    let sign_over = |ground: &str| {
        // a sign that can be read on its ground
        let dark = rgb(ground).1 < 110;
        mixed(ground, if dark { "#ffffff" } else { "#000000" }, 0.55)
    };
    let on = |ground: &str| {
        Style::new()
            .bg_color(colour(ground))
            .fg_color(colour(&sign_over(ground)))
    };
    match stuff {
        Stuff::Air => Style::new(),
        Stuff::Metal | Stuff::Thread => {
            // dark metal must be seen on a dark terminal
            let metal = match rgb(&d.colours.metal).1 < 90 {
                true => mixed(&d.colours.metal, "#ffffff", 0.35),
                false => d.colours.metal.clone(),
            };
            Style::new().fg_color(colour(&metal))
        }
        Stuff::Nose => on(&d.colours.nose),
        Stuff::Deposit => on(&d.colours.deposit),
        Stuff::Wet => {
            let ground = &d.colours.deposit;
            let shine = match d.value("wetness") {
                "water" => "#8fc4ea",
                "fuel" => "#e3c869",
                _ => "#ffffff",
            };
            Style::new()
                .bg_color(colour(ground))
                .fg_color(colour(shine))
        }
    }
}
