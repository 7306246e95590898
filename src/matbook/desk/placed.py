"""Lines about what is placed: loose depth, tack, and the last load of the day."""

from collections.abc import Iterator

from matbook.shift.cutoff import Last
from matbook.shift.depths import Depth
from matbook.shift.display import Display, clock, written
from matbook.shift.places import label
from matbook.shift.smooth import profiles, stations, surveys
from matbook.shift.view import View
from matbook.words import say


def last_words(view: View, one: Last, language: str) -> str:
    """How many loads more one paver takes, for which length or until when."""
    plan, display = view.plan, Display(view.plan.job.units)
    far = one.found.ends == "hour" and one.ends_at is None
    return say(
        "haul.last.far" if far else f"haul.last.{one.found.ends}",
        language,
        n=one.found.loads,
        least=one.least,
        most=one.most,
        metres=display.show("length", one.found.reach_m, 0),
        left=display.show("length", one.remaining_m, 0),
        station=label(plan, one.strip[0], plan.lanes[one.strip[0]].to_m),
        at="" if one.ends_at is None else clock(view.facts.local(one.ends_at)),
    )


def tack_line(view: View, language: str) -> Iterator[str]:
    """Area tacked so far, its residual rate, and what the tank holds."""
    whole, display = view.tacked, Display(view.plan.job.units)
    if whole is None:
        return
    area = display.show("area", whole.area_m2)
    rate = whole.residual
    if rate is None:
        used = display.show("volume", whole.used_m3)
        yield say("placed.tack.used", language, area=area, used=used)
    else:
        assert rate.low is not None
        assert rate.high is not None
        ends = {"low": rate.low, "high": rate.high}
        words = {name: display.number("application", end) for name, end in ends.items()}
        value = display.show("application", rate.value)
        yield say("placed.tack", language, area=area, rate=value, **words)
    yield tank_words(display, whole.left_m3, whole.reaches_m2, language)


def tank_words(display: Display, left_m3: float, reaches_m2: float | None, language: str) -> str:
    """What is left in the tank, and how far it goes where the plan has a target."""
    left = display.show("volume", left_m3)
    if reaches_m2 is None:
        return say("placed.tank", language, left=left)
    return say("placed.tank.reaches", language, left=left, area=display.show("area", reaches_m2))


def depth_lines(view: View, language: str) -> Iterator[str]:
    """The depth of the strip that was read last: its trend, and a change that waits."""
    for one in view.depths[-1:]:
        if one.trend is not None:
            yield trend_words(view, one, language)
        if one.settling is not None and not one.settling.checked:
            yield settling_words(view, one, language)


def trend_words(view: View, one: Depth, language: str) -> str:
    """Where the loose depth stands by its line, and whether it drifts."""
    assert one.trend is not None
    display, trend = Display(view.plan.job.units), one.trend
    code = "placed.depth.drifts" if trend.drifting else "placed.depth.steady"
    return say(
        code,
        language,
        depth=display.show("thickness", trend.last_m),
        wanted="—" if one.to_set is None else display.show("thickness", one.to_set.value),
        drift=display.drift(trend.slope),
        low=display.drift(trend.least),
        high=display.drift(trend.most),
        n=len(one.points),
    )


def settling_words(view: View, one: Depth, language: str) -> str:
    """From where a check means something after the last change of the screed."""
    waits = one.settling
    assert waits is not None
    plan, lane = view.facts.plan_at(waits.fact.at), one.strip[0]
    return say(
        "placed.recheck",
        language,
        way=say(f"way.{waits.way}", language),
        station=label(plan, lane, waits.from_m),
        done=label(plan, lane, waits.done_m),
    )


def smooth_lines(view: View, language: str) -> Iterator[str]:
    """Straightedge surveys and profiles, each in a sentence, with the places that matter."""
    display = Display(view.plan.job.units)
    for found in surveys(view.facts):
        lane = view.plan.lanes.get(found.lane)
        over = ", ".join(fact.place("station") for fact in found.over)
        yield say(
            "placed.survey" if found.over else "placed.survey.fine",
            language,
            lane=lane.name if lane else found.lane or "—",
            way=say(f"choice.{found.along}", language),
            n=found.count,
            mean=display.show("gap", found.mean_m, 1),
            deepest=written(found.deepest.text("gap")),
            at=found.deepest.place("station"),
            over=over,
        )
    for one in profiles(view.facts):
        if one.whole is not None:
            plan = view.facts.plan_at(one.fact.at)
            worst = one.worst[0]
            yield say(
                "placed.profile",
                language,
                at=one.fact.place("from"),
                length=display.show("length", one.length_m, 0),
                iri=display.of("iri", one.whole.value),
                worst=display.of("iri", worst.value.value),
                where=stations(plan, one.fact, worst),
            )
