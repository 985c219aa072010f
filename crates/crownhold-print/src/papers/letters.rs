//! The letter and the door card that tell of flights, in three languages.

use crownhold::timing::{Timing, WindowKind};
use crownhold::types::Programme;
use jiff::civil::Date;

use super::document::{Document, Part};
use crate::wording::month_name;

/// Languages of the letter.
pub const LANGUAGES: [&str; 3] = ["en", "es", "fr"];

/// Words of one language.
struct Words {
    title: &'static str,
    lead: &'static str,
    what: &'static str,
    when_head: &'static str,
    when: &'static str,
    no_dates: &'static str,
    do_head: &'static str,
    points: [&'static str; 6],
    label: &'static str,
    ask: [&'static str; 3],
    card: &'static str,
    card_text: &'static str,
    /// Its names of months; English has those of all papers.
    months: Option<[&'static str; 12]>,
}

const ENGLISH: Words = Words {
    title: "Spraying against spongy moth",
    lead: "To everybody who lives, works or keeps animals in or near the blocks named below.",
    what: "The city will spray Btk, a bacterial product that kills young caterpillars when they eat treated leaves, from the \
           air over the blocks: {blocks}. It protects trees that the caterpillars would strip bare.",
    when_head: "When",
    when: "On one or a few mornings between {from} and {to}, as soon after sunrise as the weather lets us. The exact morning \
           depends on leaves, caterpillars, wind and rain and is known only the day before.",
    no_dates: "The dates are not known yet and will follow.",
    do_head: "What you can do",
    points: [
        "Stay indoors with windows closed while the aircraft is near, and until the time that the product label names is over.",
        "Bring in laundry, toys, food and bowls of animals; rinse what stayed outside with water.",
        "Keep pets and farm animals in: the aircraft flies low and is loud.",
        "If you have asthma, an allergy or a weak immune system, ask your doctor; you may wish to be away that morning.",
        "If you keep bees, grow organically, or have a reason that we should not spray at your place, tell us at once.",
        "Do not touch caterpillars or egg masses with bare hands: their hairs cause rashes.",
    ],
    label: "The product label is the law, and local rules prevail over this letter.",
    ask: ["Questions to", "Telephone", "On the web"],
    card: "Spraying here soon",
    card_text: "Aircraft will spray Btk against spongy moth caterpillars on a morning between {from} and {to}. Stay in with \
                windows closed while it is near.",
    months: None,
};

const SPANISH: Words = Words {
    title: "Aplicación aérea contra la polilla esponjosa",
    lead: "A todas las personas que viven, trabajan o tienen animales en las zonas indicadas o cerca de ellas.",
    what: "La ciudad aplicará Btk desde el aire en las zonas: {blocks}. Es un producto bacteriano que mata a las orugas jóvenes \
           cuando comen hojas tratadas, y protege árboles que las orugas dejarían sin hojas.",
    when_head: "Cuándo",
    when: "Una o varias mañanas entre el {from} y el {to}, poco después de la salida del sol si el tiempo lo permite. La mañana \
           exacta depende de las hojas, las orugas, el viento y la lluvia, y se sabe solo el día anterior.",
    no_dates: "Las fechas aún no se conocen y se comunicarán más adelante.",
    do_head: "Qué puede hacer usted",
    points: [
        "Quédese en casa con las ventanas cerradas mientras la aeronave esté cerca y hasta que pase el tiempo que indica la etiqueta del producto.",
        "Recoja la ropa tendida, los juguetes, los alimentos y los platos de los animales; enjuague con agua lo que quedó fuera.",
        "Mantenga dentro a los animales: la aeronave vuela bajo y hace mucho ruido.",
        "Si tiene asma, alergia o defensas bajas, consulte a su médico; quizá prefiera no estar en casa esa mañana.",
        "Si tiene abejas, cultiva de forma ecológica o hay un motivo para no aplicar en su terreno, avísenos enseguida.",
        "No toque las orugas ni las masas de huevos con las manos desnudas: sus pelos causan erupciones.",
    ],
    label: "La etiqueta del producto es la ley, y las normas locales prevalecen sobre esta carta.",
    ask: ["Preguntas a", "Teléfono", "En la web"],
    card: "Aplicación aérea próxima",
    card_text: "Una aeronave aplicará Btk contra la polilla esponjosa una mañana entre el {from} y el {to}. Quédese dentro con las \
                ventanas cerradas mientras esté cerca.",
    months: Some([
        "enero",
        "febrero",
        "marzo",
        "abril",
        "mayo",
        "junio",
        "julio",
        "agosto",
        "septiembre",
        "octubre",
        "noviembre",
        "diciembre",
    ]),
};

const FRENCH: Words = Words {
    title: "Pulvérisation contre la spongieuse",
    lead: "À toutes les personnes qui habitent, travaillent ou gardent des animaux dans les secteurs indiqués ou à proximité.",
    what: "La ville pulvérisera du Btk par voie aérienne sur les secteurs : {blocks}. C'est un produit bactérien qui tue les \
           jeunes chenilles quand elles mangent des feuilles traitées ; il protège des arbres que les chenilles dénuderaient.",
    when_head: "Quand",
    when: "Un ou quelques matins entre le {from} et le {to}, peu après le lever du soleil si le temps le permet. Le matin exact \
           dépend des feuilles, des chenilles, du vent et de la pluie, et n'est connu que la veille.",
    no_dates: "Les dates ne sont pas encore connues et suivront.",
    do_head: "Ce que vous pouvez faire",
    points: [
        "Restez à l'intérieur, fenêtres fermées, tant que l'aéronef est proche et jusqu'à la fin du délai inscrit sur l'étiquette du produit.",
        "Rentrez le linge, les jouets, la nourriture et les gamelles ; rincez à l'eau ce qui est resté dehors.",
        "Gardez les animaux à l'intérieur : l'aéronef vole bas et fait beaucoup de bruit.",
        "En cas d'asthme, d'allergie ou d'immunité affaiblie, demandez conseil à votre médecin ; vous préférerez peut-être être absent ce matin-là.",
        "Si vous avez des abeilles, cultivez en biologique ou avez une raison de ne pas être traité, dites-le-nous sans attendre.",
        "Ne touchez ni chenilles ni masses d'œufs à mains nues : leurs poils causent des éruptions.",
    ],
    label: "L'étiquette du produit fait loi, et les règles locales priment sur cette lettre.",
    ask: ["Questions à", "Téléphone", "Sur le web"],
    card: "Pulvérisation prochaine",
    card_text: "Un aéronef pulvérisera du Btk contre la spongieuse un matin entre le {from} et le {to}. Restez à l'intérieur, fenêtres \
                fermées, tant qu'il est proche.",
    months: Some([
        "janvier",
        "février",
        "mars",
        "avril",
        "mai",
        "juin",
        "juillet",
        "août",
        "septembre",
        "octobre",
        "novembre",
        "décembre",
    ]),
};

/// Letter and door card in a language; English for one that is not known.
///
/// The days are the early and the late edge of the flying window: one season in twenty lies beyond each.
pub fn notice_letter(lang: &str, blocks: &[String], timing: Option<&Timing>, programme: &Programme) -> Document {
    let (lang, words) = match lang {
        "es" => ("es", &SPANISH),
        "fr" => ("fr", &FRENCH),
        _ => ("en", &ENGLISH),
    };
    let window = timing.and_then(|t| t.window(WindowKind::AerialBtk));
    let ends = window.and_then(|w| w.opens_among_those_that_do(0.05).zip(w.closes_among_those_that_do(0.95)));
    let filled = |text: &str| {
        let day = |d: Date| day(d, lang, words);
        let text = text.replace("{blocks}", &blocks.join(", "));
        match ends {
            Some((from, to)) => text.replace("{from}", &day(from)).replace("{to}", &day(to)),
            None => text,
        }
    };
    let when = if ends.is_some() { filled(words.when) } else { words.no_dates.to_owned() };
    let card = if ends.is_some() { filled(words.card_text) } else { words.no_dates.to_owned() };
    Document {
        title: format!("{} {}", words.title, programme.season),
        lead: words.lead.to_owned(),
        lang,
        parts: vec![
            Part::Text(filled(words.what)),
            Part::Heading(words.when_head.to_owned()),
            Part::Text(when),
            Part::Heading(words.do_head.to_owned()),
            Part::List(words.points.iter().map(|p| (*p).to_owned()).collect()),
            Part::Text(words.label.to_owned()),
            Part::Blanks(words.ask.iter().map(|a| (*a).to_owned()).collect()),
            Part::NewPage,
            Part::Heading(words.card.to_owned()),
            Part::Text(card),
            Part::List(words.points[..3].iter().map(|p| (*p).to_owned()).collect()),
            Part::Text(words.label.to_owned()),
            Part::Blanks(words.ask.iter().map(|a| (*a).to_owned()).collect()),
        ],
    }
}

fn day(date: Date, lang: &str, words: &Words) -> String {
    let at = usize::from(date.month().unsigned_abs()) - 1;
    let month = words.months.map_or_else(|| month_name(date.month()), |months| months[at]);
    match lang {
        "en" => format!("{month} {}", date.day()),
        "es" => format!("{} de {month}", date.day()),
        _ => format!("{} {month}", date.day()),
    }
}
