"""What a lot is worth: the names that others rely on, in one place.

Percent within limits is in `quality`, its range in `quality_range`; schedules are in `schedules`,
their files are read by `schedule_reader` and checked by `schedule_faults`; `paying` puts results
into a schedule, `composites` puts factors together; `prospects` looks ahead within a lot, `risk` at
what a schedule pays for work of every quality.
"""

from matbook.engine.composites import (
    composite,
    composite_adjustment,
    composite_of,
    event_deduction,
    joint_weighted,
    project_factors,
)
from matbook.engine.many_lots import percents_within_limits, pwl_of_lots
from matbook.engine.paying import (
    Pay,
    curve_points,
    few_tests_factor,
    pay_factor,
    price_adjustment,
)
from matbook.engine.prospects import PayForecast, forecast_pay, next_results
from matbook.engine.quality import (
    conventions,
    percent_within_limits,
    pwl,
    quality_for,
    quality_index,
)
from matbook.engine.quality_range import PercentRange, pwl_range, true_percent
from matbook.engine.risk import RiskCurve, RiskPoint, mean_within, pay_curve
from matbook.engine.schedule_reader import (
    pay_composite,
    pay_composites,
    pay_schedule,
    pay_schedules,
    read_schedule,
)
from matbook.engine.schedules import (
    Band,
    Bands,
    Composite,
    Group,
    Least,
    PaySchedule,
    Polynomial,
    Try,
)

__all__ = [
    "Band",
    "Bands",
    "Composite",
    "Group",
    "Least",
    "Pay",
    "PayForecast",
    "PaySchedule",
    "PercentRange",
    "Polynomial",
    "RiskCurve",
    "RiskPoint",
    "Try",
    "composite",
    "composite_adjustment",
    "composite_of",
    "conventions",
    "curve_points",
    "event_deduction",
    "few_tests_factor",
    "forecast_pay",
    "joint_weighted",
    "mean_within",
    "next_results",
    "pay_composite",
    "pay_composites",
    "pay_curve",
    "pay_factor",
    "pay_schedule",
    "pay_schedules",
    "percent_within_limits",
    "percents_within_limits",
    "price_adjustment",
    "project_factors",
    "pwl",
    "pwl_of_lots",
    "pwl_range",
    "quality_for",
    "quality_index",
    "read_schedule",
    "true_percent",
]
