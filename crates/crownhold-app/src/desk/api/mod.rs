//! The records as OGC API - Features, for a GIS: Part 1 Core (OGC 17-069r4) with GeoJSON and OpenAPI 3.0, and Part 2 coordinate
//! reference systems (OGC 18-058r1). Read only. A GIS comes in by name and password of an account.

mod layers;
mod openapi;
mod query;

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::header::{CONTENT_TYPE, HOST, HeaderName};
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use geo::orient::{Direction, Orient as _};
use geo::{Coord, CoordsIter as _, Geometry};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::{Value, json};

use self::layers::{Item, LAYERS, Layer};
use self::query::{Asked, CRS84, EPSG4326, System, meet, own_uri, read};
use super::state::{Desk, Season, off};
use crate::clock;

/// Where it begins.
pub const ROOT: &str = "/api";

/// The addresses.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/api", get(landing))
        .route("/api/", get(landing))
        .route("/api/conformance", get(conformance))
        .route("/api/openapi.json", get(description))
        .route("/api/collections", get(collections))
        .route("/api/collections/{id}", get(collection))
        .route("/api/collections/{id}/items", get(items))
        .route("/api/collections/{id}/items/{feature}", get(item))
        .route("/api/{*rest}", get(missing))
}

/// One request, with the address that the desk was called by.
struct Call {
    season: Arc<Season>,
    root: String,
}

impl Call {
    async fn new(desk: &Arc<Desk>, headers: &HeaderMap) -> Result<Self, Refusal> {
        let host = headers.get(HOST).and_then(|h| h.to_str().ok()).unwrap_or_default();
        let season = desk.season().await.map_err(|_| {
            refused(StatusCode::INTERNAL_SERVER_ERROR, "The programme cannot be read; the desk's pages say why.")
        })?;
        Ok(Self { season, root: format!("{}{ROOT}", desk.called(host)) })
    }
    fn link(&self, rel: &str, path: &str, kind: &str, title: &str) -> Value {
        json!({ "href": format!("{}{path}", self.root), "rel": rel, "type": kind, "title": title })
    }
    fn epsg(&self) -> u32 {
        self.season.records.programme.epsg
    }
}

/// Why nothing is given, as the standard has it.
struct Refusal {
    status: StatusCode,
    why: String,
}

fn refused(status: StatusCode, why: &str) -> Refusal {
    Refusal { status, why: why.to_owned() }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let code = if self.status == StatusCode::NOT_FOUND { "NotFound" } else { "InvalidParameterValue" };
        (self.status, axum::Json(json!({ "code": code, "description": self.why }))).into_response()
    }
}

fn plain(query: &BTreeMap<String, String>) -> Result<(), Refusal> {
    match query.iter().find(|(name, value)| name.as_str() != "f" || value.as_str() != "json") {
        None => Ok(()),
        Some((name, _)) => {
            Err(refused(StatusCode::BAD_REQUEST, &format!("\"{name}\" is not understood here; f=json is.")))
        }
    }
}

const JSON: &str = "application/json";
const GEOJSON: &str = "application/geo+json";
const OPENAPI: &str = "application/vnd.oai.openapi+json;version=3.0";

type Asks = Query<BTreeMap<String, String>>;
type Answer = Result<Response, Refusal>;

async fn landing(State(desk): State<Arc<Desk>>, headers: HeaderMap, Query(query): Asks) -> Answer {
    plain(&query)?;
    let call = Call::new(&desk, &headers).await?;
    let programme = &call.season.records.programme;
    let page = json!({
        "title": format!("{}, season {}", programme.name, programme.season),
        "description": "Records and current plan of a spongy moth programme, as they are now. Not for navigation; the plan advises.",
        "links": [
            call.link("self", "", JSON, "This page"),
            call.link("service-desc", "/openapi.json", OPENAPI, "Description of the addresses"),
            call.link("conformance", "/conformance", JSON, "Standards kept"),
            call.link("data", "/collections", JSON, "Layers"),
        ],
    });
    Ok(axum::Json(page).into_response())
}

async fn missing() -> Refusal {
    refused(StatusCode::NOT_FOUND, "There is no such address; /api/openapi.json names them.")
}

