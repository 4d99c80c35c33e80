"""Write reference/conformance/*.csv: inputs and outputs of each method in one form, from the published tables.

Run it after a change of a table that is read here. tests/test_conformance.py fails where the files are behind.
"""

import csv
import io
from functools import partial
from pathlib import Path

from coreset.sources import table, tables

TARGET = Path(__file__).parents[1] / "reference" / "conformance"
TABLES_1_TO_3 = {
    "table1_horizontal_metric": ("hm", "metric"), "table1_horizontal_us": ("hm", "us"),
    "table2_vertical_metric": ("vm", "metric"), "table2_vertical_us": ("vm", "us"),
    "table3_travel_metric": ("dm", "metric"), "table3_travel_us": ("dm", "us"),
}  # fmt: skip
BELOW_AND_AT = {"low": {"metric": "74.9", "us": "29.9"}, "high": {"metric": "75", "us": "30"}}
"""V that stands for the column below the reference height, and for the other."""
LIFT = (
    "load_lb", "horizontal_in", "vertical_in", "vertical_origin_in", "travel_in", "asymmetry_deg", "frequency_per_min",
    "duration", "coupling", "hm", "vm", "dm", "am", "fm", "cm", "rwl_lb", "li", "status", "source",
)  # fmt: skip


def named(path):
    """Rows of a table with `status` and `source` in each."""
    found = table(path)
    for row in found.rows:
        yield {**row, "status": found.row_status(row), "source": found.source}


def multipliers():
    """Each cell of Tables 1 to 5 and 7 of the manual."""
    for name, (multiplier, units) in TABLES_1_TO_3.items():
        for row in named(f"waters1994/{name}"):
            yield {
                "multiplier": multiplier,
                "units": units,
                "input": next(iter(row.values())),
                "printed": row[multiplier],
            } | told(row)
    for row in named("waters1994/table4_asymmetry"):
        yield {"multiplier": "am", "units": "metric", "input": row["asymmetry_deg"], "printed": row["am"]} | told(row)
    for row in named("waters1994/table5_frequency"):
        for duration in ("short", "moderate", "long"):
            for column, heights in BELOW_AND_AT.items():
                cell = {"multiplier": "fm", "units": "us", "input": row["frequency_per_min"], "duration": duration}
                yield cell | {"vertical": heights["us"], "printed": row[f"{duration}_{column}"]} | told(row)
    for row in named("waters1994/table7_coupling"):
        for column, heights in BELOW_AND_AT.items():
            cell = {"multiplier": "cm", "units": "us", "input": row["coupling"], "vertical": heights["us"]}
            yield cell | {"printed": row[f"cm_{column}"]} | told(row)


def told(row):
    """How well a row was read, and where."""
    return {"status": row["status"], "source": row["source"]}


def lifts():
    """Worked examples of single tasks in inches and pounds, each end a row."""
    for path in ("waters1994/examples_single_task", "waters1994/examples_both_ends"):
        origin = {row["example"]: row["vertical_in"] for row in named(path) if row["end"] == "origin"}
        for row in named(path):
            cells = {name: row.get(name, "") for name in LIFT}
            yield {"case": f"{row['example']} {row['end']}", **cells, "vertical_origin_in": origin[row["example"]]}


def composites():
    """Composite indices: loads, limits and paces of the tasks of a job as lists."""
    rows = list(named("waters1994/example_cli"))
    lists = {name: " ".join(row[name] for row in rows) for name in ("load_lb", "firwl_lb", "frequency_per_min")}
    yield {"case": "section 2.4.5", **lists, "duration": "short", "printed": "1.9"} | told(rows[0])
    for row in named("waters1994/composite_order"):
        limits = " ".join("1" for _ in row["fili"].split())
        cell = {"case": f"order {row['frequency_per_min']}", "load_lb": row["fili"], "firwl_lb": limits}
        yield {**row, **cell, "printed": row["index"]}


def money():
    """Flows with a printed worth, rate, payback or yearly cost."""
    for path in tables():
        key, _, name = path.partition("/")
        rows = list(named(path)) if name == "examples" else []
        if rows and {"kind", "rate", "flow", "printed"} <= set(rows[0]):
            for row in rows:
                yield {**row, "case": f"{key} {row['example']}"}


def two_stages():
    """Two stages of equal cycles with places between: by chances to fail and be repaired, or by minutes of a repair."""
    for path in ("buzacott1967/two_stage_line", "groover/two_stage_line"):
        for row in named(path):
            yield {"downtime": "geometric", **row}


def shares():
    """Shares of the cost written off by year, as percentages; no quarter is the half-year convention."""
    yield from named("irs946/table_a1_half_year")
    yield from named("irs946/tables_a2_to_a5_mid_quarter")


def examples(name):
    """Worked examples of that name, whichever publication prints them."""
    for path in tables():
        if path.endswith(f"/{name}"):
            for row in named(path):
                yield {**row, "case": f"{path.partition('/')[0]} {row['example']}"}


