"""Harrow, the first day: who was told what and answered how, and what was corrected."""

from datetime import timedelta

from tools.demo.harrow_loads import day_one
from tools.demo.harrow_site import Day, at_paver, station, tonnes


def write(day: Day, steep: str) -> None:
    """Every notice with its reply, the change of plan, and the corrections.

    Args:
        day: With its loads and readings already written.
        steep: Id of the reading of the cross slope that is beyond its limit.
    """
    _cold(day)
    _overweight(day)
    _too_much(day)
    _wrong_mix(day)
    _repeated(day)
    _plan_change(day)
    _cold_again(day)
    _steep(day, steep)
    _wrong_station(day)
    _contest(day)
    _late_and_disagreed(day)


def _cold(day: Day) -> None:
    load = day.tagged("cold")
    told = day.notice(
        day_one("08:48"),
        ("rika", "dale"),
        "radio",
        f"Load {load.ticket}, truck {load.truck}: 111 °C on delivery; at least 115 °C (4.3). "
        "Turned away. Asked: what becomes of it, and is the truck good to load again?",
        about=[load.id],
        call=f"load.temperature:{load.id}",
    )
    answer = "Put on the recycling heap. The truck gets a new tyre and loads again from 09:45."
    day.reply("rika", day_one("09:01"), told, answer)


def _overweight(day: Day) -> None:
    """The notice that nobody answers before the next morning."""
    load = day.tagged("overweight")
    day.notice(
        day_one("10:05"),
        ("dale",),
        "message",
        f"Load {load.ticket}, truck {load.truck}: gross {tonnes(load.gross)}, legal 38.00 t. "
        "Taken. Asked: how loading is kept within the legal weight.",
        about=[load.id],
        call=f"load.overweight:{load.id}",
        answer_by=day_one("12:00").isoformat(),
    )


def _too_much(day: Day) -> None:
    told = day.notice(
        day_one("10:48"),
        ("dale",),
        "spoken",
        "The last five loads come to more than 5.0 % over 141 kg/m² (5.1); loose depth has gone "
        "up with it. Asked: what is being done about it.",
        about=[day.tagged("over").id],
        call="yield.last:E/binder/P1",
    )
    answer = "The screed had crept up. Turned down, half a turn on either side."
    day.reply("dale", day_one("10:53"), told, answer)
    body = {"depth": "76 mm", "adjusted": "down", "note": "After the screed was turned down."}
    here = at_paver(day.line.where(day_one("10:58")), offset="1.8 m")
    at = day_one("10:59")
    day.notes.write("bo", "loose-depth", body, at, place=here, instrument="rod-3")


def _wrong_mix(day: Day) -> None:
    load = day.tagged("wrong mix")
    told = day.notice(
        day_one("11:33"),
        ("rika",),
        "phone",
        f"Load {load.ticket} is ticketed and looks as AC 11 surface; AC 16 binder is laid here. "
        "Turned away. Asked: whether any other load was.",
        about=[load.id],
        call=f"load.mix-wrong:{load.id}",
    )
    answer = "Wrong silo gate, one load only; silo 2 is locked out for this job now."
    day.reply("rika", day_one("11:52"), told, answer)


def _repeated(day: Day) -> None:
    number = day.tagged("repeated").ticket
    loads = [load for load in day.loads if load.ticket == number]
    which = " and ".join(f"truck {load.truck} with {tonnes(load.net)}" for load in loads)
    told = day.notice(
        day_one("12:40"),
        ("rika",),
        "message",
        f"Two loads carry ticket {number}: {which}. Asked: are both real?",
        about=[load.id for load in loads],
        call=f"ticket.repeated:stonewick/{number}",
    )
    answer = "Both are real and the masses are right; the printer was restarted between them."
    day.reply("rika", day_one("13:05"), told, answer)


def _plan_change(day: Day) -> None:
    change = {
        "path": "lifts/binder/spread",
        "old": "141 kg/m2",
        "new": "139 kg/m2",
        "agreed": "Dale Fennimoor, Dunmarrow Paving, on site",
    }
    why = "Levels of the milled base leave 59 mm from here on: 59 mm at 2350 kg/m3."
    day.notes.write("greta", "plan", change, day_one("13:00"), why=why)
    words = "Probe one load in three between 13:30 and 14:30, for the drizzle."
    said = {"from": "Greta Ollenshaw", "to": "Ines Tarrow", "text": words}
    day.notes.write("greta", "instruction", said, day_one("13:28"))