async fn conformance(Query(query): Asks) -> Answer {
    plain(&query)?;
    Ok(axum::Json(json!({ "conformsTo": [
        "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/core",
        "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/oas30",
        "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/geojson",
        "http://www.opengis.net/spec/ogcapi-features-2/1.0/conf/crs",
    ] }))
    .into_response())
}

async fn description(State(desk): State<Arc<Desk>>, headers: HeaderMap, Query(query): Asks) -> Answer {
    plain(&query)?;
    let call = Call::new(&desk, &headers).await?;
    let text = openapi::document(&call.root, call.epsg()).to_string();
    Ok(([(CONTENT_TYPE, OPENAPI)], text).into_response())
}

async fn collections(State(desk): State<Arc<Desk>>, headers: HeaderMap, Query(query): Asks) -> Answer {
    plain(&query)?;
    let call = Call::new(&desk, &headers).await?;
    let page = json!({
        "links": [call.link("self", "/collections", JSON, "Layers")],
        "crs": offered(call.epsg()),
        "collections": LAYERS.iter().map(|layer| about(&call, layer)).collect::<Vec<_>>(),
    });
    Ok(axum::Json(page).into_response())
}

fn offered(epsg: u32) -> [String; 3] {
    [CRS84.to_owned(), EPSG4326.to_owned(), own_uri(epsg)]
}

fn about(call: &Call, layer: &Layer) -> Value {
    let path = format!("/collections/{}", layer.id);
    let bounds = bounds_of_city(&call.season, call.epsg());
    json!({
        "id": layer.id,
        "title": layer.title,
        "description": layer.about,
        "itemType": "feature",
        "extent": bounds.map(|b| json!({ "spatial": { "bbox": [b], "crs": CRS84 } })),
        "crs": offered(call.epsg()),
        "storageCrs": own_uri(call.epsg()),
        "links": [
            call.link("self", &path, JSON, layer.title),
            call.link("items", &format!("{path}/items"), GEOJSON, layer.title),
        ],
    })
}

/// Of all blocks, in longitude and latitude.
fn bounds_of_city(season: &Season, epsg: u32) -> Option<[f64; 4]> {
    let system = System::named(CRS84, epsg).ok()?;
    bounds(season.records.blocks.iter().flat_map(|b| b.shape.coords_iter()), &system)
}

fn bounds(points: impl Iterator<Item = Coord<f64>>, system: &System) -> Option<[f64; 4]> {
    points.filter_map(|c| system.position(c)).fold(None, |all: Option<[f64; 4]>, [x, y]| {
        let [w, s, e, n] = all.unwrap_or([x, y, x, y]);
        Some([w.min(x), s.min(y), e.max(x), n.max(y)])
    })
}

fn layer(id: &str) -> Result<&'static Layer, Refusal> {
    let none = || refused(StatusCode::NOT_FOUND, &format!("There is no layer \"{id}\"."));
    LAYERS.iter().find(|l| l.id == id).ok_or_else(none)
}

async fn collection(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    headers: HeaderMap,
    Query(query): Asks,
) -> Answer {
    plain(&query)?;
    let call = Call::new(&desk, &headers).await?;
    Ok(axum::Json(about(&call, layer(&id)?)).into_response())
}

async fn items(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    headers: HeaderMap,
    uri: Uri,
    Query(query): Asks,
) -> Answer {
    let layer = layer(&id)?;
    let call = Call::new(&desk, &headers).await?;
    let asked = read(&query, call.epsg()).map_err(|why| refused(StatusCode::BAD_REQUEST, &why))?;
    let asked_for = uri.query().unwrap_or_default().to_owned();
    let crs = format!("<{}>", asked.system.uri);
    let page = off(move || page(&call, layer, &asked, &query, &asked_for)).await;
    let headers = [(CONTENT_TYPE, GEOJSON.to_owned()), (HeaderName::from_static("content-crs"), crs)];
    Ok((headers, page.to_string()).into_response())
}

