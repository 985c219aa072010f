//! Well-known text of a coordinate system (OGC WKT 1, the ESRI dialect of .prj files, ISO WKT 2)
//! to an EPSG number or a proj string.
//!
//! Only what layers of a city come in is understood: geographic systems, transverse Mercator and UTM,
//! Lambert conformal conic, Albers, oblique Mercator (both variants), Mercator and web Mercator, in any
//! linear unit. Anything else is an error that names the projection.

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Read {
    /// EPSG number of the whole system, when the text has one.
    pub epsg: Option<u32>,
    /// The same as a proj string.
    pub proj: String,
    /// Its name in the text.
    pub name: String,
}

/// A keyword with its parts: `UNIT["Meter",1]`.
#[derive(Clone, Debug, PartialEq, Default)]
struct Node {
    word: String,
    texts: Vec<String>,
    nodes: Vec<Node>,
}

impl Node {
    fn find(&self, words: &[&str]) -> Option<&Self> {
        self.nodes.iter().find(|n| words.iter().any(|w| n.word.eq_ignore_ascii_case(w)))
    }
    /// Anywhere below, first in reading order.
    fn dig(&self, words: &[&str]) -> Option<&Self> {
        self.find(words).or_else(|| self.nodes.iter().find_map(|n| n.dig(words)))
    }
    fn text(&self, i: usize) -> &str {
        self.texts.get(i).map_or("", String::as_str)
    }
    fn number(&self, i: usize) -> Option<f64> {
        self.text(i).trim().parse().ok()
    }
}

/// Reads a well-known text.
pub(super) fn read(text: &str) -> Result<Read, String> {
    let mut chars = text.chars().peekable();
    let mut root = node(&mut chars, 0).ok_or("The coordinate system text is cut off or not well-known text.")?;
    for wrap in ["COMPD_CS", "COMPOUNDCRS", "BOUNDCRS"] {
        if root.word.eq_ignore_ascii_case(wrap) {
            let inner = ["PROJCS", "PROJCRS", "PROJECTEDCRS", "GEOGCS", "GEOGCRS", "GEODCRS"];
            root = root.dig(&inner).cloned().ok_or("The compound system has no horizontal part.")?;
        }
    }
    let name = root.text(0).replace('_', " ");
    let epsg = authority(&root);
    // GDAL writes out what its WKT 1 cannot say (web Mercator) as a proj string.
    let spelled = root.find(&["EXTENSION"]).filter(|n| n.text(0).eq_ignore_ascii_case("PROJ4"));
    if let Some(spelled) = spelled {
        return Ok(Read { epsg, proj: spelled.text(1).to_owned(), name });
    }
    let proj = match root.word.to_uppercase().as_str() {
        "GEOGCS" | "GEOGCRS" | "GEODCRS" | "GEOGRAPHICCRS" => format!("+proj=longlat{} +no_defs", datum(&root)?),
        "PROJCS" | "PROJCRS" | "PROJECTEDCRS" => projected(&root)?,
        other => return Err(format!("\"{other}\" is not a kind of coordinate system this program reads.")),
    };
    Ok(Read { epsg, proj, name })
}

fn authority(root: &Node) -> Option<u32> {
    root.nodes
        .iter()
        .filter(|n| n.word.eq_ignore_ascii_case("AUTHORITY") || n.word.eq_ignore_ascii_case("ID"))
        .find(|n| n.text(0).eq_ignore_ascii_case("EPSG"))
        .and_then(|n| n.text(1).parse().ok())
}

/// One keyword and all in its brackets. Depth is bounded so that a hostile file cannot exhaust the stack.
fn node(chars: &mut std::iter::Peekable<std::str::Chars<'_>>, depth: usize) -> Option<Node> {
    let mut word = String::new();
    while let Some(c) = chars.peek().copied() {
        chars.next();
        match c {
            '[' | '(' => break,
            _ => word.push(c),
        }
    }
    let mut node = Node { word: word.trim().to_owned(), ..Node::default() };
    if depth > 30 {
        return None;
    }
    loop {
        match chars.peek().copied()? {
            ']' | ')' => {
                chars.next();
                return Some(node);
            }
            ',' => {
                chars.next();
            }
            c if c.is_whitespace() => {
                chars.next();
            }
            '"' => node.texts.push(quoted(chars)?),
            _ => bare(chars, &mut node, depth)?,
        }
    }
}

fn quoted(chars: &mut std::iter::Peekable<std::str::Chars<'_>>) -> Option<String> {
    chars.next();
    let mut text = String::new();
    loop {
        match chars.next()? {
            '"' if chars.peek() == Some(&'"') => {
                chars.next();
                text.push('"');
            }
            '"' => return Some(text),
            c => text.push(c),
        }
    }
}

