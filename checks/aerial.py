"""Calibration by arithmetic, the aerial job by shapely, the contractor's files by GDAL."""

import csv
import json
import random
import sqlite3
import time

import shapely
from pyproj import Geod, Transformer
from shapely.geometry import shape

from tools import DAY, expect, near, run


KINDS = ("water", "school", "organic farm", "opt-out", "rare species", "apiary", "other")


def check_calibration(product):
    """flow = rate x speed x swath / 495 (43,560 x 60 / 5,280), US Army manual's 0.0020202; metric by m x km/h / 600."""
    cases = [(120, 75, 0.5), (140, 150, 0.5), (95, 62.5, 0.75)]
    for mph, feet, rate in cases:
        got = product.json("calibrate", "--speed", f"{mph}mph", "--swath", f"{feet}ft", "--rate", f"{rate}gal/ac")
        near(got["acres_per_minute"], mph * feet / 495, 1e-6, "ac/min")
        near(got["gallons_per_minute"], rate * mph * feet / 495, 1e-6, "gal/min")
    got = product.json("calibrate", "--speed", "8km/h", "--swath", "12m", "--rate", "100L/ha")
    near(got["hectares_per_minute"], 0.16, 1e-6, "ha/min")
    near(got["litres_per_minute"], 16, 1e-6, "L/min")
    got = product.json("calibrate", "--speed", "3mph", "--swath", "20ft", "--flow", "3gal/min")
    near(got["gallons_per_acre"], 24.75, 0.01, "gal/ac from the flow")
    mixed = ("--rate", "0.75gal/ac", "--dose", "24BIU/ac", "--strength", "48BIU/gal")
    got = product.json("calibrate", "--speed", "140mph", "--swath", "150ft", *mixed)["product"]
    near(got["fluid_ounces_per_acre"], 64, 0.01, "product")
    near(got["water_share"], 1 / 3, 1e-6, "water")
    return f"{len(cases)} US cases = mph x ft / 495, a worked metric example, a rate from the flow, 24 BIU of 48 = 64 fl oz"


def flown(product):
    """A Pellwood plan that flies many blocks, kept, and its job with files."""
    city, folder = product.pellwood(), product.scratch / "flights"
    if not folder.exists():
        product.json("plan", city, *DAY, "--keep", "flights", "--max-sprayed-acres", 100000, "--budget", 1e7)
    start = time.monotonic()
    job = product.json("aerial", city, "--plan", "flights", "--out", folder)
    return job, folder, time.monotonic() - start


def read(path, *layer):
    """Features of a file as GDAL reads it, in longitude and latitude."""
    text = run(["ogr2ogr", "-f", "GeoJSON", "-t_srs", "EPSG:4326", "/vsistdout/", path, *layer])
    return json.loads(text)["features"]


def planar(path):
    """Shapes of a shapefile in its own metres; the stream says its own system with it."""
    text = run(["ogr2ogr", "-f", "GeoJSON", "-lco", "RFC7946=NO", "-lco", "COORDINATE_PRECISION=6", "/vsistdout/", path])
    return [(f["properties"], shape(f["geometry"])) for f in json.loads(text)["features"]]


def planar_layer(path, name):
    """Rows of a layer with their shapes, in its own metres."""
    text = run(["ogr2ogr", "-f", "GeoJSON", "-lco", "RFC7946=NO", "-lco", "COORDINATE_PRECISION=6", "/vsistdout/", path, name])
    return [(f["properties"], shape(f["geometry"])) for f in json.loads(text)["features"]]


def check_swaths(product):
    """shapely: area of each block, every pass inside it, swaths off the rest, and how much of the block they cover."""
    job, folder, seconds = flown(product)
    areas = {p["id"]: s for p, s in planar(folder / "spray-blocks.shp")}
    passes = planar(folder / "passes.shp")
    covered, whole, outside = 0.0, 0.0, 0.0
    for block in job["spray_blocks"]:
        ground = areas[block["id"]]
        near(ground.area / 10_000, block["hectares"], 1e-3, f"hectares of {block['id']}")
        own = [s for p, s in passes if p["block"] == block["id"]]
        expect(len(own) == block["passes"], f"passes of {block['id']}")
        outside += sum(s.difference(ground.buffer(0.01)).length for s in own)
        length = sum(s.length for s in own)
        near(length * job["swath_metres"] / 4046.8564224, block["acres_put_on"], 0.01, f"put on {block['id']}")
        swaths = shapely.union_all([s.buffer(job["swath_metres"] / 2, cap_style="flat") for s in own])
        covered += swaths.intersection(ground).area
        whole += ground.area
    near(outside, 0, 0.1, "metres of open booms off the blocks")
    expect(covered / whole > 0.9, f"swaths cover {covered / whole:.3f} of the ground")
    return (
        f"{len(areas)} spray blocks, {len(passes)} passes: areas and put-on areas equal, no open boom off the block, "
        f"swaths cover {100 * covered / whole:.1f} % of the ground; {seconds:.1f} s with files"
    )


