"""A whole survey by general libraries: read, fit, map, uncertainty, predict left-out sweeps, draw, write.

    python3 map_survey.py SURVEY.toml OUT_FOLDER

Reads a traverse as bench/known_survey writes it. A Gaussian process (scikit-learn) a plane; flow and
momentum on a grid with deviations from 200 draws; every sweep predicted from the others with the
covariance kept; the pictures that `sweepflux map` makes, as PNG and SVG (matplotlib); the map as CSV
and a summary as JSON. Prints the integrals a plane: distance, flow, its deviation, momentum over
density, its deviation.
"""

import json
import pathlib
import re
import sys
import warnings

import matplotlib
matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel

COLUMNS, ROWS = 111, 68  # as many places a plane as the other program chooses here


def read_survey(file):
    planes = {}
    for part in file.read_text().split("[[sweep]]")[1:]:
        name = re.search(r'file = "(.*)"', part)[1]
        distance = float(re.search(r'distance = "(.*) m"', part)[1])
        height = float(re.search(r'height = "(.*) m"', part)[1])
        rows = np.loadtxt(file.parent / name, delimiter=",", skiprows=1)
        planes.setdefault(distance, []).append((height, rows))
    return planes


def fit(at, speed):
    kernel = ConstantKernel() * Matern([0.3, 0.3], nu=2.5) + WhiteKernel(0.01)
    return GaussianProcessRegressor(kernel, normalize_y=True).fit(at, speed)


def predict(process, sweeps):
    """Root mean square error of each sweep, predicted from the others."""
    errors = []
    for left_out in range(len(sweeps)):
        others = [s for i, s in enumerate(sweeps) if i != left_out]
        at, speed = stacked(others)
        kept = GaussianProcessRegressor(process.kernel_, optimizer=None, normalize_y=True)
        wanted, seen = stacked([sweeps[left_out]])
        errors.append(float(np.sqrt(np.mean((kept.fit(at, speed).predict(wanted) - seen) ** 2))))
    return errors


def stacked(sweeps):
    at = np.concatenate([np.stack([r[:, 0], np.full(len(r), h)], -1) for h, r in sweeps])
    return at, np.concatenate([r[:, 1] for _, r in sweeps])


def picture(path, y, z, values, title, at=None):
    figure, axes = plt.subplots(figsize=(9, 7))
    filled = axes.contourf(y, z, values, 24)
    axes.contour(y, z, values, 8, colors="k", linewidths=0.4)
    if at is not None:
        axes.plot(at[:, 0], at[:, 1], "k.", markersize=1.5)
    axes.set_aspect("equal")
    axes.set_title(title)
    axes.set_xlabel("across [m]")
    axes.set_ylabel("height [m]")
    figure.colorbar(filled)
    save(figure, path)


def save(figure, path):
    figure.savefig(f"{path}.png", dpi=192)
    figure.savefig(f"{path}.svg")
    plt.close(figure)


def plane(distance, sweeps, out):
    at, speed = stacked(sweeps)
    process = fit(at, speed)
    y = np.linspace(at[:, 0].min(), at[:, 0].max(), COLUMNS)
    z = np.linspace(at[:, 1].min() - 0.05, at[:, 1].max() + 0.05, ROWS)
    places = np.stack(np.meshgrid(y, z), -1).reshape(-1, 2)
    mean, deviation = process.predict(places, return_std=True)
    cell = (y[1] - y[0]) * (z[1] - z[0])
    # Draws on every third place each way: a full covariance of all places is too large.
    coarse = np.stack(np.meshgrid(y[::3], z[::3]), -1).reshape(-1, 2)
    draws = process.sample_y(coarse, 200, random_state=1)
    name = out / f"plane-{distance:g}m"
    np.savetxt(f"{name}.csv", np.column_stack([places, mean, deviation]), "%.6g", ",",
               header="y_m,z_m,speed_m_s,uncertainty_m_s", comments="")
    shape = (ROWS, COLUMNS)
    picture(name, y, z, mean.reshape(shape), f"speed at {distance:g} m [m/s]", at)
    picture(out / (name.name + "-uncertainty"), y, z, deviation.reshape(shape), "uncertainty [m/s]")
    picture(out / (name.name + "-uncertainty"), y, z, (deviation / np.maximum(mean, 0.1)).reshape(shape),
            "uncertainty over speed")
    return {"distance_m": distance,
            "flow": float(mean.sum() * cell), "flow_sd": float((draws.sum(0) * cell * 9).std()),
            "square": float((mean**2).sum() * cell),
            "square_sd": float(((draws**2).sum(0) * cell * 9).std()),
            "predicted_rms_m_s": predict(process, sweeps),
            "y": y, "z": z, "map": mean.reshape(shape)}


def charts(results, planes, out):
    figure, axes = plt.subplots(len(planes), 1, figsize=(9, 12))
    for axis, (distance, sweeps) in zip(axes, planes.items()):
        for height, rows in sweeps:
            axis.plot(rows[:, 0], rows[:, 1], label=f"{height:.2f} m")
        axis.legend()
    save(figure, out / "profiles")
    for name, which in (("from-above", 0), ("from-the-side", 1)):
        figure, axes = plt.subplots(figsize=(9, 6))
        for r in results:
            axes.plot(r["z" if which else "y"], r["map"].max(which), label=f"{r['distance_m']:g} m")
        axes.legend()
        save(figure, out / name)
    figure, axes = plt.subplots(figsize=(9, 6))
    x = [r["distance_m"] for r in results]
    axes.errorbar(x, [r["flow"] for r in results], [r["flow_sd"] for r in results])
    axes.errorbar(x, [r["square"] for r in results], [r["square_sd"] for r in results])
    save(figure, out / "along-the-stream")


def main():
    warnings.simplefilter("ignore")
    out = pathlib.Path(sys.argv[2])
    out.mkdir(parents=True)
    planes = read_survey(pathlib.Path(sys.argv[1]))
    results = [plane(distance, sweeps, out) for distance, sweeps in planes.items()]
    charts(results, planes, out)
    numbers = [{k: v for k, v in r.items() if k not in ("y", "z", "map")} for r in results]
    (out / "summary.json").write_text(json.dumps(numbers, indent=1))
    for r in results:
        print(r["distance_m"], r["flow"], r["flow_sd"], r["square"], r["square_sd"])


if __name__ == "__main__":
    main()
