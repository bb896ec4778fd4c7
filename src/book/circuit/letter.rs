//! Room that writing takes; an estimate for the sans-serif letters of the book, on the large side.

/// Height of usual letters, mm.
pub const USUAL: f64 = 3.2;
/// Height of small letters, mm.
pub const SMALL: f64 = 2.5;

/// Width of a line of writing, mm.
pub fn width(words: &str, height: f64) -> f64 {
    words.chars().map(share).sum::<f64>() * height
}

/// Width of a letter as a share of its height.
fn share(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' | '\u{a0}' => 0.4,
        'f' | 'r' | 't' | '(' | ')' | '/' | '-' => 0.47,
        'm' | 'w' | 'M' | 'W' | '%' => 1.0,
        'A'..='Z' => 0.76,
        letter if letter.is_ascii() => 0.65,
        letter if u32::from(letter) < 0x1100 => 0.8,
        _ => 1.1,
    }
}

/// A text that takes no more than a width; what does not fit gives way to three dots.
pub fn fitted(words: &str, height: f64, room: f64) -> String {
    if width(words, height) <= room {
        return words.to_owned();
    }
    let mut short = String::new();
    for letter in words.chars() {
        if width(&short, height) + share(letter) * height + share('W') * height > room {
            break;
        }
        short.push(letter);
    }
    format!("{}\u{2026}", short.trim_end())
}

/// A text in two lines of different room: whole words as long as they fit, then letters.
pub fn in_two(words: &str, height: f64, rooms: [f64; 2]) -> [String; 2] {
    let words = whole_numbers(words);
    let mut first = String::new();
    let mut rest = words.trim();
    while !rest.is_empty() {
        let (word, after) = rest.split_once(' ').unwrap_or((rest, ""));
        let longer = if first.is_empty() { word.to_owned() } else { format!("{first} {word}") };
        if width(&longer, height) > rooms[0] {
            break;
        }
        first = longer;
        rest = after.trim_start();
    }
    [first, fitted(rest, height, rooms[1])]
}

/// A text whose numbers stay with the unit behind them.
fn whole_numbers(words: &str) -> String {
    let mut out = String::new();
    for word in words.split(' ') {
        let after_number = out
            .rsplit([' ', '\u{a0}'])
            .next()
            .is_some_and(|w| w.starts_with(|c: char| c.is_ascii_digit()) && !w.ends_with(','));
        if !out.is_empty() {
            out.push(if after_number { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
    }
    out
}
