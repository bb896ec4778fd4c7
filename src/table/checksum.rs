//! A checksum that tells two editions of a table apart; the build script uses it too.

/// FNV-1a over the text, 64 bits, in hexadecimal: enough to tell two editions of a table apart.
pub fn checksum(text: &str) -> String {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in text.bytes() {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }
    format!("{hash:016x}")
}
