"""Every screen can be read, reached and pressed: by thumb, by keyboard, enlarged, at night.

The rules of axe (WCAG 2.2 up to level AAA for contrast, 7:1) and measures of our own: targets at
least 60 px high with 16 px between them, nothing wider than the screen down to 320 px, and text
at 200 %.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.web.before import Before
from tests.web.hand import begun, phone
from tests.web.office import Office

pytestmark = pytest.mark.browser

ROOT: Final = Path(__file__).parents[2]
AXE: Final = (ROOT / "web" / "node_modules" / "axe-core" / "axe.min.js").read_text("utf-8")
RULES: Final = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"color-contrast-enhanced": {"enabled": True}},
}
LOOKS: Final = {
    "runOnly": ["color-contrast", "color-contrast-enhanced", "link-in-text-block", "target-size"]
}
"""The rules that the look has a say in."""
PLACES: Final = (
    *("now", "mat", "write", "book", "load", "close", "handover", "sheet", "plan", "settings"),
    *("devices", "pair", "write/temperature", "write/density", "write/shift-open", "write/defect"),
    *("write/photo", "load/scan", "ahead", "score", "guide", "guide/steam", "lists", "joints"),
    "density",
    *("placement", "haul", "trucks"),
    *("figure/yield.shift%2Fdeviation", "plan/lifts%2Fbinder%2Fspread"),
    *("schedules/faa-p-401", "risk/faa-p-401", "draws/mat-1"),
)
PHONE: Final = (360, 800)
DESK: Final = (1280, 800)

MEASURES: Final = (Path(__file__).parent / "access.js").read_text("utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    made = tmp_path_factory.mktemp("access")
    yield made
    shutil.rmtree(made)


@pytest.fixture(scope="module")
def served(folder: Path, before: Before) -> Iterator[Office]:
    office = before.office(folder)
    yield office
    office.kill()


@pytest.fixture(scope="module")
def page(play: Playwright, folder: Path, before: Before, served: Office) -> Iterator[Page]:
    """One phone with the demo's book open, for every screen after the other."""
    with phone(play, before.profile(play, folder, served)) as browser:
        yield begun(browser, served)


@pytest.fixture(scope="module")
def places(page: Page) -> list[str]:
    """Every screen, those that stand for one call or entry included."""
    calls = page.locator(".call a.body").evaluate_all("all => all.map((a) => a.hash)")
    entry = page.evaluate(
        "async () => (await fetch('/api/jobs/harrow/ask/entries')).json().then((all) => all[0].id)"
    )
    call = str(calls[0]).removeprefix("#/call/")
    return [*PLACES, f"call/{call}", f"tell/{call}", f"entry/{entry}", f"entry/{entry}/correct"]


def show(page: Page, place: str, size: tuple[int, int] = (360, 800), look: str = "light") -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.evaluate(
        "([place, look]) => { location.hash = `#/${place}`; "
        "document.documentElement.dataset.look = look; }",
        [place, look],
    )
    expect(page.locator("h1").first).to_be_attached()
    expect(page.get_by_text("Working it out")).to_have_count(0)


def faults(page: Page, rules: dict[str, Any] = RULES) -> list[str]:
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(AXE)
    found: Any = page.evaluate(
        "(rules) => axe.run(document, { ...rules, resultTypes: ['violations'] })"
        ".then(({ passes, violations }) => ({ passed: passes.length, violations }))",
        rules,
    )
    assert found["passed"] > (5 if rules is RULES else 0)
    return [
        f"{one['id']}: {node['target']} {node['failureSummary'][:300]}"
        for one in found["violations"]
        for node in one["nodes"]
    ]


@pytest.mark.parametrize(
    ("size", "look", "rules"),
    [
        pytest.param(PHONE, "light", RULES, id="phone-light"),
        pytest.param(DESK, "night", LOOKS, id="desk-night-looks"),
        pytest.param(DESK, "night", RULES, id="desk-night", marks=pytest.mark.long),
        pytest.param(PHONE, "night", RULES, id="phone-night", marks=pytest.mark.long),
        pytest.param(DESK, "light", RULES, id="desk-light", marks=pytest.mark.long),
    ],
)
def test_axe_finds_nothing(
    page: Page, places: list[str], size: tuple[int, int], look: str, rules: dict[str, Any]
) -> None:
    found = {}
    for place in places:
        show(page, place, size, look)
        if wrong := faults(page, rules):
            found[place] = wrong
    assert found == {}


def test_targets_are_large_and_apart(page: Page, places: list[str]) -> None:
    found, count = {}, 0
    for place in places:
        show(page, place)
        seen = page.evaluate(f"{MEASURES}; targets()")
        count += seen["count"]
        if seen["low"] or seen["near"]:
            found[place] = (seen["low"], seen["near"])
    assert count > 150
    assert found == {}


@pytest.mark.parametrize(
    "language",
    ["en", *(pytest.param(one, marks=pytest.mark.long) for one in ("es", "fr"))],
)
def test_nothing_is_wider_than_the_smallest_screen_nor_at_twice_the_text(
    page: Page, places: list[str], language: str
) -> None:
    show(page, "now")
    page.evaluate("(one) => localStorage.setItem('language', one)", language)
    page.reload()
    expect(page.locator(".call").first).to_be_visible()
    found = {}
    for place in places:
        show(page, place, (320, 640))
        for percent in (100, 200):
            page.evaluate("(n) => { document.documentElement.style.fontSize = `${n}%`; }", percent)
            width = page.evaluate("document.documentElement.scrollWidth")
            clipped = page.evaluate(f"{MEASURES}; clipped()")
            if width > 320 or clipped:
                found[f"{place} {percent} %"] = (width, clipped)
        page.evaluate("() => { document.documentElement.style.fontSize = ''; }")
    show(page, "now")
    page.evaluate("() => localStorage.setItem('language', 'en')")
    page.reload()
    expect(page.get_by_role("link", name="All sent")).to_be_visible()
    assert found == {}


def test_a_load_is_taken_by_keyboard_alone(page: Page, served: Office) -> None:
    show(page, "now")
    before = len(served.entries("harrow"))

    def reach(name: str) -> None:
        for _ in range(60):
            page.keyboard.press("Tab")
            if str(page.evaluate(f"{MEASURES}; named(document.activeElement)")) == name:
                assert page.evaluate("document.activeElement.matches(':focus-visible')")
                page.keyboard.press("Enter")
                return
        raise AssertionError(f"{name} can't be reached with Tab")

    reach("Load")
    expect(page.locator("h1").first).to_have_text("Load")
    reach("30")
    for key in "2240":
        reach(key)
    reach("Take")
    expect(page.get_by_text("Kept: Load")).to_be_visible()
    for _ in range(100):  # it goes up by itself
        if len(served.entries("harrow")) > before:
            break
        page.wait_for_timeout(100)
    assert len(served.entries("harrow")) == before + 1


def test_the_first_screen_passes_too(play: Playwright, tmp_path: Path, served: Office) -> None:
    with phone(play, tmp_path / "new") as browser:
        first = browser.new_page()
        first.goto(served.address)
        first.get_by_role("button", name="Harrowfen").click()
        expect(first.get_by_role("button", name="Ines Tarrow")).to_be_visible()
        assert faults(first) == []
        seen = first.evaluate(f"{MEASURES}; targets()")
        assert (seen["low"], seen["near"]) == ([], [])
