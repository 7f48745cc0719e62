"""Narrow and wide, dumb, colourless and ASCII terminals: every line fits, no code leaks, prompts still work."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.terminal.conftest import Start
from tests.terminal.kept import left, tried
from tests.terminal.reading import asked, flat, question
from tests.terminal.ways import CHOICE, COMPLAINT, OPENING

WIDTHS = [40, 80, 200]
NEAR = 12  # lines before the prompt that a person sees without scrolling on a small terminal
CURSOR_SHOWN = "\x1b[?12l\x1b[?25h"  # the line editor's, once at each start
COLOUR = re.compile(r"\x1b\[(?:\d*;)*(?:3[0-8]|4[0-8]|9\d|10[0-7])[;m]")
LONG = "the rear steps out in the middle of the corner, it is a hot day, since contact with a kerb"


class Tour:
    """Every screen of the program, from the complaint to the verdict and the next change."""

    def __init__(self, start: Start, complaint: str = LONG, **terminal: object) -> None:
        self.lines: list[str] = []  # the program's own, in the order shown
        self.raw = ""
        self._person = start(**terminal)
        self._reads(self._person.reads())
        for typed in (complaint, "", "20"):
            self._types(typed)
        self._types("exit traction")
        self._questions(self._types("both"))
        for key in ("w 1", "n caster", "n axle", "i", "zzz", "w 9"):
            self._types(key)
        self._ends("1")
        self._person = start(**terminal)
        self._reads(self._person.reads())
        self._types("3")
        self._types("six laps")
        self._ends("")

    def _questions(self, shown: str) -> None:
        self._types("?")
        shown = self._types(str(asked(shown).harmless() + 1))
        shown = self._types("")
        if question(shown) is not None:
            self._types("t")

    def _types(self, text: str) -> str:
        return self._reads(self._person.types(text))

    def _reads(self, shown: str) -> str:
        self.lines += self._person.lines
        return shown

    def _ends(self, text: str) -> None:
        status, shown = self._person.leaves(text)
        assert status == 0
        self._reads(shown)
        self.raw += self._person.raw


COLOURFUL, PLAIN, DUMB = {"TERM": "xterm-256color"}, {"NO_COLOR": "1"}, {"TERM": "dumb"}
STRICT = {"LC_ALL": "C", "PYTHONUTF8": "0"}
TOURS = {
    "colour, narrow": (COLOURFUL, 40),
    "dumb, narrow": (DUMB, 40),
    "no colour, narrow": ({**COLOURFUL, **PLAIN}, 40),
    "ascii": (STRICT, 80),
    "colour, wide": (COLOURFUL, 200),
    "colour": (COLOURFUL, 80),
    "dumb, wide": (DUMB, 200),
    "ascii, dumb, narrow": ({**STRICT, **DUMB}, 40),
}


@pytest.mark.parametrize(("terminal", "width"), TOURS.values(), ids=list(TOURS))
def test_everything_fits_the_terminal_and_uses_no_code_it_has_not(
    start: Start, tmp_path: Path, terminal: dict[str, str], width: int
) -> None:
    """Colour is used nowhere: not where it is forbidden, and else it would carry no meaning alone."""
    seen = Tour(start, width=width, **terminal)
    assert min(width, 60) / 2 < max(map(len, seen.lines)) <= width
    assert tried(tmp_path)[0].verdict == "worse"
    assert not COLOUR.search(seen.raw)
    if terminal.get("TERM") == "dumb":
        first = seen.raw.index("What does the kart do?")
        assert "\x1b" not in seen.raw[first:].replace(CURSOR_SHOWN, "")


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(
    "complaint",
    [COMPLAINT, "since we changed the axle", "bogs on exit"],
)
def test_the_short_list_stands_near_the_prompt(start: Start, width: int, complaint: str) -> None:
    person = start(width=width)
    person.reads()
    person.types(complaint)
    person.types("")
    person.types("")
    person.types("")
    shown = person.types("")
    while question(shown) is not None:
        shown = person.types("")
    rows = shown.split("\n")
    assert rows[-1].startswith(">")
    assert "In short" in rows[-1 - NEAR : -1]
    assert CHOICE in flat("\n".join(rows[-NEAR:]))


def test_a_dumb_terminal_gets_no_codes_from_the_line_editor_either(start: Start) -> None:
    person = start(TERM="dumb")
    person.reads()
    person.types(COMPLAINT)
    assert "\x1b" not in person.raw


def test_every_terminal_is_told_the_same(tmp_path_factory: pytest.TempPathFactory, start: Start) -> None:
    """Words alone carry the meaning: with and without codes the same text stands there."""
    texts = []
    for terminal in (COLOURFUL, DUMB):
        folder = tmp_path_factory.mktemp("home")
        texts.append(Tour(start, ADVISOR_JOURNAL=str(folder / "journal.sqlite3"), **terminal).lines)
    assert texts[0] == texts[1]


# --- ASCII ------------------------------------------------------------------------------------------

ASCII = {
    "locale C": {"LC_ALL": "C"},
    "locale C, strictly": STRICT,
    "locale C, strictly, dumb": {**STRICT, **DUMB},
}


@pytest.mark.parametrize("terminal", ASCII.values(), ids=list(ASCII))
def test_a_sign_that_cannot_be_shown_leaves_a_trace(start: Start, terminal: dict[str, str]) -> None:
    """The answer "hot (over about 28 °C)" is shown with its degree sign, or with something in its place."""
    person = start(**terminal)
    person.reads()
    shown = flat(person.types("the rear steps out, it is a very hot day"))
    assert re.search(r"over about 28 \S+C\)", shown)
    assert "Minutes" in person.types("")


@pytest.mark.parametrize("terminal", ASCII.values(), ids=list(ASCII))
@pytest.mark.parametrize(
    "complaint", ["the r\N{LATIN SMALL LETTER E WITH ACUTE}ar steps out", "läuft schräg \N{EN DASH} it hops"]
)
def test_typing_what_ascii_does_not_hold_is_survived(
    start: Start, tmp_path: Path, terminal: dict[str, str], complaint: str
) -> None:
    person = start(**terminal)
    person.reads()
    shown = person.types(complaint)
    while question(shown) is None:
        shown = person.types("")
    assert asked(shown).number == 1
    person.leaves("q")
    sitting = left(tmp_path)
    assert sitting is not None
    assert "steps out" in sitting.row.complaint or "it hops" in sitting.row.complaint
    assert OPENING not in start(**terminal).reads()


@pytest.mark.parametrize("terminal", ASCII.values(), ids=list(ASCII))
def test_an_older_complaint_in_other_letters_can_be_told_about(
    start: Start, terminal: dict[str, str]
) -> None:
    person = start()
    person.reads()
    person.types("übersteuert \N{EN DASH} the rear steps out")
    for _ in range(4):
        person.types("")
    person.leaves("q")
    person = start(**terminal)
    shown = flat(person.reads())
    assert re.search(r"Last time you left in the middle: \S+bersteuert \S+ the rear steps out", shown)
    assert asked(person.types("")).number == 1


def test_bytes_that_are_no_text_are_survived(start: Start) -> None:
    """A terminal set to Latin-1 sends single bytes that are no UTF-8."""
    person = start()
    person.reads()
    shown = person.sends(b"the r\xe9ar steps out mid corner\r")
    while question(shown) is None:
        shown = person.types("")
    assert asked(shown).number == 1


# --- no terminal ------------------------------------------------------------------------------------


def test_a_terminal_of_unknown_kind_works(start: Start) -> None:
    person = start(TERM="")
    assert OPENING in person.reads()
    assert person.leaves("q")[0] == 0
