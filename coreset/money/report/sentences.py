"""Sentences on money: what it pays, how sure, which patterns, what to study first. Never stronger than the draws."""

from __future__ import annotations

import math

from coreset.money.chances import Spread
from coreset.money.decision import Decision, Note
from coreset.money.report.names import needs, study_name
from coreset.report.numbers import digits_borne, listed, number, percent, rough
from coreset.rounding import fixed
from coreset.sources import sources, table
from coreset.text import say


def amount(value: float, currency: str = "", digits: int = 0) -> str:
    """Money with thousands set apart.

    Parameters
    ----------
    value : float
        [currency]
    currency : str
        Code behind the figure; none without it.
    digits : int
        Decimals.

    Examples
    --------
    >>> amount(34567.5, "USD").split(), amount(0.125, digits=2)
    (['34', '568', 'USD'], '0.13')
    """
    return f"{number(value, digits)} {currency}".strip()


def about(value: float, currency: str, digits: int = 2) -> str:
    """Money that has no interval of its own, in so many digits that count.

    Parameters
    ----------
    value : float
        [currency]
    currency : str
        Code behind the figure.
    digits : int
        Digits that count.

    Examples
    --------
    >>> about(136_100.4, "USD").split()
    ['140', '000', 'USD']
    """
    return f"{rough(value, digits)} {currency}".strip()


def as_borne(value: float, like: Spread, currency: str = "") -> str:
    """Money in the digits that an interval bears, whole units at most.

    Parameters
    ----------
    value : float
        [currency]
    like : Spread
        Interval of it or of its like. [currency]
    currency : str
        Code behind the figure; none without it.
    """
    return amount(value, currency, digits_borne(like.low, like.high, most=0))


def years(value: float, longest: int) -> str:
    """A payback, or that there is none within the years calculated.

    Examples
    --------
    >>> years(2.64, 10), years(float("inf"), 10)
    ('2.6 years', 'not within 10 years')
    """
    return say("money.years", years=fixed(value, 1)) if math.isfinite(value) else say("money.never", years=longest)


def note(found: Note) -> str:
    """A note in words."""
    code, blanks = found.code, dict(found.blanks)
    if code == "scrap_cannot_tell" and not math.isfinite(float(blanks["more"])):
        code = "scrap_no_end"
    shown = {name: value if isinstance(value, str) else amount(value) for name, value in blanks.items()}
    shown |= _injury_figures() if code == "injury_on" else {}
    return say(f"money.notes.{code}", **shown)


def _injury_figures() -> dict[str, str]:
    """Published averages of injury cost, each with its source; shown, never calculated with."""
    keys = {
        "society": "nsc_facts/cost_per_injury",
        "lost_time": "ncci/lost_time_claim",
        "paid": "wc_closed_claims/mean_payment",
    }
    found = {name: table(path) for name, path in keys.items()}
    shown = {name: amount(each.column("usd")[0]) for name, each in found.items()}
    shown |= {f"{name}_source": sources()[each.key].title for name, each in found.items()}
    return shown | {"society_year": found["society"].rows[0]["year"]}


def way_name(name: str) -> str:
    """A way of setting cores in words: the method's own name, or how it is paid for."""
    return say(f"money.way.{name}") if name in {"leased", "second-hand"} else name


def sentences(d: Decision) -> tuple[str, ...]:
    """What goes with the answer: worth, limit and losses, hours, handling, what to study first."""
    if d.needs:
        blanks = {"patterns": listed(d.nearest), "needs": needs(d.needs, d.currency)}
        return (say("money.limit.if_allowed", worth=_worth(d), **blanks), *_handling(d))
    found = [
        _worth(d),
        say(
            "money.limit.within" if d.mean_loss_if_it_loses else "money.limit.within_no_loss",
            chance=percent(d.chance_payback),
            limit=fixed(d.payback_limit_years, 1),
            loses=percent(d.chance_npv_negative),
            loss=about(d.mean_loss_if_it_loses, d.currency),
            bought=about(d.loss_if_bought, d.currency),
            missed=about(d.loss_if_not, d.currency),
        ),
        say(
            "money.limit.hours",
            saved=rough(d.hours_saved),
            setter=rough(d.setter_hours),
            available=amount(d.hours_available),
            overtime=amount(d.overtime_limit_h),
            sold=rough(d.molds_sold),
        ),
    ]
    found.append(
        say(
            "money.limit.annual",
            baseline=as_borne(d.equivalent_annual_cost_baseline, d.yearly_saving, d.currency),
            candidate=as_borne(d.equivalent_annual_cost_candidate, d.yearly_saving, d.currency),
            years=d.years,
        )
    )
    return (*found, *_handling(d), study_first(d))


