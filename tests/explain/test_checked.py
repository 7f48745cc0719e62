"""`advisor check` tells every mistake in the glossary at its place, like those of any other file."""

from __future__ import annotations

import pytest

from tests.book import tiny
from tests.book.test_check import check, report
from tests.hostile.command import Advisor

GOOD = """\
jacking:
  name: jacking
  family: handling
  plain: Steering lifts a corner.
  see: [rear_track_width, wear, rear_bite, too_wide]
  phrases: [jacks up]
  source: [S1]
"""


def changed(old: str, new: str) -> tuple[str, str, str]:
    assert GOOD.count(old) == 1
    return "glossary.yaml", tiny.NEW, GOOD.replace(old, new)


def test_a_good_entry_is_neither_wrong_nor_weak(advisor: Advisor) -> None:
    done, _ = check(advisor, ("glossary.yaml", tiny.NEW, GOOD))
    assert done.status == 0
    assert "no errors, no weaknesses" in done.out


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("see: [rear_track_width", "see: [«rear_track_widht", 'did you mean "rear_track_width"?'),
        ("family: handling", "family: «handlin", "handling"),
        ("  plain:", "  «plian:", 'unknown key "plian"; did you mean "plain"?'),
        ("source: [S1]", "source: [«S2]", 'unknown source "S2"'),
        ("phrases: [jacks up]", "phrases: «jacks up", "phrases"),
    ],
)
def test_a_mistake_is_an_error_at_its_place(advisor: Advisor, old: str, new: str, said: str) -> None:
    done, places = check(advisor, changed(old, new))
    errors = report(done).errors
    assert done.status == 1
    assert set(places) <= set(errors)
    assert all(said in errors[place] for place in places)


def test_an_entry_without_a_source_is_a_weakness(advisor: Advisor) -> None:
    done, _ = check(advisor, changed("  source: [S1]\n", ""))
    ((place, text),) = report(done).weaknesses.items()
    assert done.status == 0
    assert place[0] == "glossary.yaml"
    assert "names no source" in text
