"""Seconds and gaps of the first aim on invented cities, beside other programs on the same model.

`checks/.venv/bin/python checks/figures/plan_times.py target/release/examples [BLOCKS ...]`. Spray blocks of 40 acres at least, joined.
Ours as it is; then HiGHS and CP-SAT (two workers) on a plain single-commodity flow model written from the model's own words
(`checks/plan_by_others.py`), each with the time limit of the table. One after the other, on the same machine.
"""

import os
import pathlib
import json
import subprocess
import sys
import tempfile
import time

import highspy
from ortools.linear_solver import pywraplp

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent))
import plan_by_others  # noqa: E402

SECONDS = {180: 5, 500: 30, 2000: 60, 10000: 300}


def by_highs(model, seconds):
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("time_limit", float(seconds))
    solver.setOptionValue("mip_rel_gap", 1e-3)
    for number, whole in enumerate(model.whole):
        solver.addCol(model.aims[0].get(number, 0.0), 0.0, 1.0 if whole else highspy.kHighsInf, 0, [], [])
        if whole:
            solver.changeColIntegrality(number, highspy.HighsVarType.kInteger)
    for row, low, high in model.rows:
        solver.addRow(low, high, len(row), list(row), list(row.values()))
    began = time.perf_counter()
    solver.run()
    info = solver.getInfo()
    return time.perf_counter() - began, info.objective_function_value, info.mip_dual_bound


def by_cp_sat(model, seconds):
    solver = pywraplp.Solver.CreateSolver("SAT")
    solver.SetNumThreads(2)
    solver.SetTimeLimit(1000 * seconds)
    most = 1e6
    columns = [solver.IntVar(0, 1, "") if whole else solver.NumVar(0, most, "") for whole in model.whole]
    for row, low, high in model.rows:
        constraint = solver.Constraint(max(low, -solver.infinity()), min(high, solver.infinity()))
        for number, factor in row.items():
            constraint.SetCoefficient(columns[number], factor)
    for number, factor in model.aims[0].items():
        solver.Objective().SetCoefficient(columns[number], factor)
    setting = pywraplp.MPSolverParameters()
    setting.SetDoubleParam(setting.RELATIVE_MIP_GAP, 1e-3)
    began = time.perf_counter()
    status = solver.Solve(setting)
    if status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return time.perf_counter() - began, float("inf"), float("-inf")
    return time.perf_counter() - began, solver.Objective().Value(), solver.Objective().BestBound()


def told(name, seconds, value, bound):
    gap = (value - max(bound, 0.0)) / value if 0 < value < float("inf") else float("nan")
    print(f"  {name}: {seconds:.1f} s, {value / 1e4:,.2f} ha, gap {100 * gap:.2f} %", flush=True)


def main():
    examples = pathlib.Path(sys.argv[1])
    for blocks in map(int, sys.argv[2:] or ["180", "500", "2000"]):
        gap = "0.02" if blocks > 2000 else "0.001"
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "model.json"
            env = {**os.environ, "MODEL": str(file), "ONLY_HOST": "1"}
            own = subprocess.run([examples / "large_city", str(blocks), "1", "40", gap], env=env, check=True, capture_output=True, text=True)
            print(own.stdout.strip(), flush=True)
            model = plan_by_others.build(json.loads(file.read_text()))
        told("HiGHS, flow model", *by_highs(model, SECONDS[blocks]))
        told("CP-SAT, flow model", *by_cp_sat(model, SECONDS[blocks]))


if __name__ == "__main__":
    main()
