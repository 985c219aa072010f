"""The plan's model solved by other programs.

Written from the words of the JSON's `about` alone; nothing is taken from the product's own model. highspy is the same
solver family as the product uses, so it checks the model; SCIP (inside OR-Tools) is another program altogether.
"""

import dataclasses
import math

import highspy
from ortools.linear_solver import pywraplp

from tools import expect, near

SEEDS = (1, 2, 3)
# The first two aims are whole square metres; an aim is kept to half of one while the next is minimised.
HALF_STEP = 0.5
CENT = 0.01


@dataclasses.dataclass
class Model:
    """A mixed-integer model in plain lists: rows and aims map a variable's number to its coefficient."""

    whole: list = dataclasses.field(default_factory=list)
    rows: list = dataclasses.field(default_factory=list)
    aims: list = dataclasses.field(default_factory=lambda: [{}, {}, {}])
    picks: list = dataclasses.field(default_factory=list)

    def variable(self, whole):
        """A number that is 0 or 1, or 0 or more."""
        self.whole.append(whole)
        return len(self.whole) - 1


def build(text):
    model, work = Model(), {}
    sprayed = {}
    for block in text["blocks"]:
        picks = {}
        for option in block["options"]:
            x = picks[option["option"]] = model.variable(True)
            model.aims[0][x] = option["host_beyond_accepted_m2"]
            model.aims[1][x] = option["sprayed_grid_m2"]
            model.aims[2][x] = option["cost_dollars"]
            sprayed[x] = option["sprayed_m2"]
            for piece in option["labour"]:
                need = work.setdefault((piece["period"], block["neighbourhood"], piece["volunteers_may"]), {})
                need[x] = need.get(x, 0.0) + piece["hours"]
        model.picks.append(picks)
        model.rows.append(({x: 1.0 for x in picks.values()}, 1.0, 1.0))
    add_spray_blocks(model, text)
    add_hours(model, text, work)
    if text["budget_dollars"] is not None:
        model.rows.append((dict(model.aims[2]), -math.inf, text["budget_dollars"]))
    if text["most_sprayed_m2"] is not None:
        model.rows.append((sprayed, -math.inf, text["most_sprayed_m2"]))
    return model


def add_spray_blocks(model, text):
    """Single-commodity flow: every flown block sends its area along flown neighbours to the one place where its spray
    block is counted, and at least the least area must arrive there."""
    places = {block["id"]: number for number, block in enumerate(text["blocks"])}
    most = sum(max((o["sprayed_m2"] for o in block["options"]), default=0.0) for block in text["blocks"])
    for flights in (1, 2):
        flown, area = {}, {}
        for number, block in enumerate(text["blocks"]):
            own = [o for o in block["options"] if o["flights"] == flights]
            if own:
                flown[number] = {model.picks[number][o["option"]]: 1.0 for o in own}
                area[number] = own[0]["sprayed_m2"] / flights
        into, counted = {number: {} for number in flown}, {}
        for number in flown:
            for name in text["blocks"][number]["beside"]:
                if (beside := places[name]) in flown:
                    f = model.variable(False)
                    into[beside][f] = into[beside].get(f, 0.0) + 1.0
                    into[number][f] = -1.0
                    # Only out of flown ground and only into flown ground.
                    for end in (number, beside):
                        model.rows.append(({f: 1.0, **{x: -most for x in flown[end]}}, -math.inf, 0.0))
        add_turns(model, text, flights, flown, places)
        for number, picks in flown.items():
            here, arrives = model.variable(True), model.variable(False)
            counted[number] = here
            model.aims[2][here] = text["set_up_dollars"] * flights
            balance = {**into[number], arrives: -1.0}
            for x in picks:
                balance[x] = area[number]
            model.rows.append((balance, 0.0, 0.0))
            model.rows.append(({arrives: 1.0, here: -most}, -math.inf, 0.0))
            model.rows.append(({arrives: 1.0, here: -text["least_spray_block_m2"]}, 0.0, math.inf))
            model.rows.append(({here: 1.0, **{x: -1.0 for x in picks}}, -math.inf, 0.0))


def add_turns(model, text, flights, flown, places):
    """Turns of every flown block, less those that a pair flown alike saves: paid with the money."""
    dollars = text["turn_dollars"] * flights
    for number, picks in flown.items():
        block = text["blocks"][number]
        for x in picks:
            model.aims[2][x] += block["turns_alone"] * dollars
        for name, saved in zip(block["beside"], block["turns_saved"], strict=True):
            if number < (beside := places[name]) and beside in flown:
                both = model.variable(False)
                model.aims[2][both] = -saved * dollars
                for end in (picks, flown[beside]):
                    model.rows.append(({both: 1.0, **{x: -1.0 for x in end}}, -math.inf, 0.0))


