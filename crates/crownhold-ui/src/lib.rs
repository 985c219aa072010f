//! The browser's side of the desk as bytes: scripts, styles, icons, fonts and their licences.
//!
//! `build.rs` bundles `web/`; every file has a hash of its content in its name, so that a browser may keep it
//! for ever. Pages ask [`url`] for the address of a name, the server answers it from [`asset`]. Absent on
//! purpose: HTTP (the caller sets headers) and anything of the domain.

use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Names and bytes of all files, in order of name; written by `build.rs`.
static FILES: &[(&str, &[u8])] = include!(concat!(env!("OUT_DIR"), "/files.rs"));

/// Where the server answers for the files.
pub const PREFIX: &str = "/assets/";

/// How a file's bytes are packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// As they are.
    Identity,
    /// gzip.
    Gzip,
    /// Brotli.
    Brotli,
}

impl Encoding {
    /// The best one that an `Accept-Encoding` header allows.
    pub fn accepted(header: &str) -> Self {
        let allows = |name: &str| {
            header.split(',').any(|part| {
                let mut words = part.split(';').map(str::trim);
                let refused = |w: &str| w.strip_prefix("q=").and_then(|q| q.parse::<f64>().ok()) == Some(0.0);
                words.next() == Some(name) && !words.any(refused)
            })
        };
        match () {
            () if allows("br") => Self::Brotli,
            () if allows("gzip") => Self::Gzip,
            () => Self::Identity,
        }
    }
    /// The word of a `Content-Encoding` header; none for unpacked bytes.
    pub fn word(self) -> Option<&'static str> {
        match self {
            Self::Identity => None,
            Self::Gzip => Some("gzip"),
            Self::Brotli => Some("br"),
        }
    }
    fn suffix(self) -> &'static str {
        match self {
            Self::Identity => "",
            Self::Gzip => ".gz",
            Self::Brotli => ".br",
        }
    }
}

/// One file, ready to be sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asset {
    /// Its bytes, packed as `encoding` says.
    pub bytes: &'static [u8],
    /// Media type with character set.
    pub content_type: &'static str,
    /// Entity tag, in quotes; differs by encoding.
    pub etag: String,
    /// How the bytes are packed; unpacked where no packed twin was made.
    pub encoding: Encoding,
}

/// The file of a path below [`PREFIX`], packed as wished where that exists; `None` for unknown paths.
pub fn asset(path: &str, encoding: Encoding) -> Option<Asset> {
    // Only what the manifest names: not the manifest itself, nor a packed twin by its own name.
    MANIFEST.values().find(|named| *named == path)?;
    let packed = file(&format!("{path}{}", encoding.suffix())).map(|bytes| (bytes, encoding));
    let (bytes, encoding) = packed.or_else(|| Some((file(path)?, Encoding::Identity)))?;
    // The name carries a hash of the content already.
    let etag = format!("\"{path}{}\"", encoding.suffix());
    Some(Asset { bytes, content_type: content_type(path), etag, encoding })
}

fn file(name: &str) -> Option<&'static [u8]> {
    FILES.binary_search_by_key(&name, |(n, _)| n).ok().map(|at| FILES[at].1)
}

/// The address of a name such as `desk.js` or `icons.svg`.
///
/// # Panics
/// If the bundle has no such name: that is our own mistake.
pub fn url(name: &str) -> String {
    let file = MANIFEST.get(name).unwrap_or_else(|| panic!("the bundle has no {name}"));
    format!("{PREFIX}{file}")
}

/// Was the program built without the bundle? Then pages work, but have no styles, scripts or maps.
pub fn is_stub() -> bool {
    file("stub").is_some()
}

/// Names and the file that stands for each.
static MANIFEST: LazyLock<BTreeMap<String, String>> = LazyLock::new(|| {
    let manifest = file("manifest.json").expect("build.rs writes a manifest");
    serde_json::from_slice(manifest).expect("the manifest is names and files")
});

fn content_type(path: &str) -> &'static str {
    match path.rsplit('.').next() {
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("woff2") => "font/woff2",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn path(name: &str) -> String {
        url(name).strip_prefix(PREFIX).unwrap().to_owned()
    }

    /// The true bundle and the stub have the same names; each leads to a file.
    #[test]
    fn every_name_leads_to_a_file() {
        let names: Vec<&str> = MANIFEST.keys().map(String::as_str).collect();
        assert_eq!(names, include_str!("../names.txt").lines().collect::<Vec<_>>());
        for name in names {
            assert!(asset(&path(name), Encoding::Identity).is_some(), "{name}");
        }
    }

    #[test]
    fn only_named_files_are_given() {
        for wrong in ["", "manifest.json", "stub", "../build.rs", "desk.js", &format!("{}.br", path("desk.js"))] {
            assert_eq!(asset(wrong, Encoding::Identity), None, "{wrong}");
        }
    }

    /// The stub is told by its empty files; the true bundle holds the map library and its licence.
    #[test]
    fn the_stub_is_told() {
        let size = |name: &str| asset(&path(name), Encoding::Identity).unwrap().bytes.len();
        assert_eq!(is_stub(), size("map.js") == 0);
        if !is_stub() {
            assert!(size("map-worker.js") > 100_000 && size("desk.css") > 0);
            let licences = asset(&path("licences.txt"), Encoding::Identity).unwrap().bytes;
            assert!(String::from_utf8_lossy(licences).contains("maplibre-gl "));
        }
    }

    #[test]
    fn texts_come_packed_where_the_browser_takes_it() {
        assert_eq!(Encoding::accepted("gzip, deflate, br;q=1.0"), Encoding::Brotli);
        assert_eq!(Encoding::accepted("br;q=0, gzip"), Encoding::Gzip);
        assert_eq!(Encoding::accepted(""), Encoding::Identity);
        if !is_stub() {
            let (plain, packed) =
                (asset(&path("map.js"), Encoding::Identity), asset(&path("map.js"), Encoding::Brotli));
            let (plain, packed) = (plain.unwrap(), packed.unwrap());
            assert_eq!(packed.encoding.word(), Some("br"));
            assert!(packed.bytes.len() * 2 < plain.bytes.len() && packed.etag != plain.etag);
            let font = asset(&path("source-sans-3-latin.woff2"), Encoding::Brotli).unwrap();
            assert_eq!((font.encoding, font.content_type), (Encoding::Identity, "font/woff2"));
        }
    }
}