def check_files(product):
    """GDAL reads every format back: as many features, within a centimetre or the format's digits."""
    _, folder, _ = flown(product)
    by_id = lambda features, name: {f["properties"][name]: shape(f["geometry"]) for f in features}
    own = by_id(read(folder / "spray-blocks.geojson"), "id")
    shp = by_id(read(folder / "spray-blocks.shp"), "id")
    kml = by_id(read(folder / "aerial-job.kml", "spray blocks"), "Name")
    expect(own.keys() == shp.keys() == kml.keys(), "the same spray blocks in GeoJSON, Shapefile and KML")
    # 1e-7 degree is about a centimetre.
    worst = max(max(own[i].hausdorff_distance(shp[i]), own[i].hausdorff_distance(kml[i])) for i in own)
    expect(worst < 3e-7, f"{worst:g} degrees apart")
    lines = read(folder / "passes.geojson")
    counts = [len(read(folder / "passes.shp")), len(read(folder / "aerial-job.kml", "passes"))]
    tracks = len(read(folder / "aerial-job.gpx", "tracks"))
    expect(counts == [len(lines)] * 2 and tracks == len(lines) + len(own), f"{len(lines)} passes, read {counts}, {tracks}")
    return f"GeoJSON, Shapefile, KML and GPX read by GDAL: {len(own)} blocks and {len(lines)} passes, {worst:.1g} degrees apart at most"


def check_map_files(product):
    """GDAL passes the layers of a plan and reads every format back alike; areas stand beside geodesic ones (pyproj)."""
    flown(product)
    folder = product.scratch / "map"
    product.text("map-files", product.pellwood(), "--plan", "flights", "--out", folder)
    geod, counts, worst = Geod(ellps="WGS84"), [], 0.0
    for layer, name in (("plan_blocks", "block"), ("spray_blocks", "id")):
        run(["/usr/bin/python3", "-m", "osgeo_utils.samples.validate_gpkg", folder / f"{layer}.gpkg"])
        own, package, shp = (read(folder / f"{layer}.{end}") for end in ("geojson", "gpkg", "shp"))
        kml = read(folder / f"{layer}.kml")
        expect(len(own) == len(package) == len(shp) == len(kml) > 0, f"{layer}: as many features in every format")
        for a, b, c in zip(own, package, shp, strict=True):
            expect(a["properties"][name] == b["properties"][name] == c["properties"][name], f"{layer}: the same order")
            expect(a["properties"]["acres"] == b["properties"]["acres"] == c["properties"]["acres"], f"{layer}: acres")
            outline = shape(a["geometry"])
            expect(outline.is_valid, f"{layer} {a['properties'][name]}: {shapely.is_valid_reason(outline)}")
            acres = abs(geod.geometry_area_perimeter(outline)[0]) / 4046.8564224
            # A tenth of a per cent for the ground against the map's plane, and the rounding of the column.
            near(a["properties"]["acres"], acres, 0.001 * acres + 0.05, f"{layer} {a['properties'][name]}: acres")
            worst = max(worst, abs(a["properties"]["acres"] - acres) / acres)
        counts.append(len(own))
    return f"{counts[0]} blocks and {counts[1]} spray blocks alike in 4 formats, GDAL's validator passes both packages, areas within {100 * worst:.2f} % of geodesic ones"


