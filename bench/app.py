"""The app in Debian's Chromium: opening it with no signal, keeping an entry, renewing the figures.

The server is real and, for opening, dead; the page is opened by a new browser each time, from what
the service worker keeps. Where the app is asked without its screens, through the page that the
browser tests use, the reference is taken in the same page or, for Python, in CPython.
"""

import json
import re
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from itertools import takewhile
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any, Final
from urllib.parse import urlsplit

import httpx
from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright

from bench.cooling import LAYERS, SKY, TARGET_C
from bench.row import Row
from bench.shift import SHIFT, full_day, one_more
from bench.store import BUILD
from matbook.book.entry import Entry, read_entry
from matbook.demo import files
from matbook.desk.job import JobBook
from matbook.desk.open_book import OpenBook
from matbook.engine.cooling import forecast
from matbook.records.lines import from_lines
from matbook.server.pages import APP
from matbook.shift.haul import FUTURES
from matbook.words import languages
from tests.web.hand import IMAGE_HELD
from tests.web.harness import ARGUMENTS, JOB, Device, build, device
from tests.web.harness import SHIFT as DEMO_SHIFT
from tests.web.office import Office, home_with_the_demo

LOADS, ENTRIES = 150, 2000
DEMO_NEXT: Final = "harrow/2026-06-17/a/day"
REST: Final = "rest-of-the-day.jsonl"
AT: Final = "2026-05-12T18:00:00-03:00"
"""When the full day is looked at: at its end."""
ANEW: Final = 25
"""After so many renewals the day is opened anew, so that it stays as large as the row says."""
WEB: Final = Path(__file__).parents[1] / "web" / "src"
ASSETS: Final = WEB / "generated" / "assets.json"
SHIFT_STATE: Final = WEB / "state" / "shift.svelte.ts"
PATIENCE_MS: Final = 60_000

TO_THE_LOAD: Final = """
const taps = [
  () => document.querySelector('.first a.leads'),
  () => document.querySelector('.pad button'),
];
const before = () => document.querySelector('.field[aria-pressed=true] .value')?.textContent;
const step = (was) => {
  const here = document.readyState !== 'loading' && taps[0]?.();
  if (here) {
    taps.shift();
    was = before();
    here.click();
  } else if (!taps.length && before() !== was) {
    window.entered = performance.now();
    return;
  }
  requestAnimationFrame(() => step(was));
};
step();
"""
"""Goes from the first screen to a load and presses a digit, each as soon as it is there, and notes
when the digit stands in its field."""

TO_A_FIGURE: Final = """
const step = () => {
  const numbers = [...document.querySelectorAll('.answer .number')];
  if (numbers.some((one) => one.textContent !== '—')) window.computed = performance.now();
  else requestAnimationFrame(step);
};
step();
"""
"""Notes when the first of the standing answers shows a number."""

BARE_PYTHON: Final = """
async () => {
  const began = performance.now();
  const { loadPyodide } = await import('/pyodide/pyodide.mjs');
  const python = await loadPyodide({ indexURL: '/pyodide/' });
  if (python.runPython('6 * 7') !== 42) throw new Error('not Python');
  return performance.now() - began;
}
"""

FORECAST: Final = """
async ({ core, times }) => {
  const { loadPyodide } = await import('/pyodide/pyodide.mjs');
  const python = await loadPyodide({ indexURL: '/pyodide/' });
  const archive = await (await fetch(`/${core}`)).arrayBuffer();
  python.unpackArchive(archive, 'zip', { extractDir: '/core' });
  python.runPython(`
import sys
sys.path.insert(0, "/core")
from matbook.engine.cooling import Layer, OpenSky, forecast
layers = [Layer(0.05, 1.6, 2243.0, 921.0, 150.0), Layer(1.0, 1.6, 2243.0, 921.0, 15.0)]
sky = OpenSky(14.3, 15.0, -3.1, 243.0)
`);
  const took = [];
  for (let n = 0; n < times; n += 1) {
    const began = performance.now();
    const middle = python.runPython('forecast(layers, sky).time_to(80.0).middle');
    took.push(performance.now() - began);
    if (!(middle > 300)) throw new Error('no forecast');
  }
  return took;
}
"""

