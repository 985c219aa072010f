//! Plain tables for the terminal.

/// Lines up columns; numbers go right, words left, by the second argument ('r' or 'l' per column).
pub(super) fn table(rows: &[Vec<String>], align: &str) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut out = String::new();
    for row in rows {
        let cells: Vec<String> = row
            .iter()
            .enumerate()
            .map(|(c, s)| {
                let room = widths[c] - s.chars().count();
                if align.as_bytes().get(c) == Some(&b'r') {
                    format!("{}{s}", " ".repeat(room))
                } else {
                    format!("{s}{}", " ".repeat(room))
                }
            })
            .collect();
        out.push_str(cells.join("  ").trim_end());
        out.push('\n');
    }
    out
}

/// A row from words.
pub(super) fn row<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.iter().map(|c| (*c).to_owned()).collect()
}
