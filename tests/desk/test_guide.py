"""The guide as it is asked for: in words, with drawings, with the people of the plan."""

from matbook.desk.open_book import OpenBook
from tests.desk.asked import ask, busy


def test_two_groups_with_everything_in_words() -> None:
    found = ask(busy(), "guide")
    load, mat = found["groups"]
    assert (load["title"], mat["title"]) == ("On the load", "In the mat")
    smoke = load["signs"][0]
    assert smoke["name"] == "Blue smoke"
    assert [cause["where"] for cause in smoke["causes"]] == ["Mix", "Equipment and haul"]
    assert smoke["svg"].startswith("<svg ")
    assert "Several causes are possible" in found["several"]
    assert any("Cole Reed" in one for one in smoke["tell"])


def test_without_such_people_in_the_plan_it_names_their_roles() -> None:
    found = OpenBook("ridge").ask("guide", {"language": "fr"})
    assert found["groups"][0]["signs"][0]["tell"] == ["centrale", "entrepreneur"]


def test_a_notice_about_a_defect_asks_and_orders_nothing() -> None:
    calls = ask(busy(), "now", 90)["calls"]
    (call,) = [one for one in calls if one["code"] == "seen.mat"]
    assert call["head"] == "streaks behind the screed"
    assert call["draft"].endswith("Please say what you find when we see it together.")