HAULED: Final = """
async ({ core, given }) => {
  const { loadPyodide } = await import('/pyodide/pyodide.mjs');
  const python = await loadPyodide({ indexURL: '/pyodide/' });
  const archive = await (await fetch(`/${core}`)).arrayBuffer();
  python.unpackArchive(archive, 'zip', { extractDir: '/core' });
  python.globals.set('given', JSON.stringify(given));
  python.runPython(`
import json, sys
sys.path.insert(0, "/core")
from matbook.book.entry import read_entry
from matbook.desk.job import JobBook
said = json.loads(given)
read = lambda one: read_entry(one["text"], one["hash"])
book, fresh = JobBook(map(read, said["day"])), map(read, said["fresh"])
def renew():
    load = next(fresh)
    book.add([load])
    seen = book.view(said["shift"], load.at).hauls[0]
    pace = seen.pace
    return seen.outlook.stops_by(3600.0).value
renew()
`);
  const took = [];
  for (let n = 1; n < given.fresh.length; n += 1) {
    const began = performance.now();
    const chance = python.runPython('renew()');
    took.push(performance.now() - began);
    if (!(chance >= 0)) throw new Error('no forecast');
  }
  return took;
}
"""

KEEP: Final = """
const took = [];
for (let n = 0; n < a.times; n += 1) {
  const began = performance.now();
  await m.keep({ job: a.job, shift: a.shift, kind: 'note', body: { text: `note ${n}` } });
  took.push(performance.now() - began);
}
return took;
"""

BARE_PUT: Final = """
const asked = (request) => new Promise((done, failed) => {
  request.onsuccess = () => done(request.result);
  request.onerror = () => failed(request.error);
});
const opening = indexedDB.open('bare', 1);
opening.onupgradeneeded = () => opening.result.createObjectStore('texts', { autoIncrement: true });
const book = await asked(opening);
const took = [];
for (let n = 0; n < a.times; n += 1) {
  const began = performance.now();
  await new Promise((done, failed) => {
    const writing = book.transaction('texts', 'readwrite', { durability: 'strict' });
    writing.objectStore('texts').put(a.text);
    writing.oncomplete = done;
    writing.onabort = () => failed(writing.error);
  });
  took.push(performance.now() - began);
}
return took;
"""

OPEN_DAY: Final = """
window.core ??= m.startCore({ base: document.baseURI });
await core.ready;
await core.open('bench', a.day);
await core.ask('now', a.given);
"""

RENEW: Final = """
const took = [];
for (const pair of a.fresh) {
  const began = performance.now();
  const [added] = await core.add([pair]);
  const now = await core.ask('now', a.given);
  took.push(performance.now() - began);
  if (added.state !== 'kept' || now.answers.length !== 6 || now.calls.length !== a.given.most)
    throw new Error('not renewed');
}
return took;
"""


def rows(quick: bool) -> Iterator[Row]:
    """Opening, what is shipped, keeping, renewing."""
    BUILD.mkdir(exist_ok=True)
    with TemporaryDirectory(dir=BUILD, prefix="bench-") as name, sync_playwright() as play:
        folder = Path(name)
        office = Office(home_with_the_demo(folder))
        try:
            yield from in_the_page(play, folder, office, quick)
            yield forecasts(play, folder, office, 5 if quick else 40)
            yield hauled(play, folder, office, 5 if quick else 15)
            yield shipped(play, folder, office)
            yield kept_for_no_signal(office)
            yield from opened(play, folder, office, 2 if quick else 9)
        finally:
            office.kill()


# Opening with no signal


