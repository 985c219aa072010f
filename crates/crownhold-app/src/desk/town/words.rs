//! The words of the public page, language by language (Fluent).
//!
//! Another language is one file in `messages/` and one line in [`FILES`]; the tests say what is missing in it.

use std::borrow::Cow;
use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use fluent_langneg::{LanguageIdentifier, NegotiationStrategy, accepted_languages, negotiate_languages};
use jiff::civil::Date;

/// Code and messages; the first is the one that is spoken where none fits.
const FILES: [(&str, &str); 3] = [
    ("en", include_str!("../../../messages/en.ftl")),
    ("es", include_str!("../../../messages/es.ftl")),
    ("fr", include_str!("../../../messages/fr.ftl")),
];

static ALL: LazyLock<Vec<Language>> =
    LazyLock::new(|| FILES.iter().map(|(code, text)| Language::new(code, text)).collect());

/// A language of the page.
pub struct Language {
    /// Its code, as in the address and in `lang`.
    pub code: &'static str,
    bundle: FluentBundle<FluentResource>,
}

impl Language {
    fn new(code: &'static str, text: &str) -> Self {
        let id: unic_langid::LanguageIdentifier = code.parse().expect("the codes are ours");
        let mut bundle = FluentBundle::new_concurrent(vec![id]);
        // Signs that keep directions apart would show as boxes; all languages here run one way.
        bundle.set_use_isolating(false);
        let resource = FluentResource::try_new(text.to_owned()).unwrap_or_else(|(partly, _)| partly);
        bundle.add_resource_overriding(resource);
        Self { code, bundle }
    }

    /// A message without figures.
    pub fn say(&self, key: &str) -> String {
        self.text(key, None)
    }
    /// A message with one value in it.
    pub fn say_with<'a>(&self, key: &str, name: &'a str, value: impl Into<FluentValue<'a>>) -> String {
        let mut args = FluentArgs::new();
        args.set(Cow::Borrowed(name), value);
        self.text(key, Some(&args))
    }
    /// A message with several texts in it.
    pub fn say_all(&self, key: &str, values: &[(&str, &str)]) -> String {
        let mut args = FluentArgs::new();
        for (name, value) in values {
            args.set(*name, *value);
        }
        self.text(key, Some(&args))
    }
    /// A day in full.
    pub fn day(&self, day: Date) -> String {
        let month = self.say(&format!("month-{}", day.month()));
        self.say_all("date", &[("day", &day.day().to_string()), ("month", &month), ("year", &day.year().to_string())])
    }
    /// The other languages: code and name in itself.
    pub fn others(&self) -> Vec<(&'static str, String)> {
        ALL.iter().filter(|l| l.code != self.code).map(|l| (l.code, l.say("language"))).collect()
    }

    fn text(&self, key: &str, args: Option<&FluentArgs<'_>>) -> String {
        let Some(pattern) = self.bundle.get_message(key).and_then(|m| m.value()) else { return key.to_owned() };
        let mut wrong = Vec::new();
        self.bundle.format_pattern(pattern, args, &mut wrong).into_owned()
    }
}

/// The language of a code.
pub fn language(code: &str) -> Option<&'static Language> {
    ALL.iter().find(|l| l.code == code)
}

/// The best language for what a browser accepts.
pub fn best(accepts: &str) -> &'static Language {
    let wanted = accepted_languages::parse(accepts);
    let there: Vec<LanguageIdentifier> = FILES.iter().filter_map(|(code, _)| code.parse().ok()).collect();
    let chosen = negotiate_languages(&wanted, &there, None, NegotiationStrategy::Lookup);
    chosen.first().and_then(|id| language(id.language.as_str())).unwrap_or(&ALL[0])
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use crownhold::field::Advice;
    use crownhold::types::Tactic;
    use jiff::civil::date;

    use super::{FILES, best, language};
    use crate::actions::town::SIGHTS;
    use crate::desk::town::key_of;

    /// Key of every message with the names of its values.
    fn messages(text: &str) -> BTreeMap<String, Vec<String>> {
        let mut all = BTreeMap::new();
        let mut key = String::new();
        for line in text.lines().filter(|l| !l.starts_with('#')) {
            if let Some((name, _)) = line.split_once(" = ").filter(|(n, _)| !n.starts_with(' ')) {
                key = name.to_owned();
                assert!(all.insert(key.clone(), Vec::new()).is_none(), "{key} stands twice");
            }
            let values = line.split('$').skip(1).map(|v| v.chars().take_while(|c| c.is_alphanumeric()).collect());
            all.entry(key.clone()).or_default().extend(values);
        }
        all.remove("");
        for values in all.values_mut() {
            values.sort();
            values.dedup();
        }
        all
    }

    #[test]
    fn every_language_says_everything() {
        let english = messages(FILES[0].1);
        assert!(english.len() > 90);
        for (code, text) in &FILES[1..] {
            let own = messages(text);
            for (key, values) in &english {
                assert_eq!(own.get(key), Some(values), "{code}: {key}");
            }
            assert_eq!(own.len(), english.len(), "{code} has messages that nobody says");
            let same = english.keys().filter(|k| language(code).unwrap().say(k) == language("en").unwrap().say(k));
            assert!(same.count() < 3, "{code} is not translated");
        }
    }

    #[test]
    fn every_choice_has_its_words() {
        for (code, _) in FILES {
            let l = language(code).unwrap();
            let mut keys: Vec<String> = SIGHTS.iter().map(|s| key_of("sight", s)).collect();
            keys.extend(Tactic::ALL.iter().map(|t| key_of("tactic", t.word())));
            keys.extend(
                Advice::ALL.iter().flat_map(|a| [key_of("", a.word()), format!("{}-how", key_of("", a.word()))]),
            );
            keys.extend((1..=12).map(|m| format!("month-{m}")));
            for key in keys {
                assert_ne!(l.say(&key), key, "{code}");
            }
        }
    }

    #[test]
    fn browsers_are_answered_in_their_language() {
        assert_eq!(best("fr-CA,fr;q=0.9,en;q=0.5").code, "fr");
        assert_eq!(best("es-US").code, "es");
        assert_eq!(best("de-DE, en;q=0.3").code, "en");
        assert_eq!(best("").code, "en");
    }

    #[test]
    fn days_and_numbers() {
        assert_eq!(language("en").unwrap().day(date(2027, 5, 3)), "May 3, 2027");
        assert_eq!(language("es").unwrap().day(date(2027, 5, 3)), "3 de mayo de 2027");
        assert_eq!(language("fr").unwrap().say_with("find-many", "count", 0), "0 endroit trouvé");
        assert_eq!(language("en").unwrap().say_with("find-many", "count", 1), "One place found");
    }
}
