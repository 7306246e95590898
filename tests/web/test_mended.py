"""What people stumbled over, done again through the screens: see docs/use.md.

One page load does several, since a browser is expensive.
"""

import json
import re
import time
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.web.hand import begun, press
from tests.web.harness import Device
from tests.web.office import Office

pytestmark = pytest.mark.browser

JOB = "harrow"


def goes(page: Page, office: Office, *path: str) -> None:
    page.goto(f"{office.address}/#/{'/'.join(part.replace('/', '%2F') for part in path)}")


def read(office: Office, kind: str) -> list[dict[str, Any]]:
    found = [json.loads(one["text"]) for one in office.entries(JOB)]
    return [one for one in found if one["kind"] == kind]


def test_a_form_kept_twice_is_one_entry_and_a_form_that_went_on_is_another(phone: Device) -> None:
    """Two tabs that didn't hear of each other: the second keeps what the first has kept already."""
    hashes = phone.run(
        """
        const draft = { id: '019a0000-0000-7000-8000-000000000001', ...a };
        const note = (text) => m.keep({ ...draft, kind: 'note', body: { text } });
        const first = await note('the same');
        return [first, await note('the same'), await note('went on')].map((one) => one.hash);
        """,
        {"job": JOB, "shift": "harrow/2026-06-17/a/day"},
    )
    assert hashes[0] == hashes[1] != hashes[2]
    assert sorted(phone.hashes()) == sorted(set(hashes))


def test_what_people_stumbled_over(browser: BrowserContext, office: Office) -> None:
    page = begun(browser, office)
    before = len(office.entries(JOB))
    two_tabs(page, office)
    half_typed(page, office)
    a_shift_begun_by_mistake(page, office)
    nothing_moves_under_the_finger(page, office)
    a_part_is_of_its_loads_shift(page, office)
    a_correction_is_short(page, office)
    numbers_are_named(page, office)
    expect(page.get_by_text("All sent")).to_be_visible()
    kinds = [one["kind"] for one in office.fresh(JOB, before, 9)]
    assert sorted(kinds) == [*["load"] * 3, *["note"] * 3, "placed", "plan", "shift-open"]


def two_tabs(page: Page, office: Office) -> None:
    """The same half-finished load in two tabs; a load without a truck is asked about once."""
    other = page.context.new_page()
    for tab in (page, other):
        goes(tab, office, "load")
    press(page, "2240")
    expect(other.get_by_role("button", name="Net")).to_contain_text("22.40")
    expect(other.get_by_text("Found half finished")).to_be_visible()
    page.get_by_role("button", name="Take", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("no truck")
    page.get_by_role("button", name="Take", exact=True).click()
    expect(page.get_by_role("button", name="Take", exact=True)).to_have_count(0)
    expect(other.get_by_role("button", name="Net")).to_contain_text("—")
    expect(other.get_by_text("Found half finished")).to_have_count(0)
    other.close()


def half_typed(page: Page, office: Office) -> None:
    """Notices, plan changes and handovers survive a reload; an absurd amount is asked about."""
    load = read(office, "load")[0]["id"]
    goes(page, office, "tell", f"load/{load}")
    page.get_by_label("The words").fill("Half a notice")
    page.get_by_role("button", name="Dale Fennimoor").click()
    goes(page, office, "handover")
    page.get_by_label("What they have to know").fill("Half a handover")
    page.get_by_role("button", name="Bo Veyland").click()
    goes(page, office, "plan", "lifts/binder/budget")
    page.get_by_label("From now on (t)").fill("348000")
    page.get_by_label("Agreed with").fill("dale")
    page.get_by_label("Why").fill("a slip of the hand")
    goes(page, office, "tell", f"load/{load}")
    page.reload()
    expect(page.get_by_label("The words")).to_have_value("Half a notice")
    chosen = page.get_by_role("button", name="Dale Fennimoor")
    expect(chosen).to_have_attribute("aria-pressed", "true")
    goes(page, office, "handover")
    expect(page.get_by_label("What they have to know")).to_have_value("Half a handover")
    goes(page, office, "write")
    left = page.locator(".asks a")
    expect(left).to_have_text(["Handover", "Change the plan", "Tell"])
    left.nth(1).click()
    expect(page.get_by_label("From now on (t)")).to_have_value("348000")
    page.get_by_role("button", name="Keep the change").click()
    expect(page.get_by_role("alert")).to_contain_text("usually 10 t to 200000 t")
    page.get_by_role("button", name="Start anew").click()
    page.get_by_label("From now on (t)").fill("3500")
    page.get_by_label("Agreed with").fill("dale")
    page.get_by_label("Why").fill("more area")
    page.get_by_role("button", name="Keep the change").click()
    expect(page.get_by_text("Kept: Plan")).to_be_visible()
    expect(page.get_by_role("button", name="Keep the change")).to_have_count(0)


def a_shift_begun_by_mistake(page: Page, office: Office) -> None:
    goes(page, office, "write", "shift-open")
    page.get_by_label("Crew").fill("wrong")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_label("Crew")).to_have_count(0)
    goes(page, office, "book")
    chosen = page.locator("select")
    expect(chosen).to_have_value(re.compile("/wrong/"))
    wrong = chosen.input_value()
    chosen.select_option("harrow/2026-06-17/a/day")
    goes(page, office, "write", "note")
    page.get_by_label("Words").fill("forgotten on that day")
    page.get_by_role("button", name="It happened earlier").click()
    page.get_by_label("When it happened").fill("15:40")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_text("Kept: Note forgotten")).to_be_visible()
    expect(page).to_have_url(re.compile("#/now$"))  # the form goes there by itself
    goes(page, office, "book")
    expect(chosen).to_have_value("harrow/2026-06-17/a/day")  # it stays though a newer one is there
    expect(page.locator("ol li").filter(has_text="forgotten on that day")).to_contain_text("15:40")
    chosen.select_option(wrong)
    page.get_by_role("button", name="Begun by mistake?").click()
    expect(chosen).to_have_value("harrow/2026-06-17/a/day")
    off = page.locator("optgroup option")
    expect(off).to_have_count(1)
    chosen.select_option(value=off.get_attribute("value"))
    expect(page.locator("li .struck")).to_contain_text("Shift opened")
    expect(page.locator("p.asks")).to_contain_text("taken off the list")
    chosen.select_option("harrow/2026-06-17/a/day")


