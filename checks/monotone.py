"""More of anything never makes the plan worse, and neither threads nor repetition change it.

There is no outside number here: these are properties that every right plan has.
"""

import re

from tools import DAY, expect

DRAWS = ("--draws", "30")
# The first aim is held on a grid of one square metre per block (docs/models/plan.md): 187 blocks, in acres.
GRID = 187 / 4046.86


def first_aim(product, *limits):
    plan = product.json("plan", product.pellwood(), *DAY, *DRAWS, *limits)
    return plan["aims"][0]["value"], plan["gap"]


def never_worse(product, name, amounts, *fixed):
    """First aims for growing amounts of one resource; the sentence of the values."""
    values = [first_aim(product, f"--{name}", str(amount), *fixed) for amount in amounts]
    for (before, _), (after, gap), amount in zip(values, values[1:], amounts[1:]):
        expect(after <= before / (1 - gap) + GRID, f"--{name} {amount}: {after} after {before}, gap {gap}")
    expect(values[-1][0] < values[0][0], f"--{name} changes nothing between {amounts[0]} and {amounts[-1]}")
    return ", ".join(f"{amount:,}: {value:.1f}" for amount, (value, _) in zip(amounts, values))


def check_money(product):
    return "property: acres over tolerance fall with money, $" + never_worse(product, "budget", (50_000, 200_000))


def check_volunteers(product):
    tight = ("--budget", "60000")
    return "property: acres over tolerance fall with volunteer hours, " + never_worse(
        product, "volunteer-hours", (0, 2_000), *tight
    )


def check_sprayed_acres(product):
    return "property: acres over tolerance fall with a looser limit of acres flown, " + never_worse(
        product, "max-sprayed-acres", (200, 600)
    )


def check_threads(product):
    def text(threads):
        told = product.text("plan", product.pellwood(), *DAY, *DRAWS, "--threads", threads, "--json")
        return re.sub(r'"solve_seconds": [0-9.e-]+', "", told)

    one = text("1")
    expect(one == text("2"), "the JSON differs between one and two threads")
    return f"property: {len(one):,} characters of plan --json are the same on 1 and 2 threads"
