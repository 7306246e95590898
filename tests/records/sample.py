"""A document with every kind of block, as long as a busy day's record. All of it is invented."""

import io
import json
from datetime import datetime, timedelta, timezone
from math import sin
from random import Random
from typing import Any

from PIL import Image

from matbook.records.pdf import Attachment
from matbook.shift.charts.drawing import BLUE, VERMILION
from matbook.shift.charts.frame import frame

WRITTEN_AT = datetime(2026, 6, 3, 19, 42, tzinfo=timezone(timedelta(hours=-3)))
DIGEST = "5f0c 9a1e 77b2 04d6 c3e8 1f4a 902b 6d57 a8e1 33c0 9b74 f2d5 60ae 18c7 4e9b d013"
LOADS = 150


def chart(name: str, low: float, high: float, title: str) -> bytes:
    """A chart drawn by the same hand as the real ones."""
    dice = Random(name)
    drawn = frame((0, 1500), (low, high), lambda m: f"{m:.0f}", range(0, 1501, 250), title, "m")
    middle, swing = (low + high) / 2, (high - low) / 3
    points = [
        (10 * n, middle + swing * sin(n / 19) + dice.uniform(-0.1, 0.1) * swing)
        for n in range(LOADS)
    ]
    for x, y in points[::2]:
        beyond = y > middle + swing * 0.95
        drawn.drawing.bar(
            drawn.x(x), drawn.y(y), 5, drawn.y(low) - drawn.y(y), VERMILION if beyond else BLUE
        )
        if beyond:
            drawn.drawing.diamond(drawn.x(x), drawn.y(y) - 7)
    drawn.drawing.path([(drawn.x(x), drawn.y(middle)) for x, _ in points], width=1)
    drawn.label(drawn.x(1200), drawn.y(middle) - 4, "planned", bold=True)
    return drawn.drawing.svg().encode()


def load_row(number: int) -> list[Any]:
    """One load of a long table."""
    dice = Random(number)
    at = datetime(2026, 6, 3, 6, 40) + timedelta(minutes=4 * number)
    net, temp = dice.gauss(21.3, 0.4), dice.gauss(158, 5)
    state = "act" if number % 41 == 7 else "watch" if number % 17 == 3 else ""
    turned = number % 41 == 7
    mass: Any = {"text": f"{net:.2f} t", "struck": True} if turned else f"{net:.2f} t"
    went: Any = (
        {"text": "turned away", "small": "below the mix's minimum on delivery; told the plant"}
        if turned
        else f"Eastbound lane 2, surface course, 14+{number * 7:03d} – 14+{number * 7 + 7:03d}"
    )
    return [
        {"text": str(48210 + number), "state": state},
        f"{at:%H:%M}",
        f"T-{dice.randint(2, 31):02d}",
        "SC 12.5",
        mass,
        f"{temp:.0f} °C",
        f"{dice.randint(28, 66)} min",
        went,
    ]


def column(head: str, align: str = "left", **more: Any) -> dict[str, Any]:
    return {"head": head, "align": align} | more


def table(columns: list[Any], rows: list[Any], caption: str = "", empty: str = "") -> Any:
    return {
        "kind": "table",
        "columns": columns,
        "rows": rows,
        "caption": caption,
        "empty": empty,
    }


def chart_block(name: str, caption: str) -> dict[str, Any]:
    alt = f"Chart: {caption} The table beside it gives the same numbers."
    return {"kind": "chart", "file": f"{name}.svg", "alt": alt, "caption": caption}