def nothing_moves_under_the_finger(page: Page, office: Office) -> None:
    """A grave call comes while a finger is down: it leads once the finger has been away."""
    goes(page, office, "now")
    heads = page.locator(".call .number")
    expect(heads.first).to_be_visible()
    stood = [re.sub(r"[0-9]", "", head) for head in heads.all_inner_texts()]  # minutes go on
    page.locator(".call").first.hover()
    page.mouse.down()
    other = page.context.new_page()
    goes(other, office, "load")
    other.locator(".trucks button").first.click()
    press(other, "2100")
    other.get_by_role("button", name="Next").click()
    press(other, "95")
    other.get_by_role("button", name="Take", exact=True).click()
    expect(other.get_by_text("Kept: Load")).to_be_visible()
    expect(other.locator(".call .number").first).to_contain_text("95 °C")
    time.sleep(0.5)  # it has long been heard of here too
    assert [re.sub(r"[0-9]", "", head) for head in heads.all_inner_texts()] == stood
    other.close()
    page.mouse.move(1, 300)
    page.mouse.up()
    expect(heads.first).to_contain_text("95 °C")


def a_part_is_of_its_loads_shift(page: Page, office: Office) -> None:
    """Whichever shift is looked into; and a part heavier than its load is said to be so."""
    goes(page, office, "book")
    page.locator("select").select_option("harrow/2026-06-16/a/day")
    load = next(one for one in reversed(read(office, "load")) if "net" in one["body"])
    goes(page, office, "write", "placed", load["id"])
    page.get_by_role("button", name="Wasted").click()
    page.get_by_role("button", name="Mass").click()
    press(page, "1")
    before = len(office.entries(JOB))
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_text("Kept: Placed")).to_be_visible()
    expect(page).to_have_url(re.compile("#/now$"))
    (part,) = office.fresh(JOB, before, 1)
    assert part["shift"] == load["shift"] == "harrow/2026-06-17/a/day"
    goes(page, office, "nowhere", "at-all")  # an address that leads nowhere
    expect(page).to_have_url(f"{office.address}/#/now")
    goes(page, office, "book")
    page.locator("select").select_option("harrow/2026-06-17/a/day")


def a_correction_is_short(page: Page, office: Office) -> None:
    """What is filled stands first, the rest under More."""
    cold = next(one for one in read(office, "load") if one["body"].get("temp") == "95 degC")
    goes(page, office, "entry", cold["id"], "correct")
    expect(page.get_by_role("button", name=re.compile("^Net"))).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("^Gross"))).to_have_count(0)
    page.get_by_role("button", name="More fields").click()
    expect(page.get_by_role("button", name=re.compile("^Gross"))).to_be_visible()
    page.get_by_label("Why it is corrected").fill("the ticket says so")
    page.get_by_role("button", name="Keep the correction").click()
    expect(page.get_by_label("Why it is corrected")).to_have_count(0)


def numbers_are_named(page: Page, office: Office) -> None:
    """A bare offset has its unit; rows of the Book; the half page that a day sheet begins with."""
    goes(page, office, "write", "note")
    page.get_by_label("Words").fill("a soft spot")
    page.get_by_role("button", name=re.compile("^Offset")).click()
    press(page, "1.2")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_text("Kept: Note a soft spot")).to_be_visible()
    expect(page.get_by_label("Words")).to_have_count(0)
    goes(page, office, "book")
    rows = page.locator("ol li")
    expect(rows.first).to_contain_text("1.2 m offset")
    expect(rows.filter(has_text="95 °C").first).to_contain_text("21.00 t net")
    page.get_by_role("link", name="Day sheet").click()
    expect(page.get_by_role("heading", name="In short")).to_be_visible()
    expect(page.locator("dl")).to_contain_text("not closed yet")
    expect(page.locator("dl dt").first).to_be_in_viewport()
