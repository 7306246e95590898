"""What `show haul`, `show placement` and `matbook trucks` print."""

from typing import Any

from matbook.cli.shared import say_line, say_wrapped, table


def placement_rows(answer: Any) -> list[dict[str, Any]]:
    """Lines, numbers and readings of every subject, in the columns of a terminal."""
    rows = []
    for part in answer["parts"]:
        blank = {"subject": part["title"], "at": "", "station": "", "value": "", "state": ""}
        rows += [{**blank, "what": line} for line in (*part["lines"], *part["limits"])]
        for one in part["numbers"]:
            what = f"{one['title']} ({one['range']})" if one["range"] else one["title"]
            rows.append({**blank, "value": one["value"], "what": what})
        for one in part["rows"]:
            said = {name: one[name] for name in ("at", "station", "value", "state")}
            rows.append({"subject": part["title"], **said, "what": one["words"]})
    return rows


def print_haul(data: dict[str, Any]) -> None:
    """Every paver's coming hour, what would help, and its last load."""
    say_line(f"{data['title']}\n")
    for one in data["pavers"]:
        say_line(one["name"])
        for line in one["coming"]:
            say_wrapped(f"    {line}", 4)
        for leg in one["legs"]:
            say_line(f"    {leg['leg']}: {leg['takes']} {leg['scatter']} ({leg['seen']})")
        for row in one["minutes"]:
            say_line(f"    {row['in']:>7}  {row['words']}")
        for line in (one["bunched"], *one["helps"], *one["last"]):
            say_wrapped(f"    {line}", 4)
        say_line()
    say_wrapped(data["note"] if data["pavers"] else data["none"], 0)


def print_trucks(data: dict[str, Any], shapes: dict[str, str]) -> None:
    """The planned mass, trucks and pace, and what fewer of them would cost."""
    say_line(f"{data['title']}\n")
    say_wrapped(data["line"], 0)
    say_line()
    rows = [
        [f"{shapes[row['state']]} {row['trucks']}", row["free"], row["held"], row["waiting"]]
        for row in data["rows"]
    ]
    table(data["heads"], rows, {*data["heads"]})
    for part in ("needs", "cost"):
        say_line()
        for sentence in data[part]:
            say_wrapped(sentence, 2)
    say_line()
    for sentence in data["notes"]:
        say_wrapped(sentence, 0)