def heat():
    """Reference values of WBGT by edition, class of metabolic rate and moving of the air."""
    for edition in ("1989", "2017"):
        for row in named(f"iso7243_{edition}/limits"):
            yield {"edition": edition, **row}


def allowances():
    """Rest allowances as percent of basic time by table, cause and condition; a range is printed as such."""
    for key in ("ilo1957", "ilo1979"):
        for row in named(f"{key}/allowances"):
            yield {"table": key, **row}


METHODS = {
    "lifting_multipliers": (multipliers, "multiplier,units,input,duration,vertical,printed,status,source"),
    "lifting_equation": (lifts, ",".join(("case", *LIFT))),
    "composite_index": (composites, "case,load_lb,firwl_lb,frequency_per_min,duration,printed,status,source"),
    "sequential_index": (partial(named, "waters2007/rotations"), "example,own,whole_shift,hours,index,status,source"),
    "variable_index": (
        partial(named, "waters2016/variable_index"),
        "example,fili,weight,total_per_min,vertical_cm,duration,index,status,source",
    ),
    "factored_limits": (
        partial(named, "en1005_2/factored_limits"),
        "rwl_kg,load_kg,hands,persons,hours,extra_tasks,limit_kg,index,status,source",
    ),
    "team_lifting": (partial(named, "hse2004/team_lifting"), "persons,numerator,denominator,status,source"),
    "static_rest": (
        partial(named, "rohmert1960/static_rest"),
        "hold_min,share_of_strength,endurance_min,rest_share,status,source",
    ),
    "rating_scales": (partial(named, "bs3138/rating_scales"), "scale,daywork,incentive,unity,status,source"),
    "two_stage_line": (
        two_stages,
        "downtime,p_fail_1,p_repair_1,p_fail_2,p_repair_2,cycle_min,stops_per_cycle,repair_min,buffer,efficiency,status,source",
    ),
    "standard_time": (
        partial(examples, "standard_times"),
        "case,basis,allowance,ratings,readings,observed,normal,standard,tolerance_standard,tolerance_normal,status,source",
    ),
    "money_measures": (money, "case,kind,rate,flow,printed,status,source"),
    "macrs": (shares, "class_years,quarter,year,percent,status,source"),
    "readings_needed": (
        partial(examples, "sample_sizes"),
        "case,mean,sd,readings,z,share,error,before_rounding,tolerance,needed,status,source",
    ),
    "learning_curve": (
        partial(examples, "learning"),
        "case,first,rate,units,unit_times,totals,tolerance_unit,tolerance_total,status,source",
    ),
    "strain_index": (partial(named, "moore1995/examples"), "ie,de,em,hwp,sw,dd,si,status,source"),
    "revised_strain_index": (
        partial(named, "garg2017/indices"),
        "effort_borg,efforts_per_min,exertion_s,wrist_deg,hours,im,em,dm,pm,hm,rsi,status,source",
    ),
    "strain_sums": (partial(named, "garg2017cosi/sums"), "kind,indices,amounts,index,status,source"),
    "energy_terms": (
        partial(named, "garg1978/terms"),
        "term,men,body_kg,load_kg,low_m,high_m,distance_m,speed_m_s,kcal,status,source",
    ),
    "permeability": (
        partial(named, "afs_moldtest/examples"),
        "pressure_cm_water,time_s,permeability_afs,status,source",
    ),
    "heat_work_minutes": (
        partial(named, "niosh2016/rest_share"),
        "work_c,work_w,rest_c,rest_w,acclimatized,work_min,status,source",
    ),
    "worth_of_information": (
        partial(named, "information_items/decisions"),
        "example,chances,worths,best_mean,with_perfect,perfect,positive_chances,sample,sample_tolerance,status,source",
    ),
    "control_chart_factors": (
        partial(named, "nist_handbook/control_chart"),
        "n,d2,d3,upper_d4,lower_d3,a2,status,source",
    ),
    "energy_limits": (partial(named, "waters1993/energy_limits"), "zone,duration,share,kcal_per_min,status,source"),
    "heat_limits": (heat, "edition,class,above_w,to_w,air,acclimatized_c,not_acclimatized_c,status,source"),
    "carrying_limits": (
        partial(named, "iso11228_2003/carrying"),
        "distance_m,f_max_per_min,kg_per_min,kg_per_h,kg_per_8h,status,source",
    ),
    "rest_allowances": (allowances, "table,cause,condition,mass_lb,mass_kg,percent,status,source"),
}


def listing(method):
    """A file's text."""
    rows, columns = METHODS[method]
    out = io.StringIO()
    writer = csv.DictWriter(out, columns.split(","), restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows())
    return out.getvalue()


if __name__ == "__main__":
    TARGET.mkdir(exist_ok=True)
    for method in METHODS:
        (TARGET / f"{method}.csv").write_text(listing(method), encoding="utf-8")
