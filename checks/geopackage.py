"""The programme file through other people's GIS tools."""

import json
import re
import sqlite3

import geojson_validator
from loguru import logger

from tools import DAY, Different, expect, run

logger.disable("geojson_validator")

# GDAL's bindings belong to the system's Python, not to the checks' own environment.
VALIDATE = ["/usr/bin/python3", "-m", "osgeo_utils.samples.validate_gpkg"]
LAYERS = ("blocks", "trees", "plots", "no_spray")


def check_valid(product):
    file = product.scratch / "kept.gpkg"
    file.write_bytes(product.pellwood().read_bytes())
    run([*VALIDATE, product.pellwood()])
    product.text("plan", file, *DAY, "--draws", "20", "--keep", "for the validator")
    run([*VALIDATE, file])
    product.text("undo", file)
    run([*VALIDATE, file])
    return "GDAL validate_gpkg (OGC 12-128) passes Pellwood, the file with a kept plan, and the file after undo"


def check_broken_is_seen(product):
    """The validator must be able to fail, or the check above says nothing."""
    file = product.scratch / "broken.gpkg"
    file.write_bytes(product.pellwood().read_bytes())
    with sqlite3.connect(file) as base:
        base.execute("UPDATE gpkg_contents SET srs_id = 12345 WHERE table_name = 'blocks'")
    try:
        run([*VALIDATE, file])
    except Different:
        return "GDAL validate_gpkg refuses a copy whose layer names a coordinate system that is not there"
    raise Different("the validator passes a file that is broken on purpose")


def check_layers(product):
    told = product.text("demo", product.scratch / "told", "--season", "2027")
    counts, codes = {}, {}
    for part in run(["ogrinfo", "-ro", "-so", "-al", product.pellwood()]).split("\nLayer name: ")[1:]:
        name = part.split("\n", 1)[0]
        counts[name] = int(re.search(r"^Feature Count: (\d+)", part, re.M).group(1))
        # The last code before the axis mapping is that of the whole system.
        codes[name] = re.findall(r'ID\["EPSG",(\d+)\]\]\nData axis', part)
    for layer, word in (
        ("blocks", "blocks"),
        ("trees", "trees"),
        ("plots", "plots"),
        ("weather_day", "days of weather"),
    ):
        expect(f"{counts[layer]} {word}" in told, f"ogrinfo counts {counts[layer]} {word}, the command says: {told}")
    for name in LAYERS:
        expect(codes[name] == ["32616"], f"EPSG code of {name}: {codes[name]}")
    return f"ogrinfo lists {', '.join(f'{counts[n]} {n}' for n in LAYERS)} in EPSG:32616, as the command says"


def check_geojson(product):
    file = product.scratch / "blocks.geojson"
    run(["ogr2ogr", "-f", "GeoJSON", "-lco", "RFC7946=YES", file, product.pellwood(), "blocks"])
    layer = json.loads(file.read_text(encoding="utf-8"))
    structure = geojson_validator.validate_structure(layer)
    expect(not structure, f"structure: {structure}")
    shapes = geojson_validator.validate_geometries(layer)
    invalid = shapes.get("invalid") or {}
    expect(not invalid, f"invalid geometries: {invalid}")
    many = len(layer["features"])
    return f"{many} blocks through ogr2ogr to GeoJSON: geojson-validator 0.7.0 (RFC 7946) finds nothing invalid"
