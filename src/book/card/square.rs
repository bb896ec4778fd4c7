//! The square of a card (QR code, ISO/IEC 18004): holds what the card says, to be read without a network.

use base64::prelude::{BASE64_STANDARD, Engine};
use maud::{Markup, html};
use qrcode::canvas::Canvas;
use qrcode::{Color, EcLevel, QrResult, bits, ec};

use super::pattern::least_disturbing;

/// Bytes of a bitmap before its rows: file head, picture head, and two colours.
const HEAD: u32 = 14 + 40 + 8;

/// A text as a square; a text too long for one is said so.
pub fn square(text: &str) -> Markup {
    let Some(picture) = bitmap(text) else {
        return html! { p .source { "What this card says is too long for a square." } };
    };
    let data = format!("data:image/bmp;base64,{}", BASE64_STANDARD.encode(picture));
    html! { img .square alt="Square that holds the words of this card" src=(data); }
}

/// The modules of the square as a picture of one bit each; much smaller than the same as lines.
fn bitmap(text: &str) -> Option<Vec<u8>> {
    let (side, colours) = modules(text, EcLevel::M).or_else(|_| modules(text, EcLevel::L)).ok()?;
    let width = u32::try_from(side).ok()?;
    let row_bytes = width.div_ceil(32) * 4;
    let mut file = head(width, row_bytes);
    // A bitmap counts its rows from the bottom.
    for row in colours.chunks(side).rev() {
        let bits = packed(row);
        file.extend(&bits);
        file.extend((bits.len()..row_bytes as usize).map(|_| 0_u8));
    }
    Some(file)
}

/// Width and modules of the smallest square that holds a text.
fn modules(text: &str, level: EcLevel) -> QrResult<(usize, Vec<Color>)> {
    let bits = bits::encode_auto(text.as_bytes(), level)?;
    let version = bits.version();
    let (data, check) = ec::construct_codewords(&bits.into_bytes(), version, level)?;
    let mut canvas = Canvas::new(version, level);
    canvas.draw_all_functional_patterns();
    canvas.draw_data(&data, &check);
    canvas.apply_mask(least_disturbing(&canvas, version.width(), level));
    Ok((version.width().unsigned_abs().into(), canvas.into_colors()))
}

fn head(width: u32, row_bytes: u32) -> Vec<u8> {
    let picture = row_bytes * width;
    let mut file = b"BM".to_vec();
    for number in [HEAD + picture, 0, HEAD, 40, width, width] {
        file.extend(number.to_le_bytes());
    }
    // One plane, one bit.
    file.extend([1, 0, 1, 0]);
    for number in [0, picture, 0, 0, 2, 2] {
        file.extend(u32::to_le_bytes(number));
    }
    // White where a bit is 0, black where it is 1.
    file.extend([255, 255, 255, 0, 0, 0, 0, 0]);
    file
}

/// Eight modules to a byte, the first in its highest bit.
fn packed(row: &[Color]) -> Vec<u8> {
    let byte = |eight: &[Color]| {
        let bits = eight.iter().enumerate().filter(|(_, c)| **c == Color::Dark);
        bits.fold(0_u8, |byte, (index, _)| byte | (0x80 >> index))
    };
    row.chunks(8).map(byte).collect()
}
