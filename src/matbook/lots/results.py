"""Results: what was tested, in a lot's unit, and whether it counts for the lot or why not.

Only an acceptance result from a drawn place, by the basis and method that the plan names, enters
a lot. Everything else is kept and shown as what it is.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from typing import Final

from matbook.book.forms import opened
from matbook.engine.density import density_of, percent_of_maximum
from matbook.engine.rounding import exact, places, round_to
from matbook.engine.units import convert, dimension, si_unit
from matbook.errors import Refused
from matbook.lots.bulk import as_written, bulk_of, bulk_result, bulks
from matbook.lots.gravity import Maximum, maxima, maximum_of, own_of, same_test
from matbook.lots.work import Place, Work, rule_of, theirs
from matbook.plan.model import Plan
from matbook.plan.rules import LotRule
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Figure, figure, read

DENSITY: Final = "density"
COUNTS: Final = "counts"
STATES: Final = (
    *(COUNTS, "process", "information", "verification", "contractor"),
    *("not-drawn", "sublot", "basis", "method", "retest", "replaced", "outlier"),
    *("waiting", "unit", "refused"),
)
"""Whether a result counts, or what keeps it from that; the first that applies."""


@dataclass(frozen=True, slots=True)
class Result:
    """One result of a lot, or of none."""

    fact: Fact
    shift: str
    rule: LotRule
    lot: str
    """Its lot's name; empty where it belongs to none."""
    sublot: int | None
    state: str
    value: Figure | None = None
    """In the rule's unit, rounded as the limits are printed; None where there is none yet."""
    sample: str = ""
    why: str = ""
    """Of a value that can't be worked out: the sentence."""
    provisional: bool = False
    known: datetime | None = None
    """When its value was known: a core waits for its laboratory."""
    disputed: bool = False
    """Somebody disagrees with it; it counts all the same until it is struck."""
    contested: tuple[Figure, ...] = ()
    """Its values by the other corrections of an entry that was corrected more than once."""

    @property
    def known_at(self) -> datetime:
        return self.known or self.fact.at

    @property
    def counts(self) -> bool:
        return self.state == COUNTS


KINDS: Final = ("density", "core", "test-result", "sample", "disagreement")
AT_PLACES: Final = ("density", "core", "sample")
"""Kinds that may name the place they were drawn at."""


def results(work: Work) -> tuple[Result, ...]:
    """Every result that is of a lot or should be, in reading order; retests are yet to settle."""
    return work.kept("results", KINDS, lambda: _results(work))


def _results(work: Work) -> tuple[Result, ...]:
    return tuple(sorted(_Tests(work).all(), key=lambda one: one.fact.order))


