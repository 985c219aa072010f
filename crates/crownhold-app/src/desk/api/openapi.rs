//! The description of the addresses, OpenAPI 3.0.

use serde_json::{Map, Value, json};

use super::layers::LAYERS;
use super::query::{CRS84, EPSG4326, LIMIT, own_uri};

/// A day, a moment, or an interval of them that may be open at one end.
const MOMENTS: &str = "^(\\d{4}-\\d{2}-\\d{2}(T\\d{2}:\\d{2}:\\d{2}Z)?(/(\\.\\.|\\d{4}-\\d{2}-\\d{2}(T\\d{2}:\\d{2}:\\d{2}Z)?)?)?|(\\.\\.)?/\\d{4}-\\d{2}-\\d{2}(T\\d{2}:\\d{2}:\\d{2}Z)?)$";

/// The document, for a desk called by this address.
pub(super) fn document(root: &str, epsg: u32) -> Value {
    let mut paths = Map::new();
    let mut add = |path: &str, id: &str, what: &str, parameters: Value, schema: Value, kind: &str| {
        let answers = json!({
            "200": { "description": what, "content": { kind: { "schema": schema } } },
            "400": { "$ref": "#/components/responses/Refused" },
            "401": { "description": "Name and password of an account are needed" },
            "403": { "description": "The role of the account does not go that far" },
            "404": { "$ref": "#/components/responses/Refused" },
            "429": { "description": "Too many wrong passwords" },
        });
        let get = json!({ "operationId": id, "summary": what, "parameters": parameters, "responses": answers });
        paths.insert(path.to_owned(), json!({ "get": get }));
    };
    let object = || json!({ "type": "object" });
    let format = json!([{ "$ref": "#/components/parameters/f" }]);
    add("/", "landing", "Where it begins", format.clone(), object(), "application/json");
    add("/conformance", "conformance", "Standards kept", format.clone(), object(), "application/json");
    add("/collections", "layers", "Layers", format.clone(), object(), "application/json");
    for layer in &LAYERS {
        let path = format!("/collections/{}", layer.id);
        let name = |start: &str| format!("{start}_{}", layer.id.replace('-', "_"));
        add(&path, &name("layer"), layer.about, format.clone(), object(), "application/json");
        let filters = ["limit", "offset", "bbox", "bbox-crs", "crs", "datetime", "f"];
        let filters: Vec<Value> =
            filters.iter().map(|p| json!({ "$ref": format!("#/components/parameters/{p}") })).collect();
        let list = json!({ "$ref": "#/components/schemas/Features" });
        add(&format!("{path}/items"), &name("features"), layer.about, json!(filters), list, "application/geo+json");
        let one = json!([
            { "name": "feature", "in": "path", "required": true, "schema": { "type": "string", "minLength": 1 } },
            { "$ref": "#/components/parameters/crs" },
            { "$ref": "#/components/parameters/f" },
        ]);
        let schema = json!({ "$ref": "#/components/schemas/Feature" });
        add(&format!("{path}/items/{{feature}}"), &name("feature"), "One of them", one, schema, "application/geo+json");
    }
    json!({
        "openapi": "3.0.3",
        "info": {
            "title": "Records of a spongy moth programme",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "OGC API - Features: records and current plan, as they are now. Read only.",
        },
        "servers": [{ "url": root }],
        "security": [{ "account": [] }],
        "paths": paths,
        "components": components(epsg),
    })
}

fn components(epsg: u32) -> Value {
    let systems = [CRS84.to_owned(), EPSG4326.to_owned(), own_uri(epsg)];
    let system = |name: &str, what: &str| json!({ "name": name, "in": "query", "description": what, "schema": { "type": "string", "format": "uri", "enum": systems, "default": CRS84 } });
    json!({
        "securitySchemes": { "account": { "type": "http", "scheme": "basic" } },
        "parameters": {
            "f": { "name": "f", "in": "query", "schema": { "type": "string", "enum": ["json"] } },
            "limit": { "name": "limit", "in": "query", "schema": { "type": "integer", "minimum": 1, "maximum": LIMIT.1, "default": LIMIT.0 } },
            "offset": { "name": "offset", "in": "query", "schema": { "type": "integer", "minimum": 0, "default": 0 } },
            "bbox": {
                "name": "bbox", "in": "query", "style": "form", "explode": false,
                "description": "West, south, east, north in the order of the axes of bbox-crs",
                "schema": { "type": "array", "oneOf": [{ "minItems": 4, "maxItems": 4 }, { "minItems": 6, "maxItems": 6 }], "items": { "type": "number" } },
            },
            "bbox-crs": system("bbox-crs", "System of the box"),
            "crs": system("crs", "System of the answer"),
            "datetime": { "name": "datetime", "in": "query", "description": "The features have no time of their own: all are given", "schema": { "type": "string", "pattern": MOMENTS } },
        },
        "responses": {
            "Refused": {
                "description": "Not understood, or not there",
                "content": { "application/json": { "schema": {
                    "type": "object",
                    "required": ["code"],
                    "properties": { "code": { "type": "string" }, "description": { "type": "string" } },
                } } },
            },
        },
        "schemas": {
            "Feature": {
                "type": "object",
                "required": ["type", "id", "geometry", "properties"],
                "properties": {
                    "type": { "type": "string", "enum": ["Feature"] },
                    "id": { "type": "string" },
                    "geometry": { "type": "object", "nullable": true },
                    "properties": { "type": "object" },
                },
            },
            "Features": {
                "type": "object",
                "required": ["type", "features", "links", "numberMatched", "numberReturned", "timeStamp"],
                "properties": {
                    "type": { "type": "string", "enum": ["FeatureCollection"] },
                    "features": { "type": "array", "items": { "$ref": "#/components/schemas/Feature" } },
                    "links": { "type": "array", "items": { "type": "object" } },
                    "numberMatched": { "type": "integer", "minimum": 0 },
                    "numberReturned": { "type": "integer", "minimum": 0 },
                    "timeStamp": { "type": "string", "format": "date-time" },
                },
            },
        },
    })
}
