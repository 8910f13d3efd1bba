"""Pairs our segmentation with the FPOP of skchange (PyPI; numba) on the same samples, alternately, in the same run.

    python -m venv venv && venv/bin/pip install skchange==0.18.0 numba
    cargo build --release -p trace --example segment_file
    venv/bin/python pair.py PATH/TO/segment_file [SIZES, default 1000000] [ROUNDS, default 5]

Single thread; the least processor time of all rounds counts, since other work on the machine only adds. The peer is
warmed up (compiled) first, and runs in one process all the while; ours starts anew each round and takes the least of three. Prints times, ratios, and how far the costs are apart.

Measured (skchange 0.18.0 by its public FPOP, numba 0.68.1, Python 3.11, rustc 1.95, one of two shared cores of a server
processor that was busy otherwise):

    n   100000 changes     10: peer   8.46 M/s, plain  25.18 M/s (0.34 x its time), bounded  12.58 M/s (0.67 x); costs apart 0.0e+00
    n   100000 changes    500: peer  11.28 M/s, plain  28.54 M/s (0.40 x its time), bounded  12.90 M/s (0.87 x); costs apart -6.6e-16
    n  1000000 changes     10: peer   7.86 M/s, plain  17.62 M/s (0.45 x its time), bounded  10.00 M/s (0.79 x); costs apart 9.3e-16
    n  1000000 changes   5000: peer  12.34 M/s, plain  20.44 M/s (0.60 x its time), bounded   9.58 M/s (1.29 x); costs apart -1.7e-15
    n 10000000 changes     10: peer   4.83 M/s, plain  14.54 M/s (0.33 x its time), bounded   8.37 M/s (0.58 x); costs apart 1.1e-15

Wanted at 10^6: plain 0.6, bounded 1.5 times the peer's time. Six rounds on two cores shared with a dozen other processes; the 10^7 line
is older and from a quieter machine. Growth in log-log slope from 10^5 to 10^7 then: few changes, plain 1.12, bounded 1.09; many, plain
1.06, bounded 1.08 (wanted 1.15). `segment` is single-threaded; `segment_halves`, which `analyse` uses for long records, is not.
"""
import os, subprocess, sys, tempfile, time

import numpy as np
from skchange.detectors import FPOP


def steps(n, changes, seed=1):
    random = np.random.default_rng(seed)
    length = n // (changes + 1) + 1
    levels = 5.0 * random.standard_normal(changes + 1)
    return levels[np.arange(n) // length] + random.standard_normal(n)


def cost(y, firsts, penalty):
    edges = [0, *firsts, len(y)]
    parts = [y[a:b] for a, b in zip(edges, edges[1:])]
    return sum(float(np.sum((p - p.mean()) ** 2)) for p in parts) + penalty * (len(parts) - 1)


def main():
    ours = sys.argv[1]
    sizes = [int(x) for x in (sys.argv[2] if len(sys.argv) > 2 else "1000000").split(",")]
    rounds = int(sys.argv[3]) if len(sys.argv) > 3 else 5
    FPOP(penalty=1.0).fit(np.zeros((100, 1))).predict(np.zeros((100, 1)))
    with tempfile.TemporaryDirectory() as folder:
        for n in sizes:
            for changes in (10, n // 200):
                y = steps(n, changes)
                penalty = 2.0 * float(np.log(n))
                column = y.reshape(-1, 1)
                path = os.path.join(folder, "samples.f64")
                y.astype("<f8").tofile(path)
                peer, plain, bounded = float("inf"), float("inf"), float("inf")
                for _ in range(rounds):
                    start = time.thread_time()
                    found = FPOP(penalty=penalty).fit(column).predict(column)
                    peer = min(peer, time.thread_time() - start)
                    a = subprocess.run([ours, path, "plain", repr(penalty), "3"], capture_output=True, text=True, check=True)
                    b = subprocess.run([ours, path, "bounded", repr(penalty), "3"], capture_output=True, text=True, check=True)
                    plain = min(plain, float(a.stdout.split()[0]))
                    bounded = min(bounded, float(b.stdout.split()[0]))
                reached = float(a.stdout.split()[1])
                other = cost(y, [int(c) for c in found], penalty)
                print(f"n {n:>8} changes {changes:>6}: peer {n / peer / 1e6:6.2f} M/s, plain {n / plain / 1e6:6.2f} M/s "
                      f"({plain / peer:.2f} x its time), bounded {n / bounded / 1e6:6.2f} M/s ({bounded / peer:.2f} x); "
                      f"costs apart {(reached - other) / other:.1e}", flush=True)


main()
