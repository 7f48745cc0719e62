"""The YAML reader: no text makes it raise, JSON data survives it, and positions are where things stand."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from advisor.book.marked import parse

# Text without control codes and odd line ends, whose place in a file needs escapes.
WORDS = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=12)
DATA = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**17), 10**17) | WORDS | st.just(""),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=15,
)
YAML_SIGNS = st.text("ab:-?[]{}#&*!|>'\"%@`,\n \t~.=<\\01\x00\x1b\ufeff\u2028é\U0001f3ce", max_size=60)


@given(text=YAML_SIGNS | st.text(max_size=60))
@settings(max_examples=250, deadline=None)
@example("? ")
@example("[a: b: c]")
@example("&a *a")
@example("--- |1\n x")
@example("%YAML 9.9\n---\na")
@example("- - - - ?")
def test_no_text_makes_the_reader_raise(text: str) -> None:
    found = parse(text, "x.yaml")
    lines = (
        text.count("\n") + text.count("\r") + text.count("\x85") + text.count("\u2028") + text.count("\u2029")
    )
    for problem in found.problems:
        assert problem.file == "x.yaml"
        assert 1 <= problem.line <= lines + 2
        assert problem.column >= 1
        assert problem.message.isprintable()


@given(data=DATA)
@settings(max_examples=100, deadline=None)
def test_json_is_read_as_it_is(data: Any) -> None:
    """Every JSON text is YAML 1.2 (yaml.org, version 1.2.2, section 1.3)."""
    found = parse(json.dumps(data, ensure_ascii=False), "x")
    assert found.problems == []
    assert found.data == data
    assert json.dumps(found.data) == json.dumps(data)  # true is not 1


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("no", "no"),
        ("yes", "yes"),
        ("on", "on"),
        ("off", "off"),
        ("true", True),
        ("false", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("12", 12),
        ("-12", -12),
        ("+12", 12),
        ("012", 12),
        ("1.5", 1.5),
        ("-.8", -0.8),
        ("1e3", 1000.0),
        ("1_000", "1_000"),
        ("12:30", "12:30"),
        ("2024-05-04", "2024-05-04"),
        ("=", "="),
        ("<<", "<<"),
        ("'12'", "12"),
        ('"no"', "no"),
        ("12 psi", "12 psi"),
    ],
)
def test_a_plain_value_is_of_the_type_that_people_expect(written: str, read: Any) -> None:
    """The YAML 1.2 core schema (section 10.3.2) and no more: no dates, no sexagesimals, no `no` for false."""
    found = parse(f"a: {written}\n", "x")
    assert found.problems == []
    assert found.data == {"a": read}
    assert type(found.data["a"]) is type(read)


KEYS = st.lists(st.text("abcdefgh_", min_size=1, max_size=6), min_size=1, max_size=5, unique=True)


@given(
    outer=KEYS, inner=KEYS, gaps=st.lists(st.integers(0, 3), min_size=5, max_size=5), indent=st.integers(1, 4)
)
@settings(max_examples=100, deadline=None)
def test_positions_are_where_keys_and_values_stand(
    outer: list[str], inner: list[str], gaps: list[int], indent: int
) -> None:
    lines: list[str] = []
    expected: dict[tuple[str, ...], tuple[tuple[int, int], tuple[int, int]]] = {}
    for key, gap in zip(outer, gaps, strict=False):
        lines += ["# between"] * gap
        lines.append(f"{key}:")
        at = (len(lines), 1)
        first = (len(lines) + 1, indent + 1)
        expected[key,] = (at, first)
        for name in inner:
            lines.append(f"{' ' * indent}{name}:   é{name}")
            expected[key, name] = ((len(lines), indent + 1), (len(lines), indent + len(name) + 5))
    found = parse("\n".join(lines), "x")
    assert found.problems == []
    for path, (of_key, of_value) in expected.items():
        assert found.at(path, key=True) == of_key
        assert found.at(path) == of_value


def test_a_path_that_is_not_there_has_the_place_of_its_nearest_parent() -> None:
    found = parse("a:\n  b: [1, 2]\n", "x")
    assert found.at(("a", "b", 1)) == (2, 10)
    assert found.at(("a", "b", 7)) == (2, 6)
    assert found.at(("a", "c")) == (2, 3)
    assert found.at(("z",)) == (1, 1)
