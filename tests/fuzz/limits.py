#!/usr/bin/env python3
"""Absurd sizes get an answer, or a refusal that names the limit, in bounded memory.

    limits.py PROGRAM [--full]
"""

import pathlib
import shutil
import subprocess
import sys
import tempfile

import memory

SCANS = pathlib.Path(__file__).resolve().parents[2] / "scans"
MOST_MEMORY = 2 << 30
LONGEST_S = 120


def main():
    program = sys.argv[1]
    limit = memory.limit_for(program, MOST_MEMORY)

    def run(*arguments):
        done = subprocess.run([program, *map(str, arguments)], stdin=subprocess.DEVNULL,
                              capture_output=True, timeout=LONGEST_S, check=False,
                              preexec_fn=limit)
        return done.returncode, done.stdout.decode(), done.stderr.decode()

    size = (10 if "--full" in sys.argv else 1) << 30
    top = pathlib.Path(tempfile.mkdtemp(prefix="sweepflux-limits-"))
    faults = []

    def expect(what, result, code, words):
        if result[0] != code or words not in result[2] or (code and result[2].count("\n") > 60):
            faults.append("%s: code %d, must be %d and tell `%s`: %s" %
                          (what, result[0], code, words, result[2][:400]))
        else:
            print("%s: code %d %s" % (what, code, result[2].split("\n", maxsplit=1)[0][-150:]))

    try:
        shutil.copytree(SCANS / "heron-1", top / "survey")
        survey = top / "survey/survey.toml"
        out = top / "out"
        for step in ("0.001 mm", "1e-30 m", "1 km"):
            expect("--grid " + step, run("map", survey, "--grid", step, "--out", out), 2,
                   "must be between")
        expect("--grid 0.1 mm", run("map", survey, "--grid", "0.1 mm", "--no-pictures",
                                    "--out", out), 2, "allowed are up to 4 million")

        # Gigabytes of nothing: a file with holes takes no room on the disk.
        huge = top / "survey/sweeps/huge.csv"
        with open(huge, "wb") as file:
            file.write(b"angle [deg],speed [m/s]\n1,2\n")
            file.truncate(size)
        text = survey.read_text()
        survey.write_text(text.replace("1.6m-0.52m.csv", "huge.csv", 1))
        # Its one endless line is a row that cannot be read: counted, and the rest is used.
        expect("a sweep of %d GB" % (size >> 30),
               run("map", survey, "--no-pictures", "--method", "linear", "--out", out),
               0, "")
        survey.write_text(text)
        with open(top / "huge.toml", "wb") as file:
            file.truncate(10 << 30)
        expect("a survey of 10 GB", run("map", top / "huge.toml"), 2, "1 MiB")
        expect("a session of 10 GB", run("thrust", top / "huge.toml"), 2, "1 MiB")
        with open(top / "summary.json", "wb") as file:
            file.write(b'{"sweepflux": "0.1.0",')
            file.truncate(10 << 30)
        expect("a summary of 10 GB", run("compare", top / "summary.json"), 2, "MiB")

        # Ten million sweeps named: far more than a survey file may hold.
        with open(top / "many.toml", "wb") as file:
            file.write(text.encode() + b'[[sweep]]\nfile = "a.csv"\n' * 10_000_000)
        expect("10 million sweeps", run("map", top / "many.toml"), 2, "1 MiB")
    except subprocess.TimeoutExpired as late:
        faults.append("no end after %d s: %s" % (LONGEST_S, late.cmd))
    finally:
        shutil.rmtree(top, ignore_errors=True)
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
