"""The schema of the API tells the truth: schemathesis asks every route what it says it takes."""

import json
from itertools import product
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from tests.server.house import Served

HOST = {"Host": "localhost:8417"}
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    negative_data_rejection,
]
ENDLESS = "/api/jobs/{job}/changes"
"""Asked over a real connection in test_running: this one never ends."""


def operations(served: Served) -> list[Any]:
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", served.app, headers=HOST)
    found = [result.ok() for result in schema.get_all_operations()]  # type: ignore[union-attr]
    return [operation for operation in found if operation.path != ENDLESS]


def ask_all(served: Served, examples: int) -> int:
    """Ask every route so many times, with data that fit and data that don't."""
    asked = 0
    for operation, mode in product(operations(served), GenerationMode):
        takes_something = list(operation.iter_parameters()) or list(operation.body)
        if mode is GenerationMode.NEGATIVE and not takes_something:
            continue
        strategy = operation.as_strategy(generation_mode=mode)

        @settings(
            max_examples=examples,
            phases=[Phase.explicit, Phase.generate],
            suppress_health_check=list(HealthCheck),
            deadline=None,
            derandomize=True,
        )
        @given(case=strategy)
        def ask(case: Any) -> None:
            nonlocal asked
            asked += 1
            case.call_and_validate(headers=HOST, checks=CHECKS)

        ask()
    return asked


def test_no_fault_is_found(here: Served) -> None:
    assert ask_all(here, 6) >= 6 * 15


@pytest.mark.long
def test_no_fault_is_found_in_long(here: Served) -> None:
    assert ask_all(here, 250) >= 250 * 10


def test_the_schema_is_of_openapi_3_1_with_examples(here: Served) -> None:
    schema = here.me.get("/api/openapi.json").json()
    assert schema["openapi"].startswith("3.1.")
    text = json.dumps(schema)
    assert text.count('"example') > 20
    for path, methods in schema["paths"].items():
        for method, operation in methods.items():
            assert operation["summary"], (method, path)
            assert operation["description"], (method, path)
            refusal = operation["responses"]["422"]["content"]["application/json"]
            assert refusal["schema"]["$ref"].endswith("/Refusal"), (method, path)
