"""The language-neutral cases hold on this interpreter and on every other one found here."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
RUNNER = ROOT / "tools" / "run_vectors.py"


def interpreters() -> list[str]:
    """This interpreter, and any later one on the path or under ~/.pyenv that really starts."""
    names = ("python3.12", "python3.13", "python3.14")
    pyenv = Path.home() / ".pyenv" / "versions"
    others = [found for name in names if (found := shutil.which(name))]
    others += [str(path) for name in names for path in pyenv.glob(f"*/bin/{name}")]
    real = {str(Path(path).resolve()): path for path in others if started(path)}
    return [sys.executable, *real.values()]


def started(python: str) -> bool:
    """Whether it runs at all: a stand-in on the path may have no interpreter behind it."""
    return subprocess.run([python, "-S", "-E", "-c", ""], capture_output=True).returncode == 0


def run(python: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [python, "-S", "-E", "-B", str(RUNNER), *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=60)


@pytest.mark.parametrize("python", interpreters())
def test_every_case_holds(python: str) -> None:
    result = run(python)
    assert (result.returncode, result.stderr) == (0, ""), result.stdout
    done, of, count, *_ = result.stdout.split()
    assert of == "of"
    assert int(done) == int(count) > 100


def test_a_wrong_case_is_told(tmp_path: Path) -> None:
    cases = [
        {"function": "rounding.places", "given": {"limit_text": "4.0"}, "expect": 1},
        {"function": "rounding.places", "given": {"limit_text": "4.00"}, "expect": 1},
        {"function": "units.convert", "given": {"value": 1, "from_unit": "t", "to_unit": "m"},
         "expect": 1},
    ]  # fmt: skip
    (tmp_path / "wrong.json").write_text(json.dumps(cases), encoding="utf-8")
    result = run(sys.executable, str(tmp_path))
    assert result.returncode == 1
    assert result.stdout.count("wrong.json: ") == 2
    assert "unknown-unit" in result.stdout


def test_nothing_to_run_is_no_success(tmp_path: Path) -> None:
    assert run(sys.executable, str(tmp_path)).returncode == 1
