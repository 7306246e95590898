"""Reading a plan file: every mistake at once, each with its place and what is allowed."""

import re
import tomllib
from collections.abc import Callable, Mapping
from difflib import get_close_matches
from typing import Any, Final

from matbook.engine import units
from matbook.engine.spread import Width
from matbook.engine.stationing import Stationing
from matbook.errors import PlanRefused, Refused
from matbook.plan.forms import INNER, OTHERS, SINGLES, TABLES, Key
from matbook.plan.limit_sets import ready_limit
from matbook.plan.model import (
    Area,
    Check,
    Instrument,
    Job,
    Lane,
    Lift,
    Limit,
    Machine,
    Mix,
    Person,
    Plan,
    Plant,
    Reach,
    Road,
    Truck,
)
from matbook.plan.quantities import quantities
from matbook.plan.values import Wrong, read

FORM: Final = 1
"""Version of the plan's form that this reads."""
LONGEST: Final = 200_000
STATION_ERROR_M: Final = 0.0
"""A plan that doesn't say how well stations are read adds nothing to the range."""

_JOB_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


def read_plan(text: str) -> Plan:
    """Read a plan from its TOML text.

    Raises:
        PlanRefused: With every mistake, each as its place and a sentence.
    """
    if len(text) > LONGEST:
        raise PlanRefused([("plan", f"it has more than {LONGEST} characters.")])
    try:
        document = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise PlanRefused([("plan", f"it is not TOML: {error}.")]) from None
    return plan_of(document)


def plan_of(document: Mapping[str, Any]) -> Plan:
    """A plan from its opened document; raises PlanRefused with every mistake."""
    return _Reading(document).plan()