def opened(play: Playwright, folder: Path, office: Office, times: int) -> Iterator[Row]:
    """From nothing to a digit in a load, and to the first figure; the server is dead."""
    profile = folder / "opened"
    with browser(play, profile) as context:
        begin(context.new_page(), office.address)
    office.kill()
    entered, computed, anew, page_alone, python_alone = [], [], [], [], []
    for _ in range(times):
        entered.append(noted(play, profile, office.address, TO_THE_LOAD, "entered"))
        computed.append(noted(play, profile, office.address, TO_A_FIGURE, "computed"))
        with browser(play, profile) as context:
            page = context.new_page()
            page.goto(f"{office.address}/icon.svg")
            page_alone.append(page.evaluate("performance.now()"))
            python_alone.append(page.evaluate(BARE_PYTHON))
            page.evaluate("caches.delete('python')")
        anew.append(noted(play, profile, office.address, TO_A_FIGURE, "computed"))
        with browser(play, profile) as context:
            page = context.new_page()
            page.goto(office.address)
            waited_for(page, IMAGE_HELD)
    yield beside(
        "opened offline, until a load can be entered, median, ms",
        entered,
        page_alone,
        f"aim under 1000 ms; slowest {max(entered):.0f} ms; a picture alone from the same cache",
    )
    yield beside(
        "opened offline, until Now shows a figure, median, ms",
        computed,
        python_alone,
        f"aim under 4000 ms; slowest {max(computed):.0f} ms; starting Python alone, same cache",
    )
    yield beside(
        "the same where Python has no image on the device yet, median, ms",
        anew,
        python_alone,
        f"after an update; slowest {max(anew):.0f} ms; starting Python alone, same cache",
    )


@contextmanager
def browser(play: Playwright, profile: Path, **more: Any) -> Iterator[BrowserContext]:
    """A new browser, as large as a phone."""
    context = play.chromium.launch_persistent_context(
        profile,
        executable_path="/usr/bin/chromium",
        args=ARGUMENTS,
        viewport={"width": 360, "height": 800},
        **more,
    )
    try:
        yield context
    finally:
        context.close()


def begin(page: Page, address: str) -> None:
    """Open the demo's metric job for the first time, until all of it is on the device."""
    choose(page, address)
    page.locator(".call").first.wait_for(timeout=PATIENCE_MS)
    waited_for(page, "navigator.serviceWorker.controller !== null")
    waited_for(page, IMAGE_HELD)
    page.locator(".sent", has_text="all sent").wait_for(timeout=PATIENCE_MS)


def choose(page: Page, address: str) -> None:
    """Say on the first screen, in whatever language, which job it is and who writes."""
    page.goto(address)
    page.get_by_role("button", name="Harrowfen").click()
    page.get_by_role("button", name="Ines Tarrow").click()
    page.locator("button.leads").click()


def noted(play: Playwright, profile: Path, address: str, script: str, name: str) -> float:
    """What a script notes [ms since the page was asked for], in a new browser."""
    with browser(play, profile) as context:
        page = context.new_page()
        page.add_init_script(script)
        page.goto(address)
        waited_for(page, f"window.{name} !== undefined")
        return float(page.evaluate(f"window.{name}"))


def waited_for(page: Page, condition: str) -> None:
    """Wait until it is so; asked from outside, as the page's policy demands."""
    until = perf_counter() + PATIENCE_MS / 1000
    while not page.evaluate(condition):
        if perf_counter() > until:
            raise SystemExit(f"still not so: {condition}")
        page.wait_for_timeout(20)


# A forecast


def forecasts(play: Playwright, folder: Path, office: Office, times: int) -> Row:
    """One range by 19 solves, in the browser's Python from the app's own files, and in CPython."""
    core = json.loads(ASSETS.read_text(encoding="utf-8"))["core"]
    with browser(play, folder / "forecasts") as context:
        page = context.new_page()
        page.goto(f"{office.address}/icon.svg")
        there = page.evaluate(FORECAST, {"core": core, "times": times})
    here = []
    for _ in range(times):
        began = perf_counter()
        forecast(LAYERS, SKY).time_to(TARGET_C)
        here.append((perf_counter() - began) * 1000)
    note = f"aim under 150 ms; slowest {max(there):.0f} ms; the same in CPython"
    return beside("a forecast range in the browser, median, ms", there, here, note)


