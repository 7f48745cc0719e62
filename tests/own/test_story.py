"""The whole job: three days of trials, a draft, an edit, trust, other advice, and the same on another machine."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from tests.hostile.command import Advisor
from tests.own import story


def _outcomes(advisor: Advisor, days: range) -> None:
    """Days whose verdicts are told to the command itself; the change was chosen in an interview."""
    from advisor.journal.store import Journal

    for day in days:
        with Journal(advisor.folder / advisor.changes["ADVISOR_JOURNAL"]) as journal:
            journal.append(story.events(f"day{day}", "better", day=day)[0])
        assert advisor("outcome", "better", "--note", "calm on the way in").status == 0


def _first(advisor: Advisor) -> dict[str, Any]:
    first = advisor.answer(story.CASE)["advice"][0]
    assert isinstance(first, dict)
    return first


def test_a_teams_experience_becomes_advice_and_travels(advisor: Advisor) -> None:
    (advisor.folder / "one").mkdir()
    one = replace(
        advisor, changes={"ADVISOR_KNOWLEDGE": "one/club", "ADVISOR_JOURNAL": "one/journal.sqlite3"}
    )
    before = _first(one)
    assert before["lever"] != story.LEVER
    _outcomes(one, range(1, 4))
    drafted = one("fix", "draft", "--author", "Red Team")
    assert drafted.status == 0, drafted
    path = advisor.folder / "one" / "club" / "fixes" / f"{story.FIX}.yaml"
    # a person edits it
    text = path.read_text("utf-8").replace("calm on the way in", "it no longer jumps at the first kerb")
    path.write_text(
        text.replace("#where: {observed.track: rubbered}", "where: {observed.track: rubbered}"), "utf-8"
    )
    assert one("check", "one/club").status == 0
    # a draft is told, and changes nothing
    draft = one.answer(story.CASE)
    assert draft["advice"][0] == before
    assert any(f"a draft of your team ({story.FIX}, Red Team) would narrow" in w for w in draft["warnings"])
    # three trials are not enough, five are
    assert one("fix", "trust", story.FIX).status == 1
    _outcomes(one, range(4, 6))
    assert one("fix", "trust", story.FIX).status == 0
    trusted = _first(one)
    assert (trusted["lever"], trusted["direction"]) == (story.LEVER, story.WAY)
    assert (
        f"Your team's own fix ({story.FIX}, Red Team): it no longer jumps at the first kerb."
        in trusted["why"]
    )
    assert trusted["sources"][0] == f"team:{story.FIX}"
    # on another track it has no say
    green = story.CASE.replace("rubbered", "green")
    assert not any("Your team's" in w for a in one.answer(green)["advice"] for w in a["why"])
    # and it travels
    assert one("journal", "export", "carried").status == 0
    two = replace(
        advisor, changes={"ADVISOR_KNOWLEDGE": "two/club", "ADVISOR_JOURNAL": "two/journal.sqlite3"}
    )
    assert _first(two) == before
    assert two("journal", "import", "carried").status == 0
    assert two.answer(story.CASE) == one.answer(story.CASE)
    assert two("fix", "list").out == one("fix", "list").out
    assert Path(advisor.folder / "two" / "club" / "fixes" / path.name).read_bytes() == path.read_bytes()