def front() -> list[dict[str, Any]]:
    """Page one."""
    identity = [
        ("Job", "Harrow Road resurfacing, Mill Creek to Long Barn"),
        ("Contract", "MC-2026-118"),
        ("Owner", "Merrow County Roads (invented)"),
        ("Shift", "2026-06-03, day, crew 2"),
        ("Opened – closed", "06:25 – 19:10"),
        ("Written by", "R. Ashdown (inspector), P. Quill (inspector)"),
        ("Note", "Every name, place and number in this document is invented."),
    ]
    tiles = [
        ("Mix taken", "2,287.4", "t", "107 loads; 2 turned away", ""),
        ("Laid in the lanes", "3,412", "m", "12,624 m²", ""),
        ("Yield against plan", "+3.1", "%", "95 % range +1.2 to +5.0", "watch"),
        ("Paver stops", "2", "", "stood 41 min in all", ""),
    ]
    paved = [
        ["Eastbound 1", "Surface", "12+400 – 14+106", "1,706", "6,312", "1,141.2", "180.8", "56.0"],
        ["Eastbound 2", "Surface", "12+400 – 14+106", "1,706", "6,312", "1,146.2", "181.6", "56.3"],
    ]
    rows = [
        [{"text": r[0], "small": r[1]}, *r[2:7], over, r[7]]
        for r, over in zip(
            paved,
            (
                {"text": "+2.7 %", "small": "+0.8 … +4.6"},
                {"text": "+3.5 %", "small": "+1.6 … +5.4", "state": "watch"},
            ),
            strict=True,
        )
    ]
    attention = [
        (
            "act",
            "Load 48217 came at 112 °C. Minimum on delivery 115 °C (mix design SC 12.5).",
            "07:08 · told K. Ferrow (plant) 07:11 · answered 07:30: burner trimmed",
        ),
        (
            "act",
            "Truck T-17 weighed 27.92 t gross; its legal gross is 27.50 t.",
            "09:44 · told dispatch 09:50 · not answered",
        ),
        (
            "watch",
            "Yield of the last five loads is 6.2 % over plan, from 13+240 to 13+310.",
            "11:20 · range 4.1 to 8.3 % · told the foreman 11:24",
        ),
        (
            "unknown",
            "No temperature was read behind the screed between 14:10 and 15:35.",
            "checks due every 20 loads",
        ),
    ]
    return [
        {
            "title": "",
            "blocks": [
                {"kind": "facts", "items": [{"label": k, "value": v} for k, v in identity]},
                {
                    "kind": "numbers",
                    "items": [
                        {"label": a, "number": n, "unit": u, "line": line, "state": s}
                        for a, n, u, line, s in tiles
                    ],
                },
                {
                    "kind": "paragraph",
                    "text": f"Closed and sealed 19:42. Digest of the seal: {DIGEST}",
                },
            ],
        },
        {
            "title": "What was paved",
            "blocks": [
                table(
                    [
                        column("Where", width=2),
                        column("From – to", width=1.5),
                        column("Length m", "right"),
                        column("Area m²", "right"),
                        column("Mass t", "right"),
                        column("Spread kg/m²", "right"),
                        column("Over plan", "right", width=1),
                        column("Thick mm", "right"),
                    ],
                    rows,
                    "Measured width where there is one, else the planned width. Range: 95 %. "
                    "Thickness holds if the base is even.",
                    "Nothing was laid in the lanes.",
                )
            ],
        },
        {
            "title": "What needs attention",
            "blocks": [
                {
                    "kind": "list",
                    "items": [{"state": s, "text": t, "small": m} for s, t, m in attention],
                }
            ],
        },
    ]


def middle() -> list[dict[str, Any]]:
    """Charts, the long table, readings."""
    heads = [
        column("Ticket"),
        column("Time"),
        column("Truck"),
        column("Mix"),
        column("Net", "right"),
        column("Temp.", "right"),
        column("Age", "right"),
        column("Where it went", width=1),
    ]
    return [
        {
            "title": "Loads",
            "intro": "By plant and mix. Turned-away loads are not in what was taken.",
            "blocks": [
                chart_block("tonnes", "Tonnes taken against time; flat pieces are stops."),
                chart_block("temperature", "Temperature of every load as it came, °C."),
                chart_block("spread-1", "Spread along the road, eastbound 1, kg/m²."),
                chart_block("spread-2", "Spread along the road, eastbound 2, kg/m²."),
            ],
        },
        {
            "title": "Every load",
            "blocks": [
                table(
                    heads,
                    [load_row(n) for n in range(LOADS)],
                    "In reading order. A line through a mass: not taken.",
                )
            ],
        },
    ]


