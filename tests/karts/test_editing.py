"""`advisor kart edit`: the editor is the user's, what was typed is kept, and every mistake is told with its place."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

import pytest

from tests.karts.folder import RED, Karts, one_sentence, refused


@pytest.fixture
def editor(tmp_path: Path) -> str:
    """An editor that writes the text of the file "typed" into the file it is given, and notes its name."""
    script = tmp_path / "my editor.py"
    script.write_text(
        "import pathlib, sys\n"
        "here = pathlib.Path(__file__).parent\n"
        "path = pathlib.Path(sys.argv[-1])\n"
        "(here / 'seen').write_bytes(path.read_bytes())\n"
        "(here / 'opened').write_text(str(path))\n"
        "path.write_bytes((here / 'typed').read_bytes())\n"
    )
    return shlex.join([sys.executable, str(script)])


def types(karts: Karts, text: str) -> None:
    (karts.advisor.folder / "typed").write_text(text.replace("«", ""), "utf-8")


@pytest.mark.parametrize("name", ["red", "my kart"])
def test_a_good_edit_is_called_good(karts: Karts, editor: str, name: str) -> None:
    karts.put(name, RED)
    types(karts, RED.replace("12 psi", "13 psi"))
    done = karts.kart("edit", name, EDITOR=editor)
    assert (done.status, done.err) == (0, "")
    assert f"Good: {karts.path(name)}" in done.out
    assert (karts.advisor.folder / "opened").read_text() == str(karts.path(name))
    assert (karts.advisor.folder / "seen").read_text("utf-8") == RED
    assert karts.shown(name)["tyre pressure rear"] == "13 psi"


def test_editing_a_kart_that_is_not_on_file_begins_it(karts: Karts, editor: str) -> None:
    types(karts, RED)
    assert karts.kart("edit", "red", EDITOR=editor).status == 0
    assert "Every line is optional" in (karts.advisor.folder / "seen").read_text("utf-8")
    assert karts.path("red").read_text("utf-8") == RED


BROKEN = {
    "wrong unit": ("setup:\n  rear_track_width: «12 psi\n", "is a length"),
    "unknown key": ("note: x\n«setpu: {toe: 1 mm}\n", 'did you mean "setup"'),
    "unknown lever": ("setup: {«castor: 12 deg}\n", 'did you mean "caster"'),
    "not yaml": ("setup: {toe: 1 mm\n«", "is not valid YAML"),
}


@pytest.mark.parametrize("content", BROKEN.values(), ids=list(BROKEN))
def test_a_broken_edit_is_kept_and_its_place_is_told(
    karts: Karts, editor: str, content: tuple[str, str]
) -> None:
    text, piece = content
    karts.put("red", RED)
    types(karts, text)
    done = karts.kart("edit", "red", EDITOR=editor)
    refused(done, karts.path("red"), text, piece)
    assert karts.path("red").read_text("utf-8") == text.replace("«", "")


def test_all_mistakes_are_told_at_once(karts: Karts, editor: str) -> None:
    text = "«colour: red\nsetup:\n  toe: «5 psi\n  «axel_stiffness: soft\nunits: {pressure: «mm}\n"
    types(karts, text)
    pieces = ("unknown key", "toe", "unknown lever", "no unit of pressure")
    refused(karts.kart("edit", "red", EDITOR=editor), karts.path("red"), text, *pieces)


def test_a_broken_kart_can_be_put_right(karts: Karts, editor: str) -> None:
    karts.put("red", b"\xff\x00")
    types(karts, RED)
    assert karts.kart("edit", "red", EDITOR=editor).status == 0
    assert karts.shown("red")["tyre pressure rear"] == "12 psi"


def test_the_visual_editor_comes_first(karts: Karts, editor: str) -> None:
    types(karts, RED)
    done = karts.kart("edit", "red", VISUAL=editor, EDITOR="no-such-editor")
    assert (done.status, done.err) == (0, "")


@pytest.mark.parametrize("wrong", ["no-such-editor", "/no/such/editor -w", "/", "'", '"vi', " "])
def test_an_editor_that_cannot_be_started_is_told_in_a_sentence(karts: Karts, wrong: str) -> None:
    karts.put("red", RED)
    one_sentence(karts.kart("edit", "red", EDITOR=wrong), "set EDITOR")
    assert karts.path("red").read_text("utf-8") == RED


def test_an_editor_that_fails_leaves_the_file_alone(karts: Karts) -> None:
    karts.put("red", RED)
    failing = shlex.join([sys.executable, "-c", "raise SystemExit(3)"])
    done = karts.kart("edit", "red", EDITOR=failing)
    assert "Traceback" not in done.err
    assert karts.path("red").read_text("utf-8") == RED


def test_an_editor_that_takes_the_file_away_is_told_of(karts: Karts) -> None:
    karts.put("red", RED)
    removing = shlex.join([sys.executable, "-c", "import os, sys; os.remove(sys.argv[-1])"])
    one_sentence(karts.kart("edit", "red", EDITOR=removing), "no such kart")
