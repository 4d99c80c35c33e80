"""Conversions between units, each once. All are exact by definition."""

MIN_PER_H = 60.0
S_PER_MIN = 60.0
S_PER_H = 3600.0
KG_PER_LB = 0.45359237
"""International pound."""
N_PER_LBF = 4.4482216152605
"""Pound-force: 0.45359237 kg times 9.80665 m/s2."""
N_PER_KGF = 9.80665
M_PER_FT = 0.3048
"""International foot."""
CM_PER_IN = 2.54
AMBIENT_KPA = 101.325
"""Standard atmosphere: no vacuum is more."""
