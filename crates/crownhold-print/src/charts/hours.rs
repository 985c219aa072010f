//! Hours that are fit to spray in, and the chance of enough such mornings.

use crownhold::timing::spray::{JudgedHour, MOST_MORNINGS, Reason, Verdict, WindowMornings};
use jiff::civil::Date;

use super::{PLAIN, SMALL};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle};
use crate::wording::{chance, count};

const TOP: f64 = 24.0;
const ROW: f64 = 30.0;
const NAME: f64 = 62.0;

/// The letter that a reason goes by on the picture, and its words.
pub fn reason_letter(reason: &Reason) -> (char, &'static str) {
    match reason {
        Reason::Dark => (' ', "dark"),
        Reason::WindStrong(_) | Reason::Gusts(_) => ('W', "wind or gusts"),
        Reason::Calm(_) => ('C', "too calm: inversion"),
        Reason::Dry(_) => ('H', "humidity too low"),
        Reason::Cold(_) | Reason::Warm(_) => ('T', "temperature"),
        Reason::RainNow | Reason::RainAhead(_) => ('R', "rain now or soon after"),
    }
}

/// A row a day and a box an hour: full for go, a letter for the first reason of a no, a question mark where
/// readings are missing, grey ground in the dark. Told apart by form and darkness, not by colour alone.
pub fn spray_hours(hours: &[JudgedHour], sheet: &Sheet<'_>) -> String {
    let (inks, w, width) = (sheet.inks, sheet.wording(), sheet.size.units());
    let days: Vec<&[JudgedHour]> = hours.chunk_by(|a, b| a.weather.time.date() == b.weather.time.date()).collect();
    let mut svg = Svg::new(width, TOP + ROW * days.len() as f64 + 4.0);
    let box_wide = (width - NAME - 4.0) / 24.0;
    for hour in (0..24_i16).step_by(3) {
        let x = NAME + box_wide * f64::from(hour);
        svg.text((x, TOP - 8.0), TextStyle::new(SMALL, inks.soft), &format!("{hour}"));
    }
    for (i, day) in days.iter().enumerate() {
        let top = TOP + ROW * i as f64;
        let name = w.day(day[0].weather.time.date());
        svg.text((0.0, top + 19.0), TextStyle::new(SMALL, inks.ink), &name);
        for hour in *day {
            let x = NAME + box_wide * f64::from(hour.weather.time.hour());
            one(&mut svg, sheet, hour, (x, top), box_wide);
        }
    }
    svg.finish_told(sheet, "Hours fit to spray in, day by day", &told(&days, |day| w.day(day)))
}

fn one(svg: &mut Svg, sheet: &Sheet<'_>, hour: &JudgedHour, (x, top): (f64, f64), wide: f64) {
    let inks = sheet.inks;
    let size = (wide - 1.5, ROW - 6.0);
    let middle = (x + wide / 2.0, top + 16.0);
    let letter = |svg: &mut Svg, ink: &str, text: &str| {
        svg.text(middle, TextStyle::new(11.0, ink).anchor(Anchor::Middle), text);
    };
    match hour.verdict() {
        Verdict::Go => svg.rect((x, top), size, &format!("fill=\"{}\"", inks.accent)),
        _ if !hour.light => svg.rect((x, top), size, &format!("fill=\"{}\"", inks.rule)),
        Verdict::NoGo => {
            svg.rect((x, top), size, &format!("fill=\"{}\" stroke=\"{}\"", inks.paper, inks.rule));
            let first = hour.reasons.first().map_or(' ', |reason| reason_letter(reason).0);
            letter(svg, inks.ink, &first.to_string());
        }
        Verdict::Unknown => {
            svg.rect((x, top), size, &format!("fill=\"{}\" stroke=\"{}\"", inks.stripe, inks.soft));
            letter(svg, inks.ink, "?");
        }
    }
}

fn told(days: &[&[JudgedHour]], day_name: impl Fn(Date) -> String) -> String {
    let day = |day: &&[JudgedHour]| {
        let go: Vec<String> = day
            .iter()
            .filter(|hour| hour.verdict() == Verdict::Go)
            .map(|hour| format!("{}:00", hour.weather.time.hour()))
            .collect();
        let hours = if go.is_empty() { "none".to_owned() } else { go.join(", ") };
        format!("{}: {hours}", day_name(day[0].weather.time.date()))
    };
    format!("Go hours. {}.", days.iter().map(day).collect::<Vec<_>>().join("; "))
}

/// A bar for each number of mornings: as long as its chance, with a line from the worst past year to the best.
pub fn morning_chances(mornings: &WindowMornings, sheet: &Sheet<'_>) -> String {
    let (inks, width) = (sheet.inks, sheet.size.units());
    let (left, right) = (118.0, width - 58.0);
    let x = |p: f64| left + (right - left) * p;
    let mut svg = Svg::new(width, 8.0 + ROW * MOST_MORNINGS as f64);
    let mut words = Vec::new();
    for i in 0..MOST_MORNINGS {
        let (p, (low, high)) = (mornings.chance[i], mornings.range[i]);
        let top = 6.0 + ROW * i as f64;
        let name = format!("{} or more", count(i + 1, "morning", "mornings"));
        svg.text((0.0, top + 15.0), TextStyle::new(SMALL, inks.ink), &name);
        svg.rect((left, top + 1.0), (right - left, 18.0), &format!("fill=\"{}\"", inks.stripe));
        svg.rect((left, top + 1.0), (x(p) - left, 18.0), &format!("fill=\"{}\"", inks.accent_pale));
        svg.line((x(low), top + 10.0), (x(high), top + 10.0), inks.ink, 1.6, "");
        for end in [low, high] {
            svg.line((x(end), top + 5.0), (x(end), top + 15.0), inks.ink, 1.6, "");
        }
        svg.text((right + 8.0, top + 15.0), TextStyle::new(PLAIN, inks.ink).bold(), &chance(p));
        words.push(format!("{name}: {}", chance(p)));
    }
    svg.finish_told(sheet, "Chance of mornings fit to fly in the aerial window", &words.join("; "))
}
