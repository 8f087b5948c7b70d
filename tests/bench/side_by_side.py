"""Runs every job of the benchmark page side by side and writes the page.

    python3 side_by_side.py BENCH_BUILD_FOLDER OUT.md [--runs 5] [--jobs survey,few,many,log]

Every run is a process of its own; its memory is the peak that the system states for it. Times of
maps and logs are without the start of the interpreter; those of a survey are of the whole process.
"""

import argparse
import json
import os
import pathlib
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
OTHERS = HERE / "others"
PYTHON = "/usr/bin/python3"  # Debian's, which has the packages
PROGRAMS = {"gaussian-process": "scikit-learn GaussianProcessRegressor, fitted",
            "thin-plate": "scipy RBFInterpolator, all readings; no variance",
            "thin-plate-near": "scipy RBFInterpolator, 48 neighbours; no variance",
            "linear": "scipy griddata, linear; no variance",
            "gstat": "gstat krige, 48 neighbours, fitted",
            "exact": "**sweepflux**, all readings, fitted",
            "nearest": "**sweepflux**, nearest readings, fitted"}


def environment():
    """Our own, without what would choose another kernel of the linear algebra than its best."""
    return {k: v for k, v in os.environ.items() if not k.startswith(("OPENBLAS_", "OMP_"))}


def run(command):
    """Output, seconds of the process, and its peak of memory [MB]."""
    with tempfile.TemporaryFile() as out:
        start = time.perf_counter()
        child = subprocess.Popen([str(c) for c in command], stdout=out, stderr=subprocess.PIPE,
                                 env=environment())
        complaint = child.stderr.read()
        _, status, usage = os.wait4(child.pid, 0)
        seconds = time.perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode != 0:
            raise SystemExit(f"{command}: {complaint.decode()}")
        out.seek(0)
        return out.read().decode(), seconds, usage.ru_maxrss / 1024


def load():
    return float(pathlib.Path("/proc/loadavg").read_text().split()[0])


class Page:
    def __init__(self, runs):
        self.runs, self.text, self.loads = runs, [], []

    def wait(self):
        """Until the machine is idle but for us; a minute of load fades slowly, so not for ever."""
        for _ in range(12):
            if load() < 0.7:
                break
            time.sleep(5)
        self.loads.append(load())

    def repeated(self, work, most_s=120.0):
        """Runs until there are enough, or until they have taken too long."""
        self.wait()
        results, start = [], time.perf_counter()
        while len(results) < self.runs:
            results.append(work())
            spent = time.perf_counter() - start
            if spent + spent / len(results) > most_s:
                break
        return results

    def heading(self, words):
        print(words, flush=True)
        self.text.append(f"\n## {words}\n")

    def table(self, columns, rows):
        print("\n".join(" | ".join(r) for r in rows), flush=True)
        self.text.append("| " + " | ".join(columns) + " |")
        self.text.append("|---|" + "--:|" * (len(columns) - 1))
        self.text += ["| " + " | ".join(r) + " |" for r in rows]


def median(values):
    return statistics.median(values)


def short(seconds):
    return f"{seconds:.3g}" if seconds < 100 else f"{seconds:.0f}"


# ---- maps of scattered readings ----------------------------------------------------------------

def map_command(bench, program, readings, side, sample):
    if program in ("exact", "nearest"):
        return [bench / "map_readings", "--readings", readings, "--side", side, "--method", program]
    if program == "gstat":
        return ["Rscript", OTHERS / "map_readings.R", readings, side, sample]
    return [PYTHON, OTHERS / "map_readings.py", program, readings, side, sample]


def map_rows(page, bench, readings, side, programs):
    rows, base = [], None
    for program, sample in programs:
        if program == "gstat" and not shutil.which("Rscript"):
            rows.append([PROGRAMS[program], "not here", "", "", "", "", "", ""])
            continue
        def once():
            out, _, peak = run(map_command(bench, program, readings, side, sample))
            return {**json.loads(out), "peak": peak}
        results = page.repeated(once)
        seconds = median([r["seconds"] for r in results])
        base = base or seconds
        last = results[-1]
        stated = last.get("stated_m_s")
        rows.append([PROGRAMS[program] + (" (¹)" if last.get("sampled") else ""),
                     str(len(results)), short(seconds), f"{seconds / base:.3g}",
                     f"{median([r['peak'] for r in results]):.0f}", f"{last['rms_m_s']:.4f}",
                     "-" if stated is None else f"{stated:.4f}", f"{100 * last['flow_error']:+.2f}"])
    return rows


MAP_COLUMNS = ["program", "runs", "seconds", "times the first", "MB", "rms error [m/s]",
               "stated [m/s]", "flow off by %"]


def make_readings(bench, folder, count, sweeps):
    file = folder / f"readings-{count}-{sweeps}.csv"
    run([bench / "nearest_kriging", "--readings", count, "--sweeps", sweeps, "--write", file])
    return file


