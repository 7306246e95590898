"""Every code that is spoken has its sentence, and every sentence is spoken."""

import ast
import json
import re
from collections.abc import Iterator
from functools import cache

import pytest

from matbook.book.kinds import kinds
from matbook.words import holes
from tests.architecture import house

DOTTED = re.compile(r"[a-z][a-z-]*(\.[a-z][a-z-]*)+")


def sentences() -> dict[str, str]:
    found: dict[str, str] = json.loads(house.texts()["src/matbook/words/en.json"])
    return found


@cache
def spoken() -> tuple[frozenset[str], frozenset[str]]:
    """Codes given as they are to `say` or `has`, and patterns of those put together there."""
    constants, patterns = set(), set()
    for tree in house.trees("src").values():
        for call, name in house.calls(tree):
            if name.rpartition(".")[2] in ("say", "has") and call.args:
                for given in branches(call.args[0]):
                    if isinstance(given, ast.Constant):
                        constants.add(str(given.value))
                    elif isinstance(given, ast.JoinedStr):
                        patterns.add(pattern(given))
    return frozenset(constants), frozenset(patterns)


def branches(given: ast.expr) -> Iterator[ast.expr]:
    """The expressions that a conditional expression may come to."""
    if isinstance(given, ast.IfExp):
        yield from branches(given.body)
        yield from branches(given.orelse)
    else:
        yield given


def pattern(given: ast.JoinedStr) -> str:
    """f"call.{code}.line" -> call\\.(.+)\\.line"""
    return "".join(
        re.escape(str(part.value)) if isinstance(part, ast.Constant) else "(.+)"
        for part in given.values
    )


@cache
def known() -> frozenset[str]:
    """Every string and number that the code and its data hold."""
    constants = {
        str(node.value)
        for tree in house.trees("src").values()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
    }
    choices = {
        choice
        for text in constants
        for group in re.findall(r"\((\w+(?:\|\w+)+)\)", text)  # of a regular expression
        for choice in group.split("|")
    }
    data = {
        text
        for name, whole in house.texts().items()
        if name.startswith("src/") and name.endswith((".toml", ".typ"))
        for found in re.findall(r'"([^"\n]*)"|^(?:fields\.)?([\w-]+) = |^\[([\w-]+)\]', whole, re.M)
        for text in found
    }
    return frozenset(constants | choices | data | in_the_app(r"'([^'\n]*)'"))


def in_the_app(pattern: str) -> frozenset[str]:
    """What a pattern finds in the app's own code."""
    return frozenset(
        text
        for name, whole in house.texts().items()
        if name.startswith("web/src/") and name.endswith((".svelte", ".ts"))
        for text in re.findall(pattern, whole)
    )


@cache
def built() -> frozenset[str]:
    """Patterns of all codes that are put together anywhere in the code."""
    in_python = {
        pattern(node)
        for tree in house.trees("src").values()
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr) and "." in pattern(node).replace("(.+)", "")
    }
    in_web = in_the_app(r"`([a-z]+\.(?:[a-z]+\.)?)\$\{")
    return frozenset(in_python | {f"{re.escape(start)}(.+)" for start in in_web})


def is_spoken(code: str, depth: int = 2) -> bool:
    """Whether a sentence's code stands in the code, or can be put together from what does."""
    if code in known():
        return True
    found = [match.groups() for made in built() if (match := re.fullmatch(made, code))]
    return depth > 0 and any(all(is_spoken(part, depth - 1) for part in parts) for parts in found)


def test_every_code_said_has_its_sentence() -> None:
    constants, _ = spoken()
    assert sorted(constants - sentences().keys()) == []


def test_every_pattern_of_codes_has_sentences() -> None:
    _, patterns = spoken()
    idle = {p for p in patterns if not any(re.fullmatch(p, code) for code in sentences())}
    assert idle == set()


def test_every_call_has_a_head_and_a_line() -> None:
    heads = {code for code in sentences() if code.startswith("call.") and code.count(".") >= 2}
    whole = {code.removesuffix(".line") for code in heads}
    assert {code for code in whole if not {code, f"{code}.line"} <= heads} == set()


def test_every_code_of_a_call_has_its_sentence() -> None:
    said = sentences()
    codes = {
        str(given.value)
        for tree in house.trees("src").values()
        for call, name in house.calls(tree)
        for given in call_codes(call, name)
    }
    assert len(codes) > 20
    assert {code for code in codes if f"call.{code}" not in said} == set()


def call_codes(call: ast.Call, name: str) -> Iterator[ast.Constant]:
    """Codes handed to `Call`, `beyond` and the like: dotted names among their arguments."""
    if name in ("Call", "_say", "beyond"):
        given = [*call.args, *(word.value for word in call.keywords if word.arg == "code")]
        for one in (branch for argument in given for branch in branches(argument)):
            if isinstance(one, ast.Constant) and DOTTED.fullmatch(str(one.value)):
                yield one


def test_every_sentence_that_the_app_names_is_there() -> None:
    named = in_the_app(r"words\('([^']+)'")
    assert len(named) > 50
    assert named - sentences().keys() == set()


def test_every_sentence_is_spoken() -> None:
    assert [code for code in sentences() if not is_spoken(code)] == []


def test_no_code_is_defined_twice() -> None:
    pairs = json.loads(house.texts()["src/matbook/words/en.json"], object_pairs_hook=list)
    codes = [code for code, _ in pairs]
    assert sorted(codes) == sorted(set(codes))


ENGLISH_ALONE = (
    "chart",
    "form",
    "head",
    "label",
    "numbers",
    "record",
    "signs",
    "state",
    "to",
    "way",
)
"""Families of the printed record, which other languages may leave in English."""


def others() -> dict[str, dict[str, str]]:
    """Every language but English, without what its file says about itself."""
    found = {
        name[-7:-5]: json.loads(text)
        for name, text in house.texts().items()
        if re.fullmatch(r"src/matbook/words/[a-z]{2}\.json", name) and not name.endswith("en.json")
    }
    return {language: {**said} for language, said in found.items()}


def abouts() -> set[str]:
    """What each kind is about: English has it in the forms themselves."""
    return {f"about.{kind}" for kind in kinds()}


def test_there_are_other_languages_and_each_asks_for_a_native_reader() -> None:
    assert others().keys() >= {"es", "fr"}
    assert all("needs a native reader" in said["_about"] for said in others().values())


@pytest.mark.parametrize("language", sorted(others()))
def test_a_language_says_all_that_a_crew_reads(language: str) -> None:
    said = others()[language].keys()
    wanted = {
        code
        for code in sentences()
        if code.partition(".")[0] not in ENGLISH_ALONE
        and code not in ("reading.probe", "reading.infrared", "reading.steam")
    }
    assert sorted((wanted | abouts()) - said) == []
    assert sorted(said - sentences().keys() - abouts() - {"_about"}) == []


@pytest.mark.parametrize("language", sorted(others()))
def test_a_language_takes_the_arguments_that_english_takes(language: str) -> None:
    english = sentences()
    apart = {
        code: holes(text) ^ holes(english[code])
        for code, text in others()[language].items()
        if code in english and holes(text) != holes(english[code])
    }
    assert apart == {}


def test_a_silent_sentence_is_seen() -> None:
    assert not is_spoken("call.load.never-thought-of")
    assert not is_spoken("nowhere")