def _handling(d: Decision) -> tuple[str, ...]:
    """The cheapest feasible way to bring all lifts down to the plant's limit; nothing where there is none."""
    if not d.cheapest_risk_step:
        return ()
    step = next(row for row in d.alternatives if row.name == d.cheapest_risk_step)
    return (say("money.limit.handling", way=way_name(step.name), cost=about(step.first_cost, d.currency, 3)),)


def remarks(d: Decision) -> tuple[str, ...]:
    """The vendor's claim against the study, and what the reader must know beside the figures."""
    meaning = say(f"money.ranges.{d.range_meaning}")
    drawn = say("money.ranges.drawn", draws=number(d.draws), seed=d.seed, meaning=meaning)
    return (*vendor(d), *(note(each) for each in d.notes), *correlation(d), drawn)


def correlation(d: Decision) -> tuple[str, ...]:
    """What the correlation that is entered does to interval and chance; nothing where none is."""
    if d.uncorrelated is None:
        return ()
    shown = {}
    for name, found, likely in (
        ("with", d.npv_spread, d.chance_npv_positive),
        ("without", d.uncorrelated.npv, d.uncorrelated.chance_npv_positive),
    ):
        shown[f"{name}_low"], shown[f"{name}_high"] = (as_borne(v, d.npv_spread) for v in (found.low, found.high))
        shown[f"{name}_chance"] = percent(likely)
    return (say("money.ranges.correlation", currency=d.currency, **shown),)


def _worth(d: Decision) -> str:
    return say(
        "money.limit.worth",
        cost=about(d.first_cost, d.currency, 3),
        saving=as_borne(d.saving_at_means, d.yearly_saving, d.currency),
        chance=percent(d.chance_npv_positive),
        years=d.years,
        rate=f"{fixed(100.0 * d.discount_rate, 1)} %",
        npv=as_borne(d.npv_at_means, d.npv_spread, d.currency),
        irr=say("money.and").join(f"{fixed(100.0 * rate, 1)} %" for rate in d.irr) or say("money.none"),
        payback=years(d.payback_years, d.years),
        whole=number(d.payback_whole_years),
        discounted=years(d.discounted_payback_years, d.years),
    )


def study_first(d: Decision) -> str:
    """Which study is worth doing before deciding, or that the decision stands."""
    worth_doing = [row for row in d.studies if row.worth_doing]
    if not worth_doing:
        return say("money.limit.stands")
    row = max(worth_doing, key=lambda each: each.net)
    worth, cost = about(row.worth, d.currency), amount(row.cost, d.currency)
    return say("money.limit.first", study=study_name(row), worth=worth, cost=cost)


def vendor(d: Decision) -> tuple[str, ...]:
    """The vendor's claim against the study, pattern by pattern, and what it would mean; empty without a claim."""
    found = [
        say(
            "money.limit.vendor_one",
            studied=fixed(row.studied_s, 1),
            low=fixed(row.low_s, 1),
            high=fixed(row.high_s, 1),
            pattern=row.pattern,
            chance=percent(row.chance_met),
        )
        for row in d.claims
    ]
    if not found:
        return ()
    npv, studied = (as_borne(value, d.npv_spread, d.currency) for value in (d.claim_npv, d.npv_at_means))
    claimed = fixed(d.claims[0].claimed_s, 1)
    return (say("money.limit.vendor", claimed=claimed, found=listed(found), npv=npv, studied=studied),)


def margins(d: Decision) -> tuple[str, ...]:
    """What the weakest pattern of the set adds, and what the first left out would."""
    worth = {row.pattern: about(row.worth, d.currency) for row in d.patterns}
    found = [say("money.sets.last_in", last=d.last_in, worth=worth[d.last_in])] if d.last_in else []
    if d.first_out:
        found.append(say("money.sets.first_out", first=d.first_out, worth=worth[d.first_out]))
    return tuple(found)


def floor(d: Decision) -> str:
    """What knowing everything would be worth, and below what there is nothing to gain."""
    evpi, noise = about(d.evpi, d.currency), about(d.noise_floor, d.currency)
    return say("money.study_floor.text", evpi=evpi, floor=noise)
