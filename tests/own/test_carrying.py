"""A team's fixes travel with its journal: none is lost, none comes twice, none is overwritten."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from advisor.journal import carry
from advisor.journal.events import Document
from advisor.journal.store import Journal
from tests.hostile.command import Advisor
from tests.own import story


def laptop(advisor: Advisor, name: str) -> Advisor:
    """The same program with a journal and a team folder of its own; files are carried by the common folder."""
    changes = {"ADVISOR_KNOWLEDGE": f"{name}/knowledge", "ADVISOR_JOURNAL": f"{name}/journal.sqlite3"}
    return replace(advisor, changes=changes)


def held(advisor: Advisor, name: str) -> dict[str, str]:
    folder = advisor.folder / name / "knowledge" / "fixes"
    return {p.name: p.read_text("utf-8") for p in folder.rglob("*") if p.is_file()}


def start(advisor: Advisor, name: str, *idents: str, **changes: str) -> Advisor:
    """A laptop with a trial and some fixes."""
    found = laptop(advisor, name)
    story.drive(advisor.folder / name / "journal.sqlite3", ["better"])
    for ident in idents:
        story.put(advisor.folder / name / "knowledge", ident, **changes)
    return found


def export(machine: Advisor, name: str) -> None:
    done = machine("journal", "export", name)
    assert done.status == 0, done


def test_a_fix_comes_to_the_other_machine_to_the_letter_and_once(advisor: Advisor) -> None:
    one, two = start(advisor, "one", "ours", "more"), laptop(advisor, "two")
    export(one, "a")
    done = two("journal", "import", "a")
    assert "Fixes of the team taken in: 2, in two/knowledge/fixes\n" in done.out
    assert held(advisor, "two") == held(advisor, "one") != {}
    again = two("journal", "import", "a")
    assert again.out == "Taken in: 0 new entries; 4 were here already.\n"  # two of them fixes
    export(two, "b")
    assert (advisor.folder / "a").read_bytes() == (advisor.folder / "b").read_bytes()
    assert one("journal", "import", "b").out == again.out


@pytest.mark.parametrize("order", ["".join(order) for order in permutations("abc")])
def test_three_folders_end_up_the_same_in_whatever_order(advisor: Advisor, order: str) -> None:
    for name in "abc":
        export(start(advisor, name, f"of_{name}", "common"), f"{name}.jsonl")
    machine = laptop(advisor, "end")
    for name in order:
        assert machine("journal", "import", f"{name}.jsonl").status == 0
    idents = ("common", "of_a", "of_b", "of_c")
    assert held(advisor, "end") == {f"{ident}.yaml": story.fix(ident) for ident in idents}


def test_of_two_texts_ours_stays_and_theirs_is_kept_beside_it(advisor: Advisor) -> None:
    one, two = start(advisor, "one", "ours"), start(advisor, "two", "ours", cures="unlikely")
    mine, theirs = held(advisor, "one")["ours.yaml"], held(advisor, "two")["ours.yaml"]
    export(two, "b")
    for _ in range(2):  # the second time nothing more comes of it
        done = one("journal", "import", "b")
        assert done.status == 0
        found = held(advisor, "one")
        assert found.pop("ours.yaml") == mine
        assert list(found.values()) == [theirs]
    assert "differs" not in done.out
    assert one("check").status == 0  # what lies beside is not read
    one("journal", "export", "c")
    assert two("journal", "import", "c").status == 0
    assert sorted(held(advisor, "two").values()) == sorted([mine, theirs])


def test_trust_alone_is_no_other_text(advisor: Advisor) -> None:
    """Each laptop trusts by its own journal; that the other one trusts it is told, with what to type."""
    one, two = start(advisor, "one", "ours", status="draft"), start(advisor, "two", "ours")
    mine = held(advisor, "one")
    export(two, "b")
    done = one("journal", "import", "b")
    assert held(advisor, "one") == mine
    assert "ours is trusted there and a draft here." in done.out
    assert "advisor fix trust ours" in " ".join(done.out.split())
    export(one, "c")
    done = two("journal", "import", "c")
    assert (done.status, len(held(advisor, "two"))) == (0, 1)
    assert "differs" not in done.out


def carried(advisor: Advisor, *bodies: Any) -> None:
    """A file with documents of the kind of a fix, whatever is in them."""
    with Journal(advisor.folder / "theirs.sqlite3") as journal:
        carry.write(journal, advisor.folder / "hostile", [Document("fix", body) for body in bodies])


TEXT = story.fix()
HOSTILE: dict[str, Any] = {
    "a path upwards": {"name": "../../evil.yaml", "text": TEXT},
    "an absolute path": {"name": "/tmp/evil.yaml", "text": TEXT},
    "a path of another system": {"name": "..\\evil.yaml", "text": TEXT},
    "a hidden file": {"name": ".evil.yaml", "text": TEXT},
    "no YAML": {"name": "evil.py", "text": TEXT},
    "capitals": {"name": "Evil.yaml", "text": TEXT},
    "a line end": {"name": "evil.yaml\n", "text": TEXT},
    "a null": {"name": "evil\x00.yaml", "text": TEXT},
    "control codes in the name": {"name": "\x1b[2J.yaml", "text": TEXT},
    "a long name": {"name": f"{'e' * 300}.yaml", "text": TEXT},
    "another id": {"name": "evil.yaml", "text": TEXT},
    "control codes": {"name": "evil.yaml", "text": story.fix("evil", note='"\x1b[2J"')},
    "half a character": {"name": "evil.yaml", "text": story.fix("evil", note="\ud800")},
    "no fix": {"name": "evil.yaml", "text": "id: evil\n"},
    "no mapping": {"name": "evil.yaml", "text": "- a\n"},
    "an alias": {"name": "evil.yaml", "text": "a: &a [b]\nc: *a\n"},
    "huge": {"name": "evil.yaml", "text": story.fix("evil", note="x" * 1_000_001)},
    "an unknown lever": {"name": "evil.yaml", "text": story.fix("evil", lever="warp_drive")},
    "an unknown cause": {"name": "evil.yaml", "text": story.fix("evil", cause="gremlins")},
    "an unknown fact": {"name": "evil.yaml", "text": story.fix("evil", where="{setup.warp: high}")},
    "trusted without a cause": {"name": "evil.yaml", "text": story.fix("evil", cause=None)},
    "no text": {"name": "evil.yaml"},
    "more": {"name": "evil.yaml", "text": TEXT, "mode": 511},
    "numbers": {"name": 1, "text": 2},
    "a list": [1, 2],
    "nothing": None,
}


@pytest.mark.parametrize("body", HOSTILE.values(), ids=HOSTILE)
def test_what_is_no_fix_is_kept_in_the_journal_and_written_nowhere(advisor: Advisor, body: Any) -> None:
    carried(advisor, body, {"name": "ours.yaml", "text": TEXT})
    before = {p for p in advisor.folder.rglob("*") if p.is_file()}
    mine = laptop(advisor, "mine")
    done = mine("journal", "import", "hostile")
    assert done.status == 0, done
    assert "A fix cannot be used here and is only kept in the journal: " in done.out
    assert held(advisor, "mine") == {"ours.yaml": TEXT}  # the sound one beside it is taken in
    new = {p for p in advisor.folder.rglob("*") if p.is_file()} - before
    assert {p.relative_to(advisor.folder).parts[0] for p in new} == {"mine"}
    assert not Path("/tmp/evil.yaml").exists()
    with Journal(advisor.folder / "mine" / "journal.sqlite3", read_only=True) as journal:
        assert list(journal.documents("fix")) == [Document("fix", body)]
    assert mine("check").status == 0
    export(mine, "on")  # and it travels on
    assert Document("fix", body) in list(carry.Reader(advisor.folder / "on"))


def test_a_refused_file_leaves_no_fix(advisor: Advisor) -> None:
    export(start(advisor, "one", "ours"), "a")
    content = (advisor.folder / "a").read_bytes()
    (advisor.folder / "a").write_bytes(content.replace(b"day1", b"day2", 1))
    done = laptop(advisor, "two")("journal", "import", "a")
    assert done.status == 1
    assert held(advisor, "two") == {}


def test_a_link_out_of_the_folder_is_not_written_through(advisor: Advisor) -> None:
    export(start(advisor, "one", "ours"), "a")
    outside = advisor.write("keep me", "outside")
    folder = advisor.folder / "two" / "knowledge" / "fixes"
    folder.mkdir(parents=True)
    try:
        (folder / "ours.yaml").symlink_to(outside)
    except OSError:
        pytest.skip("no links here")
    laptop(advisor, "two")("journal", "import", "a")
    assert outside.read_text("utf-8") == "keep me"


def test_a_fix_that_cannot_be_read_stops_the_export(advisor: Advisor) -> None:
    one = start(advisor, "one", "ours")
    (advisor.folder / "one" / "knowledge" / "fixes" / "bad.yaml").write_bytes(b"\xff\xfe")
    done = one("journal", "export", "a")
    assert (done.status, done.out) == (1, "")
    assert "one/knowledge/fixes/bad.yaml:1:1: is not UTF-8 text" in done.err
    assert not (advisor.folder / "a").exists()
