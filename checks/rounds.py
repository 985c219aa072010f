"""Rounds: known optima of public instances, another routing program on the same matrix, and Pellwood walked through anew.

Sources: E-n22-k4 (Christofides & Eilon; optimum stated in the file), p06-2-50 (Bulhoes et al. 2018; 726 found by PyVRP
0.14.1, not proven), gr17 (TSPLIB95; 2085 proven by CP-SAT), pcb442 (TSPLIB95; 50778 is the length of the optimal tour
that comes with it). OR-Tools' routing library for a day with time windows.
"""

import json
import math
import pathlib
import random
import re
import sqlite3
import struct

import numpy
import shapely
from pyproj import Transformer
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from tools import DAY, expect, geometry, near

DATA = pathlib.Path(__file__).resolve().parent / "data"
OPEN = (0, 10**9)


def task(matrix, workers, stops):
    """The words that the example reads."""
    lines = [f"places {len(matrix)}"]
    lines += [" ".join(str(m) for m in row) for row in matrix]
    lines += [f"worker {start} {end} {opens} {closes} {load}" for start, end, (opens, closes), load in workers]
    lines += [
        f"stop {place} {work} {load} {opens} {closes} {'-' if worth is None else worth}"
        for place, work, load, (opens, closes), worth in stops
    ]
    return "\n".join(lines) + "\n"


def routes(product, steps, words, seed=1):
    """Rounds of the product; they must keep its own rules."""
    found = product.example("crownhold", "routes", str(steps), str(seed), stdin=words)
    expect(found["faults"] == 0, f"{found['faults']} faults by the product's own checker")
    return found


def section(text, name):
    """Rows of numbers of a section."""
    body = text.split(name, 1)[1]
    rows = []
    for line in body.strip().splitlines()[0 if body.startswith("\n") else 1 :]:
        if not re.match(r"^\s*-?\d", line):
            break
        rows.append([float(word) for word in line.split()])
    return rows


def rounded(places):
    """Distances as these instances mean them: to the nearest whole number."""
    return [[int(math.hypot(a[0] - b[0], a[1] - b[1]) + 0.5) for b in places] for a in places]


def length(matrix, found, start=0):
    """Length of all rounds, from the rounds alone; places are one more than stops."""
    total = 0
    for one in found["rounds"]:
        here = start
        for stop in one:
            total += matrix[here][stop + 1]
            here = stop + 1
        total += matrix[here][start] if one else 0
    return total