class _Tests:
    """Reads the results of every kind."""

    def __init__(self, work: Work) -> None:
        self.work, self.plan = work, work.plan
        own = maxima(work)
        self.maxima: dict[str, Maximum | None] = {}
        self._own = own
        self.bulks = bulks(work)
        self.samples = {
            fact.text(kind): str(fact.body.get("draw", ""))
            for kind in ("sample", "core")
            for _, fact in work.of(kind)
        }
        self.disputed = {fact.text("about") for _, fact in work.of("disagreement")}

    def all(self) -> Iterator[Result]:
        for facts, fact in self.work.of("density"):
            yield from self._density(facts, fact)
        for facts, fact in self.work.of("core"):
            yield from self._core(facts, fact)
        for facts, fact in self.work.of("test-result"):
            yield from self._test(facts, fact)

    # Kinds

    def _density(self, facts: Facts, fact: Fact) -> Iterator[Result]:
        if fact.text("method") == "core" and fact.text("reference") in self.samples:
            return  # the core has an entry of its own
        place = self.work.places.get(fact.text("draw"))
        for one in self._begun(facts, fact, place, fact.text("method"), fact.text("basis")):
            yield self._valued(one, self._percent)

    def _core(self, facts: Facts, fact: Fact) -> Iterator[Result]:
        place = self.work.places.get(fact.text("draw"))
        for one in self._begun(facts, fact, place, "core", "maximum"):
            result = bulk_result(self.plan, fact, self.bulks)
            known = None if result is None else max(fact.at, result.at)
            told = one.disputed or (result is not None and result.id in self.disputed)
            named = replace(one, sample=fact.text("core"), known=known, disputed=told)
            found = self._valued(named, self._of_core)
            if result is not None:  # the laboratory's entry may be contested as the core's may
                contested = self._contested(replace(named, fact=result), self._of_bulk)
                found = replace(found, contested=(*found.contested, *contested))
            yield found
            yield from self._tested_too(named, result)

    def _tested_too(self, core: Result, own: Fact | None) -> Iterator[Result]:
        """What else was found of a core: the other side's, a verification, an older result."""
        for facts, fact in self.bulks.get(core.sample, ()):
            if fact is own:
                continue
            place = Place(core.lot, core.sublot)
            one = self._one(facts, fact, core.rule, place, fact.text("purpose"))
            if one.counts:
                one = replace(one, state="replaced")
            yield self._valued(replace(one, sample=core.sample), self._of_bulk)

    def _test(self, facts: Facts, fact: Fact) -> Iterator[Result]:
        """A result of the laboratory, under the lot that it names."""
        rule = rule_of(self.plan, fact.text("lot"))
        if rule is None or not same_test(fact, rule.characteristic):
            return
        drawn = self.work.places.get(self.samples.get(fact.text("sample"), ""))
        place = Place(fact.text("lot"), drawn.sublot if drawn else None)
        one = self._one(facts, fact, rule, place, fact.text("purpose"))
        yield self._valued(replace(one, sample=fact.text("sample")), _in_unit)

    def _begun(
        self, facts: Facts, fact: Fact, place: Place | None, method: str, basis: str
    ) -> Iterator[Result]:
        """A density as a result of the lot of its place; acceptance without one, of no lot."""
        purpose = fact.text("purpose")
        rule = rule_of(self.plan, place.lot) if place else None
        if rule is None:
            found = (one for one in self.plan.lots if _is_for(one, fact, method))
            rule = next(found, None) if purpose == "acceptance" else None
            if rule is not None:
                yield replace(self._one(facts, fact, rule, Place("", None), purpose),
                              state="not-drawn")  # fmt: skip
            return
        assert place is not None
        one = self._one(facts, fact, rule, place, purpose or "acceptance")
        if one.counts and rule.basis != basis:
            one = replace(one, state="basis")
        if one.counts and rule.method != method:
            one = replace(one, state="method")
        yield one

    def _one(self, facts: Facts, fact: Fact, rule: LotRule, place: Place, purpose: str) -> Result:
        state = COUNTS if purpose == "acceptance" else purpose
        if theirs(self.plan, fact):
            state = "contractor"
        if state == COUNTS and place.lot and not 1 <= (place.sublot or 0) <= rule.sublots:
            state = "sublot" if place.sublot is not None else "not-drawn"
        disputed = fact.id in self.disputed
        shift = str(facts.shift)
        return Result(fact, shift, rule, place.lot, place.sublot, state, disputed=disputed)

    # Values

    def _valued(self, one: Result, work_out: Callable[[Result], Figure | None]) -> Result:
        """With its value; a value that can't be worked out is said and counts for nothing."""
        try:
            value = work_out(one)
        except Refused as error:
            return replace(one, state="refused", why=str(error))
        if value is None:
            return replace(one, state="waiting") if one.counts else one
        if value.unit != one.rule.unit:
            return replace(one, state="unit" if one.counts else one.state)
        value = _rounded(self.plan, one.rule, value)
        contested = tuple(self._contested(one, work_out))
        return replace(one, value=value, provisional=self._provisional(one), contested=contested)

    def _contested(
        self, one: Result, work_out: Callable[[Result], Figure | None]
    ) -> Iterator[Figure]:
        """What it would be by each contender of its entry, as far as that can be worked out."""
        for entry in one.fact.contenders:
            other = replace(one, fact=Fact(entry, opened(entry).body))
            try:
                value = work_out(other)
            except Refused:
                continue
            if value is not None and value.unit == one.rule.unit:
                yield _rounded(self.plan, one.rule, value)

    def _provisional(self, one: Result) -> bool:
        """Whether the maximum gravity of its lot is still awaited."""
        if one.rule.characteristic != DENSITY or one.rule.basis != "maximum":
            return False
        maximum = self._maximum(one)
        return maximum is None or maximum.provisional

    def _percent(self, one: Result) -> Figure | None:
        """In percent of the lot's maximum where the density itself is there; else as written."""
        fact, maximum = one.fact, self._maximum(one)
        density = fact.si("density")
        if fact.text("basis") == "maximum" and density is not None and maximum is not None:
            return figure(
                percent_of_maximum,
                "%",
                bulk=read(fact, "density"),
                maximum=figure(density_of, "kg/m3", gravity=maximum.figure),
            )
        share = fact.si("percent")
        if share is None:
            return None
        return Figure(100.0 * share, "%", None, {"percent": read(fact, "percent")})

    def _of_core(self, one: Result) -> Figure | None:
        bulk, maximum = bulk_of(self.plan, one.fact, self.bulks), self._maximum(one)
        if bulk is None or maximum is None:
            return None
        return figure(percent_of_maximum, "%", bulk=bulk, maximum=maximum.figure)

    def _of_bulk(self, one: Result) -> Figure | None:
        """In percent of the lot's maximum, by a laboratory's bulk gravity."""
        maximum = self._maximum(one)
        if maximum is None:
            return None
        return figure(percent_of_maximum, "%", bulk=as_written(one.fact), maximum=maximum.figure)

    def _maximum(self, one: Result) -> Maximum | None:
        if one.lot not in self.maxima:
            own = own_of(self.plan, one.lot, self._own)
            self.maxima[one.lot] = maximum_of(self.plan, one.rule, own)
        return self.maxima[one.lot]


