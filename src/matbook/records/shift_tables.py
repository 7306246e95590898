"""A shift as plain tables for whoever wants to compute with it: loads, yield, readings, entries."""

from collections.abc import Sequence

from matbook.engine.units import convert
from matbook.records.tables import Column, Table, Value
from matbook.shift.display import MEASURES
from matbook.shift.facts import Facts, si
from matbook.shift.measured import MEASURES as MEASURED
from matbook.shift.view import View


def shift_tables(view: View) -> list[Table]:
    """Every table of a shift, in the job's units, with the unit in the heading."""
    return [_loads(view), _yield(view), _readings(view), _entries(view.facts)]


def _unit(view: View, measure: str) -> str:
    return MEASURES[measure][1][view.plan.job.units][0]


def _in(view: View, measure: str, value: float | None) -> float | None:
    if value is None:
        return None
    return float(f"{convert(value, MEASURES[measure][0], _unit(view, measure)):.12g}")


def _loads(view: View) -> Table:
    mass, heat = _unit(view, "load"), _unit(view, "temperature")
    columns = [
        *(
            Column(name, "text")
            for name in ("plant", "ticket", "truck", "mix", "decision", "state")
        ),
        Column("at", "moment"),
        Column("loaded", "moment"),
        *(
            Column(name, "number", mass)
            for name in ("net", "in lanes", "outside", "wasted", "returned", "not placed")
        ),
        Column("temperature", "number", heat),
        Column("age", "number", "min"),
        Column("entry", "text"),
    ]
    rows = []
    for account in view.accounts:
        load = account.load
        masses = [
            load.net_kg,
            *(account.mass_to(u) for u in ("mainline", "area", "waste", "returned")),
        ]
        rows.append(
            [
                load.plant,
                load.number,
                load.truck,
                load.mix,
                load.decision,
                account.state,
                load.at,
                load.moment("loaded"),
                *(_in(view, "load", m) for m in (*masses, account.left_kg)),
                _in(view, "temperature", si(load.temp) if load.temp else None),
                load.age.total_seconds() / 60 if load.age is not None else None,
                load.id,
            ]
        )
    return Table("loads", columns, rows)


def _yield(view: View) -> Table:
    columns = [
        *(Column(name, "text") for name in ("ticket", "lane", "lift", "paver", "mix")),
        Column("from", "text"),
        Column("to", "text"),
        Column("length", "number", _unit(view, "length")),
        Column("area", "number", _unit(view, "area")),
        Column("mass", "number", _unit(view, "load")),
        Column("spread", "number", _unit(view, "spread")),
        *(Column(n, "number", "%") for n in ("over plan", "range low", "range high", "last five")),
        Column("width", "text"),
    ]
    rows = []
    for row in view.rows:
        piece, deviation = row.piece, row.own.deviation
        stationing = view.facts.plan_at(piece.at).road_of(piece.lane).stationing
        rows.append(
            [
                piece.part.load.number,
                piece.lane,
                piece.lift,
                piece.paver,
                piece.mix,
                stationing.format(piece.from_m),
                stationing.format(piece.to_m),
                _in(view, "length", piece.length_m),
                _in(view, "area", piece.area_m2),
                _in(view, "load", piece.mass_kg),
                _in(view, "spread", row.own.rate.value),
                *(_pct(v) for v in _range(deviation)),
                _pct(row.last.deviation.value if row.last and row.last.deviation else None),
                piece.width_by,
            ]
        )
    return Table("yield", columns, rows)


def _range(deviation: object) -> Sequence[float | None]:
    return [getattr(deviation, name, None) for name in ("value", "low", "high")]


def _pct(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.12g}")


def _readings(view: View) -> Table:
    names = ("kind", "quantity", "lane", "lift", "station", "as written", "unit")
    columns = [
        Column("at", "moment"),
        *(Column(name, "text") for name in names),
        *(Column(name, "number") for name in ("value", "planned", "off")),
        Column("beyond a limit", "text"),
        Column("entry", "text"),
    ]
    rows = [
        [
            reading.fact.at,
            kind,
            reading.quantity,
            reading.fact.place("lane"),
            reading.fact.place("lift"),
            reading.fact.place("station"),
            "; ".join(f"{name} {value}" for name, value in reading.fact.body.items()),
            reading.value.unit,
            float(f"{reading.value.value:.12g}"),
            _pct(reading.target.value if reading.target else None),
            _pct(reading.deviation),
            ", ".join(judgement.limit.id for judgement in reading.beyond),
            reading.fact.id,
        ]
        for kind in MEASURED
        for reading in view.readings(kind)
    ]
    return Table("readings", columns, rows)


def _entries(facts: Facts) -> Table:
    names = ("kind", "by", "device", "number", "state", "strikes", "why", "hash", "text")
    columns = [
        Column("at", "moment"),
        Column("written", "moment"),
        *(Column(name, "text") for name in names),
    ]
    rows: list[list[Value]] = [
        [
            entry.at,
            entry.written,
            entry.kind,
            entry.by,
            entry.device,
            str(entry.seq),
            facts.state(entry),
            entry.strikes,
            entry.why,
            entry.hash,
            entry.text,
        ]
        for entry in facts.entries()
    ]
    return Table("entries", columns, rows)