def _cold_again(day: Day) -> None:
    """A cold load turned away, and the same truck back within the half hour."""
    gone, back = day.tagged("cold again"), day.tagged("back too soon")
    told = day.notice(
        day_one("14:10"),
        ("rika", "dale"),
        "radio",
        f"Load {gone.ticket}, truck {gone.truck}: 113 °C on delivery; at least 115 °C (4.3). "
        "Turned away, cover torn. Asked: that we hear before the truck comes again.",
        about=[gone.id],
        call=f"load.temperature:{gone.id}",
    )
    answer = "Understood. The driver is told to go back, and to have the cover mended."
    day.reply("dale", day_one("14:16"), told, answer)
    apart, minutes = tonnes(abs(gone.net - back.net)), (back.at - gone.at).total_seconds() / 60
    told = day.notice(
        day_one("14:35"),
        ("rika", "dale"),
        "phone",
        f"Truck {back.truck}, turned away at 14:08 with load {gone.ticket}, was empty "
        f"{minutes:.0f} minutes later as load {back.ticket}, {apart} apart. Asked: the load-out "
        f"record of {back.ticket}, and where load {gone.ticket} went.",
        about=[gone.id, back.id],
        call=f"load.back-too-soon:{back.id}",
    )
    answer = f"{gone.ticket} was tipped at the Quillmoor yard and the truck filled from the small "
    answer += "silo there, 6 km away. The yard's load-out record follows tomorrow."
    day.reply("rika", day_one("15:12"), told, answer, settles="no")


def _steep(day: Day, steep: str) -> None:
    seen = next(draft for draft in day.notes.drafts if draft.id == steep)
    where = seen.envelope["place"]["station"]
    told = day.notice(
        seen.at + timedelta(minutes=2),
        ("dale",),
        "spoken",
        f"Cross slope at {where}: 37 mm under the 1.20 m board, 3.1 % for 2.5 %; within 0.5 % "
        "(5.5). Asked: what is being done about it.",
        about=[steep],
        call=f"reading.beyond:{steep}/cross-slope",
    )
    answer = "The slope sensor's arm was knocked. It is set again."
    day.reply("dale", seen.at + timedelta(minutes=6), told, answer)


def _wrong_station(day: Day) -> None:
    load = day.tagged("wrong station")
    right = station(load.to_m)
    why = f"Two digits changed places: the peg said {right}."
    load.id = day.notes.correct(load.id, "ines", why, day_one("10:12"), place={"to": right})


def _contest(day: Day) -> None:
    """Two people correct one reading, and differ."""
    notes, here = day.notes, at_paver(day.line.where(day_one("11:10")), offset="1.8 m")
    body = {"depth": "57 mm", "adjusted": "no"}
    at = day_one("11:11")
    misread = notes.write("ines", "loose-depth", body, at, place=here, instrument="rod-3")
    why = "Read off the wrong side of the rod."
    notes.correct(misread, "ines", why, day_one("11:15"), body={"depth": "75 mm"})
    why = "I stood beside: the rod said 78."
    notes.correct(misread, "greta", why, day_one("13:12"), body={"depth": "78 mm"})


def _late_and_disagreed(day: Day) -> None:
    at = day_one("11:05")
    text = "A crowbar lay on the tack ahead of the paver; a flagger took it away. No mark left."
    body = {"text": text, "from_memory": "yes"}
    later = timedelta(hours=2, minutes=3, seconds=20)
    day.notes.write("ines", "note", body, at, later, place=at_paver(day.line.where(at) + 15))
    damp = next(draft for draft in day.notes.drafts if draft.body.get("state") == "damp")
    says = "There was water standing in the left wheel track from 5+180 to 5+190 at 13:36."
    day.notes.write("bo", "disagreement", {"about": damp.id, "says": says}, day_one("13:50"))
