"""Areas against the ellipsoid."""

import sqlite3

import pyproj
import shapely
import shapely.ops

from tools import DAY, expect, geometry, near

ACRE = 4046.8564224
# Widest buffer of each kind of no-spray ground in Pellwood's parameters, m: half a mile for rare species, 200 ft else.
BUFFER = {"rare species": 805.0}
OTHER_BUFFER = 61.0


def layer(file, sql):
    with sqlite3.connect(file) as base:
        return [(row[0], row[1], shapely.from_wkb(geometry(row[2]))) for row in base.execute(sql)]


def geodesic(shape, crs):
    """Area on the WGS 84 ellipsoid, m2."""
    to_degrees = pyproj.Transformer.from_crs(crs, "EPSG:4326", always_xy=True).transform
    return abs(pyproj.Geod(ellps="WGS84").geometry_area_perimeter(shapely.ops.transform(to_degrees, shape))[0])


def clear(shape, no_spray, schools):
    """Whether no no-spray ground or school, with its buffer, can reach into the block."""
    far = all(shape.distance(s) > BUFFER.get(kind, OTHER_BUFFER) for _, kind, s in no_spray)
    return far and all(shape is s or shape.distance(s) > OTHER_BUFFER for s in schools)


def check_flown_blocks(product):
    file = product.pellwood()
    blocks = layer(file, "SELECT id, land_use, geom FROM blocks")
    no_spray = layer(file, "SELECT id, kind, geom FROM no_spray")
    schools = [s for _, use, s in blocks if use == "school"]
    plan = product.json("plan", file, *DAY, "--draws", "20", "--budget", "1000000", "--max-sprayed-acres", "100000")
    flown = {
        b["id"]: b["sprayed_acres"] / (2 if "twice" in b["option"] else 1)
        for b in plan["blocks"]
        if "aerial" in b["option"]
    }
    compared, worst = 0, 0.0
    for name, use, shape in blocks:
        if name in flown and use != "school" and clear(shape, no_spray, schools):
            area = geodesic(shape, "EPSG:32616") / ACRE
            near(flown[name] / area, 1.0, 1e-3, f"acres of block {name} over its geodesic acres")
            compared, worst = compared + 1, max(worst, abs(flown[name] / area - 1))
    expect(compared >= 5, f"only {compared} flown blocks are clear of no-spray ground")
    return (
        f"acres flown on {compared} blocks clear of no-spray ground = pyproj 3.7.2 geodesic area within 0.1 % (worst "
        f"{100 * worst:.3f} %, the scale of the map projection)"
    )
