#!/usr/bin/env python3
"""Puts mutated surveys through `sweepflux map --no-pictures`.

Each must end with code 0 and finite, sane numbers, or with 2 or 3 and clear reasons, and leave
nothing behind but whole results. The mutations follow from the number of the survey alone.

    mutated_surveys.py PROGRAM [--count N] [--first N] [--keep FOLDER]
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
import time
import unicodedata

import memory
import mutations

SCANS = pathlib.Path(__file__).resolve().parents[2] / "scans"
BASES = ["heron-1", "heron-1", "teal-1", "wren-1"]
LONGEST_S = 60
MOST_MEMORY = 3 << 30


class Broken(Exception):
    """A promise that was not kept."""


def promise(kept, what):
    if not kept:
        raise Broken(what)


def check_numbers(node, path=""):
    """Every number is finite, no uncertainty negative, every interval in order around its value."""
    if isinstance(node, dict):
        for key, value in node.items():
            check_numbers(value, path + "." + key)
            if "uncertainty" in key and isinstance(value, (int, float)):
                promise(value >= 0, "%s.%s is negative: %r" % (path, key, value))
        interval = node.get("interval_95")
        if interval and None not in interval and node.get("value") is not None:
            low, high = interval
            promise(low <= high, "%s: interval %r" % (path, interval))
    elif isinstance(node, list):
        for index, value in enumerate(node):
            check_numbers(value, "%s[%d]" % (path, index))
    elif isinstance(node, float):
        promise(math.isfinite(node), "%s is %r" % (path, node))


def check_results(out):
    def no_constant(text):
        raise Broken("summary.json holds " + text)
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"),
                         parse_constant=no_constant)
    check_numbers(summary)
    promise(summary["planes"], "a result has planes")
    for plane in summary["planes"]:
        promise(plane["readings"] > 0, "a plane has readings")
        for key in ("volume_flow_m3_s", "momentum_flux_n", "kinetic_power_w"):
            if plane[key] is None:
                promise(plane["withheld"], "%s is withheld without a reason" % key)
                continue
            promise(abs(plane[key]["value"]) < 1e9, "%s is %r" % (key, plane[key]["value"]))
    for table in out.glob("*.csv"):
        lines = table.read_text(encoding="utf-8").splitlines()
        for line in lines[1:]:
            for cell in line.split(","):
                promise(cell.strip().lower() not in ("nan", "-nan", "inf", "-inf"),
                        "%s: %s" % (table.name, line))


def check_refusal(code, text, folder):
    lines = text.splitlines()
    promise(1 <= len(lines) <= 60, "%d lines of reasons" % len(lines))
    for line in lines:
        steers = any(unicodedata.category(letter) in ("Cc", "Zl", "Zp") for letter in line)
        promise(not steers and len(line) > 15, "unclear reason: %r" % line)
        named = line.startswith(str(folder)) or line.startswith("sweepflux:")
        promise(named or code == 3, "no file is named: %r" % line)


def keep_half(folder):
    """Every second reading: the faults are as many, the answers come sooner."""
    for sweep in (folder / "sweeps").glob("*.csv"):
        lines = sweep.read_text(encoding="utf-8").splitlines(keepends=True)
        first = next(i for i, line in enumerate(lines) if line[:1] in "-0123456789")
        sweep.write_text("".join(lines[:first] + lines[first::2]), encoding="utf-8")


def try_one(program, limit, number, keep):
    dice = random.Random(number)
    top = pathlib.Path(tempfile.mkdtemp(prefix="sweepflux-mutated-"))
    folder = top / "survey"
    names = []
    try:
        shutil.copytree(SCANS / dice.choice(BASES), folder)
        keep_half(folder)
        names = mutations.damage(dice, folder)
        started = time.monotonic()
        done = subprocess.run(
            [program, "map", str(folder / "survey.toml"), "--no-pictures", "--out",
             str(top / "out")], stdin=subprocess.DEVNULL, capture_output=True, timeout=LONGEST_S,
            preexec_fn=limit, check=False)
        seconds = time.monotonic() - started
        left = sorted(entry.name for entry in top.iterdir())
        error = done.stderr.decode("utf-8")
        promise(done.returncode in (0, 2, 3), "code %d: %s" % (done.returncode, error[-500:]))
        if done.returncode == 0:
            promise(not error, "done, yet it complains: " + error)
            promise(left == ["out", "survey"], "left behind: %r" % left)
            check_results(top / "out")
        else:
            promise(left == ["survey"], "left behind: %r" % left)
            promise(not done.stdout, "a refusal prints results")
            check_refusal(done.returncode, error, folder)
        return done.returncode, seconds, None
    except subprocess.TimeoutExpired:
        return None, LONGEST_S, "survey %d (%s): no end after %d s" % (number, names, LONGEST_S)
    except (Broken, UnicodeDecodeError, json.JSONDecodeError) as broken:
        if keep:
            shutil.copytree(top, pathlib.Path(keep) / str(number), symlinks=True)
        return None, 0.0, "survey %d (%s): %s" % (number, ", ".join(names), broken)
    finally:
        shutil.rmtree(top, ignore_errors=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("program")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--keep", help="folder for the surveys that broke a promise")
    options = parser.parse_args()
    limit = memory.limit_for(options.program, MOST_MEMORY)
    codes = {0: 0, 2: 0, 3: 0}
    slowest = 0.0
    faults = 0
    for number in range(options.first, options.first + options.count):
        code, seconds, fault = try_one(options.program, limit, number, options.keep)
        slowest = max(slowest, seconds)
        if fault:
            faults += 1
            print(fault, flush=True)
        else:
            codes[code] += 1
    print("%d mutated surveys: %d answered, %d refused as faulty input, %d without an "
          "answer, %d broken promises; the slowest took %.1f s" %
          (options.count, codes[0], codes[2], codes[3], faults, slowest))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
