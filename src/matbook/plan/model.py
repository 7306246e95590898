"""The plan as read: plain frozen records, SI inside, ids as the plan writes them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from matbook.engine.schedule_reader import pay_schedule
from matbook.engine.schedules import Composite, PaySchedule
from matbook.engine.spread import WidthLaw
from matbook.engine.stationing import Stationing
from matbook.plan.rules import (
    USUAL,
    CompositeRule,
    Deduction,
    GaugeRule,
    LotRule,
    StripRule,
)

Role = Literal["inspector", "technician", "supervisor", "contractor", "plant"]
Grade = Literal["watch", "act"]
Side = Literal["min", "max", "within"]


@dataclass(frozen=True, slots=True)
class Job:
    id: str
    name: str
    owner: str
    units: Literal["metric", "us"]
    time_zone: str
    """IANA name; for people and for the edge, never looked up in the core."""
    contract: str = ""
    paper: Literal["a4", "us-letter"] = "a4"
    rounding: Literal["half-even", "half-up", "truncate"] = "half-even"
    note: str = ""
    """A line printed on every record, such as that the job is invented."""


@dataclass(frozen=True, slots=True)
class Road:
    id: str
    name: str
    stationing: Stationing
    place: str = ""


@dataclass(frozen=True, slots=True)
class Site:
    """Where the job lies, and how its weather is read."""

    latitude_deg: float
    longitude_deg: float
    wind_height_m: float = 1.5
    laydown_loss_k: float = 5.0
    """Lost between truck and screed."""
    roller_water_m: float = 0.0
    """Depth of water that rollers leave on the mat until it is rolled for density, in all."""


@dataclass(frozen=True, slots=True)
class Ground:
    """One layer under the first lift."""

    id: str
    material: str
    thickness_m: float


@dataclass(frozen=True, slots=True)
class Phase:
    """A phase of rolling, by mean temperature of the mat."""

    id: str
    name: str
    ends_c: float
    starts_c: float | None = None
    mix: str = ""
    passes: int | None = None
    rollers: tuple[str, ...] = ()
    makes_density: bool = True
    speed_m_s: float | None = None
    overlap_m: float | None = None
    efficiency: float | None = None
    strip_m: float | None = None
    standoff_m: float = 5.0


@dataclass(frozen=True, slots=True)
class Order:
    """What is rolled first at a joint, an edge or on a slope; for people to watch."""

    id: str
    where: str
    first: str
    laps_m: float | None = None
    keeps_off_m: float | None = None
    clause: str = ""
    source: str = ""
    standing: str = ""


@dataclass(frozen=True, slots=True)
class Lane:
    id: str
    name: str
    road: str
    from_m: float
    to_m: float
    """Paving runs from `from_m` to `to_m`; `to_m` may be the smaller."""
    widths: WidthLaw


@dataclass(frozen=True, slots=True)
class Area:
    """Paved, but outside the lane: driveway, taper, handwork, levelling, ramp, shoulder."""

    id: str
    name: str
    kind: str
    area_m2: float | None = None
    lift: str = ""


@dataclass(frozen=True, slots=True)
class Reach:
    """Mass per length of levelling from one station to the next."""

    from_m: float
    to_m: float
    mass_kg_m: float


@dataclass(frozen=True, slots=True)
class Lift:
    id: str
    name: str
    mix: str
    thickness_m: float | None
    spread_kg_m2: float | None
    """Target spread; None for levelling, which goes by mass per station."""
    lanes: tuple[str, ...]
    budget_kg: float | None = None
    levelling: tuple[Reach, ...] = ()
    roll_down: float | None = None
    """Share of loose depth lost in rolling."""


@dataclass(frozen=True, slots=True)
class Mix:
    id: str
    name: str
    design: str = ""
    maximum_gravity: str = ""
    target_density: str = ""
    density_basis: str = ""
    density_kg_m3: float | None = None
    """Compacted density that turns spread into thickness."""
    rolling_ends_c: float | None = None
    """Mean of the mat below which rolling makes no more density."""
    opens_below_c: float | None = None
    tender_from_c: float | None = None
    tender_to_c: float | None = None


@dataclass(frozen=True, slots=True)
class Limit:
    """One line of what was agreed; `number` is the limit as printed, whose digits count."""

    id: str
    quantity: str
    side: Side
    number: str
    unit: str
    grade: Grade
    method: Literal["absolute", "rounded"] = "rounded"
    clause: str = ""
    source: str = ""
    standing: str = ""
    mix: str = ""
    lift: str = ""
    lane: str = ""
    tell: tuple[str, ...] = ()
    """Ids or roles of the people to tell."""


@dataclass(frozen=True, slots=True)
class Check:
    """A check that falls due: the first few, then every so many loads, kg, metres or seconds."""

    id: str
    name: str
    kind: str
    """Entries of this kind fulfil it."""
    first: int = 0
    every: float | None = None
    per: Literal["loads", "mass", "distance", "time", "events"] = "loads"
    of: Mapping[str, str] = field(default_factory=dict)
    """Body fields that the entry must carry, such as {"stage": "laydown"}."""
    resets: tuple[str, ...] = ()
    """What starts the count again: lane, lift, stop."""
    at: tuple[str, ...] = ()
    """Events at each of which it falls due: open, start, stop, lane, lift, end."""
    clause: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class ListLine:
    """One line of a checklist, and why it matters."""

    item: str
    why: str = ""
    hold: bool = False
    """Work waits here for somebody's word: a hold point."""


