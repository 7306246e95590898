"""A lot of mat density for tests, on the small invented job: five sublots, one core each."""

from matbook.book.entry import Entry
from matbook.lots.folded import Lots, lots
from matbook.lots.results import tested_places
from matbook.lots.work import Work, places_of
from tests.shift.site import PLAN, Site, at, clock

RULE = """
[[lots]]
id = "mat"
name = "Mat density"
lift = "binder"
characteristic = "density"
unit = "%"
size = "1000 t"
sublots = 5
lower = "92.0"
floor = "90.0"
schedule = "florida-percent"
price = "100.00"
stop = "0.70"
challenge = "48 h"
clause = "8.2"
tell = ["contractor"]
"""
WITH_LOTS = PLAN.replace(
    'name = "AC 16 binder"', 'name = "AC 16 binder"\nmaximum_gravity = "2.500"'
).replace("[[plants]]", f"{RULE}[[plants]]", 1)


class Mat:
    """Writes what is tested of the lots of a site."""

    def __init__(self, plan: str = WITH_LOTS) -> None:
        self.site = Site(plan)

    def place(self, sublot: str, lot: str = "mat-1", minute: float = 0) -> Entry:
        body = {"step": "place", "lot": lot, "number": sublot}
        return self.site.write("draw", body, minute, by="greta")

    def core(
        self, sublot: str, bulk: str, lot: str = "mat-1", minute: float = 100, **more: str
    ) -> Entry:
        """A core of 1000 g whose bulk gravity is as given."""
        water = 2000.0 - 1000.0 / float(bulk) - 1000.0
        body = {"core": f"{lot}/{sublot}", "dry": "1000 g", "ssd": "1000 g"}
        body |= {"water": f"{water:.4f} g", "purpose": "acceptance", **more}
        if "draw" not in body:
            body["draw"] = self.place(sublot, lot).id
        elif not body["draw"]:
            del body["draw"]
        return self.site.write("core", body, minute, by="tess", place=at(minute))

    def cores(self, *percents: float, lot: str = "mat-1") -> None:
        """One in each sublot, in percent of a maximum gravity of 2.500."""
        for number, percent in enumerate(percents, 1):
            self.core(str(number), f"{percent * 0.025:.5f}", lot, 100 + number)

    def maximum(self, value: str = "2.500 1", lot: str = "mat-1", minute: float = 150) -> Entry:
        body = {"test": "Maximum gravity", "value": value, "purpose": "acceptance", "lot": lot}
        return self.site.write("test-result", body, minute, by="tess")

    def work(self, minute: float = 600) -> Work:
        shifts = [self.site.facts]
        draws = [fact.entry for fact in self.site.facts.of("draw")]
        places = places_of(draws, tested_places(shifts))
        return Work(shifts, self.site.facts.plan_at(clock(minute)), clock(minute), places)

    def lots(self, minute: float = 600) -> Lots:
        return lots(self.work(minute))
