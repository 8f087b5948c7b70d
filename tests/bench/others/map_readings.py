"""One map from a file of readings by a general library, timed without reading and importing.

    python3 map_readings.py METHOD READINGS.csv SIDE SAMPLE

METHOD: gaussian-process (scikit-learn, covariance fitted, with deviations), thin-plate (scipy
RBFInterpolator on all readings), thin-plate-near (on 48 neighbours), linear (scipy griddata).
SAMPLE places a side are computed; where that is less than SIDE, the time of what grows with the
places is multiplied. Prints one line of JSON.
"""

import json
import math
import sys
import time

import numpy as np

PEAK, HALF_WIDTH, HEIGHT = 3.0, 0.25, 0.95
# Of the powers of ten the one nearest the truth, at 3 000 readings: better than a user can choose.
SMOOTHING = 0.1


def places(side):
    y, z = np.meshgrid(np.linspace(-1, 1, side), np.linspace(0, 2, side))
    return np.stack([y.ravel(), z.ravel()], -1)


def gaussian_process(at, value, wanted):
    from sklearn.gaussian_process import GaussianProcessRegressor
    from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel
    kernel = ConstantKernel() * Matern([0.5, 0.5], nu=2.5) + WhiteKernel(0.01)
    process = GaussianProcessRegressor(kernel, normalize_y=True).fit(at, value)
    noise = process.kernel_.k2.noise_level * process._y_train_std**2
    mean, deviation = np.empty(len(wanted)), np.empty(len(wanted))
    for start in range(0, len(wanted), 4096):  # all at once would need gigabytes
        part = slice(start, start + 4096)
        mean[part], deviation[part] = process.predict(wanted[part], return_std=True)
    return mean, np.sqrt(np.maximum(deviation**2 - noise, 0))


def main():
    method, file, side, sample = sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
    data = np.loadtxt(file, delimiter=",", skiprows=1)
    at, value = data[:, :2], data[:, 2]
    from scipy.interpolate import LinearNDInterpolator, RBFInterpolator
    import sklearn.gaussian_process  # noqa: F401, not part of what is timed
    wanted = places(sample)
    deviation = None
    start = time.perf_counter()
    if method == "gaussian-process":
        mean, deviation = gaussian_process(at, value, wanted)
        before = start
    else:
        if method == "thin-plate":
            model = RBFInterpolator(at, value, smoothing=SMOOTHING)
        elif method == "thin-plate-near":
            model = RBFInterpolator(at, value, neighbors=48, smoothing=SMOOTHING)
        else:
            model = LinearNDInterpolator(at, value)  # what griddata(method="linear") calls
        before = time.perf_counter()
        mean = model(wanted)
    end = time.perf_counter()
    factor = (side / sample) ** 2
    truth = PEAK * np.exp2(-(wanted[:, 0] ** 2 + (wanted[:, 1] - HEIGHT) ** 2) / HALF_WIDTH**2)
    inside = np.isfinite(mean)  # linear: nothing outside the readings' hull
    flow = PEAK * HALF_WIDTH**2 * math.pi / math.log(2)
    step = 2 / (sample - 1)
    print(json.dumps({
        "seconds": before - start + (end - before) * factor,
        "rms_m_s": float(np.sqrt(np.mean((mean - truth)[inside] ** 2))),
        "stated_m_s": None if deviation is None else float(np.sqrt(np.mean(deviation**2))),
        "flow_error": float(np.sum(mean[inside]) * step**2 / flow - 1),
        "sampled": factor > 1}))


if __name__ == "__main__":
    main()
