"""Pairs our segmentation with the FPOP of skchange (PyPI; numba) on the same samples, alternately, in the same run.

    python -m venv venv && venv/bin/pip install skchange==0.18.0 numba
    cargo build --release -p trace --example segment_file
    venv/bin/python pair.py PATH/TO/segment_file [SIZES, default 1000000] [ROUNDS, default 5]

Single thread; the least processor time of all rounds counts, since other work on the machine only adds. The peer is
warmed up (compiled) first, and runs in one process all the while; ours starts anew each round and takes the least of three. Prints times, ratios, and how far the costs are apart.

Measured (skchange 0.18.0, numba 0.68.1, Python 3.11, rustc 1.95, one of two shared cores of a server processor, two rounds):

    n   100000 changes     10: peer   9.01 M/s, plain  24.97 M/s (0.36 x its time), bounded  12.81 M/s (0.70 x); costs apart 2.9e-16
    n   100000 changes    500: peer  12.03 M/s, plain  28.31 M/s (0.42 x its time), bounded  11.59 M/s (1.04 x); costs apart -6.6e-16
    n  1000000 changes     10: peer   7.46 M/s, plain  16.76 M/s (0.45 x its time), bounded   7.62 M/s (0.98 x); costs apart 9.3e-16
    n  1000000 changes   5000: peer  12.52 M/s, plain  18.81 M/s (0.67 x its time), bounded  10.63 M/s (1.18 x); costs apart -1.7e-15
    n 10000000 changes     10: peer   5.36 M/s, plain  14.79 M/s (0.36 x its time), bounded   5.25 M/s (1.02 x); costs apart 1.1e-15

Wanted at 10^6: plain 0.6, bounded 1.5 times the peer's time. Plain with many changes misses that. Growth in log-log slope from 10^5 to
10^7, few changes: plain 1.11, bounded 1.19 (wanted 1.15).
"""
import os, subprocess, sys, tempfile, time

import numpy as np
from skchange.detectors._fpop import _backtrack, _fpop_mean


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
    _backtrack(_fpop_mean(np.zeros(100), 1.0))
    with tempfile.TemporaryDirectory() as folder:
        for n in sizes:
            for changes in (10, n // 200):
                y = steps(n, changes)
                penalty = 2.0 * float(np.log(n))
                path = os.path.join(folder, "samples.f64")
                y.astype("<f8").tofile(path)
                peer, plain, bounded = float("inf"), float("inf"), float("inf")
                for _ in range(rounds):
                    start = time.thread_time()
                    found = _backtrack(_fpop_mean(y, penalty))
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
