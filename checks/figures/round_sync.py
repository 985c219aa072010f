"""500 visits that waited on a phone, sent at once: how long until the desk has answered for all of them.

`python3 checks/figures/round_sync.py target/release/crownhold [VISITS]`. Sends them twice: the second time the desk knows them all.
"""

import http.client
import json
import pathlib
import subprocess
import sys
import tempfile
import time
import uuid

from desk_load import command, post

DAY = "2027-06-14"


def main():
    binary, number = sys.argv[1], int((sys.argv[2:] + ["500"])[0])
    with tempfile.TemporaryDirectory() as folder:
        command(binary, "demo", folder, "--season", "2027")
        file = pathlib.Path(folder) / "pellwood.gpkg"
        command(binary, "plan", file, "--on", "2027-03-01", "--keep", "figures")
        command(binary, "rounds", file, "--on", DAY, "--day", DAY, "--store")
        until = time.strftime("%Y-%m-%d", time.localtime(time.time() + 86_400))
        token = command(binary, "accounts", file, "--link", "North", "--role", "volunteer", "--until", until)
        path = next(word for word in token.split() if "/join/" in word).split("/join/")[1]
        serve = [binary, "serve", file, "--port", "0", "--no-open", "--on", DAY]
        server = subprocess.Popen(serve, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        try:
            link = next(word for row in server.stdout for word in row.split() if word.startswith("http://"))
            host = link.split("/")[2]
            cookie = post(host, f"/join/{path}", {}, {}).getheader("set-cookie").split(";")[0]
            line = http.client.HTTPConnection(host, timeout=120)
            line.request("GET", "/round/today.json", headers={"Cookie": cookie})
            answer = line.getresponse().read()
            today = json.loads(answer)
            trees = [stop["tree"] for r in today["rounds"] for stop in r["stops"]]
            visits = [
                {
                    "id": str(uuid.uuid4()),
                    "day": DAY,
                    "work": "serve bands",
                    "tree": trees[n % len(trees)],
                    "block": None,
                    "counts": [0, n % 40, 0, 0, 0, 0],
                    "minutes": None,
                    "who": "North",
                    "note": "",
                    "at": None,
                }
                for n in range(number)
            ]
            print(f"today's rounds: {len(trees)} trees, {len(answer) / 1000:.0f} kB")
            for name in ("first", "again"):
                start = time.monotonic()
                kind = {"Content-Type": "application/json", "Origin": f"http://{host}", "Cookie": cookie}
                line.request("POST", "/round/visits", json.dumps({"visits": visits}), kind)
                answers = json.loads(line.getresponse().read())["answers"]
                took = time.monotonic() - start
                print(f"{name}: {len(answers)} in {took:.2f} s: {sorted({a['taken'] for a in answers})}")
        finally:
            server.terminate()
            server.wait(30)


if __name__ == "__main__":
    main()