/// A number, a bare word, or a keyword with brackets.
fn bare(chars: &mut std::iter::Peekable<std::str::Chars<'_>>, into: &mut Node, depth: usize) -> Option<()> {
    let mut ahead = chars.clone();
    let mut word = String::new();
    while let Some(c) = ahead.peek().copied() {
        match c {
            '[' | '(' => {
                into.nodes.push(node(chars, depth + 1)?);
                return Some(());
            }
            ',' | ']' | ')' => break,
            _ => {
                word.push(c);
                ahead.next();
            }
        }
    }
    ahead.peek()?;
    *chars = ahead;
    into.texts.push(word.trim().to_owned());
    Some(())
}

const SPHEROIDS: [&str; 2] = ["SPHEROID", "ELLIPSOID"];

/// Ellipsoid, datum shift and prime meridian as proj terms.
fn datum(root: &Node) -> Result<String, String> {
    let spheroid = root.dig(&SPHEROIDS).ok_or("The coordinate system text names no ellipsoid.")?;
    let axis = spheroid.number(1).ok_or("The ellipsoid has no half-axis.")?;
    let flattening = spheroid.number(2).unwrap_or(0.0);
    let mut terms =
        if flattening > 0.0 { format!(" +a={axis} +rf={flattening}") } else { format!(" +a={axis} +b={axis}") };
    let shift = root.dig(&["TOWGS84"]).map(|n| n.texts.join(","));
    let modern = [6_378_137.0].contains(&axis);
    match shift {
        Some(shift) => terms += &format!(" +towgs84={shift}"),
        None if modern => terms += " +towgs84=0,0,0",
        None => {}
    }
    if let Some(meridian) = root.dig(&["PRIMEM", "PRIMEMERIDIAN"]).and_then(|n| n.number(1)).filter(|m| *m != 0.0) {
        terms += &format!(" +pm={meridian}");
    }
    Ok(terms)
}

fn plain(text: &str) -> String {
    text.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase()
}

/// Every PARAMETER of the projection by plain name.
struct Parameters(Vec<(String, f64)>);

impl Parameters {
    fn of(root: &Node) -> Self {
        let holder = root.find(&["CONVERSION"]).unwrap_or(root);
        let of_word = |n: &&Node| n.word.eq_ignore_ascii_case("PARAMETER");
        Self(holder.nodes.iter().filter(of_word).filter_map(|n| Some((plain(n.text(0)), n.number(1)?))).collect())
    }
    fn get(&self, names: &[&str]) -> Option<f64> {
        self.0.iter().find(|(n, _)| names.contains(&n.as_str())).map(|(_, v)| *v)
    }
    /// proj term for the first of the names that is there.
    fn term(&self, key: &str, names: &[&str]) -> String {
        self.get(names).map_or(String::new(), |v| format!(" +{key}={v}"))
    }
}

const LAT_0: [&str; 5] =
    ["latitudeoforigin", "latitudeofcenter", "latitudeofcentre", "latitudeofnaturalorigin", "latitudeoffalseorigin"];
const LON_0: [&str; 6] = [
    "centralmeridian",
    "longitudeoforigin",
    "longitudeofcenter",
    "longitudeofcentre",
    "longitudeofnaturalorigin",
    "longitudeoffalseorigin",
];
const LAT_1: [&str; 2] = ["standardparallel1", "latitudeof1ststandardparallel"];
const LAT_2: [&str; 2] = ["standardparallel2", "latitudeof2ndstandardparallel"];
const SCALE: [&str; 4] = [
    "scalefactor",
    "scalefactoratnaturalorigin",
    "scalefactoronpseudostandardparallel",
    "scalefactoratprojectioncentre",
];
const EAST: [&str; 3] = ["falseeasting", "eastingatfalseorigin", "eastingatprojectioncentre"];
const NORTH: [&str; 3] = ["falsenorthing", "northingatfalseorigin", "northingatprojectioncentre"];

