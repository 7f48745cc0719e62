"""`advisor kart edit`: the editor is the user's, what was typed is kept, and every mistake is told with its place."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

import pytest

from tests.garage.shed import RED, Shed, one_sentence, refused


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


def types(shed: Shed, text: str) -> None:
    (shed.advisor.folder / "typed").write_text(text.replace("«", ""), "utf-8")


@pytest.mark.parametrize("name", ["red", "my kart"])
def test_a_good_edit_is_called_good(shed: Shed, editor: str, name: str) -> None:
    shed.put(name, RED)
    types(shed, RED.replace("12 psi", "13 psi"))
    done = shed.kart("edit", name, EDITOR=editor)
    assert (done.status, done.err) == (0, "")
    assert f"Good: {shed.path(name)}" in done.out
    assert (shed.advisor.folder / "opened").read_text() == str(shed.path(name))
    assert (shed.advisor.folder / "seen").read_text("utf-8") == RED
    assert shed.shown(name)["tyre pressure rear"] == "13 psi"


def test_editing_a_kart_that_is_not_on_file_begins_it(shed: Shed, editor: str) -> None:
    types(shed, RED)
    assert shed.kart("edit", "red", EDITOR=editor).status == 0
    assert "Every line is optional" in (shed.advisor.folder / "seen").read_text("utf-8")
    assert shed.path("red").read_text("utf-8") == RED


BROKEN = {
    "wrong unit": ("setup:\n  rear_track_width: «12 psi\n", "is a length"),
    "unknown key": ("note: x\n«setpu: {toe: 1 mm}\n", 'did you mean "setup"'),
    "unknown lever": ("setup: {«castor: 12 deg}\n", 'did you mean "caster"'),
    "not yaml": ("setup: {toe: 1 mm\n«", "is not valid YAML"),
}


@pytest.mark.parametrize("content", BROKEN.values(), ids=list(BROKEN))
def test_a_broken_edit_is_kept_and_its_place_is_told(
    shed: Shed, editor: str, content: tuple[str, str]
) -> None:
    text, piece = content
    shed.put("red", RED)
    types(shed, text)
    done = shed.kart("edit", "red", EDITOR=editor)
    refused(done, shed.path("red"), text, piece)
    assert shed.path("red").read_text("utf-8") == text.replace("«", "")


def test_all_mistakes_are_told_at_once(shed: Shed, editor: str) -> None:
    text = "«colour: red\nsetup:\n  toe: «5 psi\n  «axel_stiffness: soft\nunits: {pressure: «mm}\n"
    types(shed, text)
    pieces = ("unknown key", "toe", "unknown lever", "no unit of pressure")
    refused(shed.kart("edit", "red", EDITOR=editor), shed.path("red"), text, *pieces)


def test_a_broken_kart_can_be_put_right(shed: Shed, editor: str) -> None:
    shed.put("red", b"\xff\x00")
    types(shed, RED)
    assert shed.kart("edit", "red", EDITOR=editor).status == 0
    assert shed.shown("red")["tyre pressure rear"] == "12 psi"


def test_the_visual_editor_comes_first(shed: Shed, editor: str) -> None:
    types(shed, RED)
    done = shed.kart("edit", "red", VISUAL=editor, EDITOR="no-such-editor")
    assert (done.status, done.err) == (0, "")


@pytest.mark.parametrize("wrong", ["no-such-editor", "/no/such/editor -w", "/", "'", '"vi', " "])
def test_an_editor_that_cannot_be_started_is_told_in_a_sentence(shed: Shed, wrong: str) -> None:
    shed.put("red", RED)
    one_sentence(shed.kart("edit", "red", EDITOR=wrong), "set EDITOR")
    assert shed.path("red").read_text("utf-8") == RED


def test_an_editor_that_fails_leaves_the_file_alone(shed: Shed) -> None:
    shed.put("red", RED)
    failing = shlex.join([sys.executable, "-c", "raise SystemExit(3)"])
    done = shed.kart("edit", "red", EDITOR=failing)
    assert "Traceback" not in done.err
    assert shed.path("red").read_text("utf-8") == RED


def test_an_editor_that_takes_the_file_away_is_told_of(shed: Shed) -> None:
    shed.put("red", RED)
    removing = shlex.join([sys.executable, "-c", "import os, sys; os.remove(sys.argv[-1])"])
    one_sentence(shed.kart("edit", "red", EDITOR=removing), "no such kart")
