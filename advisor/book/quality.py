"""Weaknesses over the whole book: what loads, but is poor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.book.findings import Check, Finding, View, claims_of
from advisor.book.likeness import alike, distance, same_fix
from advisor.inference.tables import Tables, compile_tables, safe_log
from advisor.model.feel import AXES, FEEL
from advisor.model.knowledge import BALANCES
from advisor.model.levers import Gives, Lever

ALIKE = 0.5  # causes less far apart than this in all are hardly told apart (see likeness.distance)
TELLING = 3.0  # a likelihood ratio from which an observation speaks for (or, inverted, against) a cause
TELLING_OBSERVATIONS = 2


def _weak(room: str, ident: str, path: tuple[Any, ...], message: str, code: str) -> Finding:
    return Finding(room, ident, path, message, "weakness", code)


def claims_have_sources(view: View) -> Iterator[Finding]:
    for room, ident, path, sources in claims_of(view.book):
        if not any(sources.values()):
            yield _weak(
                room, ident, path, 'names no source; write one, or "common_practice" or "memory"', "unsourced"
            )


def sources_are_cited(view: View) -> Iterator[Finding]:
    cited = {source for *_, sources in claims_of(view.book) for ids in sources.values() for source in ids}
    for ident in view.book.sources:
        if ident not in cited:
            yield _weak("sources", ident, (), "is cited by nothing", "unused")


def causes_can_be_fixed(view: View) -> Iterator[Finding]:
    given = {g.effect for lever in view.book.levers.values() for g in lever.gives}
    fixed = {fix.cause for fix in view.book.fixes.values() if fix.status == "trusted"}
    for cause in view.book.causes.values():
        if cause.id in fixed:
            continue
        if not cause.remedies and not cause.undoes_change and not any(n.effect in given for n in cause.needs):
            yield _weak(
                "causes",
                cause.id,
                (),
                "nobody can fix this cause: no remedy, and no lever gives what it needs",
                "unfixable",
            )


def causes_can_be_told(view: View) -> Iterator[Finding]:
    try:
        tables = compile_tables(view.book)
    except KeyError:
        return  # a sign names what does not exist, which is an error of its own
    for ident in (c.id for c in view.book.causes.values() if not c.rest):
        i = tables.index(ident)
        asked = tables.rows.keys() - {FEEL}  # the complaint alone is not enough, whatever it is
        speaking = [o for o in asked if i in tables.rows[o] and _tells(tables, o, i)]
        if len(speaking) < TELLING_OBSERVATIONS:
            message = (
                f"only {len(speaking)} observations speak clearly for or against this cause "
                f"(ratio {TELLING:g} or 1/{TELLING:g}); it needs {TELLING_OBSERVATIONS}"
            )
            yield _weak("causes", ident, (), message, "vague")


def _tells(tables: Tables, observation: str, i: int) -> bool:
    row, usual = tables.rows[observation][i], tables.usual[observation]
    return any(p / usual[a] >= TELLING or p / usual[a] <= 1 / TELLING for a, p in row.items())


def causes_differ(view: View) -> Iterator[Finding]:
    seen: dict[Any, str] = {}
    for cause in (c for c in view.book.causes.values() if not c.rest):
        signs = tuple(sorted((s.ask, tuple(sorted(s.answers.items()))) for s in cause.signs))
        feel = cause.feel and tuple(tuple(sorted(getattr(cause.feel, b).items())) for b in BALANCES)
        twin = seen.setdefault((signs, feel), cause.id)
        if twin != cause.id:
            yield _weak(
                "causes",
                cause.id,
                (),
                f'has the same likelihoods as "{twin}": nothing can tell the two apart',
                "twins",
            )


def causes_are_told_apart(view: View) -> Iterator[Finding]:
    """Look-alikes that want different changes need something to look at that separates them."""
    try:
        tables = compile_tables(view.book)
    except KeyError:
        return
    causes = [c.id for c in view.book.causes.values() if not (c.undoes_change or c.rest)]
    for n, one in enumerate(causes):
        for other in causes[:n]:
            if alike(tables, one, other, ALIKE) and not same_fix(tables, one, other):
                gap = distance(tables, one, other)
                message = (
                    f'is hardly told from "{other}", which wants another change: their answers differ by '
                    f"{gap:.2f} in all, and {ALIKE:g} is asked; name a sign usual for one and rare for the other"
                )
                yield _weak("causes", one, (), message, "look_alike")


def causes_can_be_reached(view: View) -> Iterator[Finding]:
    """With its most telling complaint and answers a cause must come out before every other one."""
    try:
        tables = compile_tables(view.book)
    except KeyError:
        return
    for place, ident in enumerate(view.book.causes):
        if view.book.causes[ident].undoes_change or view.book.causes[ident].rest:
            continue  # it rests on the change that was told, or on what nothing else explains
        logs = _with_all_signs(tables, place)
        best = max(range(len(view.book.causes)), key=lambda i: logs[i])
        rival = tables.hypotheses[best]
        if best != place and not same_fix(tables, ident, rival) and distance(tables, ident, rival) >= ALIKE:
            message = f'is not reached: with all its clearest answers "{rival}" stays more probable'
            yield _weak("causes", ident, (), message, "unreached")


def _with_all_signs(tables: Tables, place: int) -> list[float]:
    """Log weights of the hypotheses when all that speaks for one of them is told."""
    logs = [safe_log(p) for p in tables.prior]
    for ident, rows in tables.rows.items():
        if place in rows:
            row, usual = rows[place], tables.usual[ident]
            # the complaint that comes most often, and of all else the answer that says most
            answer = max(row, key=lambda a: row[a] if ident == FEEL else row[a] / usual[a])
            for i, move in tables.moves[ident][answer].items():
                logs[i] += move
    return logs


def questions_can_come(view: View) -> Iterator[Finding]:
    """A question that waits for an answer to another one must be able to get it."""
    known = view.book.observations
    for observation in known.values():
        for path in observation.asked_if if observation.asked else ():
            room, _, name = path.partition(".")
            other = known.get(name) if room == "observed" else None
            if other is None or other.asked or any(a.phrases or a.when for a in other.answers.values()):
                continue
            message = f'is asked after "{name}" only, which is never asked and cannot be told'
            yield _weak("observations", observation.id, ("asked_if",), message, "unasked")


def claims_do_not_contradict(view: View) -> Iterator[Finding]:
    """One lever, one regime, two directions: the sources against belong to the claim, under `disagree`."""
    for lever in view.book.levers.values():
        seen: dict[Any, tuple[int, bool]] = {}
        for n, gives in enumerate(lever.gives):
            if gives.way not in lever.ways:  # told by the checks of references
                continue
            regime = (gives.effect, tuple(sorted(gives.where.items())))
            first, raised = seen.setdefault(regime, (n, _raises(lever, gives)))
            if raised != _raises(lever, gives):
                message = (
                    f"says the opposite of claim {first + 1} of this lever in the same regime; "
                    "make it one claim, with the sources against it under disagree"
                )
                yield _weak("levers", lever.id, ("gives", n), message, "contradiction")


def _raises(lever: Lever, gives: Gives) -> bool:
    """Whether the first direction of the lever, by name, gives more of the effect."""
    named = min(w for w in (gives.way, lever.ways[gives.way].opposite) if w)
    return (gives.way == named) == (gives.change == "more")


def remedies_do_not_contradict(view: View) -> Iterator[Finding]:
    """A cause that names a direction and its opposite must say when which."""
    for cause in view.book.causes.values():
        ways = {(r.lever, r.direction): r for r in cause.remedies}
        for n, remedy in enumerate(cause.remedies):
            lever = view.book.levers.get(remedy.lever)
            way = lever.ways.get(remedy.direction) if lever else None
            if way and (remedy.lever, way.opposite) in ways and not remedy.detail:
                message = f"{remedy.lever} is named both ways; say in detail when {remedy.direction} is right"
                yield _weak("causes", cause.id, ("remedies", n), message, "contradiction")


def observations_are_used(view: View) -> Iterator[Finding]:
    used = {s.ask for c in view.book.causes.values() for s in c.signs} | AXES.keys()
    conditions_ = [o.where for c in view.book.causes.values() for o in c.odds]
    conditions_ += [g.where for lever in view.book.levers.values() for g in lever.gives]
    used |= {path.removeprefix("observed.") for where in conditions_ for path in where}
    for observation in view.book.observations.values():
        if observation.id not in used and not any(a.alarm for a in observation.answers.values()):
            yield _weak(
                "observations", observation.id, (), "no cause and no claim uses this observation", "unused"
            )


def effects_are_given_and_needed(view: View) -> Iterator[Finding]:
    given = {g.effect for lever in view.book.levers.values() for g in lever.gives}
    for effect in view.book.effects:
        if effect not in given:
            yield _weak("effects", effect, (), "no lever gives this effect", "unused")


def levers_are_used(view: View) -> Iterator[Finding]:
    needed = {n.effect for c in view.book.causes.values() for n in c.needs}
    direct = {r.lever for c in view.book.causes.values() for r in c.remedies}
    for lever in view.book.levers.values():
        if lever.id not in direct and not any(g.effect in needed for g in lever.gives):
            yield _weak("levers", lever.id, (), "answers no cause", "unused")


def fixes_agree(view: View) -> Iterator[Finding]:
    seen: dict[Any, tuple[str, str]] = {}
    for fix in view.book.fixes.values():
        if fix.status != "trusted":
            continue
        where = tuple(sorted(fix.where.items()))
        other, way = seen.setdefault((fix.lever, fix.cause, where), (fix.id, fix.direction))
        if way != fix.direction:
            message = f'says "{fix.direction}" where the fix "{other}" says "{way}"; trust one of the two'
            yield _weak("fixes", fix.id, ("direction",), message, "contrary")


QUALITY: tuple[Check, ...] = (
    claims_have_sources,
    sources_are_cited,
    causes_can_be_fixed,
    causes_can_be_told,
    causes_differ,
    causes_are_told_apart,
    causes_can_be_reached,
    questions_can_come,
    claims_do_not_contradict,
    remedies_do_not_contradict,
    observations_are_used,
    effects_are_given_and_needed,
    levers_are_used,
    fixes_agree,
)
