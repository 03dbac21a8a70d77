//! Damage done to a text, steered by bytes: the same bytes do the same damage.
//!
//! The searching tests under `fuzz/` use this file too, so that what they find can be told in bytes.

/// Pieces that a reader may trip over: half syntax, near units, letters that look alike, numbers at the edge.
const PIECES: &[&str] = &[
    "",
    "\"",
    "'",
    "\"\"\"",
    "'''",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ";",
    ".",
    "..",
    " .. ",
    "±",
    "+-",
    "+/-",
    "#",
    "\n",
    "\r\n",
    "\t",
    "\\",
    "\\u0000",
    "\u{feff}",
    "\u{0}",
    "\u{7f}",
    "\u{1b}[31m",
    "\u{202e}",
    "\u{a0}",
    "−",
    "µ",
    "μ",
    "Ω",
    "Ω",
    "é",
    "😀",
    "√",
    "°",
    "‰",
    "-",
    "+",
    "e",
    "E",
    "1e999",
    "-1",
    "0",
    "-0.0",
    "1e-400",
    "NaN",
    "inf",
    "0x10",
    "1_000",
    "4k7",
    "4R7",
    "0R05",
    "4,7",
    "1.000,5",
    "10meg",
    "20 mV",
    "20 mv",
    "0.1 %",
    "0.1",
    "25 ppm/K",
    "100 dB",
    "100 db",
    "100000:1",
    "10 nV/√Hz",
    "10 nV/rtHz",
    "1 V .. 2 V",
    "2 V .. 1 V",
    "± 5 V",
    "5 ± 1 V",
    "true",
    "[]",
    "{}",
    "[[1], {a = 1}]",
    "1979-05-27T07:32:00Z",
    "gain",
    "rejection",
    "title",
    "RG",
    "RF",
    "R1",
    "R7",
    "A1",
    "open",
    "all",
    "[target]",
    "[[channel]]",
    "[[resistors.network]]",
    "[opamp.A3]",
    "[resistors.part.RG]",
    "target.gain",
    "three-op-amp",
    "single-chip",
    "E96",
    "E97",
    "value",
    "reference",
    "differential",
    "common_mode",
    "output",
    "u_output",
    "u_output_common [µV]",
    "R1-R999999999",
    "R1..R4",
    "DNP",
    "=1+2",
    "@x",
    "parts/low-drift.toml",
    "../outside.toml",
    "/etc/passwd",
    "parts/",
];

/// A text does not grow beyond this, bytes.
const LARGEST: usize = 1 << 14;

/// The text after the damage that every five bytes of `steering` do.
pub(crate) fn damaged(text: &str, steering: &[u8]) -> String {
    let mut text = text.to_owned();
    for step in steering.chunks_exact(5) {
        if let &[how, high, low, length, which] = step {
            let at = text.floor_char_boundary(text.len() * (usize::from(high) * 256 + usize::from(low)) / 65_536);
            text = Damage { text: &text, at, length: usize::from(length), which: usize::from(which) }.done(how);
            text.truncate(text.floor_char_boundary(LARGEST));
        }
    }
    text
}

struct Damage<'t> {
    text: &'t str,
    at: usize,
    length: usize,
    which: usize,
}

impl Damage<'_> {
    fn done(&self, how: u8) -> String {
        let (text, at) = (self.text, self.at);
        let piece = PIECES[self.which % PIECES.len()];
        let end = text.floor_char_boundary((at + self.length % 32).min(text.len())).max(at);
        let (before, hit, after) = (&text[..at], &text[at..end], &text[end..]);
        match how % 11 {
            0 => format!("{before}{after}"),
            1 => format!("{before}{hit}{hit}{after}"),
            2 => format!("{before}{piece}{hit}{after}"),
            3 => format!("{before}{piece}{after}"),
            4 => {
                let any = char::from_u32((self.length * 256 + self.which) as u32).unwrap_or('\u{fffd}');
                format!("{before}{any}{hit}{after}")
            }
            5 => self.lines_exchanged(),
            6 => format!("{before}{}{hit}{}{after}", "[".repeat(self.length), "]".repeat(self.which)),
            7 => self.on_the_line('=', piece),
            8 => self.on_the_line(' ', piece),
            9 => self.line_repeated(),
            _ => text.replace('\n', "\r\n"),
        }
    }

    fn line_repeated(&self) -> String {
        let start = self.text[..self.at].rfind('\n').map_or(0, |end| end + 1);
        let end = self.text[self.at..].find('\n').map_or(self.text.len(), |end| self.at + end + 1);
        let (before, after) = (&self.text[..start], &self.text[end..]);
        format!("{before}{}{after}", self.text[start..end].repeat(1 + self.length % 64))
    }

    /// What stands behind the last `mark` of the line becomes the piece; quotes stay.
    fn on_the_line(&self, mark: char, piece: &str) -> String {
        let end = self.text[self.at..].find('\n').map_or(self.text.len(), |end| self.at + end);
        let start = self.text[..end].rfind(['\n', mark]).map_or(0, |start| start + 1);
        let quote = if self.text[start..end].trim().ends_with('"') { "\"" } else { "" };
        let opening = if mark == '=' { quote } else { "" };
        format!("{}{opening}{piece}{quote}{}", &self.text[..start], &self.text[end..])
    }

    fn lines_exchanged(&self) -> String {
        let mut lines: Vec<&str> = self.text.split('\n').collect();
        let (one, other) = (self.length % lines.len(), self.which % lines.len());
        lines.swap(one, other);
        lines.join("\n")
    }
}
