"""What compressed air costs: from the compressor's power to money a year and a cubic metre of free air."""

from __future__ import annotations

from coreset.errors import OutOfRange

KW_PER_HP = 0.746  # [doe_air]
M3_PER_CUBIC_FOOT = 0.028316846592  # exact, from 0.3048 m
MINUTES = 60.0


def compressor_cost(
    *, power_hp: float, hours: float, price_per_kwh: float, time_share: float, load: float, efficiency: float
) -> float:
    """Energy cost of a compressor in one state of load. [currency/year]

    Parameters
    ----------
    power_hp : float
        Brake power at full load. [hp]
    hours : float
        Running hours. [h/year]
    price_per_kwh : float
        Electricity. [currency/kWh]
    time_share, load : float
        Share of the hours in this state, and share of full-load power in it. [-]
    efficiency : float
        Motor efficiency in this state. [-]

    Returns
    -------
    float
        power x 0.746 x hours x price x time share x load / efficiency.

    References
    ----------
    [doe_air].

    Examples
    --------
    >>> round(compressor_cost(power_hp=215, hours=6800, price_per_kwh=0.05, time_share=0.85, load=1, efficiency=0.95))
    48792
    """
    if not 0 < efficiency <= 1:
        raise OutOfRange(f"efficiency must be above 0 and at most 1, got {efficiency}")
    return power_hp * KW_PER_HP * hours * price_per_kwh * time_share * load / efficiency


def cost_per_m3(*, kw_per_100_cfm: float, price_per_kwh: float) -> float:
    """Energy cost of one cubic metre of free air. [currency/m3]

    Examples
    --------
    >>> round(cost_per_m3(kw_per_100_cfm=18.0, price_per_kwh=0.081), 4)
    0.0086
    """
    return kw_per_100_cfm * price_per_kwh / (100.0 * MINUTES * M3_PER_CUBIC_FOOT)