def add_hours(model, text, work):
    """Every piece of work is done by supplies that may do it; crew hours cost the wage."""
    used = [{} for _ in text["supplies"]]
    for (period, place, open_to_all), need in work.items():
        balance = {x: -hours for x, hours in need.items()}
        for supply, hours in zip(text["supplies"], used, strict=True):
            near_enough = supply["neighbourhood"] in (None, place)
            if supply["period"] == period and near_enough and (open_to_all or supply["who"] == "crew"):
                h = model.variable(False)
                balance[h] = hours[h] = 1.0
                if supply["who"] == "crew":
                    model.aims[2][h] = text["crew_wage_dollars_per_hour"]
        model.rows.append((balance, 0.0, 0.0))
    for supply, hours in zip(text["supplies"], used, strict=True):
        model.rows.append((hours, -math.inf, supply["hours"]))


def by_highs(model, aim, rows):
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 1e-6)
    integer = highspy.HighsVarType.kInteger
    for number, whole in enumerate(model.whole):
        solver.addCol(aim.get(number, 0.0), 0.0, 1.0 if whole else highspy.kHighsInf, 0, [], [])
        if whole:
            solver.changeColIntegrality(number, integer)
    for row, low, high in rows:
        solver.addRow(low, high, len(row), list(row), list(row.values()))
    solver.run()
    expect(solver.getModelStatus() == highspy.HighsModelStatus.kOptimal, f"HiGHS: {solver.getModelStatus()}")
    return list(solver.getSolution().col_value)


def by_scip(model, aim, rows):
    solver = pywraplp.Solver.CreateSolver("SCIP")
    columns = [solver.IntVar(0, 1, "") if whole else solver.NumVar(0, solver.infinity(), "") for whole in model.whole]
    for row, low, high in rows:
        constraint = solver.Constraint(max(low, -solver.infinity()), high)
        for number, factor in row.items():
            constraint.SetCoefficient(columns[number], factor)
    for number, factor in aim.items():
        solver.Objective().SetCoefficient(columns[number], factor)
    setting = pywraplp.MPSolverParameters()
    setting.SetDoubleParam(setting.RELATIVE_MIP_GAP, 0.0)
    expect(solver.Solve(setting) == pywraplp.Solver.OPTIMAL, "SCIP proves no optimum")
    return [c.solution_value() for c in columns]


def worth(aim, values, model):
    """An aim of a solution, the choices taken as whole numbers."""
    return sum(factor * (round(values[n]) if model.whole[n] else values[n]) for n, factor in aim.items())


def in_order(model, solve):
    """The three optima, each held while the next is minimised."""
    rows, optima = list(model.rows), []
    for aim in model.aims:
        optimum = worth(aim, solve(model, aim, rows), model)
        optima.append(optimum)
        rows.append((aim, -math.inf, optimum + HALF_STEP))
    return optima


def of_product(model, chosen):
    """The product's choices put into this model: they must fit; its hours are shared out anew, cheaply."""
    fixed = [({picks[option]: 1.0}, 1.0, 1.0) for picks, option in zip(model.picks, chosen, strict=True)]
    values = by_highs(model, model.aims[2], model.rows + fixed)
    return [worth(aim, values, model) for aim in model.aims]


def compare(product, solve, name, least=0, blocks=20):
    found = []
    for seed in SEEDS:
        answer = product.example("crownhold-plan", "random_city", seed, blocks, least)
        model, told = build(answer["model"]), answer["solution"]
        ours, theirs = of_product(model, told["options"]), in_order(model, solve)
        for what, mine, other, tolerance in zip(("host m2", "sprayed m2", "cost"), ours, theirs, (0.0, 0.0, CENT)):
            near(mine, other, tolerance, f"city {seed}, {what}: ours, against {name}")
        near(told["cost_dollars"], ours[2], CENT, f"city {seed}: the cost the product states")
        near(told["gap"], 0.0, 0.0, f"city {seed}: gap")
        found.append(f"{theirs[0]:,.0f} m2 / {theirs[1]:,.0f} m2 / ${theirs[2]:,.2f}")
    kind = f", spray blocks joined and of {least} acres at least" if least else ""
    return f"three random cities of {blocks} blocks{kind}, three aims in order, same optima by {name}: {'; '.join(found)}"


def check_highspy(product):
    return compare(product, by_highs, "highspy 1.16.0")


def check_scip(product):
    return compare(product, by_scip, "SCIP in OR-Tools 9.15")


def check_spray_blocks_highspy(product):
    return compare(product, by_highs, "highspy 1.16.0 (a flow model)", least=60, blocks=16)


def check_spray_blocks_scip(product):
    return compare(product, by_scip, "SCIP in OR-Tools 9.15 (a flow model)", least=60, blocks=16)
