"""50 people at the desk at once: mixed looks and band visits written down, for so many seconds.

`python3 checks/figures/desk_load.py target/release/crownhold [SECONDS [PEOPLE]]`. Each waits 0.2 to 1 s between two requests; one in
ten is a visit written down. All are one crew's account. Prints times, what went wrong, what the log holds, and the server's memory.
"""

import http.client
import pathlib
import random
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse

LOOKS = (
    "/",
    "/survey",
    "/timing",
    "/plan",
    "/field",
    "/field/bands",
    "/field/rounds",
    "/api/collections/blocks/items",
    "/api/collections/trees/items?limit=500",
)
PASSWORD = "a password for figures"


def command(binary, *arguments):
    return subprocess.run([binary, *map(str, arguments)], check=True, capture_output=True, text=True).stdout


def post(host, path, fields, headers):
    line = http.client.HTTPConnection(host, timeout=120)
    kind = {"Content-Type": "application/x-www-form-urlencoded", "Origin": f"http://{host}"}
    line.request("POST", path, urllib.parse.urlencode(fields), {**kind, **headers})
    answer = line.getresponse()
    answer.read()
    return answer


def somebody(number, host, cookie, end, log):
    rng, line = random.Random(number), http.client.HTTPConnection(host, timeout=120)
    while time.monotonic() < end:
        start, writes = time.monotonic(), rng.random() < 0.1
        try:
            if writes:
                fields = {"date": "2027-03-01", "block": "A07", "bands": "1", "large": rng.randrange(50), "who": f"crew {number}"}
                status = post(host, "/field/bands", fields, {"Cookie": cookie}).status
            else:
                line.request("GET", rng.choice(LOOKS), headers={"Cookie": cookie})
                answer = line.getresponse()
                answer.read()
                status = answer.status
        except OSError as lost:
            status, line = str(lost), http.client.HTTPConnection(host, timeout=120)
        log.append((writes, time.monotonic() - start, status))
        time.sleep(rng.uniform(0.2, 1.0))


def main():
    binary = sys.argv[1]
    seconds, people = (int(a) for a in (sys.argv[2:] + ["60", "50"][len(sys.argv) - 2 :])[:2])
    with tempfile.TemporaryDirectory() as folder:
        command(binary, "demo", folder, "--season", "2027")
        file = pathlib.Path(folder) / "pellwood.gpkg"
        command(binary, "plan", file, "--on", "2027-03-01", "--keep", "figures")
        token = command(binary, "accounts", file, "--invite", "Crew", "--role", "crew").strip().rsplit("/join/", 1)[1]
        server = subprocess.Popen(
            [binary, "serve", file, "--port", "0", "--no-open", "--on", "2027-03-01"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            link = next(word for row in server.stdout for word in row.split() if word.startswith("http://"))
            host = link.split("/")[2]
            came = post(host, f"/join/{token}", {"password": PASSWORD, "again": PASSWORD}, {})
            cookie, log = came.getheader("set-cookie").split(";")[0], []
            end = time.monotonic() + seconds
            all_ = [threading.Thread(target=somebody, args=(n, host, cookie, end, log)) for n in range(people)]
            for one in all_:
                one.start()
            for one in all_:
                one.join()
            memory = pathlib.Path(f"/proc/{server.pid}/status").read_text().split("VmHWM:")[1].split("\n")[0].strip()
        finally:
            server.terminate()
            server.wait(30)
        for name, is_write in (("looks", False), ("written", True)):
            times = sorted(took for writes, took, _ in log if writes == is_write)
            middle, late = times[len(times) // 2], times[int(0.99 * len(times))]
            print(f"{name}: {len(times)}, p50 {1000 * middle:.0f} ms, p99 {1000 * late:.0f} ms, longest {1000 * times[-1]:.0f} ms")
        wrong = [status for writes, _, status in log if status != (303 if writes else 200)]
        kept = sum(writes and status == 303 for writes, _, status in log)
        with sqlite3.connect(file) as base:
            (found,) = base.execute("SELECT count(*) FROM band_visits").fetchone()
        print(f"{len(wrong)} went wrong {wrong[:3]}; {kept} visits answered, {found} in the file; memory at most {memory}")


if __name__ == "__main__":
    main()
