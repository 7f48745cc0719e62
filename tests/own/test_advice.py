"""What a fix does to the advice: a trusted one counts where it holds, a draft is only told."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from advisor.book import load
from advisor.model.advice import Advice, Answer
from advisor.model.assumed import TRUSTED
from advisor.model.case import Case, Tried
from advisor.model.knowledge import Book, Fix
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, make_ready, reason
from tests.own.story import CAUSE, LEVER, OBSERVED, WAY

CASE = Case(observed=OBSERVED)


@cache
def plain() -> Mind:
    return make_ready(load.book(), load.ear())


def shipped() -> Book:
    return plain().book


def with_fixes(*fixes: Fix) -> Mind:
    """The shipped knowledge with these over it; its tables know nothing of fixes."""
    return replace(plain(), book=replace(shipped(), fixes={f.id: f for f in fixes}))


def fix(ident: str = "ours", **changes: Any) -> Fix:
    told: dict[str, Any] = {
        "author": "Red Team",
        "date": "2024-05-04",
        "status": "trusted",
        "lever": LEVER,
        "direction": WAY,
        "cures": "likely",
        "because": "the rear stops jumping.",
        "cause": CAUSE,
    }
    return Fix(id=ident, **{**told, **changes})


def answer(*fixes: Fix, case: Case = CASE) -> Answer:
    return advise(with_fixes(*fixes), case)


def entry(found: Answer, lever: str = LEVER) -> Advice:
    return next(a for a in found.advice if a.lever == lever)


def link(*fixes: Fix, lever: str = LEVER, case: Case = CASE) -> Any:
    mind = with_fixes(*fixes)
    done = reason(mind, case)
    return done.links.get(lever, {}).get(mind.tables.index(CAUSE))


def test_the_shipped_knowledge_does_not_have_it() -> None:
    """Otherwise nothing below shows anything."""
    assert link() is None
    assert answer().advice[0].lever != LEVER


def test_a_trusted_fix_is_a_remedy_of_its_cause_and_says_whose_it_is() -> None:
    first = answer(fix()).advice[0]
    assert (first.lever, first.direction) == (LEVER, WAY)
    assert "Your team's own fix (ours, Red Team): the rear stops jumping." in first.why
    assert first.sources[0] == "team:ours"
    found = link(fix())
    assert (found.way, found.stated, found.cures) == (WAY, TRUSTED, 0.66)  # likely: advisor/model/scale.py


def test_it_counts_before_what_others_say_of_the_same_way() -> None:
    old = link(lever="caster")
    found = link(fix(lever="caster", direction=old.way, cures="very likely"), lever="caster")
    assert (found.way, found.cures, found.against) == (old.way, 0.9, False)
    assert found.gives == old.gives  # why it acts so is still told
    words = " ".join(entry(answer(fix(lever="caster", direction=old.way)), "caster").why)
    assert "Your team's own fix" in words
    assert "the other way (" not in words


def test_it_overrules_the_opposite_and_the_advice_says_so() -> None:
    old = link(lever="caster")
    own = fix(lever="caster", direction=old.opposite)
    found = link(own, lever="caster")
    assert (found.way, found.opposite, found.against) == (old.opposite, old.way, True)
    advice = entry(answer(own), "caster")
    assert advice.direction == old.opposite
    say = shipped().levers["caster"].ways[old.way].say
    assert f"The shipped knowledge has it the other way ({say}); your team's fix counts." in advice.why
    # what is said of other causes stays as it was
    index = list(shipped().causes).index(CAUSE)
    before, after = (
        {i: one for i, one in reason(mind, CASE).links["caster"].items() if i != index}
        for mind in (with_fixes(), with_fixes(own))
    )
    assert before == after


@pytest.mark.parametrize(
    ("where", "counts"),
    [
        ({}, True),
        ({"setup.tyres.kind": "wet"}, False),  # not known, so it does not hold
        ({"observed.track": "rubbered"}, True),
        ({"observed.track": "green|damp"}, False),
        ({"observed.track": "rubbered", "setup.tyres.kind": "wet"}, False),
    ],
)
def test_a_fix_counts_only_in_its_regime(where: dict[str, str], counts: bool) -> None:
    assert (link(fix(where=where)) is not None) == counts
    assert (answer(fix(where=where)) == answer()) != counts


def test_a_draft_changes_no_ranking_and_is_told_where_it_fits() -> None:
    plain = answer()
    fault = {"observed.balance": "oversteer", "observed.phase": "entry"}
    draft = fix(status="draft", fault=fault)
    found = answer(draft)
    say = shipped().levers[LEVER].ways[WAY].say
    told = [w for w in found.warnings if w not in plain.warnings]
    assert told == [
        f"a draft of your team (ours, Red Team) would {say}: the rear stops jumping; "
        "it changes no ranking until it is trusted"
    ]
    assert replace(found, warnings=plain.warnings) == plain
    for other in ({"observed.balance": "understeer"}, {**fault, "observed.weather": "wet"}):
        assert answer(replace(draft, fault=other)) == plain


def test_a_draft_without_a_fault_is_told_where_its_cause_is_likely() -> None:
    likely, unlikely = (fix(status="draft", cause=c) for c in (CAUSE, "aquaplaning"))
    assert any("a draft of your team" in w for w in answer(likely).warnings)
    assert answer(unlikely) == answer()
    assert answer(fix(status="draft", cause=None)) == answer()


def test_no_draft_is_told_beside_a_stop() -> None:
    danger = Case(observed={**OBSERVED, "fluid_look": "full"})
    answers = shipped().observations["fluid_look"].answers
    ident = next(a for a, entry in answers.items() if entry.alarm)
    found = answer(fix(status="draft"), case=replace(danger, observed={**OBSERVED, "fluid_look": ident}))
    assert found.stop is not None
    assert not any("draft" in w for w in found.warnings)


def test_a_fix_takes_nothing_away_from_rules_kit_minutes_and_trials() -> None:
    for case in (
        replace(CASE, minutes=2),
        replace(CASE, tried=(Tried(LEVER, WAY, "worse"),)),
    ):
        found = answer(fix(), case=case)
        assert (LEVER, WAY) not in {(a.lever, a.direction) for a in found.advice}
        assert LEVER in {w.lever for w in found.withheld}


def test_records_of_a_team_say_whose_they_are() -> None:
    book = replace(shipped(), own=("levers/caster", f"causes/{CAUSE}"))
    mind = replace(plain(), book=book)
    found = advise(mind, CASE)
    lever = "This lever is described by your team's own file."
    cause = "This cause is described by your team's own file."
    assert [a.lever for a in found.advice if lever in a.why] == ["caster"]
    index = mind.tables.index(CAUSE)
    ranked = {r.prospect.lever: r.prospect.best for r in reason(mind, CASE).ranked}
    assert {a.lever for a in found.advice if cause in a.why} == {
        a.lever for a in found.advice if ranked[a.lever] == index
    }
