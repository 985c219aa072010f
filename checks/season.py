"""Stages and forecast scores against SciPy and NumPy."""

import datetime

import numpy
from scipy.integrate import solve_ivp
from scipy.stats import norm

from tools import REFERENCE, expect, near

JFK = REFERENCE / "degree_days" / "jfk_daily_2012_2015_vega.csv"
# Six decimals are printed.
PRINTED = 1.1e-6
# Constant 15 C: 12 degree-days above 3 C a day for eggs, 7 above 8 C for larvae.
EGG, LARVA = 12.0, 7.0
HATCH = 282.0
# The working table of docs/models/timing.md: instars to pupa, then pupa, then adult.
MALE = [94.0, 77.0, 77.0, 94.0, 136.0, 196.0, 90.0]
FEMALE = [94.0, 77.0, 77.0, 94.0, 102.0, 136.0, 162.0, 90.0]
SUBSTAGES = 45


def steady(product, name, spread):
    """A programme whose every day has 15 C, without doubt about the biology; hatch spreads by so many degree-days."""
    file = product.scratch / f"{name}.gpkg"
    file.unlink(missing_ok=True)
    product.text("new", file, "--name", "Steady", "--season", "2027", "--crs", "EPSG:32617", "--units", "metric")
    weather = product.scratch / "steady.csv"
    first = datetime.date(2024, 1, 1)
    days = [first + datetime.timedelta(i) for i in range((datetime.date(2026, 12, 31) - first).days + 1)]
    weather.write_text("\n".join(["date,tmin_c,tmax_c", *[f"{d},15,15" for d in days], ""]), encoding="utf-8")
    product.text("import", weather, "--as", "weather", "--into", file, "--station", "steady")
    for setting in (
        f"timing.hatch.heat={HATCH}±{spread}",
        "timing.hatch.error=0",
        "timing.hatch.warm-winter=40",
        "timing.stage.scale=1±0",
        "timing.weather.year-spread=0",
    ):
        product.text("parameters", file, "--set", setting, "--source", "outside check")
    told = product.json("timing", file, "--on", "2026-12-31", "--draws", "2")
    return told["stages"]


def chain(lengths, heats):
    """Shares of the stages of one sex at larval heats since hatch: every substage is left at k over its stage's length."""
    rates = numpy.repeat([SUBSTAGES / length for length in lengths], SUBSTAGES)

    def flow(_heat, amounts):
        out = rates * amounts
        return numpy.concatenate([[0.0], out[:-1]]) - out

    start = numpy.zeros(len(rates))
    start[0] = 1.0
    solved = solve_ivp(flow, (0.0, heats[-1]), start, method="LSODA", t_eval=heats, rtol=1e-10, atol=1e-13)
    stages = solved.y.reshape(len(lengths), SUBSTAGES, -1).sum(axis=1)
    return numpy.vstack([stages, 1.0 - stages.sum(axis=0)])


def check_chain(product):
    """One cohort: its hatch has next to no spread, so that every larva has the same age."""
    stages = steady(product, "cohort", 0.001)
    # Half of the cohort has hatched in the middle of day 24 (282 / 12 = 23.5): later days lie half a day off.
    first = int(HATCH / EGG) + 1
    days = stages["days"][first - 1 : first + 199]
    heats = (numpy.arange(first, first + len(days)) - HATCH / EGG) * LARVA
    male, female = chain(MALE, heats), chain(FEMALE, heats)
    males = numpy.vstack([male[:5], numpy.zeros(len(heats)), male[5:]])
    want = 0.5 * (males + female)
    got = numpy.array([day["shares"][1:] for day in days]).T
    worst = float(abs(got - want).max())
    # A millionth is what is asked; the printed decimals and the spread of hatch (0.001 degree-days) are a third of it.
    near(worst, 0.0, 1e-6 + PRINTED, "stage shares of one cohort")
    expect(got[7].max() > 0.5 and got[9 - 1].max() > 0.9, "the days reach from hatch to the end of laying")
    return f"stage shares of one cohort on {len(days)} days = SciPy LSODA over 315 and 360 substages, worst {worst:.1e}"


def check_hatch(product):
    """Masses that have not hatched, with the published spread: the normal distribution on the heat of eggs."""
    stages = steady(product, "hatch", 29)
    days = stages["days"][:60]
    want = norm.sf(EGG * numpy.arange(1, len(days) + 1), HATCH, 29.0)
    got = numpy.array([day["shares"][0] for day in days])
    worst = float(abs(got - want).max())
    near(worst, 0.0, PRINTED, "share of masses that have not hatched")
    return f"unhatched share on {len(days)} days = SciPy norm.sf, worst {worst:.1e}"


def check_usual_date(product):
    """Scores of the baseline that takes the other years' dates, worked out anew from the dates alone."""
    seen = {2012: "2012-04-20", 2013: "2013-05-06", 2014: "2014-05-11", 2015: "2015-05-05"}
    file = product.scratch / "seen.csv"
    file.write_text("\n".join(["year,event,date", *[f"{y},hatch 50 %,{d}" for y, d in seen.items()], ""]), encoding="utf-8")
    told = product.json("hindcast", JFK, "--observed", file, "--on", "2016-01-01", "--draws", "20")
    days = [(datetime.date.fromisoformat(d) - datetime.date(y, 3, 1)).days for y, d in seen.items()]
    errors, crps = [], []
    for i, truth in enumerate(days):
        others = numpy.array(days[:i] + days[i + 1 :], dtype=float)
        errors.append(others.mean() - truth)
        # Fair form (Ferro 2014): pairs of different members only.
        pairs = abs(others[:, None] - others[None, :]).sum() / (len(others) * (len(others) - 1))
        crps.append(abs(others - truth).mean() - 0.5 * pairs)
    usual = [b for b in told["baselines"] if b["name"] == "long-term mean date" and b["event"] == "hatch 50 %"]
    expect(len(usual) == 4, f"four issue days, not {len(usual)}")
    for line in usual:
        near(line["bias_days"], numpy.mean(errors), PRINTED, f"bias from {line['issued']}")
        near(line["mae_days"], numpy.mean(numpy.abs(errors)), PRINTED, f"mean distance from {line['issued']}")
        near(line["crps"], numpy.mean(crps), PRINTED, f"CRPS from {line['issued']}")
    return "bias, mean distance and fair CRPS of the usual date, four years left out in turn, = NumPy"
