//! A small SVG writer: shapes and text with plain attributes, a title, no script and no style sheet.

use std::fmt::Write as _;

use crate::sheet::Sheet;

/// Where a text hangs on its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Text starts at the point.
    Start,
    /// Text is centred on the point.
    Middle,
    /// Text ends at the point.
    End,
}

/// How a text looks.
#[derive(Clone, Copy, Debug)]
pub struct TextStyle<'a> {
    /// Size in drawing units.
    pub size: f64,
    /// Colour.
    pub fill: &'a str,
    /// Where it hangs.
    pub anchor: Anchor,
    /// Bold?
    pub bold: bool,
}

impl<'a> TextStyle<'a> {
    /// Plain text that starts at its point.
    pub fn new(size: f64, fill: &'a str) -> Self {
        Self { size, fill, anchor: Anchor::Start, bold: false }
    }
    /// The same, bold.
    pub fn bold(self) -> Self {
        Self { bold: true, ..self }
    }
    /// The same, hung elsewhere.
    pub fn anchor(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }
}

/// A drawing being written. One drawing unit is meant to print at 0.5 pt.
#[derive(Debug)]
pub struct Svg {
    width: f64,
    height: f64,
    body: String,
}

impl Svg {
    /// An empty drawing.
    pub fn new(width: f64, height: f64) -> Self {
        Self { width, height, body: String::new() }
    }

    /// A straight line; `dash` in SVG's own words, empty for a full line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: &str, width: f64, dash: &str) {
        let dash = if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") };
        let _ = writeln!(
            self.body,
            "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{stroke}\" stroke-width=\"{}\"{dash}/>",
            num(from.0),
            num(from.1),
            num(to.0),
            num(to.1),
            num(width),
        );
    }

    /// A rectangle; `paint` holds its fill and stroke attributes.
    pub fn rect(&mut self, corner: (f64, f64), size: (f64, f64), paint: &str) {
        let _ = writeln!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {paint}/>",
            num(corner.0),
            num(corner.1),
            num(size.0.max(0.0)),
            num(size.1.max(0.0)),
        );
    }

    /// A path; `paint` holds its fill and stroke attributes.
    pub fn path(&mut self, d: &str, paint: &str) {
        let _ = writeln!(self.body, "<path d=\"{d}\" {paint}/>");
    }

    /// A line of text with its baseline at the point.
    pub fn text(&mut self, at: (f64, f64), style: TextStyle<'_>, content: &str) {
        let anchor = match style.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let weight = if style.bold { " font-weight=\"bold\"" } else { "" };
        let _ = writeln!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\" fill=\"{}\" text-anchor=\"{anchor}\"{weight}>{}</text>",
            num(at.0),
            num(at.1),
            num(style.size),
            style.fill,
            escape(content),
        );
    }

    /// Ready-made SVG, such as pattern definitions.
    pub fn raw(&mut self, svg: &str) {
        self.body.push_str(svg);
        self.body.push('\n');
    }

    /// The finished drawing of a paper; the text beside it tells what it shows.
    pub fn finish(self, sheet: &Sheet<'_>, title: &str) -> String {
        self.close(sheet, Role::Picture, title, "")
    }
    /// The finished drawing with a description for those who do not see it.
    pub fn finish_told(self, sheet: &Sheet<'_>, title: &str, told: &str) -> String {
        self.close(sheet, Role::Picture, title, told)
    }
    /// The same for a drawing with links, which a picture would hide from screen readers.
    pub fn finish_linked(self, sheet: &Sheet<'_>, title: &str, told: &str) -> String {
        self.close(sheet, Role::Group, title, told)
    }

    fn close(self, sheet: &Sheet<'_>, role: Role, title: &str, told: &str) -> String {
        let (id, role) = (sheet.id, if role == Role::Picture { "img" } else { "group" });
        let (also, desc) = if told.is_empty() {
            (String::new(), String::new())
        } else {
            (format!(" {id}-desc"), format!("<desc id=\"{id}-desc\">{}</desc>\n", escape(told)))
        };
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" role=\"{role}\" \
             aria-labelledby=\"{id}-title{also}\" font-family=\"{}\">\n<title id=\"{id}-title\">{}</title>\n{desc}{}</svg>\n",
            num(self.width),
            num(self.height),
            sheet.inks.font,
            escape(title),
            self.body,
        )
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Role {
    Picture,
    Group,
}

/// A coordinate with one decimal, without "-0" and without a needless ".0".
pub fn num(v: f64) -> String {
    let text = format!("{v:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Text made safe for SVG; control characters, which XML forbids, are dropped.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().filter(|c| !c.is_control()) {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c => out.push(c),
        }
    }
    out
}

/// How wide a text will be at most, in drawing units: half an em a character and a little for capitals.
pub fn text_width(text: &str, size: f64) -> f64 {
    text.chars().map(|c| if c.is_uppercase() { 0.68 } else { 0.5 }).sum::<f64>() * size
}

/// A text cut to what fits a width, with an ellipsis when something is left off.
pub fn fit_text(text: &str, size: f64, width: f64) -> String {
    if text_width(text, size) <= width {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        if text_width(&kept, size) + text_width(&c.to_string(), size) + size > width {
            break;
        }
        kept.push(c);
    }
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_text_stays_text() {
        assert_eq!(escape("<script>&\"\u{7}"), "&lt;script&gt;&amp;&quot;");
    }

    #[test]
    fn long_text_is_cut_to_its_width() {
        let cut = fit_text("The Long Meadow beyond the Old Mill", 16.0, 120.0);
        assert!(cut.ends_with('…') && text_width(&cut, 16.0) <= 120.0 + 16.0, "{cut}");
        assert_eq!(fit_text("Mill", 16.0, 120.0), "Mill");
    }

    #[test]
    fn coordinates_are_short() {
        assert_eq!((num(-0.01).as_str(), num(12.0).as_str(), num(3.06).as_str()), ("0", "12", "3.1"));
    }
}
