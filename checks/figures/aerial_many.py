"""Seconds that the flights of a plan with many spray blocks take, files for the contractor included.

`python3 checks/figures/aerial_many.py target/release/crownhold`. Pellwood with flights allowed on every other block only, so that
no two join, and with bars lowered until many are flown. Not a season that anybody would plan.
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import time

LOWERED = {
    "aerial.least_canopy": 0.2,
    "aerial.least_plots": 0,
    "aerial.threshold_chance": 0.05,
    "aerial.least_area": 10,
}
ROOM = ("--budget", "600000", "--max-sprayed-acres", "5000")


def command(binary, *arguments):
    return subprocess.run([binary, *map(str, arguments)], check=True, capture_output=True, text=True).stdout


def main():
    binary = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        command(binary, "demo", folder, "--season", "2027")
        file = pathlib.Path(folder) / "pellwood.gpkg"
        for name, value in LOWERED.items():
            command(binary, "parameters", file, "--set", f"{name}={value}", "--source", "many spray blocks")
        for block in json.loads(command(binary, "plan", file, "--json"))["blocks"]:
            if (ord(block["id"][0]) + int(block["id"][1:])) % 2:
                command(binary, "decide", file, block["id"], "--never-fly", "--note", "apart")
        command(binary, "plan", file, *ROOM, "--keep", "many")
        for _ in range(3):
            began = time.perf_counter()
            made = json.loads(
                command(binary, "aerial", file, "--plan", "many", "--out", pathlib.Path(folder) / "flights", "--json")
            )
            spent = time.perf_counter() - began
            print(f"{len(made['spray_blocks'])} spray blocks, {len(made['files'])} files: {spent:.2f} s, the plan's stages included")


if __name__ == "__main__":
    main()
