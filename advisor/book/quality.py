"""Weaknesses over the whole book: what loads, but is poor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.book.findings import Check, Finding, View, claims_of
from advisor.reasoning.tables import Tables, compile_tables

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
    for ident in view.book.causes:
        i = tables.index(ident)
        speaking = [o for o in tables.rows if i in tables.rows[o] and _tells(tables, o, i)]
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
    for cause in view.book.causes.values():
        signs = tuple(sorted((s.ask, tuple(sorted(s.answers.items()))) for s in cause.signs))
        feel = (
            tuple(
                tuple(sorted(getattr(cause.feel, b).items()))
                for b in ("understeer", "oversteer", "hop", "bind", "slide")
            )
            if cause.feel
            else ()
        )
        twin = seen.setdefault((signs, feel), cause.id)
        if twin != cause.id:
            yield _weak(
                "causes",
                cause.id,
                (),
                f'has the same likelihoods as "{twin}": nothing can tell the two apart',
                "twins",
            )


def observations_are_used(view: View) -> Iterator[Finding]:
    used = {s.ask for c in view.book.causes.values() for s in c.signs} | {"phase", "balance"}
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
    observations_are_used,
    effects_are_given_and_needed,
    levers_are_used,
    fixes_agree,
)
