"""The cash flow once more, in loops over plain numbers, written from docs/cash_flow.md alone."""

import math


def cash_flow(given, years, codes):
    """Flow of the project and of the plant's own money, now first. `given`: numbers, lists by pattern, by year."""
    i = given
    many = range(len(codes))
    pay = i["wage_per_h"] * i["employer_factor"] * (1 + i["shift_premium"] * _later_shifts(i["shifts_per_day"]))
    crew, other_crew = i["line_crew"] + i["operators_today"], i["line_crew"] + i["operators_proposed"]
    used = any(i["moved"][p] for p in many)
    first = {
        "setter": i["setter_price"] * used,
        "installation": i["installation"] * used,
        "masks": (1 + i["spare_masks"])
        * sum(i["mask_cost"][p] * i["moved"][p] for p in many if i["moved_from"][p] <= 1),
    }
    over = [p for p in many if i["moved"][p]]
    scrapped = i["commissioning_scrap"] * sum(i["cost_per_scrapped_casting"][p] for p in over) / max(len(over), 1)
    lost = i["installation_lost_hours"] * (pay * crew + i["lost_margin_per_h"]) * used
    at_once = i["training"] * used + scrapped + i["step_cost"] * used + lost
    written, taxed_later = sum(first.values()), [0.0] * years
    nets, items, on_mask, learned = [], [], [0.0] * len(codes), 0.0
    for t in range(1, years + 1):
        wage, energy, price = ((1 + i[f"{kind}_inflation"]) ** t for kind in ("wage", "energy", "price"))
        y, own = _year(i, t, many, pay, crew), _Growth(i, t)
        labor = crew * (y.made * y.saved - y.sold_more) - (other_crew - crew) * y.setter_hours
        labor *= pay * (i["hours_saved_paid"] if labor > 0 else 1)
        extra = crew * max(y.made * y.today - y.available, 0) - max(crew, other_crew) * max(
            y.made * y.method - y.available, 0
        )
        in_wages = own.labour * labor + own.overtime * i["wage_per_h"] * i["overtime_premium"] * extra
        in_wages -= own.mask_changes * pay * y.made * (other_crew * y.changes + crew * y.aside)
        molds = sum(y.molds)
        before, learned = learned, learned + molds
        if molds:
            slow = _slow(i, before, learned) * (y.setter_hours + y.made * y.changes) / molds * pay * other_crew
            in_wages -= own.ramp_up * slow
        in_wages += own.core_supply * pay * y.core_hours * (i["hours_saved_paid"] if y.core_hours > 0 else 1)
        in_wages -= own.mask_preparation * pay * y.made * i["mask_prep_min"] / 60 * y.runs
        in_prices = own.core_losses * sum(y.molds[p] * i["core_losses_saved"][p] for p in many)
        in_prices += own.throughput * y.margin
        own_cost = own.maintenance * i["maintenance_per_year"] + own.floor_space * i["floor_space_per_year"]
        in_prices -= own_cost * used * y.here
        in_prices -= own.repairs * i["repairs_per_year"] * used * _after(t, y.late + i["warranty_years"])
        in_prices -= own.mask_repair * i["mask_repair_per_year"] * (1 + i["spare_masks"]) * y.masked * y.here
        in_prices += own.injury * i["injury_cost_per_year"] * min(y.exposed, 1)
        in_prices += own.scrap * sum(
            y.molds[p] * i["castings_per_mold"][p] * i["scrap_saved"][p] * i["cost_per_scrapped_casting"][p]
            for p in many
        )
        in_energy = own.air * molds * i["air_l_per_cycle"] / 1000 * i["air_per_m3"]
        in_energy += own.electricity * y.setter_hours * i["power_kw"] * i["electricity_per_kwh"]
        masks = 0.0
        for p in many:
            worn = _masks_worn(on_mask[p], i["mask_life_molds"])
            on_mask[p] += y.molds[p]
            again = _masks_worn(on_mask[p], i["mask_life_molds"]) - worn
            masks += own.mask_replacement * again * i["mask_cost"][p] * i["moved"][p]
            if 1 < i["moved_from"][p] <= years and t == i["moved_from"][p] - 1:
                masks += own.mask_phase_in * (1 + i["spare_masks"]) * i["mask_cost"][p] * i["moved"][p]
        part = own.replacement * i["replacement_cost"] * used * price * (t == i["replacement_year"])
        bought = i["lease_buyout"] * used * (t == i["lease_years"])
        runs_on = not i["lease_years"] or not i["lease_buyout"] or t <= i["lease_years"]
        overhaul = own.overhaul * i["overhaul_cost"] * used * price * (t == i["overhaul_year"])
        total = in_wages * wage + (in_prices - masks) * price - in_energy * energy
        total -= own.lease * i["lease_per_year"] * used * runs_on + overhaul + part + bought
        items.append(total)
        lasting = part + bought + (masks * price if i["masks_capitalised"] else 0)
        shares = i["write_off_share_later"]
        used_up = 0.0
        for later in range(t, years + 1):
            share = shares[later - t]
            taxed_later[later - 1] -= share * lasting
            used_up += share
        taxed_later[t - 1] += lasting
        taxed_later[-1] -= (1 - used_up) * lasting
    for t, total in enumerate(items, start=1):
        profit = total - written * i["write_off_share"][t - 1] + taxed_later[t - 1]
        end = 0.0
        if t == 1:
            profit -= at_once
        if t == years:
            sale = i["residual"] * used
            profit += sale - written * (1 - sum(i["write_off_share"]))
            end = sale + i["working_capital"] * used
        nets.append(total + end - i["tax_rate"] * profit)
    project = [-written - at_once - i["working_capital"] * used, *nets]
    return project, _own(i, project, first["setter"], used, years)