def few(page, bench, folder):
    for count in (430, 3000):
        page.heading(f"Covariance fitted, map of 256 x 256 with variances, {count:,} readings")
        readings = make_readings(bench, folder, count, 0)
        page.table(MAP_COLUMNS, map_rows(page, bench, readings, 256, [
            ("exact", 256), ("nearest", 256), ("gaussian-process", 256), ("gstat", 64),
            ("thin-plate", 256), ("thin-plate-near", 256), ("linear", 256)]))


def many(page, bench, folder):
    for count in (10000, 100000, 1000000):
        page.heading(f"Covariance fitted, map of 1024 x 1024 with variances, {count:,} readings")
        readings = make_readings(bench, folder, count, 0)
        rows = map_rows(page, bench, readings, 1024, [
            ("nearest", 1024), ("gstat", 64), ("thin-plate-near", 128), ("linear", 1024)])
        page.table(MAP_COLUMNS, rows)
    out, _, _ = run(map_command(bench, "nearest", readings, 1024, 1024))
    result = json.loads(out)
    page.text.append(
        f"\nThe last file alone was read in {result['read_s']:.2f} s, {1e6 * result['read_s'] / count:.2f} "
        f"µs a reading; the map took {1e6 * result['seconds'] / count:.2f} µs a reading.")


# ---- a whole survey ----------------------------------------------------------------------------

