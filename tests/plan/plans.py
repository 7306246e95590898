"""A small plan with every table that a plan may have, for tests to spoil. All of it is invented."""

import time
from collections.abc import Callable, Iterable
from typing import Final

import pytest

from matbook.errors import PlanRefused
from matbook.plan.reader import read_plan

PLAN: Final = """\
matbook = 1
adopt = ["common-practice/ramp-ratio"]

[job]
id = "ridge"
name = "Ridge Road"
owner = "Merrow County"
time_zone = "America/Halifax"
units = "metric"

[reading]
station_error = "0.5 m"

[[roads]]
id = "ridge"
name = "Ridge Road"
stationing = "1000m"
equations = [["2+600.00", "2+650.00"]]

[[roads]]
id = "lane"
name = "Mill Lane"
stationing = "100ft"
foot = "ftUS"

[[lanes]]
id = "E"
name = "Eastbound lane"
road = "ridge"
from = "2+400"
to = "3+400"
width = "3.65 m"

[[lanes]]
id = "W"
name = "Westbound lane"
road = "ridge"
from = "3+400"
to = "2+400"
widths = [
  { at = "2+400", width = "3.65 m", then = "linear" },
  { at = "3+000", width = "4.20 m" },
]

[[areas]]
id = "driveway"
name = "Driveway"
kind = "driveway"
lift = "surface"
area = "24 m2"

[[lifts]]
id = "surface"
name = "Surface course"
mix = "ac11"
lanes = ["E", "W"]
thickness = "50 mm"
spread = "118 kg/m2"
budget = "435 t"
roll_down = "20 %"

[[lifts]]
id = "levelling"
name = "Levelling course"
mix = "ac11"
lanes = ["E"]
levelling = [{ from = "2+400", to = "2+600", mass = "5.5 t/100m" }]

[[mixes]]
id = "ac11"
name = "AC 11 surface"
maximum_gravity = "2.512"
target_density = "93.0 %"
density_basis = "maximum"
density = "2360 kg/m3"
adopt = ["en-13108-1/plant-50-70"]
temperatures = [
  { stage = "delivery", low = "115 degC", high = "160 degC", grade = "act", tell = ["plant"] },
]

[[limits]]
id = "yield-last"
quantity = "yield.last"
side = "within"
number = "5.0"
unit = "%"
grade = "watch"
clause = "5.1"
source = "the contract"
standing = "agreed"
lift = "surface"
tell = ["contractor", "ana"]

[[limits]]
id = "cold"
quantity = "temperature.laydown"
side = "min"
number = "110"
unit = "degC"
grade = "act"
method = "absolute"

[[checks]]
id = "probe"
name = "Temperature on delivery"
kind = "load"
of = { temp = "*" }
first = 5
every = "5 loads"

[[checks]]
id = "loose-depth"
name = "Loose depth"
kind = "loose-depth"
first = 3
every = "30 m"
resets = ["lane", "stop"]

[[lots]]
id = "mat"
name = "Mat density"
lift = "surface"
characteristic = "density"
unit = "%"
size = "500 t"
sublots = 5
lower = "92.0"
schedule = "florida-percent"
price = "95.00"
challenge = "48 h"

[[lots]]
id = "thin"
name = "Thickness"
lift = "surface"
characteristic = "thickness"
unit = "mm"
sublots = 3
upper = "80"
schedule = "colorado-quality-level"

[[lots]]
id = "joint"
name = "Joint density"
lift = "surface"
characteristic = "joint density"
size = "500.0 t"
unit = "%"
sublots = 4
schedule = "corps-joint-density"
outlier = "0.05"

[[composites]]
id = "whole"
name = "Mat and joint"
recipe = "corps-mat-and-joint"
of = { mat = "mat", joint = "joint" }
joint = "joint"
band = "3.0 m"

[[deductions]]
id = "streaks"
name = "Streaks of low density"
lots = "mat"
sign = "cold streak"
each = "500.00"

[control_strip]
length = "90 m"
mean = "98.0"
single = "95.0"
every = "2000 t"

[gauge]
drift = "1.0"
turned = "2.5 pcf"

[acceptance]
lots = [{ size = 500, cap = 1.02, last = true }]

[[plants]]
id = "east"
name = "Quarry East"
numbers = "job"
unit = "t"
columns = { ticket = "Ticket No", net = "Net t", temp = "" }

[[trucks]]
id = "12"
tare = "11.34 t"
legal_gross = "36.0 t"

[[trucks]]
id = "14"
limit_set = "ontario"
spacings = ["1.5 m", "4.2 m"]

[[pavers]]
id = "P1"
name = "Paver 1"
holds = "8 t"
tow_arm = "2.6 m"
width = "3.65 m"

[[rollers]]
id = "R1"
name = "Breakdown roller"
kind = "steel vibratory"
width = "2.0 m"
frequency = "50 Hz"

[[instruments]]
id = "probe-7"
name = "Probe 7"
kind = "probe"
calibrated = "2026-04-20"
due = "2026-10-20"

[[people]]
id = "ana"
name = "Ana Berg"
role = "inspector"

[[people]]
id = "dale"
name = "Dale Fenn"
role = "contractor"

[[people]]
id = "rika"
name = "Rika Sand"
role = "plant"
"""


def spoilt(*pairs: str) -> str:
    """The plan with pieces replaced, each by the one after it."""
    text = PLAN
    for old, new in zip(pairs[::2], pairs[1::2], strict=True):
        assert text.count(old) == 1, f"{old!r} is there {text.count(old)} times"
        text = text.replace(old, new)
    return text


def mistakes(text: str) -> list[tuple[str, str]]:
    """Every mistake of a plan that must have some."""
    with pytest.raises(PlanRefused) as refused:
        read_plan(text)
    return list(refused.value.mistakes)


def quickest(works: Iterable[Callable[[], object]]) -> float:
    """Processor time of the quickest of some works [s]."""
    taken = []
    for work in works:
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)
