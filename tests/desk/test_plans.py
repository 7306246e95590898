"""The plan as people read it, its changes, and what may change during a shift."""

from typing import Any

from matbook.plan.paths import text_at
from tests.desk.asked import ask, busy
from tests.shift.site import PLAN, Site


def plan(site: Site, **arguments: Any) -> dict[str, Any]:
    found: dict[str, Any] = ask(site, "plan", None, **arguments)
    return found


def test_the_plan_is_there_as_imported_and_in_words() -> None:
    said = plan(Site())
    assert said["toml"] == PLAN
    assert said["job"]["name"] == "Ridge Road"
    assert said["people"][0] == {"id": "ana", "name": "Ana Vale", "role": "inspector",
                                 "role_words": "inspector", "firm": "", "phone": ""}  # fmt: skip
    assert {"id": "11", "name": "11"} in said["trucks"]
    assert said["lanes"] == [{"id": "E", "name": "Eastbound"}, {"id": "W", "name": "Westbound"}]
    assert {"id": "probe-1", "name": "Probe 1", "kind": "probe", "serial": "", "calibrated": "",
            "due": "2026-04-01"} in said["instruments"]  # fmt: skip
    limits = {one["path"]: one for one in said["limits"]}
    assert limits["limits/depth"]["words"] == "Loose depth: within ±6 mm"
    assert limits["limits/ac16-delivery-low"]["words"] == (
        "Temperature on delivery: at least 115 °C (4.1) [ac16]"
    )
    assert plan(Site(), language="fr")["people"][0]["role_words"] == "inspecteur"


def test_others_read_the_plan_without_phones_and_change_nothing() -> None:
    for role, phone in (("inspector", "555 0100"), ("contractor", ""), ("plant", "")):
        site = Site(PLAN.replace('name = "Ana Vale"', 'name = "Ana Vale"\nphone = "555 0100"'))
        said = plan(site, role=role)
        assert said["people"][0]["phone"] == phone
        assert said["limits"]
        assert ("555 0100" in said["toml"]) is bool(phone)
        assert bool(said["changeable"]) is bool(phone)


def test_a_change_says_what_why_and_with_whom() -> None:
    site = busy()
    site.write("plan", {"path": "lifts/binder/spread", "old": "120 kg/m2", "new": "118 kg/m2",
                        "agreed": "cole"}, 30, by="greta", why="base is high")  # fmt: skip
    site.write("plan", {"path": "lifts/binder/spread", "old": "1 kg/m2", "new": "2 kg/m2"}, 40)
    said = plan(site)
    assert said["changes"][0] | {"id": ""} == {
        "at": "2026-05-12 07:30", "path": "lifts/binder/spread",
        "title": "Binder: planned spread", "old": "120 kg/m2", "new": "118 kg/m2",
        "was": "120 kg/m²", "is": "118 kg/m²", "why": "base is high", "agreed": "Cole Reed",
        "by": "Greta Moss", "id": "",
    }  # fmt: skip
    assert len(said["troubles"]) == 1
    values = {one["path"]: one["value"] for one in said["changeable"]}
    assert values["lifts/binder/spread"] == "118 kg/m2"


def test_what_may_change_can_be_changed_at_its_path() -> None:
    said = plan(Site())
    rows = {one["path"]: one for one in said["changeable"]}
    assert rows["lifts/binder/spread"]["title"] == "Binder: planned spread"
    assert rows["limits/depth/number"] == {"path": "limits/depth/number",
                                           "title": "Limit: Loose depth", "value": "6",
                                           "shown": "6 mm", "sign": "mm"}  # fmt: skip
    assert rows["mixes/ac16/temperatures/delivery/low"]["title"] == (
        "AC 16 binder: lowest, mix on delivery"
    )
    assert rows["mixes/ac16/temperatures/delivery/low"]["shown"] == "115 °C"
    assert rows["lifts/binder/budget"]["sign"] == "t"
    assert rows["people/cole/name"]["shown"] == "Cole Reed"
    assert rows["people/cole/phone"]["value"] == ""
    document = Site().facts.plans.latest.document
    for path, row in rows.items():
        assert (text_at(document, path) or "") == row["value"]


def test_a_book_without_a_plan_has_nothing_to_change() -> None:
    site = Site("")
    site.write("shift-open", {}, 0)
    said = plan(site)
    assert (said["toml"], said["limits"], said["changeable"]) == ("", [], [])
