"""A log reduced by a general library: read the table, mean a stop. python3 reduce_log.py LOG.csv"""

import json
import sys
import time

import numpy as np

start = time.perf_counter()
data = np.loadtxt(sys.argv[1], delimiter=",", skiprows=1)
after_read = time.perf_counter()
# Stops where the angle changes; the first three tenths of a second are settling, given, not found.
edges = np.flatnonzero(np.diff(data[:, 1])) + 1
starts, ends = np.concatenate([[0], edges]), np.concatenate([edges, [len(data)]])
sums = np.concatenate([[0.0], np.cumsum(data[:, 2])])
means = (sums[ends] - sums[np.minimum(starts + 30, ends - 1)]) / np.maximum(ends - starts - 30, 1)
end = time.perf_counter()
print(json.dumps({"seconds": end - start, "read_s": after_read - start, "readings": len(means)}))
