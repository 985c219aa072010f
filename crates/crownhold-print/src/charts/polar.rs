//! Rings: clockwise angles, arcs, ribbons of changing thickness, and text along an arc.

use std::f64::consts::{PI, TAU};

use geo::{LineString, Simplify as _};

use crate::svg::{Svg, TextStyle, escape, num};

/// Where a ring lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pole {
    pub(super) centre: (f64, f64),
}

/// Text along an arc.
#[derive(Clone, Copy, Debug)]
pub(super) struct ArcText<'a> {
    /// Name of its path, which no other in the drawing has.
    pub(super) id: &'a str,
    pub(super) text: &'a str,
    /// Middle of the text, clockwise from the top.
    pub(super) angle: f64,
    /// Radius through the middle of the letters.
    pub(super) radius: f64,
}

impl Pole {
    /// A point at an angle clockwise from the top.
    pub(super) fn point(&self, angle: f64, radius: f64) -> (f64, f64) {
        (self.centre.0 + radius * angle.sin(), self.centre.1 - radius * angle.cos())
    }

    fn at(&self, angle: f64, radius: f64) -> String {
        let (x, y) = self.point(angle, radius);
        format!("{} {}", num(x), num(y))
    }

    /// The closed shape between an inner and an outer edge; `edges` are (angle, inner, outer) in order.
    pub(super) fn ribbon(&self, edges: &[(f64, f64, f64)]) -> String {
        let outer = edges.iter().map(|(angle, _, outer)| self.point(*angle, *outer));
        let inner = edges.iter().rev().map(|(angle, inner, _)| self.point(*angle, *inner));
        // A browser pays for every point, and a tenth of a pixel is not seen.
        let drawn = LineString::from_iter(outer.chain(inner)).simplify(0.1);
        let points: Vec<String> = drawn.0.iter().map(|c| format!("{} {}", num(c.x), num(c.y))).collect();
        format!("M{}Z", points.join("L"))
    }

    /// An arc as path data, clockwise, or back when `to` is less than `from`.
    pub(super) fn arc(&self, from: f64, to: f64, radius: f64) -> String {
        let (large, sweep) = (u8::from((to - from).abs() > PI), u8::from(to > from));
        let r = num(radius);
        format!("M{}A{r} {r} 0 {large} {sweep} {}", self.at(from, radius), self.at(to, radius))
    }

    /// Writes text along the circle, the right way up in the upper and in the lower half.
    pub(super) fn text(&self, svg: &mut Svg, style: TextStyle<'_>, words: ArcText<'_>) {
        // Room for any text that is short enough to be put here. (The arc of a half turn would be in doubt: rounded
        // ends leave its centre open.)
        let reach = 1.25;
        let below = (words.angle.rem_euclid(TAU) - PI).abs() < PI * 0.5;
        let lift = 0.34 * style.size;
        let d = if below {
            self.arc(words.angle + reach, words.angle - reach, words.radius + lift)
        } else {
            self.arc(words.angle - reach, words.angle + reach, words.radius - lift)
        };
        svg.path(&d, &format!("id=\"{}\" fill=\"none\"", words.id));
        let weight = if style.bold { " font-weight=\"bold\"" } else { "" };
        svg.raw(&format!(
            "<text font-size=\"{}\" fill=\"{}\" text-anchor=\"middle\"{weight}><textPath href=\"#{}\" \
             startOffset=\"50%\">{}</textPath></text>",
            num(style.size),
            style.fill,
            words.id,
            escape(words.text),
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_run_clockwise_from_the_top() {
        let pole = Pole { centre: (100.0, 100.0) };
        assert_eq!(pole.at(0.0, 50.0), "100 50");
        assert_eq!(pole.at(PI / 2.0, 50.0), "150 100");
        assert_eq!(pole.arc(0.0, PI / 2.0, 50.0), "M100 50A50 50 0 0 1 150 100");
        assert_eq!(pole.arc(PI / 2.0, 0.0, 50.0), "M150 100A50 50 0 0 0 100 50");
    }
}
