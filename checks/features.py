"""The live layers as OGC API - Features, read by GDAL's client for it and against the programme file itself.

Sources: OGC 17-069r4 (Core, GeoJSON, OpenAPI 3.0) and 18-058r1 (CRS); GDAL's OAPIF driver; pyproj (PROJ) for coordinates.
"""

import base64
import contextlib
import json
import os
import shutil
import sqlite3
import struct
import subprocess
import urllib.error
import urllib.parse
import urllib.request

from pyproj import Transformer

from tools import DAY, expect, geometry, near

NAME, PASSWORD = "GIS", "a password for checks"


@contextlib.contextmanager
def desk(product):
    """Address of a served copy of the city, with an account for a reader made by its own invitation."""
    folder = product.scratch / "features"
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "pellwood.gpkg"
    shutil.copy(product.pellwood(), file)
    product.text("plan", file, *DAY, "--keep", "for the map")
    said = product.text("accounts", file, "--invite", NAME, "--role", "reader")
    token = said.strip().rsplit("/join/", 1)[1]
    program = subprocess.Popen(
        [product.binary, "serve", file, "--port", "0", "--no-open", *DAY],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        link = next(word for line in program.stdout for word in line.split() if word.startswith("http://"))
        home = link.rsplit("/enter/", 1)[0]
        form = urllib.parse.urlencode({"password": PASSWORD, "again": PASSWORD}).encode()
        urllib.request.urlopen(urllib.request.Request(f"{home}/join/{token}", form, {"Origin": home})).close()
        yield home, file
    finally:
        program.terminate()
        program.wait(20)


def get(address, password=PASSWORD):
    """(status, headers, JSON) of an address."""
    secret = base64.b64encode(f"{NAME}:{password}".encode()).decode()
    try:
        with urllib.request.urlopen(urllib.request.Request(address, headers={"Authorization": f"Basic {secret}"})) as answer:
            return answer.status, answer.headers, json.loads(answer.read())
    except urllib.error.HTTPError as refused:
        return refused.code, refused.headers, None


def by_gdal(home, layer, *options):
    """Features as GDAL's client reads them, in longitude and latitude."""
    environment = {**os.environ, "GDAL_HTTP_USERPWD": f"{NAME}:{PASSWORD}", "GDAL_HTTP_AUTH": "BASIC"}
    call = ["ogr2ogr", "-f", "GeoJSON", "/vsistdout/", f"OAPIF:{home}/api", layer, *options]
    done = subprocess.run(call, capture_output=True, text=True, check=False, env=environment)
    expect(done.returncode == 0, f"ogr2ogr {layer}: {done.stderr[-300:]}")
    return json.loads(done.stdout)["features"]


def check_layers(product):
    """GDAL finds every record again; boxes, pages and systems as asked; nobody without a password."""
    with desk(product) as (home, file), sqlite3.connect(file) as base:
        count = lambda table: base.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
        told = []
        for layer, table in (("blocks", "blocks"), ("trees", "trees"), ("plots", "plots"), ("no-spray", "no_spray")):
            # More than a page of 1,000 is enough of the trees: each page of them is made anew.
            want = min(count(table), 1_500)
            found = by_gdal(home, layer, "-limit", "1500")
            expect(len(found) == want, f"{layer}: GDAL reads {len(found)} of {want}")
            told.append(f"{len(found)} {layer}")
        expect(all(f["properties"]["option"] for f in by_gdal(home, "blocks")), "every block has an option of the plan")
        expect(by_gdal(home, "spray-blocks"), "spray blocks")

        # Positions against PROJ, in all three systems.
        (epsg,) = base.execute("SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = 'trees'").fetchone()
        to = Transformer.from_crs(epsg, 4326, always_xy=True)
        name, blob = base.execute("SELECT id, geom FROM trees LIMIT 1").fetchone()
        x, y = struct.unpack("<dd", geometry(blob)[5:21])
        lon, lat = to.transform(x, y)
        here = f"{home}/api/collections/trees/items/{urllib.parse.quote(name)}"
        epsg_uri = "http://www.opengis.net/def/crs/EPSG/0/"
        for uri, want, within in (
            ("http://www.opengis.net/def/crs/OGC/1.3/CRS84", (lon, lat), 2e-7),
            (f"{epsg_uri}4326", (lat, lon), 2e-7),
            (f"{epsg_uri}{epsg}", (x, y), 1e-3),
        ):
            status, headers, feature = get(f"{here}?crs={urllib.parse.quote(uri, safe='')}")
            expect(status == 200 and headers["Content-Crs"] == f"<{uri}>", f"{uri}: {status}, {headers['Content-Crs']}")
            for got, wanted in zip(feature["geometry"]["coordinates"], want):
                near(got, wanted, within, uri)

        # A box, and all pages after one another.
        items = f"{home}/api/collections/trees/items"
        box = (lon - 0.004, lat - 0.003, lon + 0.004, lat + 0.003)
        rows = base.execute("SELECT geom FROM trees").fetchall()
        places = [to.transform(*struct.unpack("<dd", geometry(blob)[5:21])) for (blob,) in rows]
        inside = sum(box[0] <= a <= box[2] and box[1] <= b <= box[3] for a, b in places)
        page = get(f"{items}?limit=7&bbox={','.join(map(str, box))}")[2]
        expect(page["numberMatched"] == inside, f"{page['numberMatched']} trees in a box, {inside} by PROJ")
        whole = get(f"{items}?limit=1")[2]["numberMatched"]
        expect(whole == count("trees"), f"{whole} trees in all")
        seen = []
        while page:
            seen += [feature["id"] for feature in page["features"]]
            after = [link["href"] for link in page["links"] if link["rel"] == "next"]
            page = get(after[0])[2] if after else None
        expect(len(seen) == len(set(seen)) == inside, f"{len(seen)} trees over all pages, {inside} expected")

        for wrong in ("limit=0", "bbox=1,2,3", "crs=EPSG:4326", "colour=red", "datetime=soon"):
            expect(get(f"{items}?{wrong}")[0] == 400, f"{wrong} is refused")
        expect(get(f"{home}/api/collections/bees/items")[0] == 404, "no such layer")
        expect(get(items, "another password")[0] == 401, "a wrong password")
        return f"GDAL reads {', '.join(told)}; {inside} trees in a box over pages of 7 as by PROJ; three systems within 1 mm and 2e-7 degrees"
