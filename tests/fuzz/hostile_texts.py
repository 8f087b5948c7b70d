#!/usr/bin/env python3
"""Names, labels and file names that steer a terminal or start a spreadsheet's formula: shown escaped
on the terminal, whole in JSON, no formula in any table, and read back as they were.

    hostile_texts.py PROGRAM [--count N] [--seed N]
"""

import argparse
import csv
import json
import pathlib
import random
import re
import shutil
import subprocess
import sys
import tempfile

SCANS = pathlib.Path(__file__).resolve().parents[2] / "scans"
PIECES = ["\x1b[2J", "\x1b]0;title\x07", "\x9b31m", "\x85", "\u202e", "\u2066", "\u2069", "\u200f", "\u061c",
          "\u2028", "\x7f", "\x08", "\r", "\t", "=1+2", "+49", "-3+1", "@SUM(A1)", "'", "''", "'=", "|cmd",
          "=HYPERLINK(\"x\")", "a", " ", ",", ";", "\"", "#", "\u00e9", "\u20ac", "\U0001f4a8", "heron"]
STEERS = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")
FORMULA = re.compile(r"^[=+\-@\t\r\n]")
NUMBER = re.compile(r"^[-+]?\d+(\.\d+)?(e[-+]?\d+)?$")


class Broken(Exception):
    """A promise that was not kept."""


def promise(kept, what):
    if not kept:
        raise Broken(what)


def hostile(dice):
    text = "".join(dice.choices(PIECES, k=dice.choice([1, 2, 3, 6])))
    return text.strip(" \t\r\n\u00a0") or "heron"


def toml_text(text):
    return '"' + "".join(letter if letter.isalnum() and ord(letter) < 128 else
                         "\\U%08x" % ord(letter) for letter in text) + '"'


def one_line(text):
    """What may stand in a survey: line breaks are refused there."""
    return text.replace("\r", "r")


def run(program, arguments, folder):
    done = subprocess.run([program, *arguments], cwd=folder, stdin=subprocess.DEVNULL,
                          capture_output=True, timeout=60, check=False)
    out, err = done.stdout.decode("utf-8"), done.stderr.decode("utf-8")
    for text in (out, err):
        found = STEERS.search(text)
        promise(not found, "%s: %r reaches the terminal" % (arguments, found and found[0]))
    promise(done.returncode in (0, 2, 3), "%s: code %d: %s" % (arguments, done.returncode, err))
    return done.returncode, out, err


def check_tables(folder):
    for table in folder.rglob("*.csv"):
        with open(table, encoding="utf-8", newline="") as file:
            for line in csv.reader(file):
                for cell in line:
                    promise(not FORMULA.match(cell) or NUMBER.match(cell),
                            "%s: %r is a formula" % (table.name, cell))


def session(program, dice, top):
    name = one_line(hostile(dice))
    text = (SCANS / "balance-day/session.toml").read_text(encoding="utf-8")
    (top / "session.toml").write_text(text.replace('"heron"', toml_text(name)), encoding="utf-8")
    code, out, err = run(program, ["thrust", "session.toml", "--no-pictures", "--out", "thrust"], top)
    promise(code == 0, err)
    check_tables(top / "thrust")
    code, out, err = run(program, ["compare", ".", "--no-pictures", "--json", "--out", "all"], top)
    promise(code == 0, err)
    check_tables(top / "all")
    promise(any(entry["fan"] == name for entry in json.loads(out)["entries"]),
            "JSON does not hold %r" % name)


def labels(program, dice, top):
    """A table of ours holds the label so that our reader gives it back."""
    label = hostile(dice)
    rows = [["time [s]", "scale [g]", "label"]]
    for i in range(90):
        at = i // 30
        rows.append([i, 50 * (at == 1) + dice.choice([0, 0, 1]), "off" if at != 1 else label])
    log = top / "log.csv"
    with open(log, "w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    wanted = label[1:] if re.match(r"^'+[=+\-@\t\r\n]", label) else label
    wanted = wanted.strip(" \t\r\n")  # blanks at its ends are no part of a label
    code, out, err = run(program, ["reduce", "log.csv", "--scale", "--json", "--out", "reduced"], top)
    if code != 0:
        return
    check_tables(top / "reduced")
    settings = json.loads(out)["settings"]
    promise([s["label"] for s in settings] == [wanted],
            "label %r was read as %r" % (wanted, [s["label"] for s in settings]))
    with open(top / "reduced/log-thrust.csv", encoding="utf-8", newline="") as file:
        lines = list(csv.reader(line for line in file if not line.startswith("# ")))
    # Written by the program, read as a log by the program.
    cell = lines[1][0]
    for row in rows[31:61]:
        row[2] = cell
    with open(log, "w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    code, out, err = run(program, ["reduce", "log.csv", "--scale", "--json"], top)
    promise(code == 0, err)
    promise(json.loads(out)["settings"][0]["label"] == wanted,
            "label %r comes back as %r" % (wanted, json.loads(out)["settings"][0]["label"]))


def refusals(program, dice, top):
    """Damage around hostile texts: whatever is quoted from a file stays harmless."""
    text = (SCANS / "heron-1/survey.toml").read_text(encoding="utf-8")
    bad = hostile(dice)
    raw = bad.replace('"', "")
    text = dice.choice([
        lambda: text.replace('"vane"', '"%s"' % raw), lambda: text.replace("[probe]", "[%s]" % raw),
        lambda: text.replace("fan =", raw + " ="), lambda: text.replace('"0.3 m/s"', '"%s"' % raw),
        lambda: text.replace("sweeps/1.6m", raw), lambda: raw + "\n" + text])()
    (top / "survey.toml").write_text(text, encoding="utf-8")
    run(program, ["map", "survey.toml", "--no-pictures", "--json"], top)
    (top / "table.csv").write_text("time [s],angle [deg],speed [m/s],%s\n1,%s,3,%s\n" % (bad, bad, bad),
                                   encoding="utf-8")
    run(program, ["reduce", "table.csv", "--value-column", bad, "--json"], top)
    run(program, ["map", bad.replace("\x00", "") + ".toml"], top)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("program")
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    faults = 0
    for number in range(options.seed, options.seed + options.count):
        dice = random.Random(number)
        top = pathlib.Path(tempfile.mkdtemp(prefix="sweepflux-hostile-"))
        try:
            for attempt in (session, labels, refusals):
                attempt(options.program, dice, top)
        except (Broken, UnicodeDecodeError) as broken:
            faults += 1
            print("texts %d: %s" % (number, broken), flush=True)
        finally:
            shutil.rmtree(top, ignore_errors=True)
    print("%d sets of hostile texts, %d broken promises" % (options.count, faults))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
