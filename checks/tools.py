"""What all checks share: running the product, comparing numbers, and finding the reference data."""

import json
import os
import pathlib
import subprocess

ROOT = pathlib.Path(__file__).resolve().parent.parent
REFERENCE = ROOT / "crates/crownhold/tests/it/reference"
TRACTS = ROOT / "crates/crownhold-data/tests/it/samples/formats/ny8/NY8_utm18.shp"
# Pellwood's season and the day of every question, so that no check depends on today.
SEASON = "2027"
DAY = ("--on", "2027-03-01")


class NotRun(Exception):
    """The outside material is not here; the check counts neither as passed nor as failed."""


class Different(Exception):
    """The product and the outside source disagree."""


def expect(condition, what):
    """Fails the check unless the condition holds."""
    if not condition:
        raise Different(what)


def near(got, want, tolerance, what):
    """Fails the check unless two numbers lie within an absolute tolerance."""
    if got is None or not abs(got - want) <= tolerance:
        raise Different(f"{what}: {got}, expected {want} within {tolerance:g}")


def run(arguments, stdin=None, allowed=(0,)):
    """Standard output of a command; a further exit code than allowed fails the check with its last words."""
    done = subprocess.run([str(a) for a in arguments], input=stdin, capture_output=True, text=True, check=False)
    if done.returncode not in allowed:
        words = (done.stderr.strip() or done.stdout.strip())[-600:]
        raise Different(
            f"{pathlib.Path(arguments[0]).name} {' '.join(map(str, arguments[1:]))}: "
            f"exit {done.returncode}: {words}"
        )
    return done.stdout


def geometry(blob):
    """Well-known binary inside a GeoPackage geometry (OGC 12-128r15, 2.1.3.1.1): behind the header and its envelope."""
    envelope = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}[(blob[3] >> 1) & 7]
    return blob[8 + envelope :]


class Product:
    """The built command, its examples and a scratch folder."""

    def __init__(self, binary, examples, scratch):
        self.binary = pathlib.Path(binary).resolve()
        self.examples = pathlib.Path(examples) if examples else self.binary.parent / "examples"
        self.scratch = pathlib.Path(scratch)

    def text(self, *arguments):
        """What the command prints; it must exit 0."""
        return run([self.binary, *arguments])

    def json(self, *arguments):
        """The same, read as JSON."""
        return json.loads(self.text(*arguments, "--json"))

    def example(self, package, name, *arguments, stdin=None):
        """JSON that an example of a crate prints; it is built if the tests have not done so."""
        built = self.examples / name
        if built.exists():
            return json.loads(run([built, *arguments], stdin))
        cargo = [os.environ.get("CARGO", "cargo"), "run", "-q", "--manifest-path", ROOT / "Cargo.toml"]
        return json.loads(run([*cargo, "-p", package, "--example", name, "--", *arguments], stdin))

    def built(self, name):
        """Path of a built example of the domain; from the release build where this one has none."""
        places = (self.examples / name, ROOT / "target/release/examples" / name)
        found = next((p for p in places if p.exists()), None)
        if found is None:
            raise NotRun(f"build it with: cargo build -p crownhold --example {name}")
        return found

    def pellwood(self):
        """The demo city, made once."""
        file = self.scratch / "city/pellwood.gpkg"
        if not file.exists():
            self.text("demo", file.parent, "--season", SEASON)
        return file
