"""Density as it is tested, for tests: strips, gauges and cores of the small invented job."""

from typing import Any

from matbook.book.entry import Entry
from matbook.book.pen import ShiftName
from matbook.lots.testing import Testing, calls, testing
from matbook.lots.work import Work, places_of
from matbook.shift.calls import Call
from matbook.shift.facts import Facts
from tests.lots.mat import WITH_LOTS
from tests.shift.site import NEXT, Site, at, clock

RULES = """
[control_strip]
length = "60 m"
readings = 3
section = 5
mean = "98.0"
single = "95.0"
every = "100 t"
clause = "8.3"
source = "Invented"
tell = ["contractor"]
[gauge]
repeats = "8 kg/m3"
tell = ["supervisor"]
"""
GAUGE = """
[[instruments]]
id = "gauge-1"
name = "Gauge 1"
kind = "gauge"
serial = "G-1"
due = "2027-01-01"
"""
PERSON = 'id = "tess"\nname = "Tess Lund"\nrole = "technician"\n'
CERTIFIED = f'{PERSON}certificate = "G 7"\ncertificate_due = "2026-12-31"\n'
BARE = WITH_LOTS.replace("[[people]]", f"{GAUGE}[[people]]", 1).replace(PERSON, CERTIFIED)
PLAN = BARE.replace("[[plants]]", f"{RULES}[[plants]]", 1)
NEEDS = {"basis": "maximum", "method": "gauge", "purpose": "process"}
HOT = ((2, 2210, 135), (4, 2290, 125), (6, 2312, 112), (7, 2318, 104), (8, 2315, 98))
"""The engine's own example of a growth that comes to its top."""
FALLING = ((2, 2210, 135), (4, 2290, 125), (6, 2318, 112), (8, 2280, 104))
COLD = ((2, 2210, 95), (4, 2250, 85), (6, 2252, 78), (7, 2254, 74))
TOMORROW = 24 * 60.0


class Bench:
    """Writes what density is tested with and on."""

    def __init__(self, plan: str = PLAN) -> None:
        self.site = Site(plan)

    def density(
        self, density: str | None, minute: float, at_m: float = 100.0, /, **more: Any
    ) -> Entry:
        body = {**NEEDS, **more} | ({} if density is None else {"density": density})
        shift = {"shift": NEXT} if minute >= TOMORROW else {}
        return self.site.write(
            "density", body, minute, by="tess", place=at(at_m), instrument="gauge-1", **shift
        )

    def grow(
        self, readings: Any = HOT, at_m: float = 100.0, strip: str = "S", minute: float = 0
    ) -> None:
        """A place of a strip, read after so many passes."""
        for n, (passes, density, temp) in enumerate(readings):
            more = {"strip": strip, "passes": passes, "temp": f"{temp} degC"}
            self.density(f"{density} kg/m3", minute + n, at_m, **more)

    def count(self, count: int | None, minute: float = 0, result: str = "within") -> Entry:
        body = {"result": result} | ({} if count is None else {"density_count": count})
        shift = {"shift": NEXT} if minute >= TOMORROW else {}
        return self.site.write(
            "gauge-check", body, minute, by="tess", instrument="gauge-1", **shift
        )

    def core(self, name: str, minute: float = 60, at_m: float = 100.0, **more: Any) -> Entry:
        return self.site.write("core", {"core": name, **more}, minute, by="tess", place=at(at_m))

    def bulk(self, name: str, gravity: str, minute: float = 90) -> Entry:
        body = {"test": "bulk gravity", "value": f"{gravity} 1", "sample": name}
        return self.site.write("test-result", body | {"purpose": "process"}, minute, by="tess")

    def custody(self, name: str, step: str, minute: float, **more: str) -> Entry:
        return self.site.write("custody", {"sample": name, "step": step, **more}, minute, by="tess")

    def work(self, minute: float = 600) -> Work:
        shifts = [self.site.facts]
        if any(entry.shift == NEXT for entry in self.site.entries):
            shifts.append(Facts(ShiftName.read(NEXT), self.site.entries))
        draws = [fact.entry for fact in self.site.facts.of("draw")]
        drawn = places_of(draws, {draw.id for draw in draws})
        return Work(shifts, self.site.facts.plan_at(clock(minute)), clock(minute), drawn)

    def found(self, minute: float = 600) -> Testing:
        return testing(self.work(minute))

    def calls(self, minute: float = 600) -> dict[str, Call]:
        work = self.work(minute)
        return {call.code: call for call in calls(work, testing(work))}