fn projected(root: &Node) -> Result<String, String> {
    let holder = root.find(&["CONVERSION"]).unwrap_or(root);
    let method = holder.find(&["PROJECTION", "METHOD"]).map(|n| n.text(0).to_owned()).unwrap_or_default();
    let p = Parameters::of(root);
    let to_metre = linear_unit(root).ok_or("The coordinate system text does not say its unit of length.")?;
    let shape = match plain(&method).as_str() {
        "transversemercator" | "gausskruger" | "transversemercatorcomplex" => {
            format!("+proj=tmerc{}{}{}", p.term("lat_0", &LAT_0), p.term("lon_0", &LON_0), p.term("k", &SCALE))
        }
        m if m.starts_with("lambertconformalconic") || m.starts_with("lambertconicconformal") => lambert(&p),
        m if m.starts_with("albers") => format!(
            "+proj=aea{}{}{}{}",
            p.term("lat_0", &LAT_0),
            p.term("lon_0", &LON_0),
            p.term("lat_1", &LAT_1),
            p.term("lat_2", &LAT_2)
        ),
        m if m.starts_with("hotineobliquemercator") || m.starts_with("rectifiedskew") => oblique(m, &p),
        "mercatorauxiliarysphere" | "popularvisualisationpseudomercator" => {
            "+proj=merc +a=6378137 +b=6378137".to_owned()
        }
        m if m.starts_with("mercator") => {
            format!("+proj=merc{}{}{}", p.term("lon_0", &LON_0), p.term("lat_ts", &LAT_1), p.term("k", &SCALE))
        }
        _ => return Err(format!("The projection \"{method}\" is not one this program can read from a text.")),
    };
    // False origins of a WKT are in its own unit; proj wants metres.
    let east = p.get(&EAST).unwrap_or(0.0) * false_unit(holder, &EAST, to_metre);
    let north = p.get(&NORTH).unwrap_or(0.0) * false_unit(holder, &NORTH, to_metre);
    // Web Mercator takes latitudes of the ellipsoid on a sphere without changing them.
    let body = if shape.contains("+b=") { " +nadgrids=@null".to_owned() } else { datum(root)? };
    Ok(format!("{shape} +x_0={east} +y_0={north} +to_meter={to_metre}{body} +no_defs"))
}

/// WKT 2 states the unit of a false origin with the parameter itself.
fn false_unit(holder: &Node, names: &[&str], otherwise: f64) -> f64 {
    let parameter = holder
        .nodes
        .iter()
        .find(|n| n.word.eq_ignore_ascii_case("PARAMETER") && names.contains(&plain(n.text(0)).as_str()));
    parameter.and_then(|n| n.find(&["LENGTHUNIT", "UNIT"])).and_then(|u| u.number(1)).unwrap_or(otherwise)
}

fn lambert(p: &Parameters) -> String {
    let first = p.get(&LAT_1).or_else(|| p.get(&LAT_0)).unwrap_or(0.0);
    let second = p.get(&LAT_2).unwrap_or(first);
    let scale = if p.get(&LAT_2).is_some() { String::new() } else { p.term("k_0", &SCALE) };
    format!("+proj=lcc{}{} +lat_1={first} +lat_2={second}{scale}", p.term("lat_0", &LAT_0), p.term("lon_0", &LON_0))
}

/// Variant A has its false origin where the centre line meets the equator, variant B at the centre.
fn oblique(method: &str, p: &Parameters) -> String {
    let variant_a =
        method.contains("naturalorigin") || method.contains("varianta") || method == "hotineobliquemercator";
    let azimuth = ["azimuth", "azimuthofinitialline", "azimuthatprojectioncentre"];
    let gamma = ["rectifiedgridangle", "anglefromrectifiedtoskewgrid", "xyplanerotation"];
    let gamma = p.term("gamma", &gamma);
    format!(
        "+proj=omerc{} +lonc={}{}{gamma}{}{}",
        p.term("lat_0", &["latitudeofcenter", "latitudeofcentre", "latitudeofprojectioncentre"]),
        p.get(&["longitudeofcenter", "longitudeofcentre", "longitudeofprojectioncentre"]).unwrap_or(0.0),
        p.term("alpha", &azimuth),
        p.term("k", &SCALE_OBLIQUE),
        if variant_a { " +no_uoff" } else { "" }
    )
}

const SCALE_OBLIQUE: [&str; 4] = [
    "scalefactor",
    "scalefactoratprojectioncentre",
    "scalefactoroninitialline",
    "scalefactoratthepseudostandardparallel",
];

/// Metres in the unit of the map plane: the system's own UNIT, or that of its axes.
fn linear_unit(root: &Node) -> Option<f64> {
    let words = ["UNIT", "LENGTHUNIT"];
    let own = root.find(&words).or_else(|| root.find(&["CS"]).and_then(|n| n.find(&words)));
    let axis = root.nodes.iter().filter(|n| n.word.eq_ignore_ascii_case("AXIS")).find_map(|n| n.find(&words));
    own.or(axis).and_then(|n| n.number(1))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn cut_off_text_is_an_error() {
        for text in ["PROJCS[\"x\",GEOGCS[", "", "PROJCS", "PROJCS[\"x\"", "[[[[[["] {
            assert!(read(text).is_err(), "{text}");
        }
        assert!(read(&"A[".repeat(10_000)).is_err());
    }

    #[test]
    fn an_unknown_projection_is_named() {
        let text =
            r#"PROJCS["p",GEOGCS["g",DATUM["d",SPHEROID["s",6378137,298.25]]],PROJECTION["Krovak"],UNIT["Meter",1]]"#;
        assert!(read(text).unwrap_err().contains("Krovak"));
    }
}
