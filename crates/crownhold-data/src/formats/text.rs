//! Bytes to text: byte order marks, UTF-16, Windows-1252.

use std::borrow::Cow;

use crownhold::types::Problem;

/// The text of a file, with what had to be done to read it.
pub(super) fn decode(bytes: &[u8]) -> Result<(Cow<'_, str>, Option<Problem>), Box<Problem>> {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        let problem = Problem::error("I-101", "The file is empty.", "Export it again and look at its size.");
        return Err(Box::new(problem));
    }
    if let Some((encoding, mark)) = encoding_rs::Encoding::for_bom(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(&bytes[mark..]);
        let what = format!("The file begins with a byte order mark ({}).", encoding.name());
        return Ok((text, Some(Problem::repaired("I-111", what, "It was read as such."))));
    }
    if let Some(encoding) = wide(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(bytes);
        let what = format!("The file is written in {} without a byte order mark.", encoding.name());
        return Ok((text, Some(Problem::repaired("I-111", what, "It was read as such."))));
    }
    if bytes.contains(&0) {
        let what = "This is not a text file: it has zero bytes in it.";
        let problem = Problem::error("I-102", what, "Export it as CSV (UTF-8).");
        return Err(Box::new(problem.expected("comma, semicolon or tab separated text")));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok((Cow::Borrowed(text), None)),
        Err(at) => {
            let line = 1 + bytes[..at.valid_up_to()].iter().filter(|b| **b == b'\n').count() as u64;
            let (text, _) = encoding_rs::WINDOWS_1252.decode_without_bom_handling(bytes);
            let what = "The file is not UTF-8; it looks like Windows-1252.";
            Ok((
                text,
                Some(
                    Problem::repaired("I-112", what, "It was read as Windows-1252; look at names with accents.")
                        .row(line),
                ),
            ))
        }
    }
}

/// UTF-16 of plain text has a zero in nearly every second byte.
fn wide(bytes: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    let head = &bytes[..bytes.len().min(400)];
    let zeros = |from: usize| head.iter().skip(from).step_by(2).filter(|b| **b == 0).count();
    let half = head.len() / 2;
    if half < 4 {
        return None;
    }
    match (zeros(0), zeros(1)) {
        (even, odd) if odd * 10 > half * 8 && even * 10 < half => Some(encoding_rs::UTF_16LE),
        (even, odd) if even * 10 > half * 8 && odd * 10 < half => Some(encoding_rs::UTF_16BE),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn reads_what_offices_write() {
        let read = |b: &[u8]| decode(b).map(|(t, p)| (t.into_owned(), p.map(|p| p.code))).map_err(|p| p.code);
        assert_eq!(read(b"\xEF\xBB\xBFid"), Ok(("id".into(), Some("I-111"))));
        assert_eq!(read(b"\xFF\xFEi\0d\0"), Ok(("id".into(), Some("I-111"))));
        assert_eq!(read(b"i\0d\0,\0a\0\n\0"), Ok(("id,a\n".into(), Some("I-111"))));
        assert_eq!(read(b"Montr\xE9al"), Ok(("Montr\u{e9}al".into(), Some("I-112"))));
        assert_eq!(read(b" \n"), Err("I-101"));
        assert_eq!(read(b"ab\0\x01\x02cdefgh"), Err("I-102"));
    }
}
