#!/bin/sh
# The Python packages of the outside checks, by exact version and hash, in checks/.venv. Quick when they are there.
set -eu
cd "$(dirname "$0")/.."

place=checks/.venv
stamp=$place/installed.lock
if cmp -s checks/requirements.lock "$stamp" && "$place/bin/python" -c '' 2>/dev/null; then
    exit 0
fi
rm -rf "$place"
python3 -m venv "$place"
"$place/bin/python" -m pip install -q --disable-pip-version-check --require-hashes --only-binary :all: \
    -r checks/requirements.lock
cp checks/requirements.lock "$stamp"
