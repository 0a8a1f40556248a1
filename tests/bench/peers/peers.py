"""DBSCAN by scikit-learn, in a process of its own: peers.py dbscan FOLDER small|large. Prints "dbscan sklearn seconds MB", best of three."""
import resource
import sys
import time

import numpy
from sklearn.cluster import DBSCAN

task, folder, size = sys.argv[1:4]
points = numpy.loadtxt(f"{folder}/points_{size}.csv", delimiter=",", skiprows=1)[:, :2]
best = 1e9
for _ in range(3):
    start = time.perf_counter()
    DBSCAN(eps=50, min_samples=8, n_jobs=2).fit(points)
    best = min(best, time.perf_counter() - start)
print(task, "sklearn", f"{best:.4f}", resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
