//! The species table: which susceptibility class a tree name belongs to.
//!
//! Two lists stand behind it. The plant list of the USDA Forest Service Southern Research Station sorts
//! trees into favoured, not favoured and avoided; the classes here are susceptible, resistant and immune
//! in that order. Ontario's list of hosts names trees that are stripped there in outbreaks. Where the two
//! disagree the Forest Service class stands and the line says so. A species whose genus the lists judge
//! as a whole ("most oaks") gets the class of the genus and is marked as derived. Genera whose species
//! differ (birches, poplars, cherries) have no line for the genus: an unlisted birch is unknown, not guessed.

use super::parameters::Known;
use super::records::{HostClass, SpeciesRule};

/// The first of the two lists, by name.
macro_rules! list {
    ($($rest:literal),+) => {
        concat!("USDA Forest Service, Southern Research Station, Compass issue 9, host plant list: ", $($rest),+)
    };
}

const FAVOURED: &str = list!("favoured");
const NOT_FAVOURED: &str = list!("not favoured (fed on by some stages)");
const AVOIDED: &str = list!("avoided");
const MOST_OAKS: &str =
    list!("favoured, \"most oaks\"; Liebhold et al. 1995 (NE-211): nearly all oaks are highly suitable");
const MOST_SPRUCES: &str = list!("not favoured, \"most spruces\"");
const MOST_PINES: &str = list!("not favoured, \"most pines\"");
const MOST_ASH: &str = list!("avoided, \"most ash\"");
const MOST_AZALEAS: &str = list!("avoided, rhododendron and \"most azaleas\"");
const OF_GENUS: &str = list!("the class of the genus, or of its named species");
const ONTARIO_TOO: &str = list!("not favoured. Ontario's list of hosts disagrees: stripped there in outbreaks");
const RENFREW_TOO: &str =
    list!("not favoured, \"most spruces\". Renfrew County (Ontario) disagrees: names it as a host");
const BY_BASAL_AREA: &str =
    "USDA Forest Service susceptibility tables: among the ten preferred trees with most basal area";
const ASPENS: &str = "Ontario's list of hosts: aspen";
const MEMORY: &str = "Liebhold et al. 1995 (NE-211), from memory, its table could not be read; to be checked";

use HostClass::{Immune, Resistant, Susceptible};
use Known::{Derived, FromMemory, Published};

