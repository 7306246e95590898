"""What the app is built from is current and always the same; its units hold without a browser."""

import io
import json
import subprocess
import zipfile
from pathlib import Path

from tests.architecture import house
from tools import write_web
from tools.write_web import core_archive, core_files, core_name, generated, stale

WEB = Path(__file__).parents[2] / "web"


def test_the_units_hold_on_the_vectors_too() -> None:
    command = ["npx", "--no-install", "vitest", "run", "--config", "tests/vitest.config.ts"]
    result = subprocess.run(
        [*command, "--reporter", "json"], cwd=WEB, capture_output=True, text=True, timeout=120
    )
    assert result.returncode == 0, result.stdout[-4000:] + result.stderr[-2000:]
    told = json.loads(result.stdout[result.stdout.index("{") :])
    cases = sum(
        len(json.loads((WEB.parent / "vectors" / f"{name}.json").read_text(encoding="utf-8")))
        for name in ("entries", "kinds", "words")
    )
    assert told["numPassedTests"] == told["numTotalTests"] > cases > 150


def test_the_data_layer_is_strictly_typed_with_its_tests() -> None:
    command = ["npx", "--no-install", "tsc", "--noEmit", "-p", "tests/tsconfig.json"]
    result = subprocess.run(command, cwd=WEB, capture_output=True, text=True, timeout=120)
    assert (result.returncode, result.stdout) == (0, "")


def test_what_the_app_takes_from_the_core_is_current() -> None:
    assert list(stale(WEB / "src" / "generated")) == []


def test_a_stale_file_is_named(tmp_path: Path) -> None:
    for name, text in generated().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert list(stale(tmp_path)) == []
    (tmp_path / "units.json").write_text("{}", encoding="utf-8")
    (tmp_path / "words-en.json").unlink()
    assert sorted(stale(tmp_path)) == ["units.json", "words-en.json"]


def test_what_the_browser_imports_first_is_compiled() -> None:
    """A compiled module stands in the place of its source, never beside it."""
    files = core_files()
    with zipfile.ZipFile(WEB / "public" / core_name(files)) as archive:
        names = set(archive.namelist())
    assert {name.replace(".pyc", ".py") for name in names} == set(files)
    assert len(names) == len(files)
    assert {"matbook/desk/open_book.pyc", "matbook/engine/curve.pyc"} <= names


def test_the_same_core_gives_the_same_archive() -> None:
    files = core_files()
    assert core_archive(files) == core_archive(dict(files))
    assert core_name(files) != core_name({**files, "matbook/errors.py": b""})
    with zipfile.ZipFile(io.BytesIO(core_archive(files))) as archive:
        names = archive.namelist()
        assert archive.testzip() is None
    assert names == sorted(names)
    assert {"matbook/desk/open_book.py", "matbook/words/en.json"} <= set(names)
    layers = {name.split("/")[1] for name in names}
    assert layers <= {*write_web.CORE, "__init__.py"}


def test_the_npm_lock_pins_by_hash_and_names_no_address() -> None:
    lock = json.loads((WEB / "package-lock.json").read_text(encoding="utf-8"))
    packages = {name: one for name, one in lock["packages"].items() if name}
    assert len(packages) > 30
    assert [name for name, one in packages.items() if "resolved" in one] == []
    assert [name for name, one in packages.items() if not one.get("integrity")] == []


def test_no_part_of_the_data_layer_is_long() -> None:
    lines = {
        name: len(text.splitlines())
        for name, text in house.texts().items()
        if name.startswith(("web/src/book/", "web/src/python/"))
    }
    assert len(lines) > 20
    assert {name: count for name, count in lines.items() if count > 400} == {}
