"""Reference values for the kriging core, by another way: numpy and scipy, plain formulas.

Matern correlations come from the Bessel function (not from the closed forms), predictions from the
full bordered system, left-out predictions by leaving out, likelihoods from determinants.

    python3 make_values.py        writes places.csv, models.csv, predictions.csv, left_out.csv
"""

import math

import numpy as np
from scipy.special import gamma, kv

rng = np.random.default_rng(20240901)
N, G = 14, 6
at = np.round(rng.uniform([-1, 0.2], [1, 1.8], (N, 2)), 3)
value = np.round(1.5 + np.sin(3 * at[:, 0]) * at[:, 1] + rng.normal(0, 0.1, N), 3)
noise = np.round(rng.uniform(0.03, 0.2, N), 3)
wanted = np.round(rng.uniform([-1.2, 0.0], [1.2, 2.0], (G, 2)), 3)
wanted[0] = at[3]


def matern(nu, r):
    s = np.sqrt(2 * nu) * r
    out = np.ones_like(s)
    far = s > 0
    out[far] = 2 ** (1 - nu) / gamma(nu) * s[far] ** nu * kv(nu, s[far])
    return out


KERNELS = {
    "exponential": lambda r: matern(0.5, r),
    "matern32": lambda r: matern(1.5, r),
    "matern52": lambda r: matern(2.5, r),
    "gaussian": lambda r: np.exp(-(r**2)),
    "spherical": lambda r: np.where(r < 1, 1 - 1.5 * r + 0.5 * r**3, 0.0),
}
# kernel, sill, range, ratio, angle, nugget
MODELS = [(k, 0.8, 0.6, 0.7, 0.4, 0.004) for k in KERNELS] + [("matern52", 2.0, 0.9, 1.6, -0.9, 0.0)]


def covariance(model, a, b):
    kernel, sill, range_m, ratio, angle, _ = model
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    d = (a[:, None, :] - b[None, :, :]) @ turn.T / np.array([range_m, range_m * ratio])
    return sill * KERNELS[kernel](np.sqrt((d**2).sum(-1)))


def ordinary(model, at, value, noise, wanted):
    """Bordered system, noise filtered out; variance of the field."""
    n = len(at)
    k = np.zeros((n + 1, n + 1))
    k[:n, :n] = covariance(model, at, at) + np.diag(noise**2 + model[5])
    k[n, :n] = k[:n, n] = 1
    right = np.vstack([covariance(model, at, wanted), np.ones(len(wanted))])
    weight = np.linalg.solve(k, right)
    return value @ weight[:n], model[1] - (weight * right).sum(0)


def simple(model, mean):
    k = covariance(model, at, at) + np.diag(noise**2 + model[5])
    right = covariance(model, at, wanted)
    weight = np.linalg.solve(k, right)
    return mean + (value - mean) @ weight, model[1] - (weight * right).sum(0)


def likelihoods(model, mean):
    k = covariance(model, at, at) + np.diag(noise**2 + model[5])
    inverse, one = np.linalg.inv(k), np.ones(N)
    log_det = np.linalg.slogdet(k)[1]
    best = one @ inverse @ value / (one @ inverse @ one)

    def plain(m):
        r = value - m
        return -0.5 * (r @ inverse @ r + log_det + N * math.log(2 * math.pi))

    # Restricted: density of the values in an orthonormal basis of what a constant cannot reach,
    # which differs from the usual form by the constant ln(N) / 2.
    q = np.linalg.qr(np.column_stack([one, np.eye(N)[:, : N - 1]]))[0][:, 1:]
    kc, vc = q.T @ k @ q, q.T @ value
    restricted = -0.5 * (
        vc @ np.linalg.solve(kc, vc) + np.linalg.slogdet(kc)[1] + (N - 1) * math.log(2 * math.pi)
    )
    return plain(mean), plain(best), restricted - 0.5 * math.log(N), best


def write(name, heading, rows):
    with open(name, "w", newline="\n") as file:
        file.write(heading + "\n")
        for row in rows:
            file.write(",".join(x if isinstance(x, str) else repr(float(x)) for x in row) + "\n")


models, predictions, left_out = [], [], []
for number, model in enumerate(MODELS):
    known, best, restricted, mean = likelihoods(model, 1.2)
    models.append([*model, known, best, restricted, mean])
    o, ov = ordinary(model, at, value, noise, wanted)
    s, sv = simple(model, 1.2)
    predictions += [[number, *wanted[j], o[j], ov[j], s[j], sv[j]] for j in range(G)]
    for i in range(N):
        rest = np.arange(N) != i
        p, v = ordinary(model, at[rest], value[rest], noise[rest], at[i : i + 1])
        left_out.append([number, i, p[0], v[0] + noise[i] ** 2 + model[5]])
write("places.csv", "y_m,z_m,value,noise_sd", [[*at[i], value[i], noise[i]] for i in range(N)])
write(
    "models.csv",
    "kernel,sill,range_m,ratio,angle_rad,nugget,log_likelihood_mean_1.2,log_likelihood,"
    "restricted_log_likelihood,mean",
    models,
)
write("predictions.csv", "model,y_m,z_m,value,variance,value_mean_1.2,variance_mean_1.2", predictions)
write("left_out.csv", "model,place,value,variance", left_out)
