"""An invented floor whose every gap is known: the log that it writes, with what a real one has wrong."""

from types import SimpleNamespace

import numpy as np

NAMES = ("A", "B", "C")
CYCLE_S, CV = (45.0, 38.0, 62.0), (0.08, 0.12, 0.10)


def floor(days=40, *, seed=1, late=0.0, slow=0.0, short=(1_320.0, 45.0), long=(4_500.0, 360.0)):
    """Two shifts a day of 8 h from 06:00, a break of 20 min after 4 h, runs of 200 molds with a change of 8 min.

    `late` is the share of changes whose label is set one mold late, `slow` by how much the last day is slower. Stops
    come on running time: mean time between and mean length, short ones and long ones.
    """
    rng = np.random.default_rng(seed)
    stamps, labels, stop_s, cycle_s, molds = [], [], 0.0, 0.0, 0
    pattern, left = 0, 200
    for shift in range(days * 2):
        begin = (shift // 2) * 86_400.0 + 6 * 3_600.0 + (shift % 2) * 8 * 3_600.0
        now, rested = begin + rng.uniform(20.0, 200.0), False
        while True:
            if not left:
                pattern, left = (pattern + 1) % 3, 200
                now += 480.0
            s = np.sqrt(np.log1p(CV[pattern] ** 2))
            cycle = CYCLE_S[pattern] * rng.lognormal(-(s**2) / 2, s) * (1.0 + slow * shift / (days * 2))
            stop = sum(rng.exponential(lasts) for every, lasts in (short, long) if rng.random() < cycle / every)
            if not rested and now - begin >= 4 * 3_600.0:
                now, rested = now + 1_200.0, True
            now += cycle + stop
            if now > begin + 8 * 3_600.0 - 60.0:
                break
            stamps.append(np.floor(now))
            labels.append(pattern)
            left, molds, stop_s, cycle_s = left - 1, molds + 1, stop_s + stop, cycle_s + cycle
    t, label = np.array(stamps), np.array(labels)
    for at in np.flatnonzero(label[1:] != label[:-1]) + 1:
        if rng.random() < late:
            label[at] = label[at - 1]
    return SimpleNamespace(t=t + 1.8e9 // 86_400 * 86_400, label=label, stop_s=stop_s, cycle_s=cycle_s, molds=molds)
