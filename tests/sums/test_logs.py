"""A log of lambda from a file, before and after a change."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.cli import main

Capture = pytest.CaptureFixture[str]
BEFORE = b"time;lambda\n0,1;0,95\n0,2;0,96\n0,3;0,94\n0,4;0,95\n"
AFTER = b"0.90\n0.91\n0.90\n0.89\n"


def judged(folder: Path, capsys: Capture, before: bytes, after: bytes = AFTER) -> tuple[int, str, str]:
    for name, data in (("before.csv", before), ("after.csv", after)):
        (folder / name).write_bytes(data)
    words = [f"before=@{folder}/before.csv", f"after=@{folder}/after.csv", "target=0.88", "--json"]
    status = main(["compute", "mixture", *words])
    return status, *capsys.readouterr()


@pytest.mark.parametrize(
    "before",
    [
        BEFORE,
        b"\xef\xbb\xbfrpm,Lambda 1\n9000,0.95\n9000,0.96\n9000,0.94\n9000,0.95\n",
        b"lambda\n0,95\n0,96\n0,94\n0,95\n",
        "0.95\r\n0.96\r\n0.94\r\n0.95\r\n".encode("utf-16"),
    ],
)
def test_the_change_is_judged_by_two_files(tmp_path: Path, capsys: Capture, before: bytes) -> None:
    status, out, err = judged(tmp_path, capsys, before)
    assert (status, err) == (0, "")
    found = json.loads(out)
    assert found["before_mean"]["value"] == pytest.approx(0.95)
    assert found["change"]["value"] == pytest.approx(-0.05)
    assert "nearer to the target: keep it" in found["verdict"]["value"]


@pytest.mark.parametrize(
    ("before", "place", "piece"),
    [
        (b"", "1:1", "no readings"),
        (b"time;lambda\n1;0.95\n2;rich\n3;0.95\n", "3:3", '"rich" is no reading'),
        (b"time;temp\n1;0.95\n2;0.96\n", "1:1", "needs one column headed lambda"),
        (b"lambda\n", "1:1", "holds no readings"),
        (b"\0\1\2\0\0\3" * 9, "1:1", "no text file"),
    ],
)
def test_what_is_no_reading_is_told_with_its_place(
    tmp_path: Path, capsys: Capture, before: bytes, place: str, piece: str
) -> None:
    status, out, err = judged(tmp_path, capsys, before)
    assert (status, out) == (1, "")
    assert f"before.csv:{place}: " in err
    assert piece in err


def test_a_reading_that_no_engine_has_is_refused(tmp_path: Path, capsys: Capture) -> None:
    status, out, err = judged(tmp_path, capsys, b"0.95\n9.6\n0.94\n")
    assert (status, out) == (1, "")
    assert err == "before: 9.6 cannot be right: possible is 0.4 to 2.\n"


def test_a_file_that_is_not_there(capsys: Capture) -> None:
    assert main(["compute", "mixture", "before=@none.csv", "after=@none.csv"]) == 1
    assert "none.csv:1:1: cannot be read" in capsys.readouterr().err
