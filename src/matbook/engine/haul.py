"""The haul: the names that others rely on, in one place.

Trucks and pace on paper are in `trucks`, a day with so many of them in `before`, the last loads of
the day in `cutoff`, the long run in `queues`; what the shift's own times say is in `rhythm` and
`bunches`; the coming hour is in `outlook`, where the trucks are now in `fleet`, one future event by
event in `hauling`, what would keep the paver moving in `remedies`.
"""

from matbook.engine.before import OnPaper, on_paper
from matbook.engine.bunches import Bunching, bunching
from matbook.engine.chance import Chance
from matbook.engine.cutoff import CutOff, cut_off, last_departure
from matbook.engine.fleet import Truck
from matbook.engine.hauling import Haul
from matbook.engine.outlook import Outlook, forecast
from matbook.engine.queues import FiniteSource, finite_source
from matbook.engine.remedies import Remedy, steady_pace, trucks_to_add
from matbook.engine.rhythm import Rhythm, Rhythms, Trip, rhythm, rhythms
from matbook.engine.trucks import (
    StopAndGo,
    keeps_up_to,
    paver_speed,
    rate_with_stock,
    stop_and_go,
    trucks_for_shift,
    trucks_needed,
)

__all__ = [
    "Bunching",
    "Chance",
    "CutOff",
    "FiniteSource",
    "Haul",
    "OnPaper",
    "Outlook",
    "Remedy",
    "Rhythm",
    "Rhythms",
    "StopAndGo",
    "Trip",
    "Truck",
    "bunching",
    "cut_off",
    "finite_source",
    "forecast",
    "keeps_up_to",
    "last_departure",
    "on_paper",
    "paver_speed",
    "rate_with_stock",
    "rhythm",
    "rhythms",
    "steady_pace",
    "stop_and_go",
    "trucks_for_shift",
    "trucks_needed",
    "trucks_to_add",
]