def _after(t, years):
    """Share of year t that is later than so many years from now."""
    return min(max(t - years, 0), 1)


def _later_shifts(shifts):
    return max(shifts - 1, 0) / shifts


def _masks_worn(molds, life):
    return max(math.ceil(molds / life * (1 - 1e-12)) - 1, 0) if life else 0


def _slow(i, start, stop):
    """Time lost by the molds from start to stop while learning, in molds at standard time."""
    last, slow = i["ramp_up_molds"], i["ramp_up_start"]
    if last <= 1 or slow <= 1:
        return 0.0
    b = math.log(slow) / math.log(last)
    return sum(slow * m**-b - 1 for m in range(int(min(start, last)) + 1, int(min(stop, last)) + 1))


class _Growth:
    """What each item has grown by the end of year t beyond the inflation of its kind."""

    def __init__(self, i, t):
        self._given, self._t = i, t

    def __getattr__(self, item):
        return (1 + self._given[f"{item}_growth"]) ** self._t


class _Year:
    """What one year makes."""


def _year(i, t, many, pay, crew):
    y = _Year()
    share = [i["volume_share"][p][t - 1] for p in many]
    y.late = i["delivery_months"] / 12
    y.here = _after(t, y.late)
    able = [i["moved"][p] * (t >= i["moved_from"][p]) * i["holds"][p] for p in many]
    over = [able[p] * y.here for p in many]
    by_hand = [1 / i["rate_today"][p] for p in many]
    full = [able[p] * (1 - i["downtime_share"]) * (by_hand[p] - 1 / i["rate_proposed"][p]) for p in many]
    gain = [full[p] * y.here for p in many]
    then = [by_hand[p] - gain[p] for p in many]
    asked = [i["molds_per_year"][p] * share[p] for p in many]
    change, going = i["mask_change_min"] / 60, [over[p] * (share[p] > 0) for p in many]
    y.changes = change * sum(going[p] * i["runs_per_year"][p] for p in many)
    after = [sum(i["follow"][q][p] * going[q] for q in many) for p in many]
    y.aside = change * sum((1 - able[p]) * (share[p] > 0) * after[p] for p in many)
    y.today = sum(asked[p] * by_hand[p] for p in many)
    y.saved = sum(asked[p] * gain[p] for p in many)
    y.method = y.today - y.saved + y.changes + y.aside
    y.available = max(
        i["hours_per_shift"] * i["shifts_per_day"] * i["days_per_year"] - i["other_line_hours_per_year"], 0
    )
    slower = max(y.today, y.method)
    y.made = min((y.available + i["overtime_limit_h_per_year"]) / slower, 1) if slower else 1
    margin = [i["margin_per_casting"][p] * i["castings_per_mold"][p] for p in many]
    floor = pay * crew * i["hours_saved_paid"]
    sold = {}
    for name, hours, free in (("now", by_hand, y.available - y.today), ("then", then, y.available - y.method)):
        left, sold[name] = max(free, 0), [0.0] * len(asked)
        for p in sorted(many, key=lambda p: -margin[p] * i["rate_today"][p]):
            demand = i["extra_molds_per_year"][p] * i["saved_hours_used"] * (margin[p] > floor * hours[p]) * hours[p]
            sold[name][p] = min(left, demand) / hours[p]
            left -= min(left, demand)
    y.sold_more = sum(sold["then"][p] * then[p] - sold["now"][p] * by_hand[p] for p in many)
    y.margin = sum(margin[p] * (sold["then"][p] - sold["now"][p]) for p in many)
    y.molds = [over[p] * (asked[p] * y.made + sold["then"][p]) for p in many]
    y.core_hours = sum(y.molds[p] * i["core_hours_saved"][p] for p in many)
    y.runs = sum(going[p] * i["runs_per_year"][p] for p in many)
    y.setter_hours = sum(y.molds[p] * (by_hand[p] - full[p]) for p in many)
    y.masked = sum(i["moved"][p] * (t >= i["moved_from"][p]) * (share[p] > 0) for p in many)
    y.exposed = sum(i["exposure_removed"][p] * going[p] for p in many)
    return y


def _own(i, project, setter, used, years):
    """The flow of the plant's own money: a balance of the loan, and the grant."""
    loan, grant, rate, n = i["loan_share"] * setter, i["grant"] * used, i["loan_rate"], int(i["loan_years"])
    payment = loan / n if not rate else loan * rate / (1 - (1 + rate) ** -n)
    flow, owed, shares = list(project), loan, i["write_off_share"]
    flow[0] += loan + grant
    for t in range(1, years + 1):
        if t <= n:
            flow[t] += i["tax_rate"] * rate * owed - payment
            owed = owed * (1 + rate) - payment
        flow[t] -= i["tax_rate"] * grant * (shares[t - 1] + (1 - sum(shares) if t == years else 0))
    return flow


def worth(rate, flow):
    """Present value."""
    return sum(amount / (1 + rate) ** t for t, amount in enumerate(flow))
