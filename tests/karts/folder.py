"""Karts on file in a folder of their own, and the command that works on them."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tests.hostile.command import MARK, Advisor, Result, marks, problems

# One kart with a value of every kind.
RED = """\
note: the red one
kart: {class: 125 cc single-speed two-stroke, driver_mass: 72 kg}
setup:
  tyre_pressure_front: 11 psi
  tyre_pressure_rear: 12 psi
  rear_track_width: 1380 mm
  axle_stiffness: medium
  caster: 12 deg
  seat_stays: 1
  seat_fore_aft: 175 mm
  tyres: {kind: slick, compound: hard, laps: 60}
conditions: {air_temperature: 28 degC, tyre_temperature: {front: 55 degC, rear: 70 degC}}
"""
SECTIONS = {"karts": "kart", "trailers": "trailer", "classes": "class"}


@dataclass(frozen=True, slots=True)
class Karts:
    """A folder of karts and the command beside it."""

    advisor: Advisor

    @property
    def folder(self) -> Path:
        return self.advisor.folder / "karts"

    def path(self, name: str, room: str = "karts") -> Path:
        return self.folder / room / f"{name}.yaml"

    def put(self, name: str, content: str | bytes, room: str = "karts") -> Path:
        """Write a file by hand; marks are left out of a text."""
        path = self.path(name, room)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.replace(MARK, "").encode())
        return path

    def kart(self, *arguments: str, **environment: str) -> Result:
        """Run `advisor kart ...`."""
        changes = {**self.advisor.changes, **environment}
        return replace(self.advisor, changes=changes)("kart", *arguments)

    def shown(self, name: str) -> dict[str, str]:
        """What `kart show` tells of a kart, by label."""
        done = self.kart("show", name)
        assert (done.status, done.err) == (0, ""), done
        rows = [line.strip().partition(": ") for line in done.out.splitlines()[1:]]
        return {label: value for label, _, value in rows}

    def advise(self, case: str, kart: str, *options: str) -> Result:
        """Advice for a case on top of a kart."""
        self.advisor.write(case)
        return self.advisor("advise", "--kart", kart, "case.yaml", *options)

    def answer(self, case: str, kart: str) -> dict[str, Any]:
        return self.advise(case, kart, "--json").answer

    def everything(self) -> dict[str, bytes]:
        """Every file below the folder of the test, by name; folders too."""
        return {
            path.relative_to(self.advisor.folder).as_posix(): path.read_bytes() if path.is_file() else b""
            for path in self.advisor.folder.rglob("*")
            if "__pycache__" not in path.parts
        }


def refused(done: Result, path: Path, text: str, *pieces: str) -> None:
    """A problem at every mark of one file, in order, that holds its piece; nothing on standard output."""
    assert done.status == 1, done
    assert done.out == ""
    found = problems(done.err)
    assert {file for file, *_ in found} == {str(path)}, done.err
    assert [(line, column) for _, line, column, _ in found] == marks(text), done.err
    for piece, (*_, message) in zip(pieces, found, strict=True):
        assert piece in message, (piece, message)


def one_sentence(done: Result, piece: str = "") -> None:
    """Refused with one line on standard error and status 1."""
    assert done.status == 1, done
    assert done.out == ""
    assert len(done.err.splitlines()) == 1, done.err
    assert piece in done.err


def withheld(answer: dict[str, Any], lever: str) -> str:
    """Why a lever is withheld; empty if it is not."""
    return next((row["reason"] for row in answer["withheld"] if row["lever"] == lever), "")


def row(answer: dict[str, Any], lever: str) -> dict[str, Any]:
    """The advice on a lever."""
    found = [entry for entry in answer["advice"] if entry["lever"] == lever]
    assert found, f"{lever} is not advised: {json.dumps([e['lever'] for e in answer['advice']])}"
    return dict(found[0])