class _Reading:
    """One reading of a document, collecting mistakes as it goes."""

    def __init__(self, document: Mapping[str, Any]) -> None:
        self.document = document
        self.mistakes: list[tuple[str, str]] = []
        self.rows: dict[str, dict[str, dict[str, Any]]] = {}
        self.ids: dict[str, set[str]] = {}

    def wrong(self, place: str, given: object, allowed: str) -> None:
        shown = f"“{given}”" if isinstance(given, str) else str(given)
        shown = shown if len(shown) <= 60 else shown[:57] + "…"
        self.mistakes.append((place, f"{shown} is not allowed: {allowed}."))

    def plan(self) -> Plan:
        self._top()
        singles = {name: self._single(name) for name in SINGLES}
        for name in TABLES:
            self._table(name)
        self._references()
        roads = self._made("roads", self._road)
        lanes = self._made("lanes", lambda place, row: self._lane(place, row, roads))
        lifts = self._made("lifts", lambda place, row: self._lift(place, row, lanes, roads))
        limits = [*self._limits(), *self._stage_limits(), *self._adopted()]
        for place, found in self._twice([limit.id for limit in limits]):
            self.wrong(place, found, "each limit needs an id of its own")
        job = self._job(singles["job"])
        if self.mistakes or job is None:
            raise PlanRefused(self.mistakes)
        return Plan(
            job=job,
            roads=roads,
            lanes=lanes,
            areas=self._made("areas", lambda _, r: Area(**_named(r, area="area_m2"))),
            lifts=lifts,
            mixes=self._made("mixes", _mix),
            limits=tuple(limits),
            checks=tuple(self._made("checks", _check).values()),
            plants=self._made("plants", lambda _, row: Plant(**row)),
            trucks=self._made("trucks", _truck),
            pavers=self._made("pavers", lambda _, row: _machine(row, "paver")),
            rollers=self._made("rollers", lambda _, row: _machine(row, "")),
            instruments=self._made("instruments", lambda _, row: Instrument(**row)),
            people=self._made("people", lambda _, row: Person(**row)),
            station_error_m=singles["reading"].get("station_error", STATION_ERROR_M),
            acceptance=self.document.get("acceptance", {}),
            document=self.document,
        )

    # The tables, key by key

    def _top(self) -> None:
        if self.document.get("matbook") != FORM:
            given = self.document.get("matbook", "")
            self.wrong("matbook", given, f"the first line of a plan is: matbook = {FORM}")
        known = (*OTHERS, *SINGLES, *TABLES)
        for name, value in self.document.items():
            if name not in known:
                self.wrong(name, name, _suggest("a plan has no such table", name, known))
            elif name in TABLES and not _is_rows(value):
                self.wrong(name, value, f"write each as a table [[{name}]]")
            elif name in SINGLES and not isinstance(value, dict):
                self.wrong(name, value, f"write it as a table [{name}]")
        for name in ("roads", "lanes", "lifts", "mixes", "plants", "people"):
            if not self.document.get(name):
                self.wrong(name, "", f"a plan needs at least one [[{name}]]")

    def _single(self, name: str) -> dict[str, Any]:
        value = self.document.get(name, {})
        return self._keys(name, SINGLES[name], value) if isinstance(value, dict) else {}

    def _table(self, name: str) -> None:
        raw = self.document.get(name, [])
        self.rows[name], self.ids[name] = {}, set()
        for number, row in enumerate(raw if _is_rows(raw) else [], 1):
            label = f" “{row['id']}”" if isinstance(row.get("id"), str) else ""
            place = f"{name}[{number}]{label}"
            found = self._keys(place, TABLES[name], row)
            if "id" in found:
                if found["id"] in self.ids[name]:
                    self.wrong(f"{place}, id", found["id"], "another one has this id already")
                self.ids[name].add(found["id"])
            self.rows[name][place] = found

    def _keys(self, place: str, form: Mapping[str, Key], row: Mapping[str, Any]) -> dict[str, Any]:
        found = {}
        for name, value in row.items():
            if name not in form:
                self.wrong(place, name, _suggest("it has no such key", name, form))
                continue
            got = read(form[name], value)
            if isinstance(got, Wrong):
                self.wrong(f"{place}, {name}", value, got.allowed)
            else:
                found[name] = got
        for name, key in form.items():
            if key.need and name not in row:
                self.wrong(place, name, "it is missing")
        return found

    def _references(self) -> None:
        people = self.ids["people"] | set(TABLES["people"]["role"].of)
        for table, rows in self.rows.items():
            for place, row in rows.items():
                for name, value in row.items():
                    key = TABLES[table][name]
                    if key.takes in ("ref", "refs"):
                        self._known(f"{place}, {name}", value, self.ids[key.of[0]], key.of[0])
                    elif key.takes == "people":
                        self._known(f"{place}, {name}", value, people, "people or roles")

    def _known(self, place: str, value: Any, known: set[str], what: str) -> None:
        for one in [value] if isinstance(value, str) else value:
            if one not in known:
                allowed = f"it must be one of the {what} ({', '.join(sorted(known)) or 'none yet'})"
                self.wrong(place, one, allowed)

    def _made(self, table: str, make: Callable[[str, dict[str, Any]], Any]) -> dict[str, Any]:
        """The records of a table, of rows that have all they need."""
        needs = [name for name, key in TABLES[table].items() if key.need]
        made = {}
        for place, row in self.rows[table].items():
            if all(name in row for name in needs):
                record = make(place, dict(row))
                if record is not None:
                    made[row["id"]] = record
        return made

    # Records that need more than their own keys

    def _job(self, row: dict[str, Any]) -> Job | None:
        if "id" in row and not _JOB_ID.fullmatch(row["id"]):
            self.wrong("job, id", row["id"], "it must be lower-case letters, digits and hyphens")
        needs = [name for name, key in SINGLES["job"].items() if key.need]
        return Job(**row) if all(name in row for name in needs) else None

    def _road(self, place: str, row: dict[str, Any]) -> Road | None:
        try:
            stationing = Stationing(row["stationing"], row.get("equations", ()))
        except Refused as error:
            self.wrong(f"{place}, equations", error.given, error.allowed)
            return None
        return Road(row["id"], row["name"], stationing, row.get("place", ""))

    def _station(self, place: str, road: Road, text: str) -> float | None:
        try:
            return road.stationing.parse(text)
        except Refused as error:
            self.wrong(place, text, error.allowed)
            return None

    def _lane(self, place: str, row: dict[str, Any], roads: Mapping[str, Road]) -> Lane | None:
        names = list(self.ids["roads"])
        name = row.get("road") or (names[0] if len(names) == 1 else "")
        if not name:
            self.wrong(f"{place}, road", "", "there are several roads: say which")
        if name not in roads:
            return None
        road = roads[name]
        from_m = self._station(f"{place}, from", road, row["from"])
        to_m = self._station(f"{place}, to", road, row["to"])
        if from_m is None or to_m is None:
            return None
        if from_m == to_m:
            self.wrong(f"{place}, to", row["to"], "a lane must have a length")
        widths = self._widths(place, row, road, min(from_m, to_m))
        return Lane(row["id"], row["name"], name, from_m, to_m, widths) if widths else None

    def _widths(
        self, place: str, row: dict[str, Any], road: Road, start_m: float
    ) -> tuple[Width, ...]:
        if ("width" in row) == ("widths" in row):
            self.wrong(place, "width", "give either a width or a list of widths")
            return ()
        if "width" in row:
            return (Width(start_m, row["width"]),)
        found = []
        for at, raw in self._inner(place, "widths", row["widths"]):
            station = self._station(f"{at}, at", road, raw["at"])
            if station is not None:
                found.append(Width(station, raw["width"], raw.get("then", "step")))
        ordered = tuple(sorted(found, key=lambda width: width.at_m))
        if len({width.at_m for width in ordered}) < len(ordered):
            self.wrong(f"{place}, widths", "two widths", "they must stand at different stations")
            return ()
        return ordered

    def _inner(
        self, place: str, name: str, rows: list[dict[str, Any]]
    ) -> list[tuple[str, dict[str, Any]]]:
        """Rows of an inner table that have all they need."""
        needs = [key for key, spec in INNER[name].items() if spec.need]
        found = []
        for number, raw in enumerate(rows, 1):
            at = f"{place}, {name}[{number}]"
            row = self._keys(at, INNER[name], raw)
            if all(key in row for key in needs):
                found.append((at, row))
        return found

    def _lift(
        self,
        place: str,
        row: dict[str, Any],
        lanes: Mapping[str, Lane],
        roads: Mapping[str, Road],
    ) -> Lift | None:
        if ("spread" in row) == ("levelling" in row):
            self.wrong(place, "spread", "give either a spread or levelling by mass per station")
            return None
        reaches = []
        first = lanes.get(row["lanes"][0]) if row["lanes"] else None
        for at, raw in self._inner(place, "levelling", row.get("levelling", [])):
            if first is None:
                continue
            road = roads[first.road]
            from_m = self._station(f"{at}, from", road, raw["from"])
            to_m = self._station(f"{at}, to", road, raw["to"])
            if from_m is not None and to_m is not None:
                reaches.append(Reach(from_m, to_m, raw["mass"]))
        return Lift(
            row["id"],
            row["name"],
            row["mix"],
            row.get("thickness"),
            row.get("spread"),
            row["lanes"],
            row.get("budget"),
            tuple(reaches),
            row.get("roll_down"),
        )

    # Limits

    def _limits(self) -> list[Limit]:
        made: list[Limit] = []
        for place, row in self.rows["limits"].items():
            if all(name in row for name, key in TABLES["limits"].items() if key.need):
                self._fits(f"{place}, unit", row["quantity"], row["unit"])
                made.append(Limit(**row))
        return made

    def _fits(self, place: str, quantity: str, unit: str) -> None:
        """A limit must be in a unit of what it speaks of."""
        measured = quantities()[quantity]
        if units.dimension(unit) != measured.dimension:
            allowed = ", ".join(units.units_of(measured.dimension))
            self.wrong(place, unit, f"{quantity} is measured in one of {allowed}")

    def _stage_limits(self) -> list[Limit]:
        """Temperatures by stage, each end a limit of its own."""
        made = []
        for place, mix in self.rows["mixes"].items():
            for at, row in self._inner(place, "temperatures", mix.get("temperatures", [])):
                self._known(f"{at}, tell", row.get("tell", ()), self._tellable(), "people or roles")
                raw = self._raw_stage(mix.get("id", ""), at)
                for end, side in (("low", "min"), ("high", "max")):
                    if end in row:
                        made.append(_stage_limit(mix.get("id", ""), row, str(raw[end]), end, side))
                if "low" not in row and "high" not in row:
                    self.wrong(at, "", "give low, or high, or both")
        return made

    def _tellable(self) -> set[str]:
        return self.ids["people"] | set(TABLES["people"]["role"].of)

    def _raw_stage(self, mix: str, at: str) -> Mapping[str, Any]:
        """The stage as the file writes it, so that its digits are kept."""
        number = int(at.rsplit("[", 1)[1].rstrip("]"))
        raw = next(row for row in self.document["mixes"] if row.get("id") == mix)
        stage: Mapping[str, Any] = raw["temperatures"][number - 1]
        return stage

    def _adopted(self) -> list[Limit]:
        """Ready-made limits that the plan takes over by name."""
        names = self.document.get("adopt", [])
        if not isinstance(names, list):
            self.wrong("adopt", names, "it must be a list such as [“common-practice/…”]")
            return []
        made = []
        for name in names:
            found = ready_limit(name) if isinstance(name, str) else None
            if found is None:
                self.wrong("adopt", name, "there is no such ready-made limit; write set/limit")
            else:
                made.append(found)
        return made

    def _twice(self, ids: list[str]) -> list[tuple[str, str]]:
        return [("limits", one) for one in sorted({one for one in ids if ids.count(one) > 1})]