fn page(call: &Call, layer: &Layer, asked: &Asked, query: &BTreeMap<String, String>, asked_for: &str) -> Value {
    let all = (layer.features)(&call.season);
    let inside = |item: &&Item| {
        asked.bbox.as_ref().is_none_or(|(corners, system)| {
            let own = item.geometry.as_ref().and_then(|g| bounds(g.coords_iter(), system));
            own.is_some_and(|own| meet(*corners, own))
        })
    };
    let matching: Vec<&Item> = all.iter().filter(inside).collect();
    let shown: Vec<Value> =
        matching.iter().skip(asked.offset).take(asked.limit).map(|item| feature(item, &asked.system)).collect();
    let path = format!("/collections/{}/items", layer.id);
    let here = if asked_for.is_empty() { path.clone() } else { format!("{path}?{asked_for}") };
    let mut links = vec![call.link("self", &here, GEOJSON, layer.title)];
    let next = asked.offset.saturating_add(asked.limit);
    if next < matching.len() {
        let mut on = query.clone();
        on.insert("offset".to_owned(), next.to_string());
        on.insert("limit".to_owned(), asked.limit.to_string());
        let encoded = |text: &str| utf8_percent_encode(text, NON_ALPHANUMERIC).to_string();
        let pairs: Vec<String> =
            on.iter().map(|(k, v)| format!("{}={}", encoded(k).replace("%2D", "-"), encoded(v))).collect();
        links.push(call.link("next", &format!("{path}?{}", pairs.join("&")), GEOJSON, "Further features"));
    }
    json!({
        "type": "FeatureCollection",
        "timeStamp": clock::now(),
        "numberMatched": matching.len(),
        "numberReturned": shown.len(),
        "links": links,
        "features": shown,
    })
}

async fn item(
    State(desk): State<Arc<Desk>>,
    Path((id, name)): Path<(String, String)>,
    headers: HeaderMap,
    Query(query): Asks,
) -> Answer {
    let layer = layer(&id)?;
    let call = Call::new(&desk, &headers).await?;
    if let Some(other) = query.keys().find(|k| !["crs", "f"].contains(&k.as_str())) {
        return Err(refused(
            StatusCode::BAD_REQUEST,
            &format!("There is no parameter \"{other}\" here; crs and f are."),
        ));
    }
    let asked = read(&query, call.epsg()).map_err(|why| refused(StatusCode::BAD_REQUEST, &why))?;
    let crs = format!("<{}>", asked.system.uri);
    let found = off(move || {
        let all = (layer.features)(&call.season);
        let item = all.iter().find(|i| i.id == name)?;
        let mut feature = feature(item, &asked.system);
        let path = format!("/collections/{}", layer.id);
        let own = format!("{path}/items/{}", utf8_percent_encode(&name, NON_ALPHANUMERIC));
        feature["links"] =
            json!([call.link("self", &own, GEOJSON, layer.title), call.link("collection", &path, JSON, layer.title)]);
        Some(feature)
    });
    let found = found.await.ok_or_else(|| refused(StatusCode::NOT_FOUND, "There is no such feature."))?;
    let headers = [(CONTENT_TYPE, GEOJSON.to_owned()), (HeaderName::from_static("content-crs"), crs)];
    Ok((headers, found.to_string()).into_response())
}

fn feature(item: &Item, system: &System) -> Value {
    json!({
        "type": "Feature",
        "id": item.id,
        "geometry": item.geometry.as_ref().map(|g| geometry(g, system)),
        "properties": item.properties,
    })
}

/// Of the kinds that layers have; outer rings go anticlockwise (RFC 7946, 3.1.6).
fn geometry(shape: &Geometry<f64>, system: &System) -> Value {
    let line = |l: &geo::LineString<f64>| l.coords().filter_map(|c| system.position(*c)).collect::<Vec<_>>();
    let rings =
        |p: &geo::Polygon<f64>| std::iter::once(p.exterior()).chain(p.interiors()).map(line).collect::<Vec<_>>();
    match shape {
        Geometry::Point(p) => json!({ "type": "Point", "coordinates": system.position(p.0) }),
        Geometry::LineString(l) => json!({ "type": "LineString", "coordinates": line(l) }),
        Geometry::MultiPolygon(m) => {
            let parts: Vec<_> = m.orient(Direction::Default).iter().map(rings).collect();
            json!({ "type": "MultiPolygon", "coordinates": parts })
        }
        _ => Value::Null,
    }
}
