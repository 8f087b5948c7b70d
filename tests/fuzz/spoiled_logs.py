#!/usr/bin/env python3
"""Logs that something befell: parked starts and ends, pauses, clock steps, restarts, bad digits, bad
bytes, several of them at once. `reduce` ends with a result or with one clear refusal; with a result
every stop is there or named, and the same log gives the same readings to `follow`.

    spoiled_logs.py PROGRAM [--count N] [--seed N]

Everything follows from the seed.
"""

import argparse
import json
import math
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile

HEADING = b"time [s],angle [deg],speed [m/s]\n"


def simulate(dice):
    """Rows of time, angle and speed of one sweep; noise with a memory, a sensor that lags."""
    rate = dice.choice([4.0, 10.0, 25.0])
    stops = dice.choice([9, 15, 21])
    rest = dice.randint(6, 14)
    lag = dice.choice([0.0, dice.uniform(0.1, 0.7)])
    kept = math.exp(-1.0 / rate / dice.uniform(0.05, 0.4))
    gust, shown, rows = 0.0, 0.0, []
    for stop in range(stops):
        angle = -20.0 + 40.0 * stop / (stops - 1)
        true = 0.05 + 3.0 * math.exp(-0.5 * (angle / 7.0) ** 2)
        for _ in range(int(rest * rate)):
            gust = kept * gust + math.sqrt(1.0 - kept * kept) * dice.gauss(0.0, 0.1)
            share = 1.0 if lag == 0.0 else 1.0 - math.exp(-1.0 / rate / lag)
            shown += share * (true * (1.0 + gust) - shown)
            rows.append([len(rows) / rate, angle, shown])
    return rows, stops, 1.0 / rate


def rest_rows(dice, rows, at, seconds, step):
    """A longer rest where row `at` is."""
    count = int(seconds / step)
    value = rows[at][2]
    more = [[rows[at][0] + i * step, rows[at][1], abs(value * dice.gauss(1.0, 0.1))]
            for i in range(count)]
    for row in rows[at:]:
        row[0] += count * step
    rows[at:at] = more


def parked_start(dice, rows, step):
    rest_rows(dice, rows, 0, dice.uniform(60, 2000), step)


def parked_end(dice, rows, step):
    rest_rows(dice, rows, len(rows) - 1, dice.uniform(60, 2000), step)


def pause(dice, rows, step):
    rest_rows(dice, rows, dice.randrange(len(rows)), dice.uniform(20, 600), step)


def clock_step(dice, rows, _):
    at = dice.randrange(1, len(rows))
    by = dice.choice([-3600.0, -60.0, 60.0, 120.0, 3600.0, -rows[at][0]])
    for row in rows[at:]:
        row[0] += by


def nothing(dice, rows, _):
    pass


def bad_digit(dice, text):
    at = dice.randrange(len(HEADING), len(text))
    if text[at:at + 1].isdigit():
        text[at] = ord(dice.choice("0123456789"))


def bad_bytes(dice, text):
    begin = dice.randrange(len(HEADING), len(text))
    for at in range(begin, min(len(text), begin + dice.randint(1, 200))):
        text[at] = dice.randrange(256)


def lost_bytes(dice, text):
    begin = dice.randrange(len(HEADING), len(text))
    del text[begin:begin + dice.randint(1, 200)]


def restart(dice, text):
    at = text.find(b"\n", dice.randrange(len(HEADING), len(text))) + 1
    text[at:at] = HEADING


def make_log(dice):
    rows, stops, step = simulate(dice)
    reported = []
    for fate in dice.sample([parked_start, parked_end, pause, clock_step, nothing],
                            dice.randint(1, 2)):
        fate(dice, rows, step)
        reported.append(fate.__name__)
    text = bytearray(HEADING + b"".join(b"%.3f,%.2f,%.3f\n" % tuple(row) for row in rows))
    for fate in dice.sample([bad_digit, bad_bytes, lost_bytes, restart], dice.randint(0, 2)):
        fate(dice, text)
        reported.append(fate.__name__)
    return bytes(text), stops, reported


def run(program, *arguments):
    done = subprocess.run([program, *arguments], stdin=subprocess.DEVNULL, capture_output=True,
                          check=False, timeout=120)
    return done.returncode, done.stdout, done.stderr.decode("utf-8", "replace")


def judge(program, folder, text, stops):
    """What is wrong, in words; nothing when all is well."""
    log = folder / "log.csv"
    log.write_bytes(text)
    code, out, err = run(program, "reduce", str(log), "--json", "--out", str(folder / "a"))
    if code not in (0, 2, 3):
        return "code %d: %s" % (code, err)
    if code:
        return "" if err.strip() else "refused without a word"
    reduced = json.loads(out)
    named = sum(rest["lost_stop"] for rest in reduced["unused_rests"])
    named += sum("no reading at" in warning for warning in reduced["warnings"])
    if len(reduced["readings"]) + named < stops:
        return "%d readings and %d named of %d stops" % (len(reduced["readings"]), named, stops)
    code, out, err = run(program, "follow", str(log), "--json", "--until-idle", "0.1 s", "--out",
                         str(folder / "b"))
    if code:
        return "follow ends with code %d: %s" % (code, err)
    if json.loads(out)["readings"] != reduced["readings"]:
        return "follow gives other readings than reduce"
    return ""


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    faults = 0
    for number in range(wanted.seed, wanted.seed + wanted.count):
        text, stops, reported = make_log(random.Random(number))
        folder = pathlib.Path(tempfile.mkdtemp(prefix="sweepflux-spoiled-"))
        try:
            wrong = judge(wanted.program, folder, text, stops)
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        if wrong:
            faults += 1
            print("seed %d (%s): %s" % (number, ", ".join(reported), wrong))
    print("%d logs, %d faults" % (wanted.count, faults))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
