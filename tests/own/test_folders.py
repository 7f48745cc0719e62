"""Folders of knowledge over the shipped one: what counts, what is told, and what is kept of it."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.book import load
from advisor.problems import Problem, UnusableError
from tests.book import tiny
from tests.hostile.command import MARK, Advisor, marks
from tests.own import story

LEVER = tiny.TINY["levers/rear_track_width.yaml"]
FIX = {"lever": "rear_track_width", "cause": "too_wide"}


@pytest.fixture
def base(tmp_path: Path) -> Path:
    return tiny.write(tmp_path / "shipped")


def file(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text.replace(MARK, ""), "utf-8")
    return path


def wider(folder: Path, minutes: int) -> Path:
    """A folder with a lever of its own, told by its minutes."""
    return file(folder, "levers/rear_track_width.yaml", LEVER.replace("minutes: 10", f"minutes: {minutes}"))


def minutes(*folders: Path) -> int:
    return load.book(*folders).levers["rear_track_width"].minutes


def notes(*folders: Path) -> list[Problem]:
    return [p for p in load.load(*folders).problems if p.severity == "note"]


# --- what counts --------------------------------------------------------------------------------------


def test_a_later_folder_counts_before_an_earlier_one(base: Path, tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    wider(one, 11), wider(two, 12)
    found = [minutes(base), minutes(base, one), minutes(base, one, two), minutes(base, two, one)]
    assert found == [10, 11, 12, 11]


def test_a_record_is_replaced_whole_and_the_others_stay(base: Path, tmp_path: Path) -> None:
    own = tmp_path / "own"
    file(own, "levers/rear_track_width.yaml", LEVER.replace("cautions: [Tighten the hubs.]\n", ""))
    book = load.book(base, own)
    assert book.levers["rear_track_width"].cautions == ()
    assert list(book.levers) == list(load.book(base).levers)
    assert book.own == ("levers/rear_track_width",)


def test_tables_are_replaced_row_by_row(base: Path, tmp_path: Path) -> None:
    own = tmp_path / "own"
    file(own, "sources.yaml", "S1: {id: S1, about: another page}\nT1: {id: T1, about: our notebook}\n")
    file(own, "levers/rear_track_width.yaml", LEVER.replace("agree: [S1]", "agree: [S1, T1, team]"))
    book = load.book(base, own)
    assert [s.about for s in book.sources.values()] == ["another page", "our notebook"]


def test_a_folder_with_nothing_but_a_fix_loads(base: Path, tmp_path: Path) -> None:
    story.put(tmp_path / "own", **FIX)
    book = load.book(base, tmp_path / "own")
    assert list(book.fixes) == ["ours"]
    assert load.load(base, tmp_path / "own").problems == []


def test_what_is_replaced_is_told_with_its_place(base: Path, tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    first, second = wider(one, 11), wider(two, 12)
    table = file(two, "sources.yaml", "T1: {id: T1, about: ours}\nS1: {id: S1, about: another page}\n")
    shipped = "lever rear_track_width: your file replaces the shipped one"
    assert [(p.file, p.message) for p in notes(base, one)] == [(str(first), shipped)]
    told = {(p.file, p.line, p.message) for p in notes(base, one, two)}
    assert told == {
        (str(first), 1, shipped),
        (str(second), 1, f"lever rear_track_width: your file replaces that of {first}"),
        (str(table), 2, "source S1: your file replaces the shipped one"),
    }


def test_shipped_knowledge_stays_as_it_is(base: Path, tmp_path: Path) -> None:
    before = {p: p.read_bytes() for p in base.rglob("*.yaml")}
    wider(tmp_path / "own", 11)
    load.book(base, tmp_path / "own")
    assert {p: p.read_bytes() for p in base.rglob("*") if p.is_file()} == before
    assert minutes(base) == 10


# --- the cache ----------------------------------------------------------------------------------------


def later(path: Path) -> None:
    stamp = path.stat().st_mtime_ns + 2_000_000_000
    os.utime(path, ns=(stamp, stamp))


def changed(path: Path) -> None:
    path.write_text(path.read_text("utf-8").replace("minutes: 11", "minutes: 12"), "utf-8")
    later(path)


CHANGES: dict[str, tuple[Callable[[Path], object], int]] = {
    "changed": (changed, 12),
    "gone": (Path.unlink, 10),
    "moved": (lambda p: p.rename(p.with_name("rear_track_width.yaml.txt")), 10),
}


@pytest.mark.parametrize(("change", "then"), CHANGES.values(), ids=CHANGES)
def test_a_change_in_a_teams_folder_is_noticed(
    base: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, change: Callable[[Path], object], then: int
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.delenv("ADVISOR_NO_CACHE", raising=False)
    own = tmp_path / "own"
    path = wider(own, 11)
    assert [minutes(base, own) for _ in range(2)] == [11, 11]
    assert minutes(base) == 10  # with a cache of its own
    change(path)
    assert [minutes(base, own), minutes(base), minutes(base, own)] == [then, 10, then]


def test_a_book_from_the_cache_is_the_book_of_the_files(
    base: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.delenv("ADVISOR_NO_CACHE", raising=False)
    own = tmp_path / "own"
    wider(own, 11)
    story.put(own, where='{setup.rear_track_width: "> 1300 mm"}', evidence="[a, b]", **FIX)
    fresh = load.book(base, own)
    monkeypatch.setattr(load, "load", lambda *_: pytest.fail("the files were read again"))
    assert load.book(base, own) == fresh


# --- what is wrong is told at its place -----------------------------------------------------------------

BROKEN: dict[str, tuple[str, str, str]] = {
    "an unknown key": ("fixes/ours.yaml", story.fix(**FIX) + "«cuers: likely\n", '"cuers"'),
    "a missing key": ("fixes/ours.yaml", "«" + story.fix(**{**FIX, "because": None}), '"because" is missing'),
    "a word off the scale": (
        "fixes/ours.yaml",
        story.fix(**{**FIX, "cures": "«likly"}),
        'did you mean "likely"',
    ),
    "a status": ("fixes/ours.yaml", story.fix(**{**FIX, "status": "«proven"}), "'draft' or 'trusted'"),
    "a date": ("fixes/ours.yaml", story.fix(**{**FIX, "date": "«04.05.2024"}), "no date such as 2024-05-04"),
    "another id": (
        "fixes/ours.yaml",
        story.fix("ours", **{**FIX, "id": "«theirs"}),
        "differs from the file name",
    ),
    "no lever": (
        "fixes/ours.yaml",
        story.fix(**{**FIX, "lever": "«rear_track_widht"}),
        'did you mean "rear_tr',
    ),
    "no direction": (
        "fixes/ours.yaml",
        story.fix(**{**FIX, "direction": "«narower"}),
        'did you mean "narrower"',
    ),
    "no cause": ("fixes/ours.yaml", story.fix(**{**FIX, "cause": "«too_wyde"}), 'did you mean "too_wide"'),
    "trusted without a cause": (
        "fixes/ours.yaml",
        story.fix(**{**FIX, "cause": None, "status": "«trusted"}),
        "needs the cause that it answers",
    ),
    "no fact": (
        "fixes/ours.yaml",
        story.fix(**FIX) + "where: {«observed.wheather: wet}\n",
        "observed.wheather",
    ),
    "no answer": (
        "fixes/ours.yaml",
        story.fix(**FIX) + "fault: {observed.phase: «midd}\n",
        'did you mean "mid"',
    ),
    "no condition": (
        "fixes/ours.yaml",
        story.fix(**FIX) + "where: «{phase: mid}\n",
        "a condition starts with",
    ),
    "a control code": ("fixes/ours.yaml", story.fix(**FIX) + "note: «\x1b[2J\n", "control code 0x1b"),
    "an empty file": ("fixes/ours.yaml", "«", "is empty"),
    "a list": ("fixes/ours.yaml", "«- a\n", "must be a mapping"),
    "no part of knowledge": ("fixs/ours.yaml", "«" + story.fix(**FIX), 'did you mean "fixes"'),
    "a lever of the team": (
        "levers/rear_track_width.yaml",
        LEVER.replace("effect: rear_bite", "effect: «rear_byte"),
        'did you mean "rear_bite"',
    ),
    "a source of the team": ("sources.yaml", "T1: {id: T1, «abuot: ours}\n", 'did you mean "about"'),
    "words of the team": ("words.yaml", "«clases: {}\n", '"clases"'),
}


@pytest.mark.parametrize(("name", "text", "piece"), BROKEN.values(), ids=BROKEN)
def test_a_mistake_is_told_with_file_line_and_column(
    base: Path, tmp_path: Path, name: str, text: str, piece: str
) -> None:
    own = tmp_path / "own"
    path = file(own, name, text)
    loaded = load.load(base, own)
    assert loaded.book is None
    errors = [p for p in loaded.problems if p.severity == "error" and piece in p.message]
    assert [(p.file, p.line, p.column) for p in errors] == [(str(path), *place) for place in marks(text)]
    with pytest.raises(UnusableError):
        load.book(base, own)


def test_two_trusted_fixes_that_contradict_each_other_are_a_weakness(base: Path, tmp_path: Path) -> None:
    own = tmp_path / "own"
    story.put(own, "one", **FIX)
    two = story.put(own, "two", direction="wider", **FIX)
    (problem,) = load.load(base, own).problems
    assert (problem.file, problem.severity) == (str(two), "weakness")
    assert 'the fix "one" says "narrower"' in problem.message
    story.put(own, "two", direction="wider", where='{setup.rear_track_width: "< 1300 mm"}', **FIX)
    assert load.load(base, own).problems == []


# --- which folders the command uses -----------------------------------------------------------------------


def told(done_out: str) -> list[str]:
    return [line.strip() for line in done_out.splitlines() if "your file replaces" in line]


def test_the_usual_folder_is_used_if_it_is_there_and_named_ones_come_after_it(advisor: Advisor) -> None:
    usual = advisor.folder / ".local" / "share" / "kart-advisor" / "knowledge"
    assert told(advisor("check").out) == []
    text = (load.shipped() / "levers" / "caster.yaml").read_text("utf-8")
    file(usual, "levers/caster.yaml", text)
    file(advisor.folder / "club", "levers/caster.yaml", text)
    done = advisor("--knowledge", "club", "check")
    assert done.status == 0
    assert "Replaced by your own files: 2\n" in done.out
    assert "no errors, no weaknesses" in done.out
    replaced = {line.partition(": ")[2] for line in told(done.out)}
    assert replaced == {
        "lever caster: your file replaces the shipped one",
        f"lever caster: your file replaces that of {usual / 'levers' / 'caster.yaml'}",
    }


def test_folders_before_and_after_the_command_count_in_that_order(advisor: Advisor) -> None:
    for name in ("one", "two"):
        story.put(advisor.folder / name, author=name)
    advisor.write(story.CASE)
    for folders in (("one", "two"), ("two", "one")):
        done = advisor("--knowledge", folders[0], "advise", "--knowledge", folders[1], "case.yaml", "--json")
        assert f"Your team's own fix (ours, {folders[1]})" in " ".join(done.answer["advice"][0]["why"])


@pytest.mark.parametrize("name", ["none", "case.yaml", "/dev/null"])
def test_a_named_folder_that_is_none_is_told(advisor: Advisor, name: str) -> None:
    advisor.write(story.CASE)
    done = advisor("--knowledge", name, "advise", "case.yaml")
    assert (done.status, done.out, done.err) == (1, "", f"{name}:1:1: is not a folder of knowledge\n")


def test_a_teams_folder_can_be_checked_by_its_path(advisor: Advisor) -> None:
    path = story.put(advisor.folder / "club", cause="lift_drop_snip")
    done = advisor("check", "club")
    assert done.status == 1
    assert f"club/fixes/{path.name}:7:8: unknown cause" in done.out


def test_without_a_folder_of_the_team_one_look_is_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is asked of the file system about the usual folder: whether it is there, once, and nothing else."""
    from argparse import Namespace

    from advisor.cli import team

    looked: list[Path] = []
    monkeypatch.setenv("ADVISOR_KNOWLEDGE", str(tmp_path / "none"))
    monkeypatch.setattr(Path, "stat", lambda path, **_: pytest.fail(f"looked at {path}"))
    monkeypatch.setattr(os, "walk", lambda top: pytest.fail(f"walked {top}"))

    def is_dir(path: Path) -> bool:
        looked.append(path)
        return False

    monkeypatch.setattr(Path, "is_dir", is_dir)
    assert team.folders(Namespace()) == []
    assert looked == [tmp_path / "none"]
