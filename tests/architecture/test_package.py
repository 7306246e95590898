"""What is installed is whole: the forms, sentences and templates travel with the code."""

import sys
import zipfile
from pathlib import Path
from subprocess import run

from tests.architecture import house


def test_a_wheel_holds_every_file_of_the_package(tmp_path: Path) -> None:
    build = [sys.executable, "-m", "flit_core.wheel", "--outdir", str(tmp_path)]
    run(build, cwd=house.ROOT, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("matbook-*.whl")
    with zipfile.ZipFile(wheel) as opened:
        held = {name for name in opened.namelist() if name.startswith("matbook/")}
    source = {
        path.relative_to(house.SOURCE.parent).as_posix()
        for path in house.files()
        if path.is_relative_to(house.SOURCE)
    }
    assert "matbook/words/en.json" in held
    assert source - held == set()
