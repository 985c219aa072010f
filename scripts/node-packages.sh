#!/bin/sh
# The npm packages of the folders given, exactly as their lock files say, in their node_modules. Quick when they are there.
set -eu
cd "$(dirname "$0")/.."

command -v npm >/dev/null || { echo "Node.js with npm is missing; see https://nodejs.org" >&2; exit 1; }

for folder in "$@"; do
    stamp=$folder/node_modules/.installed.lock
    if cmp -s "$folder/package-lock.json" "$stamp"; then
        continue
    fi
    npm ci --ignore-scripts --no-audit --no-fund --loglevel=error --prefix "$folder"
    cp "$folder/package-lock.json" "$stamp"
    # A build that found no packages made a stub; this lets cargo know that it must look again.
    [ ! -f "$folder/build.mjs" ] || touch "$folder/build.mjs"
done