def decimals(rule: LotRule) -> int:
    """Decimals that a result is rounded to: as many as its limits print, else one."""
    printed = [text for text in (rule.lower, rule.upper, rule.target) if text]
    return max((places(text) for text in printed), default=1)


def tested_places(shifts: Sequence[Facts]) -> Mapping[str, str]:
    """Entry of a drawn place -> an entry that was tested there."""
    return {
        place: entry
        for facts in shifts
        for place, entry in facts.remembered("tested", AT_PLACES, partial(_tested, facts)).items()
    }


def _tested(facts: Facts) -> Mapping[str, str]:
    return {
        str(fact.body["draw"]): fact.id
        for kind in AT_PLACES
        for fact in facts.of(kind)
        if "draw" in fact.body
    }


def _is_for(rule: LotRule, fact: Fact, method: str) -> bool:
    return (rule.characteristic, rule.lift) == (DENSITY, fact.place("lift")) and (
        rule.method == method
    )


def _in_unit(one: Result) -> Figure | None:
    """A result in the unit of its lot; in its own where that measures something else."""
    value = read(one.fact, "value")
    unit = value.written.rpartition(" ")[2]
    if dimension(unit) != dimension(one.rule.unit):
        return Figure(value.value, unit, None, {"result": value})
    number = convert(value.value, si_unit(dimension(unit)), one.rule.unit)
    return Figure(number, one.rule.unit, None, {"result": value})


def _rounded(plan: Plan, rule: LotRule, value: Figure) -> Figure:
    number = float(round_to(exact(value.value), decimals(rule), plan.job.rounding))
    return replace(value, value=number)
