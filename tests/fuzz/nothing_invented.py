#!/usr/bin/env python3
"""Every number that a run prints, shows on its page or writes into planes.csv is one of its
summary.json, of the survey, or a simple outcome of two of them, within its printed rounding; rows
left out are counted there; where no sweep supports a map, the map says so.

    nothing_invented.py PROGRAM
"""

import csv
import html
import itertools
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

SCANS = pathlib.Path(__file__).resolve().parents[2] / "scans"
NUMBER = re.compile(r"(?<![\w.])[-\u2212]?\d+(?:\.\d+)?(?:e[-+]?\d+)?(?![\w]|\.\d)")
# Units that results are also given in (per cent, cm, mm, minutes, hours), and those of surveys.
SCALES = (1.0, 100.0, 1000.0, 60.0, 3600.0, 0.01, 0.001)
# What the texts themselves say: the level of the intervals, a standard's number, "two in three".
WORDS = re.compile(r"95 %|IEC 60879:1986|ISO 13528|CIPM-2007|JCGM \d+|round free jet: [\d.]+|sweepflux \d+\.\d+\.\d+")
# Reported on the page alone, worked out from the whole field: not in the summary.
PAGE_ALONE = re.compile(r"Beside the older rating by rings.*?(?=Left out, and why)"
                        r"|entrains .*? a metre", re.S)


def numbers_of(node):
    if isinstance(node, dict):
        for value in node.values():
            yield from numbers_of(value)
    elif isinstance(node, list):
        yield float(len(node))
        for value in node:
            yield from numbers_of(value)
    elif isinstance(node, str):
        for found in NUMBER.findall(node):
            yield float(found.replace("\u2212", "-"))
    elif isinstance(node, (int, float)) and not isinstance(node, bool):
        yield float(node)


def rounds_to(value, text):
    """Whether a value, in any unit it may be given in, is what the text shows of it."""
    text = text.replace("\u2212", "-")
    mantissa, _, exponent = text.partition("e")
    digits = len(mantissa.partition(".")[2])
    half = 0.5000001 * 10.0 ** (int(exponent or 0) - digits)
    shown = float(text)
    # Whole numbers may be rounded to the digits that count: 1 320 for 1 318.
    trailing = len(mantissa) - len(mantissa.rstrip("0")) if not digits else 0
    half *= 10.0 ** trailing
    return any(abs(abs(value) * scale - abs(shown)) <= half for scale in SCALES)


def known_numbers(summary, survey_text):
    known = set(numbers_of(summary)) | set(numbers_of(survey_text)) | {0.0, 1.0, 2.0, 3.0}
    planes = summary["planes"]
    known |= {sum(plane[key] for plane in planes) for key in ("readings", "censored")}
    for plane in planes:
        # Sums and shares that a sentence tells of one plane.
        known.add(plane["left_out"] + plane["readings"])
        peak = plane["peak_speed_m_s"]
        for row in plane["budget"]:
            for key in ("volume_flow_m3_s", "momentum_flux_n"):
                known.add(row[key] / plane[key]["value"])
                known.add((row[key] / plane[key]["standard_uncertainty"]) ** 2)
        for key in ("volume_flow_m3_s", "momentum_flux_n"):
            known.add(plane[key]["standard_uncertainty"] / plane[key]["value"])
            power = summary["outlet"]["power_w"]
            if power:
                known.add(plane[key]["value"] / power["value"])
        known.add(peak)
    for a, b in itertools.permutations(planes, 2):
        for key in ("volume_flow_m3_s", "momentum_flux_n"):
            known.add(a[key]["value"] / b[key]["value"])
    thrust = summary.get("thrust_n")
    if thrust:
        known.add(thrust["standard_uncertainty"] / thrust["value"])
        known.add(summary.get("thrust_zero_drift_n", 0.0) / thrust["value"])
    return known


def nudged(found):
    text = found.group()
    digits = len(text.strip("-\u22120.").replace(".", ""))
    if digits < 2 or "e" in text:
        return text
    decimals = len(text.partition(".")[2])
    return "%.*f" % (decimals, float(text.replace("\u2212", "-")) * (1.043 if digits > 2 else 1.37))


def page_text(page):
    page = re.sub(r"<(style|svg|script|head)\b.*?</\1>", " ", page, flags=re.S)
    page = re.sub(r"<[^>]+>", " ", page)
    return re.sub(r"\s+", " ", html.unescape(page))


def unexplained(text, known, names):
    for name in sorted(names, key=len, reverse=True):
        text = text.replace(name, " ")
    text = WORDS.sub(" ", PAGE_ALONE.sub(" ", text))
    return [(found, text[max(0, at.start() - 60):at.end() + 20])
            for at in NUMBER.finditer(text) for found in [at.group()]
            if not any(rounds_to(value, found) for value in known)]


