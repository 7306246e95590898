"""Sentences: a code and its arguments become words; what is missing is told, never printed raw."""

import json
import re
from importlib import resources

import pytest

from matbook.errors import NotFound
from matbook.words import has, holes, languages, say, sentences


def test_an_argument_takes_its_place() -> None:
    assert say("flag.provisional") == "provisional: an entry behind it is contested"
    assert say("limit.min", number="115", unit="°C") == "at least 115 °C"


@pytest.mark.parametrize(("n", "text"), [(1, "1 load"), ("1", "1 load"), (0, "0 loads"),
                                         (2, "2 loads"), ("1.0", "1.0 loads")])  # fmt: skip
def test_one_or_many(n: object, text: str) -> None:
    assert say("count.loads", n=n) == text


def test_what_is_put_in_is_not_read_again() -> None:
    assert say("limit.min", number="{unit}", unit="t") == "at least {unit} t"


def test_more_arguments_than_needed_do_no_harm() -> None:
    assert say("over", pct="5") == "over"


def test_an_argument_that_was_not_given() -> None:
    with pytest.raises(NotFound, match=r"limit\.min.*unit"):
        say("limit.min", number="115")


def test_a_sentence_that_is_not_there() -> None:
    assert not has("no.such.sentence")
    assert has("over")
    with pytest.raises(NotFound, match=r"no\.such\.sentence.*en"):
        say("no.such.sentence")


@pytest.mark.parametrize("language", ["xx", "EN", "../en", "", "english"])
def test_a_language_that_is_not_there(language: str) -> None:
    with pytest.raises(NotFound, match="no language"):
        say("over", language)


def test_every_language_says_everything() -> None:
    """Whoever adds a sentence adds it in all of them."""
    lacks = {one: sentences("en").keys() - sentences(one).keys() for one in languages()}
    assert lacks == {one: set() for one in languages()}


def test_a_sentence_that_only_english_has_is_said_in_english(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    lacking = {"en": {"only.english": "so"}, "es": {}}
    monkeypatch.setattr("matbook.words.sentences", lacking.__getitem__)
    assert say("only.english", "es") == "so"
    assert has("only.english", "es")


def test_the_arguments_of_a_sentence() -> None:
    assert holes("{n} {n|load|loads} of {mix}") == {"n", "mix"}
    assert holes("over") == set()


def test_the_languages_there_are() -> None:
    assert languages() == ("en", "es", "fr")


@pytest.mark.parametrize("language", languages())
def test_every_sentence_can_be_filled_and_reads_clean(language: str) -> None:
    """Each hole takes a word, alone or as one of two; nothing is left open or spaced twice."""
    file = resources.files("matbook.words") / f"{language}.json"
    written = json.loads(file.read_text(encoding="utf-8"))
    assert sentences(language) == written
    for code, template in written.items():
        names = re.findall(r"\{(\w+)", template)
        for value in ("1", "7"):
            text = say(code, language, **dict.fromkeys(names, value))
            assert "{" not in text, code
            assert "}" not in text, code
            assert "  " not in text, code
            assert text, code
