"""Finds the multipliers of src/chance.rs: Korobov lattices in six dimensions.

Among all odd multipliers (a sample of them for the largest lattice) whose P2
(worst-case error for smooth periodic functions, Sloan & Joe 1994, weight 0.6 per
dimension) is within half above the best, the one whose shifted normal scores
have the least largest correlation. Deterministic, no packages.
Run: python3 lattice.py
"""

from math import pi, sqrt
from statistics import NormalDist

DIMS = 6
GOLDEN = (sqrt(5) - 1) / 2


def steps(n, a):
    out = [1]
    for _ in range(DIMS - 1):
        out.append(out[-1] * a % n)
    return out


def p2(n, a, weight=0.6):
    kernel = [1 + weight * 2 * pi * pi * ((i / n) ** 2 - i / n + 1 / 6) for i in range(n)]
    total = 0.0
    for i in range(n):
        product = 1.0
        for g in steps(n, a):
            product *= kernel[i * g % n]
        total += product
    return total / n - 1


def correlation(n, a):
    score = [NormalDist().inv_cdf((i + 0.5) / n) for i in range(n)]
    shift = [int(((j + 1) * GOLDEN) % 1 * n) for j in range(DIMS)]
    z = [[score[(i * g + s) % n] for i in range(n)] for g, s in zip(steps(n, a), shift)]
    pairs = [(j, k) for j in range(DIMS) for k in range(j)]
    return max(abs(sum(x * y for x, y in zip(z[j], z[k])) / n) for j, k in pairs)


for n, stride in ((256, 2), (512, 2), (1024, 2), (32768, 1024)):
    ranked = sorted((p2(n, a), a) for a in range(3, n // 2, stride))
    good = [a for value, a in ranked if value <= 1.5 * ranked[0][0]]
    best = min((correlation(n, a), a) for a in good)
    print(n, "multiplier", best[1], "P2 %.3f (best %.3f)" % (p2(n, best[1]), ranked[0][0]),
          "largest correlation %.4f" % best[0])