def _stage_limit(mix: str, row: Mapping[str, Any], raw: str, end: str, side: Any) -> Limit:
    amount = units.parse(raw)
    return Limit(
        id=f"{mix}-{row['stage']}-{end}",
        quantity=f"temperature.{row['stage']}",
        side=side,
        number=amount.digits,
        unit=amount.unit,
        grade=row.get("grade", "watch"),
        clause=row.get("clause", ""),
        source=row.get("source", ""),
        standing=row.get("standing", ""),
        mix=mix,
        tell=row.get("tell", ()),
    )


def _named(row: dict[str, Any], **names: str) -> dict[str, Any]:
    """A row with some keys under the names that records use."""
    return {names.get(name, name): value for name, value in row.items()}


def _mix(place: str, row: dict[str, Any]) -> Mix:
    row.pop("temperatures", None)
    if "target_density" in row:
        row["target_density"] = f"{row['target_density'] * 100:g} %"
    return Mix(**_named(row, density="density_kg_m3"))


def _check(place: str, row: dict[str, Any]) -> Check:
    every = row.pop("every", None)
    if every is None:
        return Check(**row)
    return Check(**row, every=every.amount, per=every.per)


def _truck(place: str, row: dict[str, Any]) -> Truck:
    names = {"tare": "tare_kg", "legal_gross": "legal_gross_kg", "spacings": "spacings_m"}
    return Truck(**_named(row, **names))


def _machine(row: dict[str, Any], kind: str) -> Machine:
    names = {"holds": "holds_kg", "tow_arm": "tow_arm_m", "width": "width_m"}
    return Machine(**{"kind": kind, **_named(row, **names, frequency="frequency_hz")})


def _is_rows(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(row, dict) for row in value)


def _suggest(why: str, name: str, known: Any) -> str:
    near = get_close_matches(name, list(known), n=1)
    return f"{why}; did you mean “{near[0]}”" if near else f"{why}; it has {', '.join(known)}"
