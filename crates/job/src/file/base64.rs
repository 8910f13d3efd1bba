//! Base64 (RFC 4648, section 4, 2006) for recordings inside job files.

const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Bytes as text, padded.
pub(crate) fn encode(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for group in bytes.chunks(3) {
        let byte = |at: usize| u32::from(group.get(at).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for position in 0..4 {
            let index = bits >> (18 - 6 * position) & 63;
            let digit = ALPHABET.get(index as usize).copied().unwrap_or(b'=');
            text.push(if position <= group.len() {
                char::from(digit)
            } else {
                '='
            });
        }
    }
    text
}

/// Text as bytes; blanks and line ends are passed over. `None` when it is no base64.
pub(crate) fn decode(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut bits, mut digits, mut padding) = (0_u32, 0_u32, 0_u32);
    for c in text.bytes().filter(|c| !c.is_ascii_whitespace()) {
        if c == b'=' {
            padding += 1;
            bits <<= 6;
        } else {
            // Nothing may follow the padding.
            let value = value(c).filter(|_| padding == 0)?;
            bits = bits << 6 | value;
        }
        digits += 1;
        if digits == 4 {
            let group = bits.to_be_bytes();
            let keep = 3_usize
                .checked_sub(padding as usize)
                .filter(|&keep| keep > 0)?;
            bytes.extend_from_slice(&group[1..=keep]);
            (bits, digits) = (0, 0);
        }
    }
    (digits == 0).then_some(bytes)
}

fn value(c: u8) -> Option<u32> {
    Some(match c {
        b'A'..=b'Z' => u32::from(c - b'A'),
        b'a'..=b'z' => u32::from(c - b'a') + 26,
        b'0'..=b'9' => u32::from(c - b'0') + 52,
        b'+' => 62,
        b'/' => 63,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn agrees_with_the_standard() {
        // RFC 4648, section 10, test vectors.
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in vectors {
            assert_eq!(encode(plain.as_bytes()), coded);
            assert_eq!(decode(coded).as_deref(), Some(plain.as_bytes()));
        }
    }

    #[test]
    fn refuses_what_is_none() {
        for text in ["Z", "Zg=", "Zg==Zg==", "Z===", "====", "Zg!=", "Zm9vé"] {
            assert_eq!(decode(text), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn reads_back(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            prop_assert_eq!(decode(&encode(&bytes)), Some(bytes));
        }
    }
}
