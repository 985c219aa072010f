//! Where a problem is mended.

/// Address and words of the place where a problem of this code is mended; none where it only wants to be known.
pub fn mend(code: &str) -> Option<(&'static str, &'static str)> {
    Some(match code {
        "D-001" => ("/programme/import/blocks", "Bring in blocks"),
        "D-002" => ("/survey/counts", "Enter counts"),
        "D-003" | "D-101" | "D-102" | "D-103" | "D-107" | "D-108" | "D-109" => ("/survey", "Look at the survey"),
        "D-104" | "D-105" | "D-106" => ("/survey", "Look at plots and counts"),
        "O-001" => ("/programme/import/areas", "Bring in canopy and host mix"),
        "C-001" => ("/survey", "See which blocks"),
        "C-002" => ("/programme/import/resources", "Bring in money and hours"),
        "C-003" => ("/programme/species", "Class the names"),
        "C-004" => ("/plan/areas#consents", "Write consents down"),
        "timing.no-past-year" | "timing.few-years" | "timing.not-observed" => {
            ("/programme/import/weather", "Bring in weather")
        }
        "D-201" => ("/programme/parameters?find=survey.stop", "Look at the constants"),
        "timing.parameter" | "heat.method" => ("/programme/parameters?find=timing", "Look at the constants"),
        "timing.no-window" | "timing.warm-winter" => ("/timing", "Look at the dates"),
        _ if code.starts_with("weather.") => ("/programme/import/weather", "Bring in corrected weather"),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::mend;

    /// Every check of a programme that the list of problems names leads somewhere.
    #[test]
    fn checks_lead_to_a_place() {
        let list = include_str!("../../../../../../docs/problems.md");
        let codes = list.lines().filter_map(|l| l.strip_prefix("| ")?.split(" |").next());
        let checks = |c: &&str| ["C-", "D-", "O-", "weather."].iter().any(|start| c.starts_with(start));
        let astray: Vec<&str> = codes.filter(checks).filter(|c| mend(c).is_none()).collect();
        assert!(astray.is_empty(), "{astray:?}");
    }
}
