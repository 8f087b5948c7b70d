#!/usr/bin/env python3
"""Faults of the machine while sweepflux works: kills, Ctrl-C, full and read-only disks, files that
go or grow. Results stay whole, old or new; codes and messages are right.

    faults.py PROGRAM [--kills N] [--each] [--seed N]

--kills is shared by some commands, or with --each the number for every command that writes.
"""

import argparse
import os
import pathlib
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time

SCANS = pathlib.Path(__file__).resolve().parents[2] / "scans"


class Broken(Exception):
    """A promise that was not kept."""


def promise(kept, what):
    if not kept:
        raise Broken(what)


def files_below(folder):
    return {str(p.relative_to(folder)): p.read_bytes()
            for p in sorted(folder.rglob("*")) if p.is_file()}


def start(program, arguments, folder):
    return subprocess.Popen([program, *arguments], cwd=folder, stdin=subprocess.DEVNULL,
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def finish(process):
    out, err = process.communicate(timeout=1800)  # a busy machine is no fault
    return process.returncode, out.decode(), err.decode()


def run(program, arguments, folder):
    return finish(start(program, arguments, folder))


def write_log(file, gain):
    """Stop and go: ten readings a second, seven seconds at each of 21 angles."""
    dice = random.Random(7)
    rows = ["time [s],angle [deg],speed [m/s]"]
    for i in range(21 * 70):
        angle = -20 + 2 * (i // 70)
        speed = gain * 3.0 * 2.0 ** -((angle / 8.0) ** 2) + dice.gauss(0, 0.05)
        rows.append("%.1f,%d,%.2f" % (0.1 * i, angle, max(0.0, speed)))
    file.write_text("\n".join(rows) + "\n")


def readings_of(sweep):
    """Angle, mean, spread and samples of each reading: standard errors of a run that was taken up
    again rest on fewer lags, and may differ."""
    return [line.split(b",")[:3] + line.split(b",")[4:5] for line in sweep.splitlines()
            if not line.startswith(b"#")]


# What is written does not depend on how the map is made: so by the method that takes least time.
MAP = ["--no-pictures", "--method", "linear"]

# Of each command but `new`: its folder of inputs, the file that makes the difference, two words that
# stand in it in turn, and the arguments.
COMMANDS = {
    "map": ("heron-1", "survey.toml", ('speed 1"', 'speed one"'),
            ["map", "input/survey.toml", *MAP]),
    "plan": ("heron-1", "survey.toml", ('speed 1"', 'speed one"'),
             ["plan", "input/survey.toml", "--count", "1"]),
    "compare": ("heron-1", "survey.toml", ('setting = "1"', 'setting = "one"'), ["compare", "input"]),
    "thrust": ("balance-day", "session.toml", ("a day", "one day"), ["thrust", "input/session.toml"]),
    "reduce": (None, None, None, ["reduce", "log.csv"]),
    "follow": (None, None, None, ["follow", "log.csv", "--until-idle", "0.2 s"]),
}


class Case:
    """A command whose results depend on whether its input is in state 0 or 1."""

    def __init__(self, name, top):
        self.name = name
        self.folder = top / name
        self.folder.mkdir()
        scan, self.file, self.words, arguments = COMMANDS[name]
        self.arguments = [*arguments, "--out", "out"]
        if scan:
            shutil.copytree(SCANS / scan, self.folder / "input")

    def set_input(self, state):
        # What a killed `follow` keeps to be taken up again belongs to the other log.
        (self.folder / "out.journal").unlink(missing_ok=True)
        if self.file:
            file = self.folder / "input" / self.file
            file.write_text(file.read_text().replace(self.words[1 - state], self.words[state]))
        else:
            write_log(self.folder / "log.csv", 1.0 + 0.5 * state)

    def entries(self):
        return sorted(p.name for p in self.folder.iterdir())

    def learn(self, program):
        """What either state gives, and how long it takes."""
        self.whole = []
        self.seconds = 0.0
        for state in (1, 0):
            self.set_input(state)
            shutil.rmtree(self.folder / "out", ignore_errors=True)
            begun = time.monotonic()
            code, _, err = run(program, self.arguments, self.folder)
            self.seconds = time.monotonic() - begun
            promise(code == 0, "%s: code %d: %s" % (self.name, code, err))
            self.whole.insert(0, files_below(self.folder / "out"))
        promise(self.whole[0] != self.whole[1], "the two inputs give different results")
        shutil.copytree(self.folder / "out", self.folder / "whole")
        self.usual = self.entries()

    def check_whole(self):
        promise((self.folder / "out").is_dir(), "%s: the results are gone" % self.name)
        now = files_below(self.folder / "out")
        promise(now in self.whole, "%s: neither old results nor new ones, but %r" %
                (self.name, sorted(now)))
        return self.whole.index(now)


def kill_at_random(program, case, dice, sign, count):
    """Returns how often the old results stood, and how often the new ones."""
    stood = [0, 0]
    debris = 0
    for i in range(count):
        state = i % 2
        case.set_input(1 - state)
        process = start(program, case.arguments, case.folder)
        # Ever later, so that the last moments are met as well as the first.
        time.sleep(dice.uniform(0.0, 1.15) * case.seconds)
        process.send_signal(sign)
        code, _, err = finish(process)
        found = case.check_whole()
        stood[found] += 1
        if sign == signal.SIGINT:
            # Before the program listens, the system ends it by the signal itself.
            promise(code in (0, 130, -signal.SIGINT), "%s: code %d: %s" % (case.name, code, err))
            promise(case.entries() == case.usual, "%s left %r" % (case.name, case.entries()))
            if code == 130:
                promise("nothing was written" in err, "%s says: %r" % (case.name, err))
        else:
            promise(code in (0, -signal.SIGKILL), "%s: code %d: %s" % (case.name, code, err))
            debris += any(entry.startswith(".") for entry in case.entries())
            if case.name == "follow" and i % 4 == 3:
                code, _, err = run(program, case.arguments, case.folder)
                promise(code == 0, "follow taken up again: " + err)
                now = (case.folder / "out" / "sweep.csv").read_bytes()
                promise(readings_of(now) == readings_of(case.whole[1 - state]["sweep.csv"]),
                        "follow taken up again gives other readings")
                shutil.rmtree(case.folder / "out")
                shutil.copytree(case.folder / "whole", case.folder / "out")
    code, _, err = run(program, case.arguments, case.folder)
    promise(code == 0, "%s after kills: %s" % (case.name, err))
    # The next run has cleared what the killed ones left.
    promise(case.entries() == case.usual, "%s left %r" % (case.name, case.entries()))
    print("%s: %d x %s, %d times the one result stood whole, %d times the other; "
          "%d left a hidden folder, none stays after the next run" %
          (case.name, count, sign.name, stood[0], stood[1], debris), flush=True)


def kill_new(program, top, dice, count):
    """What `new` makes is the user's from then on: all of it is there, or nothing."""
    folder = top / "new"
    folder.mkdir()
    kinds = ([], ["--session"], ["--campaign"])
    whole = []
    begun = time.monotonic()
    for kind in kinds:
        code, _, err = run(program, ["new", "out", *kind], folder)
        promise(code == 0, err)
        whole.append(files_below(folder / "out"))
        shutil.rmtree(folder / "out")
    seconds = (time.monotonic() - begun) / len(kinds)
    stood = 0
    for i in range(count):
        process = start(program, ["new", "out", *kinds[i % 3]], folder)
        time.sleep(dice.uniform(0.0, 1.15) * seconds)
        process.send_signal(signal.SIGKILL)
        finish(process)
        if (folder / "out").exists():
            # The list of results goes last, and a kill may come before.
            (folder / "out/.sweepflux").unlink(missing_ok=True)
            promise(files_below(folder / "out") == whole[i % 3], "new: half of it is there")
            shutil.rmtree(folder / "out")
            stood += 1
    code, _, err = run(program, ["new", "out"], folder)
    promise(code == 0, "new after kills: " + err)
    promise([p.name for p in folder.iterdir()] == ["out"], "new left something behind")
    print("new: %d x SIGKILL, %d times all was there, else nothing" % (count, stood), flush=True)


def kills(program, top, dice, count, everything):
    names = list(COMMANDS) if everything else ["map", "thrust", "reduce", "follow"]
    share = count if everything else max(2, count // (len(names) + 1))
    for name in names:
        case = Case(name, top)
        case.learn(program)
        kill_at_random(program, case, dice, signal.SIGKILL, share)
        kill_at_random(program, case, dice, signal.SIGINT, max(2, share // 3))
    kill_new(program, top, dice, share)


def debris_is_no_result(program, top):
    """A folder that a kill left half-filled is not taken for results by compare."""
    folder = top / "campaign"
    folder.mkdir()
    code, _, err = run(program, ["map", str(SCANS / "heron-1/survey.toml"), *MAP, "--out", "heron"],
                       folder)
    promise(code == 0, err)
    shutil.copytree(folder / "heron", folder / ".heron.sweepflux-part-0123abcd")
    code, out, err = run(program, ["compare", ".", "--json"], folder)
    alone = out
    promise(code in (0, 3), err)
    shutil.rmtree(folder / ".heron.sweepflux-part-0123abcd")
    code, out, err = run(program, ["compare", ".", "--json"], folder)
    promise(out == alone, "compare reads the hidden folder of a killed run")
    print("compare: passes over the hidden folder of a killed run")


def mounted(options, folder):
    if shutil.which("mount") is None:
        return False
    folder.mkdir()
    return subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)],
                          capture_output=True, check=False).returncode == 0


def refused_by_machine(program, arguments, place, words):
    code, _, err = run(program, [*arguments, "--out", str(place / "out")], place)
    promise(code == 1, "code %d, must be 1: %s" % (code, err))
    promise(err.count("\n") == 1 and words in err, "unclear: %r" % err)
    promise(not (place / "out").exists(), "half of the results were left")
    left = [p.name for p in place.iterdir() if p.name != "out"]
    promise(not left, "left behind: %r" % left)


def disks(program, top):
    log = top / "disk-log.csv"
    write_log(log, 1.0)
    commands = [["map", str(SCANS / "heron-1/survey.toml"), *MAP],
                ["reduce", str(log)], ["thrust", str(SCANS / "balance-day/session.toml")],
                ["follow", str(log), "--until-idle", "0.2 s"]]
    for size in (4, 16):
        place = top / ("small-%d" % size)
        if not mounted("size=%dk" % size, place):
            print("skipped: a full disk needs the right to mount (root)")
            return
        try:
            for arguments in commands:
                # What a command writes may fit in; only those that do not fit are refused.
                code, _, err = run(program, [*arguments, "--out", str(place / "out")], place)
                if code != 0:
                    refused_by_machine(program, arguments, place, "")
                    promise("No space left" in err, "unclear: %r" % err)
                    print("%s: a disk of %d kB is full, refused, nothing left" %
                          (arguments[0], size))
                shutil.rmtree(place / "out", ignore_errors=True)
                (place / "out.journal").unlink(missing_ok=True)
        finally:
            subprocess.run(["umount", str(place)], check=True)
    place = top / "read-only"
    if mounted("ro", place):
        try:
            for arguments in commands:
                refused_by_machine(program, arguments, place, "Read-only file system")
                print("%s: a read-only folder is refused" % arguments[0])
        finally:
            subprocess.run(["umount", str(place)], check=True)


def files_that_go_or_grow(program, top, dice, count):
    """Sweeps vanish, a log grows or is cut, while they are read."""
    codes = {}
    for i in range(count):
        folder = top / ("going-%d" % i)
        shutil.copytree(SCANS / "heron-1", folder / "survey")
        write_log(folder / "log.csv", 1.0)
        log_bytes = (folder / "log.csv").read_bytes()
        what = ("sweeps go", "log grows", "log is cut")[i % 3]
        is_map = what == "sweeps go"
        arguments = (["map", "survey/survey.toml", *MAP] if is_map
                     else ["reduce", "log.csv"]) + ["--out", "out"]
        process = start(program, arguments, folder)
        stop = threading.Event()

        def disturb():
            time.sleep(dice.uniform(0, 0.03))
            while not stop.is_set():
                if is_map:
                    shutil.rmtree(folder / "survey/sweeps", ignore_errors=True)
                    return
                with open(folder / "log.csv", "r+b") as log:
                    if what == "log grows":
                        log.seek(0, os.SEEK_END)
                        log.write(b"9999.0,20,0.1\n" * 50)
                    else:
                        log.truncate(dice.randrange(len(log_bytes)))
                        log.write(log_bytes)
                time.sleep(0.001)

        thread = threading.Thread(target=disturb)
        thread.start()
        code, _, err = finish(process)
        stop.set()
        thread.join()
        promise(code in (0, 2, 3), "%s: code %d: %s" % (what, code, err))
        promise(code == 0 or err.strip(), "%s: no reason given" % what)
        promise((folder / "out").exists() == (code == 0), "%s: results do not fit code" % what)
        hidden = [p.name for p in folder.iterdir() if p.name.startswith(".")]
        promise(not hidden, "%s: left %r" % (what, hidden))
        codes.setdefault(what, []).append(code)
        shutil.rmtree(folder)
    for what, seen in codes.items():
        print("%s while it is read: codes %s" %
              (what, ", ".join("%d x %d" % (seen.count(c), c) for c in sorted(set(seen)))))


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("program")
    parser.add_argument("--kills", type=int, default=12)
    parser.add_argument("--each", action="store_true")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    options.program = os.path.abspath(options.program)
    dice = random.Random(options.seed)
    top = pathlib.Path(tempfile.mkdtemp(prefix="sweepflux-faults-"))
    try:
        disks(options.program, top)
        debris_is_no_result(options.program, top)
        files_that_go_or_grow(options.program, top, dice, max(6, min(50, options.kills // 4)))
        kills(options.program, top, dice, options.kills, options.each)
    except Broken as broken:
        print("broken promise: %s" % broken)
        return 1
    finally:
        shutil.rmtree(top, ignore_errors=True)
    print("no promise broken")
    return 0


if __name__ == "__main__":
    sys.exit(main())
