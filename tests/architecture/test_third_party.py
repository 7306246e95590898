"""THIRD_PARTY names what the lock installs, and licences that need a second look stand out."""

import json
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.architecture import house
from tools.write_third_party import is_permissive, locked

TEXT = house.texts()["THIRD_PARTY"]


def test_every_locked_package_is_there_in_its_version() -> None:
    listed = {" ".join(line.split()) + " " for line in TEXT.splitlines()}
    versions = locked(house.texts()["requirements.lock"])
    assert len(versions) > 40
    assert [
        name
        for name, version in versions.items()
        if not any(line.startswith(f"{name} {version} ") for line in listed)
    ] == []


def test_every_direct_dependency_is_locked() -> None:
    project = tomllib.loads(house.texts()["pyproject.toml"])["project"]
    wanted = project["dependencies"] + project["optional-dependencies"]["dev"]
    names = {canonicalize_name(Requirement(line).name) for line in wanted}
    assert names - locked(house.texts()["requirements.lock"]).keys() == set()


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        ("MIT", True),
        ("Apache-2.0 OR BSD-3-Clause", True),
        ("BSD-3-Clause, Apache-2.0, dependency licenses", False),
        ("MPL-2.0", False),
        ("MIT AND LGPL-3.0-only", False),
        ("PSF-2.0", False),
    ],
)
def test_licences_are_told_apart(stated: str, expected: bool) -> None:
    assert is_permissive(stated) is expected


def test_what_the_app_is_served_with_is_there_in_its_version() -> None:
    wanted = json.loads(house.texts()["web/package.json"])["dependencies"]
    listed = {" ".join(line.split()) for line in TEXT.splitlines()}
    assert len(wanted) > 2
    for name, version in wanted.items():
        assert any(line.startswith(f"{name} {version} ") for line in listed), name


def test_the_apps_lock_says_what_to_install_and_not_from_where() -> None:
    packages = json.loads(house.texts()["web/package-lock.json"])["packages"]
    assert len(packages) > 20
    assert [name for name, one in packages.items() if "resolved" in one] == []
    assert all("integrity" in one for name, one in packages.items() if name)