# The haul


def hauled(play: Playwright, folder: Path, office: Office, times: int) -> Row:
    """One more load of the demo's second day, until the coming hour is there again."""
    core = json.loads(ASSETS.read_text(encoding="utf-8"))["core"]
    day, fresh = demo_loads(times + 1)
    given = {"shift": DEMO_NEXT, "day": pairs(day), "fresh": pairs(fresh)}
    with browser(play, folder / "hauled") as context:
        page = context.new_page()
        page.goto(f"{office.address}/icon.svg")
        there = page.evaluate(HAULED, {"core": core, "given": given})
    note = f"aim under 100 ms; {FUTURES} futures; slowest {max(there):.0f} ms; the same in CPython"
    name = "the haul's coming hour renewed in the browser, median, ms"
    return beside(name, there, hauled_here(day, fresh), note)


def hauled_here(day: Sequence[Entry], fresh: Sequence[Entry]) -> list[float]:
    """The same renewals in this Python [ms], the first left out."""
    book, took = JobBook(day), []
    for load in fresh:
        began = perf_counter()
        book.add([load])
        seen = book.view(DEMO_NEXT, load.at).hauls[0]
        if seen.outlook is None or (seen.pace is not None and seen.pace.amount > 1.0):
            raise SystemExit("no forecast of the haul")
        took.append((perf_counter() - began) * 1000)
    return took[1:]


def demo_loads(times: int) -> tuple[list[Entry], list[Entry]]:
    """The demo up to its last loads, and those loads."""
    raw = [files(JOB)[name].read_bytes() for name in ("entries.jsonl", REST)]
    every = [read_entry(text, digest) for one in raw for digest, text in from_lines(one, REST)[0]]
    road = [
        e for e in every if e.kind == "load" and e.shift == DEMO_NEXT and "strikes" not in e.data
    ]
    fresh = road[-times:]
    before = [entry for entry in every if entry.written < fresh[0].written]
    return before, fresh


# What is shipped


def shipped(play: Playwright, folder: Path, office: Office) -> Row:
    """JavaScript that a first visit is sent before any file of Python's, in each language."""
    sent = {one: before_python(play, folder / one, office.address, one) for one in languages()}
    every = ", ".join(f"{one} {size / 1e3:.0f}" for one, size in sent.items())
    plain = sum(path.stat().st_size for path in APP.rglob("*.js"))
    note = f"aim under 150 kB; {every}; every script of the app as it was built, not compressed"
    return weighed("JavaScript before Python, first visit, kB", max(sent.values()), plain, note)


def before_python(play: Playwright, profile: Path, address: str, language: str) -> int:
    """What the page asks for [bytes as served]; without the service worker, which fetches ahead."""
    asked: list[str] = []
    with browser(play, profile, locale=language, service_workers="block") as context:
        context.on("request", lambda one: asked.append(urlsplit(one.url).path))
        page = context.new_page()
        choose(page, address)
        page.locator(".call").first.wait_for(timeout=PATIENCE_MS)
    before = takewhile(lambda path: not path.startswith(("/core-", "/pyodide/")), asked)
    return sum(served(address + path) for path in before if path.endswith(".js"))


def kept_for_no_signal(office: Office) -> Row:
    """All that the service worker fetches, in every language, with Python."""
    names = {path.relative_to(APP).as_posix(): path for path in APP.rglob("*") if path.is_file()}
    listed = (APP / "sw.js").read_text(encoding="utf-8")
    sent = {one: served(f"{office.address}/{one}") for one in names if f'"{one}"' in listed}
    scripts = sum(size for one, size in sent.items() if one.endswith(".js"))
    note = f"{scripts / 1e3:.0f} kB of it the app's scripts; the same files, not compressed"
    plain = sum(names[one].stat().st_size for one in sent)
    return weighed("all that is kept for no signal, as served, kB", sum(sent.values()), plain, note)