def survey(page, bench, folder):
    """Errors over several surveys of several fields; times over all runs."""
    page.heading("A whole survey: 3 planes x 7 sweeps x 61 places, everything written")
    fields = ["ellipse20", "sheared", "twin"]
    programs = {"**sweepflux** map": ours_of, "numpy, scikit-learn, matplotlib": others_of}
    found = {name: {"seconds": [], "peak": [], "flow": [], "momentum": [], "held": []}
             for name in programs}
    page.wait()
    for field in fields:
        for seed in range(1, 1 + max(2, page.runs // 2)):
            source = folder / f"{field}-{seed}"
            out, _, _ = run([bench / "known_survey", "--field", field, "--seed", seed,
                             "--out", source])
            truth = {float(d): (float(f), float(m)) for d, f, m in map(str.split, out.splitlines())}
            for name, work in programs.items():
                work(bench, source, truth, found[name])
    rows = []
    base = median(found["**sweepflux** map"]["seconds"])
    for name, f in found.items():
        seconds = median(f["seconds"])
        rows.append([name, str(len(f["seconds"])), short(seconds), f"{seconds / base:.3g}",
                     f"{median(f['peak']):.0f}", f"{100 * median(f['flow']):.2f}",
                     f"{100 * median(f['momentum']):.2f}",
                     f"{sum(f['held'])} of {len(f['held'])}"])
    page.table(["program", "runs", "seconds", "times the first", "MB", "flow off by % (median)",
                "momentum off by %", "95 % intervals that hold the truth"], rows)
    page.text.append(f"\nFields: {', '.join(fields)} of `tests/support/known_fields.hpp`. Both find "
                     "the interpreter and the fonts in the file cache.")


def note(found, truth, flow, low, high, square, square_low, square_high):
    found["flow"].append(abs(flow / truth[0] - 1))
    found["momentum"].append(abs(square / truth[1] - 1))
    found["held"] += [low <= truth[0] <= high, square_low <= truth[1] <= square_high]


def ours_of(bench, source, truth, found):
    _, seconds, peak = run([bench.parent / "sweepflux", "map", source / "survey.toml", "--quiet",
                            "--out", source / "ours"])
    found["seconds"].append(seconds)
    found["peak"].append(peak)
    summary = json.loads((source / "ours" / "summary.json").read_text())
    density = summary["air"]["density_kg_m3"]["value"]
    for plane in summary["planes"]:
        flow, momentum = plane["volume_flow_m3_s"], plane["momentum_flux_n"]
        note(found, truth[plane["distance_m"]], flow["value"], *flow["interval_95"],
             momentum["value"] / density, *(x / density for x in momentum["interval_95"]))


def others_of(_bench, source, truth, found):
    out, seconds, peak = run([PYTHON, OTHERS / "map_survey.py", source / "survey.toml",
                              source / "others"])
    found["seconds"].append(seconds)
    found["peak"].append(peak)
    for line in out.splitlines():
        d, flow, flow_sd, square, square_sd = map(float, line.split())
        note(found, truth[d], flow, flow - 1.96 * flow_sd, flow + 1.96 * flow_sd,
             square, square - 1.96 * square_sd, square + 1.96 * square_sd)


# ---- logs, and the machine ----------------------------------------------------------------------

def log(page, bench, folder):
    millions = 5
    page.heading(f"A log of {millions} million rows reduced to sweeps")
    ours, others = [], []
    page.wait()
    for _ in range(page.runs):
        out, _, peak = run([bench / "log_reduction", millions, folder, "keep"])
        ours.append((*(float(line.split(" s of one core")[0].split()[-1])
                       for line in out.splitlines()[:2]), peak))
        out, _, peak = run([PYTHON, OTHERS / "reduce_log.py", folder / "sweepflux-log-reduction.csv"])
        others.append((json.loads(out)["seconds"], peak))
    plain, seconds, peak = (median(column) for column in zip(*ours))
    their_s, their_peak = (median(column) for column in zip(*others))
    page.table(["program", "runs", "seconds", "times the first", "MB"], [
        ["**sweepflux**: dwells and settling found, standard errors of correlated rows",
         str(page.runs), short(seconds), "1", f"{peak:.0f}"],
        ["numpy loadtxt, means between changes of the angle, settling given",
         str(page.runs), short(their_s), f"{their_s / seconds:.3g}", f"{their_peak:.0f}"],
        ["every byte looked at once", str(page.runs), short(plain), f"{plain / seconds:.3g}", "-"]])


def dense(page, bench):
    page.heading("Dense algebra against the machine's matrix product, 3 000 readings")
    page.wait()
    out, _, _ = run([bench / "nearest_kriging", "--parts", "dense"])
    page.text.append("The product is Eigen's, of the same build, one thread; shares are a thread.\n")
    page.text.append("```\n" + out[out.index("N "):].rstrip() + "\n```")
    rates = []
    for _ in range(5):
        rates.append(float(run([PYTHON, "-c", "import numpy, time\n"
                                "a = numpy.ones((3000, 3000)); a @ a\ns = time.perf_counter(); a @ a\n"
                                "print(54e9 / (time.perf_counter() - s) / 1e9)"])[0]))
    page.text.append(f"\nThe same product by numpy with OpenBLAS comes to {median(rates):.0f} Gflop/s on "
                     "all cores.")


def machine(bench, page):
    cpu = [line for line in pathlib.Path("/proc/cpuinfo").read_text().splitlines()
           if line.startswith("model name")]
    memory = int(pathlib.Path("/proc/meminfo").read_text().split()[1]) / 1024**2
    names = dict(line.split("=", 1) for line in
                 pathlib.Path("/etc/os-release").read_text().splitlines() if "=" in line)
    versions, _, _ = run([PYTHON, "-c", "import numpy, scipy, sklearn, matplotlib as m\n"
                          "print(f'numpy {numpy.__version__}, scipy {scipy.__version__}, '"
                          "f'scikit-learn {sklearn.__version__}, matplotlib {m.__version__}')"])
    kernel, _, _ = run([PYTHON, "-c", "import ctypes, numpy\n"
                        "files = {l.split()[-1] for l in open('/proc/self/maps') if 'blas' in l}\n"
                        "files = [f for f in files if 'openblas' in f and 'lib' in f]\n"
                        "print('plain BLAS') if not files else None\n"
                        "l = ctypes.CDLL('libopenblas.so.0') if files else None\n"
                        "l and setattr(l.openblas_get_corename, 'restype', ctypes.c_char_p)\n"
                        "l and print('OpenBLAS kernel', l.openblas_get_corename().decode())"])
    ours, _, _ = run([bench.parent / "sweepflux", "--version"])
    starts = [run([bench.parent / "sweepflux", "--version"])[1] for _ in range(21)]
    return (f"Machine: {cpu[0].split(':')[1].strip()}, {os.cpu_count()} virtual cores, "
            f"{memory:.0f} GB of memory, {names['PRETTY_NAME'].strip(chr(34))}, {platform.machine()}. "
            f"Others: {versions.strip()}, {kernel.strip()}, gstat of Debian. "
            f"{ours.splitlines()[0]}, Release build for this machine. Load before the jobs: "
            f"{min(page.loads):.2f} to {max(page.loads):.2f}. "
            f"`sweepflux --version` takes {1e3 * median(starts):.1f} ms.")


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("bench", type=pathlib.Path)
    parser.add_argument("out", type=pathlib.Path)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--jobs", default="survey,few,many,log,dense")
    options = parser.parse_args()
    page = Page(options.runs)
    bench = options.bench.resolve() / "bench"
    with tempfile.TemporaryDirectory() as scratch:
        for job in options.jobs.split(","):
            work = {"survey": survey, "few": few, "many": many, "log": log}.get(job)
            if work:
                work(page, bench, pathlib.Path(scratch))
            else:
                dense(page, bench)
    head = ["# Results of the benchmarks", "",
            f"Written by `sh tests/bench/run.sh --runs {options.runs} --jobs {options.jobs}`; do not edit. "
            "Medians of the runs; one process a run.", "",
            machine(bench, page), "",
            "(¹) computed on a coarser grid of places and multiplied, since all would take too long.",
            "*rms error*: of the map against the known field; *stated*: root mean square of the "
            "deviations that the program states, which should come to the same."]
    options.out.write_text("\n".join(head + page.text) + "\n")


if __name__ == "__main__":
    sys.exit(main())