def check_known_optima(product):
    """Public instances through the search."""
    text = (DATA / "E-n22-k4.txt").read_text()
    matrix = rounded([row[1:] for row in section(text, "NODE_COORD_SECTION")])
    demand = [row[1] for row in section(text, "DEMAND_SECTION")]
    stops = [(place, 0, demand[place], OPEN, None) for place in range(1, 22)]
    found = routes(product, 20_000, task(matrix, [(0, 0, OPEN, 6000)] * 4, stops))
    loads = [sum(demand[stop + 1] for stop in one) for one in found["rounds"]]
    expect(max(loads) <= 6000 and not found["left"], f"E-n22-k4: loads {loads}, left {found['left']}")
    near(length(matrix, found), 375, 0, "E-n22-k4")

    text = (DATA / "p06-2-50.vrp").read_text()
    matrix = rounded([row[1:] for row in section(text, "NODE_COORD_SECTION")])
    demand = [row[1] for row in section(text, "DEMAND_SECTION")]
    prize = [row[1] for row in section(text, "PRIZE_SECTION")]
    stops = [(place, 0, demand[place], OPEN, prize[place]) for place in range(1, 51)]
    found = routes(product, 40_000, task(matrix, [(0, 0, OPEN, 50)] * 2, stops))
    prizes = length(matrix, found) + sum(prize[stop + 1] for stop in found["left"])
    expect(prizes <= 726, f"p06-2-50: {prizes}, PyVRP found 726")

    numbers = (DATA / "gr17.tsp").read_text().split("EDGE_WEIGHT_SECTION", 1)[1].split("EOF")[0]
    numbers = [int(word) for word in re.findall(r"\d+", numbers.split("DISPLAY")[0])]
    matrix = [[0] * 17 for _ in range(17)]
    for row in range(17):
        for column in range(row + 1):
            matrix[row][column] = matrix[column][row] = numbers[row * (row + 1) // 2 + column]
    stops = [(place, 0, 1, OPEN, None) for place in range(1, 17)]
    near(length(matrix, routes(product, 20_000, task(matrix, [(0, 0, OPEN, 99)], stops))), 2085, 0, "gr17")

    matrix = rounded([row[1:] for row in section((DATA / "pcb442.tsp").read_text(), "NODE_COORD_SECTION")])
    stops = [(place, 0, 1, OPEN, None) for place in range(1, 442)]
    tour = length(matrix, routes(product, 60_000, task(matrix, [(0, 0, OPEN, 999)], stops)))
    expect(50_778 <= tour <= 1.03 * 50_778, f"pcb442: {tour}, the optimum is 50778")
    return f"E-n22-k4 375, p06-2-50 {prizes:.0f} (PyVRP 726), gr17 2085, pcb442 {tour} (optimum 50778, {tour / 507.78 - 100:.1f} % above)"


def windows_day(seed, trees, people):
    """A made-up afternoon: trees in clusters, each open for some hours, people with a load."""
    rng = random.Random(seed)
    centres = [(rng.uniform(0, 3000), rng.uniform(0, 3000)) for _ in range(8)]
    places = [(1500.0, 1500.0)]
    for tree in range(trees):
        x, y = centres[tree % 8]
        places.append((x + rng.uniform(-200, 200), y + rng.uniform(-200, 200)))
    matrix = [[round(math.hypot(a[0] - b[0], a[1] - b[1]) / 8) for b in places] for a in places]
    stops = []
    for place in range(1, trees + 1):
        opens = rng.choice([0, 0, 0, 3000, 6000])
        stops.append((place, 180, 1, (opens, opens + 9000), None))
    return matrix, [(0, 0, (0, 14400), 40)] * people, stops


def by_ortools(matrix, workers, stops, seconds):
    """Length of the rounds that OR-Tools' routing library finds in so many seconds; None without a solution."""
    from ortools.constraint_solver import pywrapcp, routing_enums_pb2

    manager = pywrapcp.RoutingIndexManager(len(matrix), len(workers), 0)
    model = pywrapcp.RoutingModel(manager)
    node = manager.IndexToNode
    way = model.RegisterTransitCallback(lambda a, b: matrix[node(a)][node(b)])
    model.SetArcCostEvaluatorOfAllVehicles(way)
    work = [0] + [stop[1] for stop in stops]
    clock = model.RegisterTransitCallback(lambda a, b: matrix[node(a)][node(b)] + work[node(a)])
    model.AddDimension(clock, 14400, 14400, False, "time")
    times = model.GetDimensionOrDie("time")
    for place, _, _, (opens, closes), _ in stops:
        times.CumulVar(manager.NodeToIndex(place)).SetRange(opens, min(closes, 14400))
    loads = model.RegisterUnaryTransitCallback(lambda a: 1 if node(a) else 0)
    model.AddDimension(loads, 0, int(workers[0][3]), True, "load")
    asked = pywrapcp.DefaultRoutingSearchParameters()
    asked.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PARALLEL_CHEAPEST_INSERTION
    asked.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    asked.time_limit.FromSeconds(seconds)
    solution = model.SolveWithParameters(asked)
    return solution and solution.ObjectiveValue()


def check_other_program(product):
    """Days with windows and loads: kept under a walk written here, and hardly longer than another program's."""
    told = []
    for seed in (1, 2):
        matrix, workers, stops = windows_day(seed, 160, 6)
        found = routes(product, 30_000, task(matrix, workers, stops))
        expect(not found["left"], f"{len(found['left'])} stops left")
        expect(sorted(s for one in found["rounds"] for s in one) == list(range(160)), "each stop once")
        for one in found["rounds"]:
            clock, here = 0, 0
            expect(len(one) <= 40, "load")
            for stop in one:
                place, work, _, (opens, closes), _ = stops[stop]
                clock = max(clock + matrix[here][place], opens)
                expect(clock <= closes, f"stop {stop} at {clock}, open until {closes}")
                clock, here = clock + work, place
            expect(clock + matrix[here][0] <= 14400, "back in time")
        other = by_ortools(matrix, workers, stops, 5)
        expect(other is not None, "OR-Tools found nothing")
        own = length(matrix, found)
        expect(own <= 1.03 * other, f"{own}, OR-Tools {other}")
        told.append(f"{own} against {other}")
    return f"two days of 160 trees, 6 people: every window, load and hour kept; OR-Tools routing in 5 s: {', '.join(told)}"


def minutes(clock):
    """Minutes of the day of a time as 16:05."""
    hour, minute = clock.split(":")
    return 60 * int(hour) + int(minute)


def check_pellwood(product):
    """The city's rounds of a day in June, walked through anew from the file."""
    file = product.pellwood()
    day = product.json("rounds", file, *DAY, "--day", "2027-06-10")
    teams = {team["name"]: team for team in product.json("teams", file)}
    with sqlite3.connect(file) as base:
        rows = base.execute("SELECT id, geom, block FROM trees").fetchall()
    places = {name: struct.unpack("<dd", geometry(blob)[5:21]) for name, blob, _ in rows}
    blocks = {name: block for name, _, block in rows}
    due = sum(block["trees"] for block in day["blocks"])
    seen = [stop["tree"] for one in day["rounds"] for stop in one["stops"]]
    expect(len(seen) == len(set(seen)) and len(seen) + len(day["left"]) == due, f"{len(seen)} of {due} trees")
    expect({blocks[tree] for tree in seen} <= {b["block"] for b in day["blocks"] if b["trees"]}, "blocks that are due")
    longest = 0
    for one in day["rounds"]:
        team = teams[one["team"]]
        begins = [minutes(stop["at"]) for stop in one["stops"]]
        expect(begins[0] >= max(minutes(team["from"]), 16 * 60), f"{one['team']} begins at {one['stops'][0]['at']}")
        expect(begins[-1] <= 20 * 60 and minutes(one["back"]) <= minutes(team["to"]), f"{one['team']} is late")
        for (a, b), (t, u) in zip(zip(one["stops"], one["stops"][1:]), zip(begins, begins[1:])):
            (x, y), (v, w) = places[a["tree"]], places[b["tree"]]
            way = math.hypot(x - v, y - w) * 1.3
            walk = way / (3 * 1609.344 / 60)
            least = walk if way <= 804.672 else min(walk, 5 + way / (15 * 1609.344 / 60))
            # Times are cut to whole minutes.
            near(u - t, least + 3 / team["people"], 1.01, f"{one['team']}, {a['tree']} to {b['tree']}")
        longest = max(longest, minutes(one["back"]) - begins[0])
    return f"{len(seen)} trees on {len(day['rounds'])} rounds: each once, in the hours of team and bands, every leg timed anew; longest {longest} min"


def street_grid(bounds, step=120.0):
    """Made-up middle lines in metres: a lattice with a corner at every crossing, and two bridges over a river."""
    x0, y0, x1, y1 = bounds
    xs, ys = (list(numpy.arange(a - 60, b + 60, step)) for a, b in ((x0, x1), (y0, y1)))
    river = ys[len(ys) // 2] + step / 2
    bridges = {xs[len(xs) // 5], xs[4 * len(xs) // 5]}
    rows = [[(x, y) for x in xs] for y in ys]
    columns = []
    for x in xs:
        south, north = [(x, y) for y in ys if y < river], [(x, y) for y in ys if y > river]
        columns += [south + north] if x in bridges else [south, north]
    return rows + columns


def ways_by_scipy(lines, places, detour, across):
    """Metres between all places: streets by SciPy's shortest paths, places put onto them by shapely."""
    index, edges = {}, []
    node = lambda c: index.setdefault((round(c[0], 2), round(c[1], 2)), len(index))
    pieces = [shapely.LineString([a, b]) for line in lines for a, b in zip(line, line[1:])]
    on = [[(0.0, node(p.coords[0])), (p.length, node(p.coords[1]))] for p in pieces]
    tree, spots = shapely.STRtree(pieces), []
    for number, place in enumerate(places):
        point = shapely.Point(place)
        piece = int(tree.nearest(point))
        spot = index.setdefault(("place", number), len(index))
        on[piece].append((pieces[piece].project(point), spot))
        spots.append((spot, pieces[piece].distance(point)))
    for all_on in on:
        all_on.sort()
        # SciPy takes a length of 0 for no edge.
        edges += [(a[1], b[1], max(b[0] - a[0], 1e-9)) for a, b in zip(all_on, all_on[1:])]
    a, b, d = (numpy.array(column) for column in zip(*edges))
    graph = coo_matrix((d, (a, b)), shape=(len(index), len(index))).tocsr()
    along = dijkstra(graph, directed=False, indices=[s for s, _ in spots])[:, [s for s, _ in spots]]
    off = numpy.array([o for _, o in spots])
    at = numpy.array(places)
    straight = numpy.hypot(at[:, None, 0] - at[None, :, 0], at[:, None, 1] - at[None, :, 1])
    street = numpy.maximum(straight, along + detour * (off[:, None] + off[None, :]))
    plain = (straight <= across) | ~numpy.isfinite(along) | (numpy.minimum(off[:, None], off[None, :]) > across)
    return numpy.where(plain, detour * straight, street)


def check_streets(product):
    """The same day along a made-up street layer: every way and leg against SciPy's shortest paths."""
    file = product.scratch / "streets.gpkg"
    file.write_bytes(product.pellwood().read_bytes())
    with sqlite3.connect(file) as base:
        rows = base.execute("SELECT id, geom FROM trees").fetchall()
        epsg = base.execute("SELECT epsg FROM programme").fetchone()[0]
    places = {name: struct.unpack("<dd", geometry(blob)[5:21]) for name, blob in rows}
    bounds = shapely.MultiPoint(list(places.values())).bounds
    back = Transformer.from_crs(epsg, 4326, always_xy=True)
    shape = lambda line: {"type": "LineString", "coordinates": [[round(v, 9) for v in back.transform(*c)] for c in line]}
    layer = [{"type": "Feature", "properties": {"id": i}, "geometry": shape(line)} for i, line in enumerate(street_grid(bounds))]
    source = product.scratch / "streets.geojson"
    source.write_text(json.dumps({"type": "FeatureCollection", "features": layer}))
    straight = product.json("rounds", file, *DAY, "--day", "2027-06-10")
    product.text("import", source, "--as", "streets", "--into", file)
    day = product.json("rounds", file, *DAY, "--day", "2027-06-10")
    expect(day["by_street"] and not straight["by_street"], "ways go by street")
    with sqlite3.connect(file) as base:
        stored = [shapely.from_wkb(geometry(blob)) for (blob,) in base.execute("SELECT geom FROM streets")]
    lines = [list(part.coords) for many in stored for part in many.geoms]
    teams = {team["name"]: team for team in product.json("teams", file)}
    legs, longer = 0, []
    for one in day["rounds"]:
        at = [places[stop["tree"]] for stop in one["stops"]]
        ways = ways_by_scipy(lines, at, 1.3, 150 * 0.3048)
        begins = [minutes(stop["at"]) for stop in one["stops"]]
        for i in range(len(at) - 1):
            way = ways[i, i + 1]
            walk = way / (3 * 1609.344 / 60)
            least = walk if way <= 804.672 else min(walk, 5 + way / (15 * 1609.344 / 60))
            near(begins[i + 1] - begins[i], least + 3 / teams[one["team"]]["people"], 1.01, f"{one['team']}, leg {i}")
            longer.append(way / max(math.dist(at[i], at[i + 1]), 1.0))
        if teams[one["team"]]["starts"] is None and teams[one["team"]]["ends"] is None:
            total = sum(ways[i, i + 1] for i in range(len(at) - 1))
            near(one["way_m"], total, 0.5 + 1e-4 * total, f"{one['team']}: the whole way")
        legs += len(at) - 1
    return f"{legs} legs of {len(day['rounds'])} rounds on {len(lines)} made-up streets with two bridges, timed by SciPy's shortest paths; travel {day['travel_minutes']:.0f} min, {straight['travel_minutes']:.0f} by straight lines"