def served(address: str) -> int:
    """How long an answer is as it comes over the wire [bytes]."""
    with httpx.stream("GET", address, headers={"Accept-Encoding": "br, gzip"}) as answer:
        answer.raise_for_status()
        return sum(map(len, answer.iter_raw()))


def weighed(name: str, sent: int, plain: int, note: str) -> Row:
    return Row(name, sent / 1e3, plain / 1e3, sent / plain, note)


# Without screens


def in_the_page(play: Playwright, folder: Path, office: Office, quick: bool) -> Iterator[Row]:
    """Keeping and renewing, through the page that the browser tests use."""
    with ExitStack() as stack:
        built = build(folder / "harness")
        phone = stack.enter_context(device(play, folder / "phone", built, office.address))
        yield from kept(phone, 50 if quick else 500)
        yield from renewed(phone, 10 if quick else 200)


def kept(phone: Device, times: int) -> Iterator[Row]:
    """An entry on the disk, strictly, beside a bare put of its text, in two turns each."""
    given = {"job": JOB, "shift": DEMO_SHIFT, "times": times // 2, "text": "x" * 400}
    ours, bare = [], []
    for _ in range(2):
        ours += phone.run(KEEP, given)
        bare += phone.run(BARE_PUT, given)
    note = "aim under 50 ms; a bare IndexedDB put of a text as long, with the same durability"
    yield from both("an entry kept in the browser", ours, bare, note)


def renewed(phone: Device, times: int) -> Iterator[Row]:
    """One more entry, until the whole answer of Now is there again; the same in CPython."""
    day = full_day(LOADS, ENTRIES)
    given = {"shift": SHIFT, "at": AT, "language": "en", "most": first_calls()}
    there, here = [], []
    for begun in range(0, times, ANEW):
        fresh = [one_more(day, begun + n) for n in range(min(ANEW, times - begun))]
        phone.run(OPEN_DAY, {"day": pairs(day), "given": given})
        there += phone.run(RENEW, {"fresh": pairs(fresh), "given": given})
        here += renewed_here(day, fresh, given)
    name = f"Now renewed in the browser, {LOADS} loads, {ENTRIES} entries"
    note = f"aim under 50 ms; {given['most']} calls in words, as the app asks; the same in CPython"
    yield from both(name, there, here, note)


def first_calls() -> int:
    """How many calls the app asks for until somebody wants more."""
    (found,) = re.findall(r"FIRST_CALLS = (\d+);", SHIFT_STATE.read_text(encoding="utf-8"))
    return int(found)


def renewed_here(
    day: Sequence[Entry], fresh: Sequence[Entry], given: dict[str, Any]
) -> list[float]:
    """The same renewals in this Python [ms]."""
    book = OpenBook("bench")
    book.add((entry.hash, entry.text) for entry in day)
    json.dumps(book.ask("now", given))
    took = []
    for entry in fresh:
        began = perf_counter()
        book.add([(entry.hash, entry.text)])
        json.dumps(book.ask("now", given))
        took.append((perf_counter() - began) * 1000)
    return took


def pairs(entries: Sequence[Entry]) -> list[dict[str, str]]:
    return [{"hash": entry.hash, "text": entry.text} for entry in entries]


def both(name: str, ours: list[float], reference: list[float], note: str) -> Iterator[Row]:
    """Median and 99 % of both, in ms."""
    yield beside(f"{name}, median, ms", ours, reference, note)
    late = [sorted(spent)[int(len(spent) * 0.99) - 1] for spent in (ours, reference)]
    yield Row(f"{name}, 99 %, ms", late[0], late[1], late[0] / late[1], note)


def beside(name: str, ours: list[float], reference: list[float], note: str) -> Row:
    """Two medians side by side."""
    one, other = median(ours), median(reference)
    return Row(name, one, other, one / other, note)
