"""Checks over the whole book: what a single file cannot show.

Each check is a small function from a `View` to findings: the place, the sentence, and whether it is
an error (cannot be used) or a weakness (works, but poorly). The list at the end is all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from advisor import units
from advisor.book.load import Loaded
from advisor.book.marked import Marked
from advisor.model import conditions
from advisor.model.knowledge import BALANCES, PHASES, UNSOURCED, Book, Cause, Lever, Remedy
from advisor.problems import Problem, Severity, hint
from advisor.reasoning.tables import Tables, compile_tables
from advisor.words.phrases import compile_phrase

TELLING = 3.0  # a likelihood ratio from which an observation speaks for (or, inverted, against) a cause
TELLING_OBSERVATIONS = 2


class Finding(NamedTuple):
    """Where in the book (room, id, path inside) and what."""

    room: str
    ident: str
    path: tuple[Any, ...]
    message: str
    severity: Severity = "error"
    code: str = "dangling"


@dataclass
class View:
    """A book under check; `broken` are ids whose own file did not load, so that nobody is blamed twice."""

    book: Book
    broken: frozenset[str]

    def missing(self, ident: str, known: Collection[str]) -> bool:
        return ident not in known and ident not in self.broken


Check = Callable[[View], Iterator[Finding]]


def check(
    loaded: Loaded, book: Book, broken: frozenset[str] = frozenset(), *, quality: bool = True
) -> list[Problem]:
    """Run every check; findings become problems at their place in their file.

    `quality` is false while some file does not load: what hangs on it would be blamed for nothing.
    """
    view = View(book, broken)
    findings = [f for c in REFERENCES for f in c(view)]
    if quality:
        wrong = {(f.room, f.ident) for f in findings}  # what is wrong need not be called weak as well
        poor = [f for c in QUALITY for f in c(view) if (f.room, f.ident) not in wrong]
        # while a name is wrong, what it was to use seems unused and what it was to fix seems unfixable
        findings += [f for f in poor if not (wrong and f.code in ("unused", "unfixable"))]
    return sorted(_located(loaded, finding) for finding in findings)


def _located(loaded: Loaded, finding: Finding) -> Problem:
    document, path = _document(loaded, finding)
    if document is None:
        return Problem(
            finding.room, 1, 1, f"{finding.ident}: {finding.message}", finding.code, finding.severity
        )
    problem = document.problem(path, finding.message, finding.code)
    return Problem(
        problem.file, problem.line, problem.column, problem.message, finding.code, finding.severity
    )


def _document(loaded: Loaded, finding: Finding) -> tuple[Marked | None, tuple[Any, ...]]:
    table = loaded.documents.get(f"{finding.room}.yaml")
    if table is not None:
        return table, (*((finding.ident,) if finding.ident else ()), *finding.path)
    for name, document in loaded.documents.items():
        if name.startswith(f"{finding.room}/") and name.endswith(f"/{finding.ident}.yaml"):
            return document, finding.path
    return None, finding.path


# --- references: what is named must exist -------------------------------------------------------


def causes_refer(view: View) -> Iterator[Finding]:
    for cause in view.book.causes.values():
        yield from _signs(view, cause)
        for i, need in enumerate(cause.needs):
            effects = view.book.effects
            if view.missing(need.effect, effects):
                message = f'unknown effect "{need.effect}"{hint(need.effect, effects)}'
                yield Finding("causes", cause.id, ("needs", i, "effect"), message)
        for i, remedy in enumerate(cause.remedies):
            yield from _turn(view, cause.id, ("remedies", i), remedy)
        for i, odds in enumerate(cause.odds):
            yield from _condition(view, "causes", cause.id, ("odds", i, "where"), odds.where)
        if cause.danger:
            yield from _levers(view, "causes", cause.id, ("danger", "inspect"), cause.danger.inspect)


def _signs(view: View, cause: Cause) -> Iterator[Finding]:
    observations = view.book.observations
    for i, sign in enumerate(cause.signs):
        if view.missing(sign.ask, observations):
            message = f'unknown observation "{sign.ask}"{hint(sign.ask, observations)}'
            yield Finding("causes", cause.id, ("signs", i, "ask"), message)
        elif sign.ask in observations:
            known = observations[sign.ask].answers
            yield from _answers(cause.id, ("signs", i, "answers"), sign.answers, known, sign.ask)
    for balance in BALANCES if cause.feel else ():
        yield from _answers(cause.id, ("feel", balance), getattr(cause.feel, balance), PHASES, "phase")


def _answers(
    ident: str, at: tuple[Any, ...], used: Collection[str], known: Collection[str], of: str
) -> Iterator[Finding]:
    for answer in used:
        if answer not in known:
            yield Finding(
                "causes", ident, (*at, answer), f'"{answer}" is no answer to {of}{hint(answer, known)}'
            )


def _turn(view: View, ident: str, at: tuple[Any, ...], remedy: Remedy) -> Iterator[Finding]:
    levers, lever, way = view.book.levers, remedy.lever, remedy.direction
    if view.missing(lever, levers):
        yield Finding("causes", ident, (*at, "lever"), f'unknown lever "{lever}"{hint(lever, levers)}')
    elif lever in levers and way not in levers[lever].ways:
        known = levers[lever].ways
        message = f'"{way}" is no direction of {lever}{hint(way, known)} (known: {", ".join(known)})'
        yield Finding("causes", ident, (*at, "direction"), message)


def _levers(
    view: View, room: str, ident: str, at: tuple[Any, ...], names: Collection[str]
) -> Iterator[Finding]:
    for i, lever in enumerate(names):
        if view.missing(lever, view.book.levers):
            yield Finding(room, ident, (*at, i), f'unknown lever "{lever}"{hint(lever, view.book.levers)}')


def _condition(
    view: View, room: str, ident: str, at: tuple[Any, ...], condition: dict[str, str]
) -> Iterator[Finding]:
    for path, text in condition.items():
        message = _wrong_test(view, path, conditions.parse(path, text))
        if message:
            yield Finding(room, ident, (*at, path), message)


_FIXED = {
    "kart.driver_mass": "mass",
    "conditions.air_temperature": "temperature",
    "conditions.track_temperature": "temperature",
    "conditions.tyre_temperature": "temperature",
    "conditions.tyre_temperature.front": "temperature",
    "conditions.tyre_temperature.rear": "temperature",
}
_TYRES = {"setup.tyres.kind": ("slick", "wet"), "setup.tyres.compound": ("soft", "medium", "hard")}


def _wrong_test(view: View, path: str, test: conditions.Test) -> str | None:
    """What is wrong with one test of a condition, or None."""
    room, _, name = path.partition(".")
    known: Collection[str] = ()
    dimensions: Collection[str] = ()
    if path in _FIXED:
        dimensions = (_FIXED[path],)
    elif path in _TYRES:
        known = _TYRES[path]
    elif room == "observed" and name in view.book.observations:
        known = view.book.observations[name].answers
    elif room == "setup" and name in view.book.levers:
        lever = view.book.levers[name]
        known, dimensions = lever.grades, tuple((lever.dimension or "").split("|"))
    else:
        return None if name in view.broken else f'nothing is known by the name "{path}"'
    if test.bound is not None:
        return (
            None
            if test.bound.dimension in dimensions
            else f"{path} cannot be compared with a {test.bound.dimension}"
        )
    odd = [w for w in test.words if w not in known]
    return f'"{odd[0]}" is no value of {path}{hint(odd[0], known)}' if odd else None


def levers_refer(view: View) -> Iterator[Finding]:
    book = view.book
    for lever in book.levers.values():
        for name, way in lever.ways.items():
            other = way.opposite
            yield from _condition(view, "levers", lever.id, ("ways", name, "done_if"), way.done_if)
            if other is not None and (other not in lever.ways or lever.ways[other].opposite != name):
                yield Finding(
                    "levers",
                    lever.id,
                    ("ways", name, "opposite"),
                    f'"{other}" does not name "{name}" as its opposite',
                )
        for i, gives in enumerate(lever.gives):
            at = ("gives", i)
            if gives.way not in lever.ways:
                yield Finding(
                    "levers",
                    lever.id,
                    (*at, "way"),
                    f'"{gives.way}" is no direction of {lever.id}{hint(gives.way, lever.ways)}',
                )
            if view.missing(gives.effect, book.effects):
                yield Finding(
                    "levers",
                    lever.id,
                    (*at, "effect"),
                    f'unknown effect "{gives.effect}"{hint(gives.effect, book.effects)}',
                )
            yield from _condition(view, "levers", lever.id, (*at, "where"), gives.where)
        yield from _step(lever)


def _step(lever: Lever) -> Iterator[Finding]:
    if lever.step is None:
        return
    if lever.step.raises not in lever.ways:
        yield Finding(
            "levers", lever.id, ("step", "raises"), f'"{lever.step.raises}" is no direction of {lever.id}'
        )
    amount = lever.step.amount.split()
    if lever.grades and not lever.dimension:
        good = amount == ["1", "grade"]
    elif lever.dimension is None:
        good = len(amount) == 2 and amount[0].replace(".", "").isdigit()
    else:
        try:
            good = units.parse(lever.step.amount).dimension in lever.dimension.split("|") or amount == [
                "1",
                "grade",
            ]
        except ValueError:
            good = amount == ["1", "grade"]
    if not good:
        yield Finding(
            "levers", lever.id, ("step", "amount"), f'"{lever.step.amount}" is no step of {lever.id}'
        )


def observations_refer(view: View) -> Iterator[Finding]:
    room, overlaps = "observations", view.book.overlaps
    for observation in view.book.observations.values():
        ident = observation.id
        if observation.overlaps and view.missing(observation.overlaps, overlaps):
            message = f'unknown overlap "{observation.overlaps}"{hint(observation.overlaps, overlaps)}'
            yield Finding(room, ident, ("overlaps",), message)
        yield from _condition(view, room, ident, ("asked_if",), observation.asked_if)
        for name, answer in observation.answers.items():
            if answer.denied and answer.denied not in observation.answers:
                message = f'"{answer.denied}" is no answer to {ident}'
                yield Finding(room, ident, ("answers", name, "denied"), message)
            for i, condition in enumerate(answer.when):
                yield from _condition(view, room, ident, ("answers", name, "when", i), condition)
            yield from _levers(view, room, ident, ("answers", name, "inspect"), answer.inspect)


def phrases_compile(view: View) -> Iterator[Finding]:
    classes = view.book.words.classes
    for room, ident, path, phrases in _phrases(view.book):
        for i, phrase in enumerate(phrases):
            if message := _uncompiled(phrase, classes):
                yield Finding(room, ident, (*path, i), message)


def _phrases(book: Book) -> Iterator[tuple[str, str, tuple[Any, ...], tuple[str, ...]]]:
    """Every list of phrases with its place."""
    for observation in book.observations.values():
        for name, answer in observation.answers.items():
            yield "observations", observation.id, ("answers", name, "phrases"), answer.phrases
    for lever in book.levers.values():
        yield "levers", lever.id, ("phrases",), lever.phrases
        for name, way in lever.ways.items():
            yield "levers", lever.id, ("ways", name, "phrases"), way.phrases


def _uncompiled(phrase: str, classes: Mapping[str, Collection[str]]) -> str | None:
    """What is wrong with a phrase, or None."""
    try:
        compile_phrase(phrase, {name: tuple(words) for name, words in classes.items()})
    except ValueError as error:
        return str(error)
    return None


def dimensions_exist(view: View) -> Iterator[Finding]:
    known = {u.dimension for u in units.UNITS.values()}
    for lever in view.book.levers.values():
        dimensions = (lever.dimension or "").split("|") if lever.dimension else []
        for dimension in dimensions:
            if dimension not in known:
                message = f'"{dimension}" is nothing with units{hint(dimension, known)}'
                yield Finding("levers", lever.id, ("dimension",), message)
        for key in ("least", "most"):
            bound = getattr(lever, key)
            if bound and dimensions and units.parse(bound).dimension not in dimensions:
                yield Finding("levers", lever.id, (key,), f"{bound} is no {' or '.join(dimensions)}")


Claim = tuple[str, str, tuple[Any, ...], tuple[str, ...]]


def _claims(book: Book) -> Iterator[Claim]:
    """Every claim of the book with its place and its sources."""
    for observation in book.observations.values():
        yield "observations", observation.id, (), observation.source
    for cause in book.causes.values():
        yield "causes", cause.id, (), cause.source
        if cause.feel:
            yield "causes", cause.id, ("feel",), cause.feel.source
        for name in ("signs", "odds", "needs", "remedies"):
            for i, part in enumerate(getattr(cause, name)):
                yield "causes", cause.id, (name, i), part.source
    for lever in book.levers.values():
        yield "levers", lever.id, (), lever.source
        if lever.step:
            yield "levers", lever.id, ("step",), lever.step.source
        for i, gives in enumerate(lever.gives):
            yield "levers", lever.id, ("gives", i), (*gives.agree, *gives.disagree)


def sources_exist(view: View) -> Iterator[Finding]:
    known = (*view.book.sources, *UNSOURCED)
    for room, ident, path, ids in _claims(view.book):
        for source in ids:
            if view.missing(source, known):
                yield Finding(room, ident, path, f'unknown source "{source}"{hint(source, known)}')


# --- quality: what loads but is poor ------------------------------------------------------------


def _weak(room: str, ident: str, path: tuple[Any, ...], message: str, code: str) -> Finding:
    return Finding(room, ident, path, message, "weakness", code)


def claims_have_sources(view: View) -> Iterator[Finding]:
    for room, ident, path, ids in _claims(view.book):
        if not ids:
            yield _weak(
                room, ident, path, 'names no source; write one, or "common_practice" or "memory"', "unsourced"
            )


def sources_are_cited(view: View) -> Iterator[Finding]:
    cited = {source for *_, ids in _claims(view.book) for source in ids}
    for ident in view.book.sources:
        if ident not in cited:
            yield _weak("sources", ident, (), "is cited by nothing", "unused")


def causes_can_be_fixed(view: View) -> Iterator[Finding]:
    given = {g.effect for lever in view.book.levers.values() for g in lever.gives}
    for cause in view.book.causes.values():
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


REFERENCES: tuple[Check, ...] = (
    dimensions_exist,
    causes_refer,
    levers_refer,
    observations_refer,
    phrases_compile,
    sources_exist,
)
QUALITY: tuple[Check, ...] = (
    claims_have_sources,
    sources_are_cited,
    causes_can_be_fixed,
    causes_can_be_told,
    causes_differ,
    observations_are_used,
    effects_are_given_and_needed,
    levers_are_used,
)
