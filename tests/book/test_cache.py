"""The knowledge cache only saves time: whatever is in it or wrong with it, the files decide."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.book import tiny
from tests.hostile.command import HANG, ROOT, Advisor, result

CASE = "complaint: the rear slides, mid corner\n"
NAME = "the rear is too wide"
Shop = Advisor


@pytest.fixture
def shop(tmp_path: Path) -> Advisor:
    """A copy of the program whose knowledge is the tiny folder, with an empty cache."""
    root = tmp_path / "program"
    shutil.copytree(ROOT / "advisor", root / "advisor")
    tiny.write(root / "knowledge")
    (root / "scenarios").mkdir()
    place = tmp_path / "place"
    place.mkdir()
    found = Advisor(place, tmp_path / "cache", root=root)
    found.write(CASE)
    return found


def says(shop: Advisor) -> list[str]:
    """The names of the causes that the program knows now."""
    done = shop("advise", "case.yaml", "--json")
    return [cause["name"] for cause in done.answer["causes"]]


def cached(shop: Advisor) -> Path:
    """The one file of the cache."""
    (found,) = (path for path in shop.cache.rglob("*") if path.is_file())
    return found


def knowledge(shop: Advisor, name: str = "causes/too_wide.yaml") -> Path:
    return shop.root / "knowledge" / name


def later(path: Path) -> None:
    """Give a file a time of change of its own, however coarse the clock of the file system is."""
    stamp = path.stat().st_mtime_ns + 2_000_000_000
    os.utime(path, ns=(stamp, stamp))


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")
    later(path)


# --- it is used, and a change is noticed ------------------------------------------------------------


def test_the_second_start_reads_the_cache(shop: Advisor) -> None:
    """Otherwise nothing below could fail."""
    says(shop)
    cached(shop).write_text(cached(shop).read_text("utf-8").replace(NAME, "read from the cache"), "utf-8")
    assert "read from the cache" in says(shop)


def test_a_changed_file_is_noticed(shop: Advisor) -> None:
    assert NAME in says(shop)
    change(knowledge(shop), NAME, "the rear is too wyde")  # of the same length
    assert "the rear is too wyde" in says(shop)


def test_a_new_file_is_noticed(shop: Advisor) -> None:
    says(shop)
    text = tiny.TINY["causes/too_wide.yaml"].replace("too_wide", "too_new").replace(NAME, "something new")
    knowledge(shop, "causes/too_new.yaml").write_text(text, "utf-8")
    assert "something new" in says(shop)


def test_a_file_that_has_gone_is_noticed(shop: Advisor) -> None:
    assert "the axle is bent" in says(shop)
    knowledge(shop, "causes/axle_bent.yaml").unlink()
    assert "the axle is bent" not in says(shop)


def test_a_file_that_was_moved_is_noticed_and_changes_nothing(shop: Advisor) -> None:
    before = says(shop)
    path = knowledge(shop)
    (path.parent / "more").mkdir()
    path.rename(path.parent / "more" / path.name)
    assert sorted(says(shop)) == sorted(before)


def test_a_broken_file_is_told_although_the_cache_holds_a_sound_book(shop: Advisor) -> None:
    says(shop)
    change(knowledge(shop), "base: often", "base: oftn")
    done = shop("advise", "case.yaml", "--json")
    assert (done.status, done.out) == (1, "")
    assert "oftn" in done.err
    assert "too_wide.yaml:5:7" in done.err


def test_a_book_with_a_mistake_is_not_kept(shop: Advisor) -> None:
    change(knowledge(shop), "base: often", "base: oftn")
    for _ in range(2):
        assert shop("advise", "case.yaml").status == 1


def test_two_copies_of_the_program_do_not_share_a_book(shop: Advisor, tmp_path: Path) -> None:
    says(shop)
    other = tmp_path / "other"
    shutil.copytree(shop.root, other)
    change(other / "knowledge" / "causes" / "too_wide.yaml", NAME, "of the other copy")
    assert "of the other copy" in says(replace(shop, root=other))
    assert NAME in says(shop)


def test_a_book_from_the_cache_is_the_book_of_the_files(shop: Advisor) -> None:
    fresh = shop("advise", "case.yaml", "--json").out
    assert shop("advise", "case.yaml", "--json").out == fresh


def test_the_shipped_book_from_the_cache_gives_the_same_answers(advisor: Advisor, tmp_path: Path) -> None:
    advisor.write("complaint: loose on entry in the wet, hops on exit\n")
    without = replace(advisor, changes={"ADVISOR_NO_CACHE": "1"})("advise", "case.yaml", "--json").out
    empty = replace(advisor, cache=tmp_path / "new")
    assert [empty("advise", "case.yaml", "--json").out for _ in range(2)] == [without] * 2


def test_without_a_cache_nothing_is_left_behind(shop: Advisor) -> None:
    assert NAME in says(replace(shop, changes={"ADVISOR_NO_CACHE": "1"}))
    assert not shop.cache.exists()


# --- what may stand in the cache file ---------------------------------------------------------------


def whole(text: str) -> str:
    return text


def torn(text: str) -> str:
    return text[: len(text) // 2]


def torn_at_its_end(text: str) -> str:
    return text[:-1]


def with_book(book: Any) -> Callable[[str], str]:
    """The right key with another book."""
    return lambda text: json.dumps({**json.loads(text), "book": book})


def with_key(key: Any) -> Callable[[str], str]:
    return lambda text: json.dumps({**json.loads(text), "key": key})


def without_causes(text: str) -> str:
    kept = json.loads(text)
    del kept["book"]["causes"]
    return json.dumps(kept)


def with_a_hollow_cause(text: str) -> str:
    kept = json.loads(text)
    kept["book"]["causes"]["too_wide"] = {"id": "too_wide"}
    return json.dumps(kept)


def with_an_unknown_field(text: str) -> str:
    kept = json.loads(text)
    kept["book"]["causes"]["too_wide"]["colour"] = "red"
    return json.dumps(kept)


GARBAGE: dict[str, Callable[[str], str]] = {
    "empty": lambda _: "",
    "torn": torn,
    "torn at its end": torn_at_its_end,
    "doubled": lambda text: text + text,
    "no JSON": lambda _: "{oops",
    "null": lambda _: "null",
    "a list": lambda _: "[]",
    "a text": lambda _: '"book"',
    "an empty object": lambda _: "{}",
    "deep": lambda _: "[" * 100_000,
    "deep inside": lambda text: text.replace('"book": {', '"book": ' + '{"a":' * 50_000, 1),
    "no key": with_key(None),
    "another key": with_key([0, [3, 99], "elsewhere", []]),
    "no book": with_book(None),
    "an empty book": with_book({}),
    "a book of list": with_book([]),
    "a book of text": with_book("book"),
    "a book of numbers": with_book(dict.fromkeys(("sources", "effects", "causes", "levers", "words"), 3)),
    "a book without causes": without_causes,
    "a hollow cause": with_a_hollow_cause,
    "an unknown field": with_an_unknown_field,
}


@pytest.mark.parametrize("garbage", GARBAGE.values(), ids=GARBAGE)
def test_a_cache_that_is_no_sound_book_is_no_cache(shop: Advisor, garbage: Callable[[str], str]) -> None:
    right = says(shop)
    sound = cached(shop).read_text("utf-8")
    cached(shop).write_text(garbage(sound), "utf-8")
    assert says(shop) == right
    assert cached(shop).read_text("utf-8") == sound  # and it is mended


@pytest.mark.parametrize("content", [b"\x00" * 4096, b"\xff\xfe", bytes(range(256)), b"\x1f\x8b\x08\x00"])
def test_bytes_that_are_no_text_are_no_cache(shop: Advisor, content: bytes) -> None:
    right = says(shop)
    cached(shop).write_bytes(content)
    assert says(shop) == right


# --- where the cache cannot be ----------------------------------------------------------------------


def test_a_folder_in_place_of_the_cache_file_is_no_obstacle(shop: Advisor) -> None:
    says(shop)
    path = cached(shop)
    path.unlink()
    path.mkdir()
    assert NAME in says(shop)
    assert NAME in says(shop)


def test_a_file_in_place_of_the_cache_folder_is_no_obstacle(shop: Advisor) -> None:
    shop.cache.write_text("a file")
    assert NAME in says(shop)
    shop.cache.unlink()
    says(shop)
    folder = cached(shop).parent
    shutil.rmtree(folder)
    folder.write_text("a file")
    assert NAME in says(shop)


@pytest.mark.parametrize("home", ["/dev/null", "/nonexistent/cache", "relative", "", "~", "n" * 5000])
def test_an_odd_place_for_the_cache_is_no_obstacle(shop: Advisor, home: str) -> None:
    assert NAME in says(replace(shop, changes={"XDG_CACHE_HOME": home}))


@pytest.mark.parametrize("mode", [0o500, 0o400, 0o000])
@pytest.mark.parametrize("filled", [True, False])
def test_a_cache_folder_that_is_closed_is_no_obstacle(
    shop: Advisor, ordinary: Advisor, mode: int, filled: bool
) -> None:
    """Closed for a user whom permissions bind."""
    bound = replace(shop, before=ordinary.before)
    if filled:
        says(bound)
        folder = cached(shop).parent
    else:
        folder = shop.cache
        folder.mkdir()
    folder.chmod(mode)
    change(knowledge(shop), NAME, "changed meanwhile")
    told = says(bound)
    folder.chmod(0o700)
    assert "changed meanwhile" in told


def test_several_first_starts_at_once_leave_one_sound_cache(shop: Advisor) -> None:
    started = [
        subprocess.Popen(
            shop.argv("advise", "case.yaml", "--json"),
            cwd=shop.folder,
            env=shop.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        for _ in range(6)
    ]
    ends = [(process, *process.communicate(timeout=4 * HANG)) for process in started]
    outs = {result(process.returncode, out, err).out for process, out, err in ends}
    assert len(outs) == 1
    assert NAME in outs.pop()
    json.loads(cached(shop).read_text("utf-8"))


# --- what `check` lets pass must not stop the advice --------------------------------------------------


def test_a_lock_file_of_an_editor_does_not_stop_the_advice(shop: Advisor) -> None:
    """Some editors keep a dangling link `.#name.yaml` beside a file that is being changed."""
    try:
        knowledge(shop, "causes/.#too_wide.yaml").symlink_to("nobody@nowhere.1234")
    except OSError:
        pytest.skip("no links here")
    assert NAME in says(shop)


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("levers/rear_track_width.yaml", "[wider REAR]", "[wider RAER]"),
        ("levers/rear_track_width.yaml", "most: 1400 mm", "most: 12 psi"),
        ("levers/inspect_axle.yaml", "minutes: 5", "minutes: 5\ndimension: lenght"),
        ("observations/heat.yaml", "seconds: 60", "seconds: 60\nasked: false"),
    ],
)
def test_what_passes_the_check_can_be_used(shop: Advisor, name: str, old: str, new: str) -> None:
    change(knowledge(shop, name), old, new)
    checked = shop("check", str(shop.root / "knowledge"))
    used = shop("advise", "case.yaml", "--json")
    assert checked.status == used.status


@pytest.mark.parametrize("gone", ["observations/phase.yaml", "observations/balance.yaml"])
@pytest.mark.parametrize("more", ["", "secondary: {phase: exit, balance: hop}\n", "observed: {phase: mid}\n"])
def test_a_knowledge_folder_without_a_basic_question_is_told_or_works(
    shop: Advisor, gone: str, more: str
) -> None:
    knowledge(shop, gone).unlink()
    shop.write(CASE + more)
    assert shop("advise", "case.yaml").status in (0, 1)