def end() -> list[dict[str, Any]]:
    """What stands at the end of a record."""
    wide = "The slope board was read at the wrong edge; read again at 13+260, left edge, 2.1 %"
    corrections = [
        [
            "11:52",
            "Slope",
            {"text": "slope 1.4 % at 13+260", "struck": True},
            wide,
            {"text": "wrong edge", "small": "R. Ashdown"},
        ],
        [
            "15:03",
            "Load",
            {"text": "ticket 48301, station 14+010", "struck": True},
            {"text": "ticket 48301, station 13+010", "strong": True},
            {"text": "typed the wrong station", "small": "P. Quill"},
        ],
    ]
    return [
        {
            "title": "Corrections",
            "blocks": [
                table(
                    [
                        column("Written"),
                        column("Kind"),
                        column("Before", width=3),
                        column("Now", width=3),
                        column("Why", width=2),
                    ],
                    corrections,
                    "Nothing is deleted: what stood before stays readable.",
                ),
                table([column("Late arrivals", width=1)], [], empty="Nothing arrived late."),
            ],
        },
        {
            "title": "Weather, people, photos",
            "blocks": [
                {
                    "kind": "columns",
                    "left": [
                        table(
                            [column("Time"), column("Air", "right"), column("Sky", width=1)],
                            [["06:30", "11 °C", "clear"], ["14:15", "17 °C", "shower, 20 min"]],
                        )
                    ],
                    "right": [
                        {
                            "kind": "facts",
                            "items": [
                                {"label": "Pavers", "value": "P-1, P-2"},
                                {"label": "Rollers", "value": "two steel, one rubber-tyred"},
                            ],
                        }
                    ],
                },
                {
                    "kind": "photo",
                    "items": [
                        {"file": f"photo-{n}.png", "caption": f"Joint at 13+{n}50, drawn here"}
                        for n in range(4)
                    ],
                },
            ],
        },
        {
            "title": "Devices",
            "blocks": [
                table(
                    [
                        column("Device", width=1),
                        column("By"),
                        column("Entries", "right"),
                        column("Chain"),
                    ],
                    [
                        [
                            {"text": "0198f3a27c4b7d11b0e6a4c2d9e8f7a1", "mono": True},
                            "R. Ashdown",
                            "312",
                            {"text": "fits together", "state": "fine"},
                        ],
                        [
                            {"text": "0198f3a27c4b7d11b0e6a4c2d9e8f7a2", "mono": True},
                            "P. Quill",
                            "221",
                            {"text": "not all here", "state": "unknown"},
                        ],
                    ],
                ),
                {
                    "kind": "caution",
                    "text": "This record does not replace the contract, the owner's specification, "
                    "the site safety plan, local law or a licensed engineer's judgement.",
                },
            ],
        },
        {
            "title": "Signatures",
            "blocks": [
                {
                    "kind": "sign",
                    "lines": [
                        {
                            "name": "R. Ashdown",
                            "role": "inspector",
                            "signed": "2026-06-03 19:40 · I have read this record",
                        },
                        {"name": "M. Torrent", "role": "supervisor", "signed": ""},
                    ],
                }
            ],
        },
    ]


def document(**changes: Any) -> dict[str, Any]:
    """The whole document."""
    return {
        "paper": "a4",
        "lang": "en",
        "title": "Daily record",
        "header": ["Harrow Road resurfacing", "Daily record · 2026-06-03, day"],
        "footer": "Contract MC-2026-118",
        "page": "page {n} of {of}",
        "states": {"act": "Act", "watch": "Watch", "fine": "Fine", "unknown": "Not known"},
        "legend": ["act", "watch", "fine", "unknown"],
        "sections": [*front(), *middle(), *end()],
    } | changes


def data(**changes: Any) -> bytes:
    """The document as JSON."""
    return json.dumps(document(**changes)).encode()


def photo(number: int) -> bytes:
    """A picture that nobody took."""
    out = io.BytesIO()
    picture = Image.linear_gradient("L").resize((640, 480)).rotate(90 * number)
    picture.convert("RGB").save(out, "PNG")
    return out.getvalue()


def files() -> dict[str, bytes]:
    """The drawings and photos that the document names."""
    return {f"photo-{n}.png": photo(n) for n in range(4)} | {
        "tonnes.svg": chart("tonnes", 0, 200, "t in a quarter of an hour"),
        "temperature.svg": chart("temperature", 110, 180, "°C"),
        "spread-1.svg": chart("spread-1", 150, 210, "kg/m²"),
        "spread-2.svg": chart("spread-2", 150, 210, "kg/m²"),
    }


def attachments() -> list[Attachment]:
    """Files to travel inside."""
    entries = "".join(
        json.dumps({"hash": f"{n:064x}", "text": f"entry {n}"}) + "\n" for n in range(400)
    )
    return [
        Attachment("entries.jsonl", entries.encode(), "application/jsonl", "The entries"),
        Attachment("README.txt", b"Read me.\n", "text/plain", "How to check", "supplement"),
    ]