def check_tables(out, summary, faults):
    flat = [repr(value) for value in set(numbers_of(summary))]
    allowed = {float(text) for text in flat}
    with open(out / "planes.csv", newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            for key, cell in row.items():
                if cell not in ("", "yes", "no") and float(cell) not in allowed:
                    faults.append("planes.csv: %s = %s is not in summary.json" % (key, cell))
    for plane in summary["planes"]:
        names = {sweep["name"] for sweep in plane["sweep_list"]}
        left = [row for row in summary["left_out"] if row["sweep"] in names]
        reported = sum(sweep["left_out"] for sweep in plane["sweep_list"])
        if not plane["left_out"] == reported == len(left):
            faults.append("left out: the plane says %d, its sweeps %d, the list %d" %
                          (plane["left_out"], reported, len(left)))


def check_support(out, faults):
    """Points farther from every sweep than the sweeps are from each other."""
    for table in sorted(out.glob("plane-*m.csv")):
        with open(table, newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        support = [float(row["support"]) for row in rows]
        if not all(0.0 <= value <= 1.0 for value in support):
            faults.append(table.name + ": support is no share")
        yield table, rows, support


def try_survey(program, name, top, faults, change=None):
    folder = top / name
    shutil.copytree(SCANS / name, folder)
    if change:
        change(folder)
    out = folder / "out"
    done = subprocess.run([program, "map", str(folder / "survey.toml"), "--out", str(out)],
                          stdin=subprocess.DEVNULL, capture_output=True, check=False)
    if done.returncode:
        faults.append("%s: code %d: %s" % (name, done.returncode, done.stderr.decode()))
        return
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    known = known_numbers(summary, (folder / "survey.toml").read_text(encoding="utf-8"))
    names = [str(folder), str(out)] + [s["name"] for p in summary["planes"]
                                       for s in p["sweep_list"]]
    page = page_text((out / "report.html").read_text(encoding="utf-8"))
    for what, text in (("text", done.stdout.decode("utf-8")), ("report.html", page)):
        count = len(NUMBER.findall(text))
        wrong = unexplained(text, known, names)
        # The test itself must notice: the same text with each number of three digits or more
        # changed by some per cent, and each of two by more.
        changed = unexplained(NUMBER.sub(nudged, text), known, names)
        print("%s, %s: %d numbers, %d without a source; were they changed, %d would have none" %
              (name, what, count, len(wrong), len(changed)))
        if len(changed) < count // 10:
            faults.append("%s, %s: the test is blind" % (name, what))
        for found, around in wrong:
            faults.append("%s, %s: where does %s come from? ...%s..." % (name, what, found, around))
        if count < 20:
            faults.append("%s, %s: only %d numbers were found" % (name, what, count))
    check_tables(out, summary, faults)
    rows_reported = sum(p["readings"] + p["left_out"] for p in summary["planes"])
    rows = sum(1 for sweep in (folder / "sweeps").glob("*.csv")
               for line in sweep.read_text().splitlines() if line[:1].isdigit() or line[:1] == "-")
    if rows != rows_reported:
        faults.append("%s: %d rows in the files, %d reported" % (name, rows, rows_reported))
    return list(check_support(out, faults))


def spoil_cells(folder):
    """Three rows without a value, in two files."""
    for file, count in zip(sorted((folder / "sweeps").glob("*.csv")), (1, 2)):
        lines = file.read_text().splitlines()
        for i in range(count):
            lines[-1 - i] = lines[-1 - i].split(",")[0] + ",---"
        file.write_text("\n".join(lines) + "\n")


def spoil_cells_and_lift_top_sweep(folder):
    """The highest sweep far above the others too: between them nothing was seen."""
    spoil_cells(folder)
    survey = folder / "survey.toml"
    text = survey.read_text()
    survey.write_text(text.replace('height = "1.32 m"', 'height = "2.6 m"'))


def main():
    program = sys.argv[1]
    top = pathlib.Path(tempfile.mkdtemp(prefix="sweepflux-invented-"))
    faults = []
    try:
        try_survey(program, "wren-1", top, faults)
        seen = try_survey(program, "heron-1", top, faults, spoil_cells_and_lift_top_sweep)
        for table, rows, support in seen or []:
            gap = [s for row, s in zip(rows, support) if 1.75 < float(row["z_m"]) < 2.05]
            near = [s for row, s in zip(rows, support) if 0.9 < float(row["z_m"]) < 0.94]
            print("%s: support %.2f to %.2f at a sweep, %.2f to %.2f in a gap" %
                  (table.name, min(near), max(near), min(gap), max(gap)))
            if max(gap) > 0.5 or max(near) < 0.9:
                faults.append(table.name + ": a part that no sweep saw counts as supported")
    finally:
        shutil.rmtree(top, ignore_errors=True)
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
