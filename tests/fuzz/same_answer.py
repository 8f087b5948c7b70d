#!/usr/bin/env python3
"""The same survey gives the same answer, whatever the circumstances.

    same_answer.py PROGRAM [--full] [OTHER_PROGRAM]

To the bit: run to run, one thread or many, odd time zone, path with blanks and Unicode. To 1e-6 of
a standard uncertainty: the order of the sweeps in the survey. With OTHER_PROGRAM, of another
compiler: to 1e-3 of a standard uncertainty, since its mathematical library calls and the order of
its sums may differ in the last bit, and an iteration stops on such bits.
"""

import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

SCANS = pathlib.Path(__file__).resolve().parents[2] / "scans"
SURVEYS = ("wren-1", "heron-1")  # the second only in full
OF_ORDER = 1e-6
OF_COMPILER = 1e-3


def summary(program, survey, *options, **environment):
    done = subprocess.run([program, "map", str(survey), "--json", *options],
                          stdin=subprocess.DEVNULL, capture_output=True, check=False,
                          env={**os.environ, **environment})
    if done.returncode != 0:
        sys.exit("code %d: %s" % (done.returncode, done.stderr.decode()))
    return done.stdout.decode()


def estimates(node, path=""):
    """Path, value and standard uncertainty of each number that has one."""
    if isinstance(node, dict):
        if node.get("value") is not None and node.get("standard_uncertainty"):
            yield path, node["value"], node["standard_uncertainty"]
        for key, below in node.items():
            yield from estimates(below, path + "." + key)
    elif isinstance(node, list):
        for index, below in enumerate(node):
            yield from estimates(below, "%s[%d]" % (path, index))


def largest_shift(first, second):
    """The largest difference of any estimate, in standard uncertainties."""
    a = list(estimates(json.loads(first)))
    b = list(estimates(json.loads(second)))
    if [entry[0] for entry in a] != [entry[0] for entry in b] or not a:
        return float("inf")
    return max(abs(x[1] - y[1]) / x[2] for x, y in zip(a, b))


def of_fewer_sweeps(text):
    """Every second sweep: three planes stay three."""
    parts = re.split(r"(?=^\[\[sweep\]\]$)", text, flags=re.M)
    return parts[0] + "\n".join(parts[1::2])


def other_order(text):
    """The [[sweep]] blocks back to front."""
    parts = re.split(r"(?=^\[\[sweep\]\]$)", text, flags=re.M)
    return parts[0] + "\n".join(reversed(parts[1:]))


def main():
    full = "--full" in sys.argv
    program, *others = [word for word in sys.argv[1:] if word != "--full"]
    top = pathlib.Path(tempfile.mkdtemp(prefix="sweepflux-same-"))
    faults = 0

    def judge(what, difference, allowed):
        nonlocal faults
        good = difference <= allowed
        faults += not good
        print("%s: %s%.1e standard uncertainties, allowed %.0e" %
              (what, "" if good else "DIFFERS: ", difference, allowed))

    try:
        for name in SURVEYS if full else SURVEYS[:1]:
            survey = top / name / "survey.toml"
            shutil.copytree(SCANS / name, survey.parent)
            if not full:
                survey.write_text(of_fewer_sweeps(survey.read_text()))
            odd = top / "a b" / "\u00fc\u20ac \u98a8"
            shutil.copytree(survey.parent, odd / name)
            many = summary(program, survey, "--threads", "9")
            one = summary(program, odd / name / "survey.toml", "--threads", "1",
                          TZ="Asia/Kathmandu")
            faults += many != one
            print("%s, run again with one thread for nine, odd time zone and path: %s" %
                  (name, "the same bytes" if many == one else "DIFFERS"))
            moved = odd / name / "survey.toml"
            moved.write_text(other_order(moved.read_text()))
            judge(name + ", sweeps back to front", largest_shift(many, summary(program, moved)),
                  OF_ORDER)
            for other in others:
                judge(name + ", other compiler",
                      largest_shift(many, summary(other, survey)), OF_COMPILER)
    finally:
        shutil.rmtree(top, ignore_errors=True)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