def check_joined(product):
    """Spray blocks put together anew from the plan's rows and the programme file, by shapely alone."""
    city = product.scratch / "joined.gpkg"
    city.write_bytes(product.pellwood().read_bytes())
    product.text("parameters", city, "--set", "aerial.least_area=60", "--source", "for the check")
    plan = product.json("plan", city, *DAY, "--draws", 300)
    with sqlite3.connect(city) as base:
        number = lambda name: base.execute("SELECT a FROM parameter_defaults WHERE name = ?", (name,)).fetchone()[0]
        buffers = {word: number(f"buffer.{word.replace(' ', '_').replace('-', '_')}") for word in KINDS}
    layer = lambda name: planar_layer(city, name)
    off = shapely.unary_union(
        [s.buffer(p["buffer_m"] if p["buffer_m"] is not None else 0.3048 * buffers[p["kind"]]) for p, s in layer("no_spray")]
    )
    ground = {p["id"]: s.difference(off) for p, s in layer("blocks")}
    flights = {b["id"]: 2 if "twice" in b["option"] else 1 for b in plan["blocks"] if "aerial" in b["option"]}
    left, sizes, singles = set(flights), [], 0
    while left:
        group = [left.pop()]
        for member in group:
            wide = ground[member].buffer(1.0)
            beside = {b for b in left if flights[b] == flights[member] and wide.intersection(ground[b]).area >= 10.0}
            group.extend(beside)
            left -= beside
        sizes.append(sum(ground[b].area for b in group) / 4046.8564224)
        singles += sum(ground[b].area / 4046.8564224 < 60 for b in group)
    expect(sizes and min(sizes) >= 59.9, f"spray blocks of {', '.join(f'{a:.1f}' for a in sorted(sizes))} acres")
    expect(singles > 0, "no flown block is smaller than the least spray block, so this check says nothing")
    return f"{len(sizes)} spray blocks of {min(sizes):.0f} to {max(sizes):.0f} acres, none below 60; {singles} of {len(flights)} flown blocks are smaller by themselves"


def check_mailing(product):
    """A made-up address list and its parcels cut to what lies near flown blocks, by shapely alone."""
    flown(product)
    city, folder = product.pellwood(), product.scratch
    with sqlite3.connect(city) as base:
        near_ft = base.execute("SELECT a FROM parameter_defaults WHERE name = 'notices.residents_near'").fetchone()[0]
        epsg = base.execute("SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = 'blocks'").fetchone()[0]
    product.text("map-files", city, "--plan", "flights", "--out", folder / "flown-map")
    rows = planar_layer(folder / "flown-map" / "plan_blocks.gpkg", "plan_blocks")
    blocks = {p["block"]: s for p, s in rows if p["flights"] > 0}
    whole = shapely.union_all(list(s for _, s in rows))
    rng, (x0, y0, x1, y1) = random.Random(7), whole.bounds
    spots = [(rng.uniform(x0 - 300, x1 + 300), rng.uniform(y0 - 300, y1 + 300)) for _ in range(3000)]
    back = Transformer.from_crs(epsg, 4326, always_xy=True)
    points = folder / "addresses.csv"
    with points.open("w", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["street", "lon", "lat"])
        for number, spot in enumerate(spots):
            writer.writerow([f"{number} Mill Street, rear", *(f"{v:.9f}" for v in back.transform(*spot))])
    lots = [shapely.box(x, y, x + 25, y + 40) for x, y in spots]
    parcels = folder / "parcels.geojson"
    outline = lambda lot: {"type": "Polygon", "coordinates": [[list(back.transform(*c)) for c in lot.exterior.coords]]}
    features = [{"type": "Feature", "properties": {"street": str(n)}, "geometry": outline(lot)} for n, lot in enumerate(lots)]
    parcels.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    told = []
    for name, shapes in (("addresses.csv", [shapely.Point(s) for s in spots]), ("parcels.geojson", lots)):
        to = folder / f"mailing-{name}.csv"
        said = product.json("mailing", city, "--plan", "flights", "--addresses", folder / name, "--to", to)
        with to.open(newline="") as file:
            got = {row["street"].split(" ")[0]: row for row in csv.DictReader(file)}
        far = [min((s.distance(b), i) for i, b in blocks.items()) for s in shapes]
        # A centimetre is left to the two ways of projecting.
        reach = 0.3048 * near_ft
        sure, never = ({str(n) for n, (d, _) in enumerate(far) if d <= reach + by} for by in (-0.01, 0.01))
        expect(sure <= set(got) <= never and len(sure) > 100, f"{name}: {len(got)} told, {len(sure)} by shapely")
        for n, row in got.items():
            near(float(row["notice_distance_ft"]), far[int(n)][0] / 0.3048, 0.6, f"{name} {n}: distance")
        inside = sum(d == 0 for d, _ in far)
        expect(said["told"] == len(got) and abs(said["inside"] - inside) <= 2, f"{name}: {said}, {inside} inside")
        told.append(len(got))
    return f"of {len(spots)} made-up places {told[0]} addresses and {told[1]} parcels lie in {len(blocks)} flown blocks or within {near_ft:.0f} ft, each with shapely's distance"
