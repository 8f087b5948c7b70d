#!/usr/bin/env python3
"""Maps one straight-traverse survey folder with the research scripts, for comparison.

PYTHONPATH=../shared/bench:../shared/prototype python3 tests/bench/prototype_map.py FOLDER

Reads survey.toml and its sweeps (only what make_survey writes) and prints flow [m3/s] and
momentum / density [m4/s2] with their standard uncertainties, as one line of JSON.
"""

import csv
import json
import pathlib
import sys
import tomllib

import numpy as np

import recon
import recon2


def metres(text):
    value, unit = text.split()
    if unit != "m":
        raise SystemExit(f"expected metres, found {text!r}")
    return float(value)


def read_folder(folder):
    survey = tomllib.loads((folder / "survey.toml").read_text())
    if survey["rig"]["motion"] != "traverse":
        raise SystemExit("the scripts know straight traverses only")
    rows = []
    for index, sweep in enumerate(survey["sweep"]):
        with open(folder / sweep["file"], newline="") as table:
            for row in csv.DictReader(table):
                rows.append((float(row["across [m]"]), metres(sweep["height"]),
                             float(row["speed [m/s]"]), index, metres(sweep["distance"])))
    return survey, np.array(rows)


def as_data(survey, rows):
    distances = np.unique(rows[:, 4])
    if len(distances) != 1:
        raise SystemExit("one distance only")
    data = recon.Data()
    data.x = distances[0]
    data.y, data.z, data.v = rows[:, 0], rows[:, 1], rows[:, 2]
    data.sw = rows[:, 3].astype(int)
    data.c = data.v <= 0
    data.name = survey["survey"]["fan"]
    data.hs = np.unique(data.z)
    data.zn = metres(survey["outlet"]["centre_height"])
    data.zmin = metres(survey["room"]["floor"]) if "floor" in survey.get("room", {}) else -1e9
    gap = np.diff(data.hs).mean() / 2 if len(data.hs) > 1 else 0.1
    data.win = (data.y.min(), data.y.max(), max(data.hs[0] - gap, data.zmin), data.hs[-1] + gap)
    return data


def main():
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    survey, rows = read_folder(pathlib.Path(sys.argv[1]))
    data = as_data(survey, rows)
    grid = recon.Grid(data)
    found = recon2.default2(data, grid)
    print(json.dumps({"volume_flow_m3_s": [found["Qt"], found["sQt"]],
                      "momentum_over_density_m4_s2": [found["Mt"] / recon.RHO,
                                                      found["sMt"] / recon.RHO]}))


if __name__ == "__main__":
    main()