@dataclass(frozen=True, slots=True)
class Checklist:
    """Lines to look at when something happens in the shift."""

    id: str
    name: str
    at: tuple[str, ...]
    lines: tuple[ListLine, ...]
    clause: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Tack:
    """Tack coat as it was agreed: what stays of it, and how well its tank is read."""

    material: str
    residue: float
    product: str = ""
    base: str = "60 degF"
    target_m: float | None = None
    """Residual rate aimed at, m3/m2."""
    tank_error_m3: float = 0.025
    """Half-width of the 95 % range of a tank reading; assumed where the plan doesn't say."""


@dataclass(frozen=True, slots=True)
class Hauling:
    """The haul as it is planned."""

    load_kg: float | None = None
    cycle_s: float | None = None
    trucks: int | None = None
    closes: str = ""
    """Time of day by which the last mix must be finished."""
    finishing_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Plant:
    id: str
    name: str
    numbers: Literal["job", "plant", "none"]
    """How tickets are numbered: for this job alone, plant-wide, or not at all."""
    unit: str
    columns: Mapping[str, str] = field(default_factory=dict)
    """Heading in the plant's ticket file for each of our fields."""


@dataclass(frozen=True, slots=True)
class Truck:
    id: str
    name: str = ""
    tare_kg: float | None = None
    legal_gross_kg: float | None = None
    limit_set: str = ""
    spacings_m: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Machine:
    """A paver or a roller."""

    id: str
    name: str
    kind: str
    holds_kg: float = 0.0
    """Mix a paver and its transfer vehicle hold that may not be laid yet."""
    tow_arm_m: float | None = None
    width_m: float | None = None
    frequency_hz: float | None = None
    pace_m_s: float | None = None
    """A paver's, as planned."""


@dataclass(frozen=True, slots=True)
class Instrument:
    id: str
    name: str
    kind: str
    serial: str = ""
    calibrated: str = ""
    due: str = ""


@dataclass(frozen=True, slots=True)
class Person:
    id: str
    name: str
    role: Role
    firm: str = ""
    phone: str = ""
    mail: str = ""
    certificate: str = ""
    """To operate a density gauge."""
    certificate_due: str = ""


@dataclass(frozen=True)
class Plan:
    job: Job
    roads: Mapping[str, Road]
    lanes: Mapping[str, Lane]
    areas: Mapping[str, Area]
    lifts: Mapping[str, Lift]
    mixes: Mapping[str, Mix]
    limits: tuple[Limit, ...]
    checks: tuple[Check, ...]
    plants: Mapping[str, Plant]
    trucks: Mapping[str, Truck]
    pavers: Mapping[str, Machine]
    rollers: Mapping[str, Machine]
    instruments: Mapping[str, Instrument]
    people: Mapping[str, Person]
    station_error_m: float
    """Half-width of the 95 % range of a station as the inspector reads it."""
    acceptance: Mapping[str, Any]
    document: Mapping[str, Any]
    """The TOML as read, which later changes are applied to; never altered."""
    site: Site | None = None
    ground: tuple[Ground, ...] = ()
    phases: tuple[Phase, ...] = ()
    orders: tuple[Order, ...] = ()
    even_within_m: float = 50.0
    """Along so much mat surface temperatures are held against each other."""
    lists: tuple[Checklist, ...] = ()
    paper_m: float | None = None
    """Width of the roll of paper laid under ramps."""
    paper_lap_m: float = 0.0
    tonight: tuple[str, ...] = ()
    """What is to be looked at before traffic returns."""
    release: tuple[str, ...] = ()
    """Kinds of entry that the contractor may see as they were written."""
    lots: tuple[LotRule, ...] = ()
    control_strip: StripRule | None = None
    gauge: GaugeRule = USUAL
    composites: tuple[CompositeRule, ...] = ()
    deductions: tuple[Deduction, ...] = ()
    schedules: Mapping[str, PaySchedule | Composite] = field(default_factory=dict)
    """The owner's own, by name; those that ship are found by `schedule` as well."""
    tack: Tack | None = None
    haul: Hauling = field(default_factory=Hauling)

    @cached_property
    def limits_found(self) -> dict[tuple[str, str, str, str], tuple[Limit, ...]]:
        """What `judge.limits_for` has looked up so far: it is asked for every reading."""
        return {}

    def schedule(self, name: str) -> PaySchedule:
        """A pay schedule of the plan's own, or one that ships; raises NotFound."""
        own = self.schedules.get(name)
        return own if isinstance(own, PaySchedule) else pay_schedule(name)

    def road_of(self, lane: str) -> Road:
        """The road that a lane belongs to; KeyError if the plan has no such lane."""
        return self.roads[self.lanes[lane].road]


__all__ = [
    "Area",
    "Check",
    "Checklist",
    "CompositeRule",
    "Deduction",
    "GaugeRule",
    "Ground",
    "Hauling",
    "Instrument",
    "Job",
    "Lane",
    "Lift",
    "Limit",
    "ListLine",
    "LotRule",
    "Machine",
    "Mix",
    "Order",
    "Person",
    "Phase",
    "Plan",
    "Plant",
    "Reach",
    "Road",
    "Site",
    "StripRule",
    "Tack",
    "Truck",
]
