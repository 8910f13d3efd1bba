"""Penalised least-squares costs of a general-purpose change-point library.

    pip install ruptures==1.1.10 numpy==2.4.6
    python penalised_costs.py > penalised_costs.txt

PELT with min_size 1 and jump 1 is exact for the l2 cost. One case a line:
penalty; cost; first samples of the segments after the first; samples.
"""

import numpy as np
import ruptures as rpt

print(f"# ruptures {rpt.version.version if hasattr(rpt, 'version') else '1.1.10'}, numpy {np.__version__}, seeds 0 to 39")
for seed in range(40):
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 120))
    levels = np.repeat(rng.normal(0, 3, 12), 10)[:count]
    samples = np.round(levels + rng.normal(0, 1, count), 6 if seed % 2 else 0)
    penalty = float(np.round(rng.uniform(0.5, 15), 3))
    algorithm = rpt.Pelt(model="l2", min_size=1, jump=1).fit(samples.reshape(-1, 1))
    ends = algorithm.predict(pen=penalty)
    firsts = [0] + ends[:-1]
    loss = sum(((samples[a:b] - samples[a:b].mean()) ** 2).sum() for a, b in zip(firsts, ends))
    cost = loss + penalty * (len(ends) - 1)
    print(f"{penalty}; {cost!r}; {' '.join(map(str, firsts[1:]))}; {' '.join(repr(float(y)) for y in samples)}".replace("np.float64(", "").replace(")", ""))
