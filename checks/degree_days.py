"""Degree-days against numerical integration and printed tables."""

import csv
import datetime
import math

from scipy.integrate import quad

from tools import REFERENCE, near

TABLES = REFERENCE / "degree_days"
JFK = TABLES / "jfk_daily_2012_2015_vega.csv"
# The command prints six decimals.
PRINTED = 1.1e-6
# Year totals and totals to 31 May at bases 3 and 10 C, single sine: closed form, confirmed by the Python package
# nonlineartemppy 0.201 to 0.001.
YEARS = {
    3: {2012: 4121.2328, 2013: 3779.7211, 2014: 3786.3373, 2015: 4204.6369},
    10: {2012: 2203.7309, 2013: 2031.7578, 2014: 2045.1485, 2015: 2342.5027},
}
TO_MAY = {2012: 1072.3901, 2013: 759.7034, 2014: 767.4373, 2015: 803.0354}
FIRST_282 = {2012: "2012-03-23", 2013: "2013-04-19", 2014: "2014-04-24", 2015: "2015-04-25"}


def rows(file):
    with open(file, newline="", encoding="utf-8") as f:
        return list(csv.DictReader(f))


def sine_by_quad(low, high, base):
    """Mean over a day of the sine wave between low and high, where it is above the base."""
    middle, swing = (low + high) / 2, (high - low) / 2
    crossing = (base - middle) / swing if swing else 2.0
    corner = [math.asin(crossing)] if -1 < crossing < 1 else None
    heat = quad(lambda a: max(0.0, middle + swing * math.sin(a) - base), -math.pi / 2, math.pi / 2, points=corner)
    return heat[0] / math.pi


def totals(days):
    """{year: (whole year, to 31 May, first day with 282 or more)} of printed daily values."""
    found = {}
    for year in FIRST_282:
        own = [d for d in days if d["date"].startswith(str(year))]
        running, first, may = 0.0, None, 0.0
        for day in own:
            running += day["daily"]
            first = first or (day["date"] if running >= 282 else None)
            may += day["daily"] if day["date"] <= f"{year}-05-31" else 0.0
        found[year] = (running, may, first)
    return found


def check_real_weather(product):
    weather = rows(JFK)
    for base, years in YEARS.items():
        days = product.json("degree-days", JFK, "--method", "single sine", "--base", f"{base}C")
        for day, row in zip(days, weather, strict=True):
            want = sine_by_quad(float(row["temp_min"]), float(row["temp_max"]), base)
            near(day["daily"], want, PRINTED, f"JFK {row['date']} base {base} C")
        for year, (whole, may, first) in totals(days).items():
            near(whole, years[year], 3e-4, f"JFK {year} base {base} C")
            if base == 3:
                near(may, TO_MAY[year], 3e-4, f"JFK to 31 May {year}")
                near(int(first == FIRST_282[year]), 1, 0, f"first day of {year} with 282 degree-days ({first})")
    return (
        "1,461 days of JFK 2012-15 at two bases = SciPy quad to 1e-6; year totals, totals to 31 May and dates of 282 "
        "= closed form confirmed by nonlineartemppy 0.201"
    )


def run_days(product, days, unit, *arguments):
    """Daily values for (min, max) pairs written as successive days."""
    file = product.scratch / "days.csv"
    start = datetime.date(2001, 1, 1)
    lines = [f"{start + datetime.timedelta(i)},{low},{high}" for i, (low, high) in enumerate(days)]
    file.write_text("\n".join(["date,tmin,tmax", *lines, ""]), encoding="utf-8")
    units = ("--unit", f"min={unit}", "--unit", f"max={unit}")
    return [d["daily"] for d in product.json("degree-days", file, *units, *arguments)]


def check_cutoffs(product):
    grid = rows(TABLES / "quad_oracle_grid_C.csv")
    sets = sorted({(r["lower_c"], r["upper_c"], r["cutoff"]) for r in grid})
    compared = 0
    for lower, upper, cutoff in sets:
        own = [r for r in grid if (r["lower_c"], r["upper_c"], r["cutoff"]) == (lower, upper, cutoff)]
        days = [(r["tmin_c"], r["tmax_c"]) for r in own]
        above = ("--upper", f"{upper}C", "--cutoff", cutoff) if upper else ()
        for method, column in (("single sine", "single_sine"), ("single triangle", "single_triangle")):
            got = run_days(product, days, "C", "--method", method, "--base", f"{lower}C", *above)
            for value, row in zip(got, own, strict=True):
                near(value, float(row[column]), PRINTED, f"{method} {cutoff} {row['tmin_c']}..{row['tmax_c']} C")
                compared += 1
    return f"{compared} values (sine and triangle; no, horizontal, vertical, intermediate cutoff) = SciPy quad to 1e-6"


def check_zalom_1983(product):
    table = rows(TABLES / "zalom1983_table7_F.csv")
    # Each row is a day and the next morning; the second day only carries that morning's minimum.
    days = [pair for r in table for pair in ((r["temp_min"], r["temp_max"]), (r["temp_nextmin"], r["temp_nextmin"]))]
    printed = 0
    for method, column in (
        ("single triangle", "sng_tri"),
        ("double triangle", "dbl_tri"),
        ("single sine", "sng_sine"),
        ("double sine", "dbl_sine"),
    ):
        got = run_days(
            product, days, "F", "--method", method, "--base", "55F", "--upper", "90F", "--cutoff", "horizontal"
        )
        for value, row in zip(got[::2], table, strict=True):
            near(value, float(row[f"calc_{column}"]), 1e-4, f"{method} {row['temp_min']}..{row['temp_max']} F")
            printed += abs(value - float(row[column])) <= 0.0051
    near(printed, 47, 0, "printed values of Zalom et al. 1983 that hold")
    return (
        "Zalom et al. 1983 (UC leaflet 21373) table 7: 47 of 48 printed values to their 2 decimals, the 48th "
        "(double triangle 60..100 F) being a misprint; all 48 = SciPy quad to 1e-4 F"
    )


def check_mcmaster_wilhelm_1997(product):
    table = rows(TABLES / "mcmaster_wilhelm1997_table1_C.csv")
    days = [(r["tmin"], r["tmax"]) for r in table]
    for method, column in (("simple mean", "gdd_method1"), ("corn", "gdd_method2")):
        got = run_days(product, days, "C", "--method", method, "--base", "0C")
        for value, row in zip(got, table, strict=True):
            near(value, float(row[column]), PRINTED, f"{method} {row['tmin']}..{row['tmax']} C")
    return "McMaster & Wilhelm 1997 (Agr. Forest Meteorol. 87:291-300) table 1, methods 1 and 2: 20 values equal"