/// Scientific name (or genus and "sp."), common names, class, how known, source.
type Line = (&'static str, &'static [&'static str], HostClass, Known, &'static str);

#[rustfmt::skip]
const TABLE: &[Line] = &[
    // Oaks
    ("Quercus sp.", &["oak"], Susceptible, Published, FAVOURED),
    ("Quercus alba", &["white oak", "eastern white oak"], Susceptible, Published, BY_BASAL_AREA),
    ("Quercus bicolor", &["swamp white oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus coccinea", &["scarlet oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus ellipsoidalis", &["northern pin oak", "hill's oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus falcata", &["southern red oak"], Susceptible, Published, BY_BASAL_AREA),
    ("Quercus ilicifolia", &["bear oak", "scrub oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus imbricaria", &["shingle oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus macrocarpa", &["bur oak", "burr oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus montana", &["chestnut oak", "rock oak", "rock chestnut oak"], Susceptible, Published, BY_BASAL_AREA),
    ("Quercus michauxii", &["swamp chestnut oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus muehlenbergii", &["chinkapin oak", "chinquapin oak", "yellow oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus nigra", &["water oak"], Susceptible, Published, BY_BASAL_AREA),
    ("Quercus palustris", &["pin oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus phellos", &["willow oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus robur", &["english oak", "pedunculate oak", "common oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus rubra", &["northern red oak", "red oak", "eastern red oak"], Susceptible, Published, BY_BASAL_AREA),
    ("Quercus shumardii", &["shumard oak", "shumard red oak"], Susceptible, Derived, MOST_OAKS),
    ("Quercus stellata", &["post oak"], Susceptible, Published, BY_BASAL_AREA),
    ("Quercus velutina", &["black oak"], Susceptible, Published, BY_BASAL_AREA),
    // Other favoured hosts
    ("Malus sp.", &["apple", "crabapple", "flowering crabapple", "crab apple", "flowering crab"], Susceptible, Published, FAVOURED),
    ("Malus pumila", &["common apple", "domestic apple", "paradise apple"], Susceptible, Derived, OF_GENUS),
    ("Tilia sp.", &["basswood", "linden"], Susceptible, Derived, OF_GENUS),
    ("Tilia americana", &["american basswood", "american linden"], Susceptible, Published, FAVOURED),
    ("Tilia cordata", &["littleleaf linden", "little leaf linden", "small leaved lime"], Susceptible, Derived, OF_GENUS),
    ("Tilia tomentosa", &["silver linden"], Susceptible, Derived, OF_GENUS),
    ("Betula nigra", &["river birch"], Susceptible, Published, FAVOURED),
    ("Betula papyrifera", &["paper birch", "white birch", "canoe birch", "american white birch"], Susceptible, Published, FAVOURED),
    ("Betula populifolia", &["gray birch", "grey birch"], Susceptible, FromMemory, MEMORY),
    ("Crataegus sp.", &["hawthorn", "thornapple", "haw"], Susceptible, Published, FAVOURED),
    ("Crataegus crus-galli", &["cockspur hawthorn"], Susceptible, Derived, OF_GENUS),
    ("Crataegus phaenopyrum", &["washington hawthorn"], Susceptible, Derived, OF_GENUS),
    ("Corylus sp.", &["hazelnut", "hazel", "filbert"], Susceptible, Published, FAVOURED),
    ("Corylus colurna", &["turkish hazel", "turkish filbert"], Susceptible, Derived, OF_GENUS),
    ("Carpinus sp.", &["hornbeam"], Susceptible, Published, FAVOURED),
    ("Carpinus caroliniana", &["american hornbeam", "musclewood", "blue beech", "ironwood musclewood"], Susceptible, Derived, OF_GENUS),
    ("Carpinus betulus", &["european hornbeam", "common hornbeam"], Susceptible, Derived, OF_GENUS),
    ("Ostrya virginiana", &["eastern hophornbeam", "hophornbeam", "american hophornbeam", "ironwood"], Susceptible, FromMemory, MEMORY),
    ("Amelanchier sp.", &["serviceberry", "juneberry", "shadbush", "shadblow"], Susceptible, Published, FAVOURED),
    ("Amelanchier arborea", &["downy serviceberry"], Susceptible, Derived, OF_GENUS),
    ("Amelanchier laevis", &["allegheny serviceberry"], Susceptible, Derived, OF_GENUS),
    ("Liquidambar styraciflua", &["sweetgum", "american sweetgum"], Susceptible, Published, FAVOURED),
    ("Salix sp.", &["willow"], Susceptible, Published, FAVOURED),
    ("Salix nigra", &["black willow"], Susceptible, Derived, OF_GENUS),
    ("Salix babylonica", &["weeping willow"], Susceptible, Derived, OF_GENUS),
    ("Hamamelis sp.", &["witch-hazel"], Susceptible, Published, FAVOURED),
    ("Hamamelis virginiana", &["american witch-hazel", "common witch-hazel"], Susceptible, Derived, OF_GENUS),
    ("Populus tremuloides", &["quaking aspen", "trembling aspen", "aspen"], Susceptible, Published, BY_BASAL_AREA),
    ("Populus grandidentata", &["bigtooth aspen", "largetooth aspen"], Susceptible, Derived, ASPENS),
    ("Larix laricina", &["tamarack", "eastern larch", "american larch"], Susceptible, FromMemory, MEMORY),
    ("Sorbus americana", &["american mountain-ash"], Susceptible, FromMemory, MEMORY),
    // Not favoured
    ("Fagus sp.", &["beech"], Resistant, Published, ONTARIO_TOO),
    ("Fagus grandifolia", &["american beech"], Resistant, Published, ONTARIO_TOO),
    ("Fagus sylvatica", &["european beech", "copper beech"], Resistant, Derived, OF_GENUS),
    ("Betula lenta", &["sweet birch", "black birch", "cherry birch"], Resistant, Published, NOT_FAVOURED),
    ("Betula alleghaniensis", &["yellow birch"], Resistant, Published, NOT_FAVOURED),
    ("Nyssa sylvatica", &["blackgum", "black gum", "black tupelo", "tupelo"], Resistant, Published, NOT_FAVOURED),
    ("Acer sp.", &["maple"], Resistant, Derived, OF_GENUS),
    ("Acer negundo", &["boxelder", "box elder", "manitoba maple", "ash-leaved maple"], Resistant, Published, NOT_FAVOURED),
    ("Acer platanoides", &["norway maple"], Resistant, Derived, OF_GENUS),
    ("Acer rubrum", &["red maple"], Resistant, Published, NOT_FAVOURED),
    ("Acer saccharinum", &["silver maple"], Resistant, Derived, OF_GENUS),
    ("Acer saccharum", &["sugar maple", "hard maple"], Resistant, Published, ONTARIO_TOO),
    ("Acer x freemanii", &["freeman maple"], Resistant, Derived, OF_GENUS),
    ("Aesculus glabra", &["ohio buckeye", "buckeye"], Resistant, Published, NOT_FAVOURED),
    ("Aesculus flava", &["yellow buckeye"], Resistant, Published, NOT_FAVOURED),
    ("Juglans cinerea", &["butternut", "white walnut"], Resistant, Published, NOT_FAVOURED),
    ("Juglans nigra", &["black walnut", "walnut"], Resistant, Published, NOT_FAVOURED),
    ("Prunus serotina", &["black cherry", "wild black cherry"], Resistant, Published, NOT_FAVOURED),
    ("Castanea sp.", &["chestnut"], Resistant, Published, NOT_FAVOURED),
    ("Castanea dentata", &["american chestnut"], Resistant, Derived, OF_GENUS),
    ("Ulmus sp.", &["elm"], Resistant, Published, NOT_FAVOURED),
    ("Ulmus americana", &["american elm", "white elm"], Resistant, Derived, OF_GENUS),
    ("Ulmus pumila", &["siberian elm"], Resistant, Derived, OF_GENUS),
    ("Ulmus rubra", &["slippery elm", "red elm"], Resistant, Derived, OF_GENUS),
    ("Populus deltoides", &["eastern cottonwood", "cottonwood"], Resistant, Published, NOT_FAVOURED),
    ("Magnolia acuminata", &["cucumbertree", "cucumber tree", "cucumber magnolia"], Resistant, Published, NOT_FAVOURED),
    ("Celtis occidentalis", &["common hackberry", "hackberry", "northern hackberry"], Resistant, Published, NOT_FAVOURED),
    ("Tsuga sp.", &["hemlock"], Resistant, Published, NOT_FAVOURED),
    ("Tsuga canadensis", &["eastern hemlock", "canadian hemlock"], Resistant, Derived, OF_GENUS),
    ("Carya sp.", &["hickory"], Resistant, Published, NOT_FAVOURED),
    ("Carya cordiformis", &["bitternut hickory"], Resistant, Derived, OF_GENUS),
    ("Carya glabra", &["pignut hickory"], Resistant, Derived, OF_GENUS),
    ("Carya ovata", &["shagbark hickory"], Resistant, Derived, OF_GENUS),
    ("Carya tomentosa", &["mockernut hickory"], Resistant, Derived, OF_GENUS),
    ("Pyrus sp.", &["pear"], Resistant, Published, NOT_FAVOURED),
    ("Pyrus calleryana", &["callery pear", "bradford pear", "flowering pear"], Resistant, Derived, OF_GENUS),
    ("Diospyros virginiana", &["common persimmon", "persimmon"], Resistant, Published, NOT_FAVOURED),
    ("Picea sp.", &["spruce"], Resistant, Published, MOST_SPRUCES),
    ("Picea abies", &["norway spruce"], Resistant, Derived, OF_GENUS),
    ("Picea glauca", &["white spruce"], Resistant, Derived, RENFREW_TOO),
    ("Picea pungens", &["blue spruce", "colorado blue spruce", "colorado spruce"], Resistant, Derived, ONTARIO_TOO),
    ("Pinus sp.", &["pine"], Resistant, Published, MOST_PINES),
    ("Pinus nigra", &["austrian pine", "european black pine"], Resistant, Derived, OF_GENUS),
    ("Pinus resinosa", &["red pine", "norway pine"], Resistant, Derived, OF_GENUS),
    ("Pinus strobus", &["eastern white pine", "white pine"], Resistant, Derived, ONTARIO_TOO),
    ("Pinus sylvestris", &["scots pine", "scotch pine"], Resistant, Derived, OF_GENUS),
    ("Cercis canadensis", &["eastern redbud", "redbud"], Resistant, Published, NOT_FAVOURED),
    ("Sassafras albidum", &["sassafras"], Resistant, Published, NOT_FAVOURED),
    ("Oxydendrum arboreum", &["sourwood"], Resistant, Published, NOT_FAVOURED),
    // Avoided
    ("Fraxinus sp.", &["ash"], Immune, Published, MOST_ASH),
    ("Fraxinus americana", &["white ash"], Immune, Derived, OF_GENUS),
    ("Fraxinus nigra", &["black ash"], Immune, Derived, OF_GENUS),
    ("Fraxinus pennsylvanica", &["green ash", "red ash"], Immune, Derived, OF_GENUS),
    ("Taxodium distichum", &["baldcypress", "bald cypress", "common baldcypress"], Immune, Published, AVOIDED),
    ("Catalpa sp.", &["catalpa"], Immune, Published, AVOIDED),
    ("Catalpa speciosa", &["northern catalpa"], Immune, Derived, OF_GENUS),
    ("Cornus sp.", &["dogwood"], Immune, Published, AVOIDED),
    ("Cornus florida", &["flowering dogwood"], Immune, Derived, OF_GENUS),
    ("Juniperus virginiana", &["eastern redcedar", "redcedar", "eastern red cedar", "red cedar"], Immune, Published, AVOIDED),
    ("Ilex opaca", &["american holly"], Immune, Published, AVOIDED),
    ("Aesculus hippocastanum", &["horsechestnut", "horse chestnut", "common horsechestnut"], Immune, Published, AVOIDED),
    ("Robinia pseudoacacia", &["black locust"], Immune, Published, AVOIDED),
    ("Gleditsia triacanthos", &["honeylocust", "honey locust", "thornless honeylocust", "thornless honey locust"], Immune, Published, AVOIDED),
    ("Kalmia latifolia", &["mountain laurel"], Immune, Published, AVOIDED),
    ("Morus sp.", &["mulberry"], Immune, Published, AVOIDED),
    ("Morus alba", &["white mulberry"], Immune, Derived, OF_GENUS),
    ("Morus rubra", &["red mulberry"], Immune, Derived, OF_GENUS),
    ("Rhododendron sp.", &["rhododendron", "azalea"], Immune, Published, MOST_AZALEAS),
    ("Platanus sp.", &["sycamore", "planetree", "plane"], Immune, Derived, OF_GENUS),
    ("Platanus occidentalis", &["american sycamore"], Immune, Published, AVOIDED),
    ("Platanus x acerifolia", &["london planetree", "london plane", "london plane tree"], Immune, Derived, OF_GENUS),
    ("Liriodendron tulipifera", &["yellow-poplar", "tulip tree", "tulip poplar", "tuliptree"], Immune, Published, AVOIDED),
];

/// The default table.
pub fn default_table() -> Vec<SpeciesRule> {
    TABLE
        .iter()
        .map(|(scientific, common, class, known, source)| SpeciesRule {
            scientific: (*scientific).to_owned(),
            common: common.iter().map(|c| (*c).to_owned()).collect(),
            class: *class,
            source: (*source).to_owned(),
            known: *known,
        })
        .collect()
}

/// A name that the table knows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recognised<'t> {
    /// The line of the table.
    pub rule: &'t SpeciesRule,
    /// Is only the genus known: because the name tells no more ("oak sp."), or because the table does not
    /// list the species?
    pub genus_only: bool,
}

/// The class of a species name as an inventory writes it; `None` when the table does not know it.
/// As [`recognise`].
pub fn classify(name: &str, table: &[SpeciesRule]) -> Option<HostClass> {
    recognise(name, table).map(|found| found.rule.class)
}

/// The line of the table that a species name as an inventory writes it belongs to; `None` when there is none.
///
/// Case, punctuation and word order do not matter ("Oak, northern red"); authorities and cultivars are
/// passed over ("Quercus rubra L."); a name in brackets is tried as well ("red oak (Quercus rubra)").
/// Shortened scientific names are read where only one line of the table fits ("Q. alba").
/// A scientific name that is not listed gets the line of its genus where the table has one. When the
/// parts of a name lead to different classes it is not known.
pub fn recognise<'t>(name: &str, table: &'t [SpeciesRule]) -> Option<Recognised<'t>> {
    // A cultivar in quotes is a name of its own and says nothing about the species.
    let name: String = without_cultivar(name);
    let found: Vec<Recognised<'t>> = parts(&name).filter_map(|part| recognise_part(part, table)).collect();
    let first = *found.first()?;
    let agreed = found.iter().all(|other| other.rule.class == first.rule.class);
    let species = found.iter().find(|f| !f.genus_only).copied();
    agreed.then(|| species.unwrap_or(first))
}

fn parts(name: &str) -> impl Iterator<Item = &str> {
    name.split(['(', ')', '[', ']', '/', ';'])
}

/// The name of the table that an unknown name most likely is a misspelling of; `None` when nothing is near,
/// or names of several lines are equally near. It is for offering, never for taking.
///
/// Near is one slip of the pen (a letter too many, too few, another one, or two exchanged), or two in names
/// of ten letters and more.
pub fn nearest<'t>(name: &str, table: &'t [SpeciesRule]) -> Option<&'t str> {
    let name = without_cultivar(name);
    let spellings: Vec<String> = parts(&name).flat_map(spellings).filter(|s| s.len() >= SHORTEST_OFFERED).collect();
    let names = table.iter().flat_map(|r| std::iter::once(&r.scientific).chain(&r.common).map(move |n| (r, n)));
    let mut best: Option<(usize, &'t SpeciesRule, &'t str)> = None;
    let mut tied = false;
    for (rule, listed) in names {
        let listed_words = words(listed).join(" ");
        let slips = spellings.iter().filter_map(|s| {
            let most = if s.chars().count() >= 10 { 2 } else { 1 };
            Some(slips_between(s, &listed_words)).filter(|slips| *slips <= most)
        });
        let Some(slips) = slips.min() else { continue };
        match best {
            Some((least, ..)) if slips > least => {}
            Some((least, first, _)) if slips == least => tied |= first.scientific != rule.scientific,
            _ => (best, tied) = (Some((slips, rule, listed.as_str())), false),
        }
    }
    best.filter(|_| !tied).map(|(.., listed)| listed)
}

/// Names shorter than this are near too much.
const SHORTEST_OFFERED: usize = 6;

/// A name as written, and with what stands behind its comma put in front ("oak, nothern red").
fn spellings(part: &str) -> Vec<String> {
    let plain = words(part).join(" ");
    match part.split_once(',') {
        Some((last, first)) => vec![plain, words(&format!("{first} {last}")).join(" ")],
        None => vec![plain],
    }
}

/// Letters to add, drop, change or exchange with their neighbour until one name is the other
/// (optimal string alignment).
fn slips_between(one: &str, other: &str) -> usize {
    let (one, other): (Vec<char>, Vec<char>) = (one.chars().collect(), other.chars().collect());
    // Names of very different length are far apart; most of the table is passed over here.
    if one.len().abs_diff(other.len()) > 2 {
        return usize::MAX;
    }
    let mut rows: Vec<Vec<usize>> = vec![(0..=other.len()).collect()];
    for i in 1..=one.len() {
        let mut row = vec![i];
        for j in 1..=other.len() {
            let changed = rows[i - 1][j - 1] + usize::from(one[i - 1] != other[j - 1]);
            let mut least = changed.min(rows[i - 1][j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && one[i - 1] == other[j - 2] && one[i - 2] == other[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[one.len()][other.len()]
}

fn without_cultivar(name: &str) -> String {
    let mut quoted = false;
    let mut before = ' ';
    let mut kept = String::new();
    for c in name.chars() {
        // An apostrophe inside a word ("hill's oak") opens no quotation.
        let opens = matches!(c, '\'' | '"' | '\u{2018}' | '\u{201c}') && !before.is_alphanumeric();
        let closes = matches!(c, '\'' | '"' | '\u{2019}' | '\u{201d}');
        if !quoted && opens {
            quoted = true;
        } else if quoted && closes {
            quoted = false;
        } else if !quoted {
            kept.push(c);
        }
        before = c;
    }
    kept
}

fn words(name: &str) -> Vec<String> {
    let letters = name.replace(['\'', '\u{2019}'], "");
    letters.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase).collect()
}

fn recognise_part<'t>(part: &str, table: &'t [SpeciesRule]) -> Option<Recognised<'t>> {
    let words = words(part);
    by_common_name(&words, table)
        .or_else(|| by_scientific_name(&words, table))
        .or_else(|| by_shortened_name(part, table))
        .map(|rule| Recognised { rule, genus_only: rule.scientific.ends_with(" sp.") })
        .or_else(|| of_genus(words.first()?, table).map(|rule| Recognised { rule, genus_only: true }))
}

fn by_common_name<'t>(words: &[String], table: &'t [SpeciesRule]) -> Option<&'t SpeciesRule> {
    let key = |words: &[String]| {
        let mut sorted = words.to_vec();
        sorted.sort();
        (sorted, words.concat())
    };
    let (sorted, run) = key(words);
    // "oak sp." and "oak species" are oaks.
    let bare: Vec<String> = words.iter().filter(|w| !GENUS_MARKS.contains(&w.as_str())).cloned().collect();
    let letters = |name: &str| name.chars().filter(|c| c.is_alphanumeric()).count();
    let lengths = [letters(&run), letters(&bare.concat())];
    let meets = |common: &String| {
        // Names of another length cannot meet; most are passed over here, before anything is sorted.
        if !lengths.contains(&letters(common)) {
            return false;
        }
        let (s, r) = key(&self::words(common));
        s == sorted || r == run || (bare.len() < words.len() && bare.concat() == r)
    };
    table.iter().find(|rule| !run.is_empty() && rule.common.iter().any(meets))
}

/// What stands after a genus when the species is not told.
const GENUS_MARKS: [&str; 4] = ["sp", "spp", "species", "spec"];

fn is_of_genus(rule: &SpeciesRule, genus: &str) -> bool {
    rule.scientific.split_whitespace().next().is_some_and(|first| first.eq_ignore_ascii_case(genus))
}

fn by_scientific_name<'t>(words: &[String], table: &'t [SpeciesRule]) -> Option<&'t SpeciesRule> {
    let genus = words.first()?;
    table.iter().filter(|rule| is_of_genus(rule, genus)).find(|rule| {
        let listed = self::words(&rule.scientific);
        words.len() >= listed.len() && words[..listed.len()] == listed[..]
    })
}

fn of_genus<'t>(genus: &str, table: &'t [SpeciesRule]) -> Option<&'t SpeciesRule> {
    table.iter().find(|rule| is_of_genus(rule, genus) && rule.scientific.ends_with(" sp."))
}

/// "Q. alba", "Quercus macro.": a genus of one letter or shortened with a point, a species in full or
/// shortened with a point to three letters or more, when only one line fits both.
fn by_shortened_name<'t>(part: &str, table: &'t [SpeciesRule]) -> Option<&'t SpeciesRule> {
    let spaced = part.to_lowercase().replace('.', ". ");
    let mut tokens = spaced.split_whitespace();
    let (genus, species) = (tokens.next()?, tokens.next()?);
    let plain = |token: &'_ str| token.trim_end_matches('.').to_owned();
    let is_short = |token: &str| token.ends_with('.');
    let (begins, wanted) = (plain(genus), plain(species));
    if begins.is_empty() || wanted.len() < 3 || GENUS_MARKS.contains(&wanted.as_str()) {
        return None;
    }
    let fits = |rule: &&SpeciesRule| {
        let listed = rule.scientific.to_lowercase();
        let Some((full, epithet)) = listed.split_once(' ') else { return false };
        let genus_fits = full == begins || ((is_short(genus) || begins.len() == 1) && full.starts_with(&begins));
        genus_fits && (epithet == wanted || (is_short(species) && epithet.starts_with(&wanted)))
    };
    let mut fitting = table.iter().filter(fits);
    fitting.next().filter(|_| fitting.next().is_none())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn class(name: &str) -> Option<HostClass> {
        classify(name, &default_table())
    }

    #[test]
    fn names_as_inventories_write_them() {
        let ways = [
            "Quercus rubra",
            "QUERCUS RUBRA",
            "Quercus rubra L.",
            "quercus  rubra 'Aurea'",
            "northern red oak",
            "Oak, northern red",
            "Oak, Northern Red",
            "red oak (Quercus rubra)",
            "RED OAK",
            "Quercus rubra / northern red oak",
            "oak-northern red",
        ];
        for way in ways {
            assert_eq!(class(way), Some(Susceptible), "{way}");
        }
        assert_eq!(class("Acer rubrum 'Red Sunset'"), Some(Resistant));
        assert_eq!(class("Honeylocust"), Some(Immune));
        assert_eq!(class("honey-locust, thornless"), Some(Immune));
        assert_eq!(class("witchhazel"), Some(Susceptible));
        assert_eq!(class("oak spp."), Some(Susceptible));
        assert_eq!(class("Tilia x europaea"), Some(Susceptible));
    }

    #[test]
    fn unknown_names_stay_unknown() {
        for name in [
            "",
            "  ",
            "unknown",
            "Betula sp.",
            "Betula pendula",
            "birch",
            "Populus x canadensis",
            "stump",
            "Zelkova serrata",
            "mountain ash",
            "poison oak",
            "Quercusrubra",
            "cherry",
            "vacant site",
            "prickly ash",
        ] {
            assert_eq!(class(name), None, "{name}");
        }
    }

    /// A name whose parts say different things is not decided by the first.
    #[test]
    fn contradicting_names_stay_unknown() {
        assert_eq!(class("white ash (Quercus alba)"), None);
    }

    /// No common name may stand for two lines, or word order could pick the class.
    #[test]
    fn common_names_are_unambiguous() {
        let mut seen = std::collections::BTreeMap::new();
        for rule in default_table() {
            for common in &rule.common {
                let mut key = words(common);
                key.sort();
                let before = seen.insert(key, rule.scientific.clone());
                assert!(before.is_none(), "{common}: {before:?} and {}", rule.scientific);
            }
        }
        assert!(default_table().len() >= 90);
    }

    /// Only one line of the table fits "Q. alba"; "Acer sacch." is two maples, and so a maple.
    #[test]
    fn shortened_names() {
        let table = default_table();
        let line = |name: &str| recognise(name, &table).map(|r| (r.rule.scientific.as_str(), r.genus_only));
        assert_eq!(line("Q. alba"), Some(("Quercus alba", false)));
        assert_eq!(line("Q.alba"), Some(("Quercus alba", false)));
        assert_eq!(line("q alba L."), Some(("Quercus alba", false)));
        assert_eq!(line("Quercus macro."), Some(("Quercus macrocarpa", false)));
        assert_eq!(line("Quer. rubra"), Some(("Quercus rubra", false)));
        assert_eq!(line("Betula pap."), Some(("Betula papyrifera", false)));
        assert_eq!(line("Acer sacch."), Some(("Acer sp.", true)));
        assert_eq!(line("A. sacch."), None, "two maples");
        assert_eq!(line("Betula p."), None, "too short, and two birches");
        assert_eq!(line("Catalpa spec."), Some(("Catalpa sp.", true)));
        assert_eq!(line("Q. phantastica"), None);
    }

    #[test]
    fn a_genus_is_called_a_genus() {
        let table = default_table();
        let genus_only = |name: &str| recognise(name, &table).map(|r| r.genus_only);
        assert_eq!(genus_only("oak sp."), Some(true));
        assert_eq!(genus_only("oak"), Some(true));
        assert_eq!(genus_only("Quercus phantastica"), Some(true));
        assert_eq!(genus_only("Quercus rubra"), Some(false));
        assert_eq!(genus_only("oak (Quercus rubra)"), Some(false));
    }

    #[test]
    fn near_names_are_offered() {
        let table = default_table();
        let near = |name: &str| nearest(name, &table);
        assert_eq!(near("Qurecus alba"), Some("Quercus alba"));
        assert_eq!(near("Quercusrubra"), Some("Quercus rubra"));
        assert_eq!(near("Oak, nothern red"), Some("northern red oak"));
        assert_eq!(near("suger maple"), Some("sugar maple"));
        for far in ["", "birch", "unknown", "stump", "Zelkova serrata", "vacant site", "pole oak tree"] {
            assert_eq!(near(far), None, "{far}");
        }
        assert_eq!(slips_between("qurecus", "quercus"), 1);
        assert_eq!(slips_between("oak", "oaks"), 1);
        assert_eq!(slips_between("", "ab"), 2);
        // One slip from saccharinum and from saccharum: not decided. Two names of one line are no tie.
        assert_eq!(near("Acer saccharium"), None);
        assert_eq!(near("gruy birch"), Some("gray birch"));
    }
}
