"""Errors over the whole book: what is named must exist and fit."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from advisor import units
from advisor.book.findings import Check, Finding, View, claims_of
from advisor.inference import worked
from advisor.model import conditions
from advisor.model.feel import AXES, FEEL
from advisor.model.knowledge import BALANCES, PHASES, TEAM, UNSOURCED, Book, Cause, Fix, Group, Remedy
from advisor.model.levers import Lever
from advisor.problems import hint
from advisor.words.phrases import compile_phrase


def causes_refer(view: View) -> Iterator[Finding]:
    for cause in view.book.causes.values():
        yield from _signs(view, cause)
        for i, need in enumerate(cause.needs):
            effects = view.book.effects
            if view.missing(need.effect, effects):
                message = f'unknown effect "{need.effect}"{hint(need.effect, effects)}'
                yield Finding("causes", cause.id, ("needs", i, "effect"), message)
        for i, remedy in enumerate(cause.remedies):
            yield from _turn(view, "causes", cause.id, ("remedies", i), remedy)
        for i, odds in enumerate(cause.odds):
            yield from _condition(view, "causes", cause.id, ("odds", i, "where"), odds.where)
        if cause.danger:
            yield from _levers(view, "causes", cause.id, ("danger", "inspect"), cause.danger.inspect)
        if view.book.groups and view.missing(cause.group, view.book.groups):
            message = f'unknown group "{cause.group}"{hint(cause.group, view.book.groups)}'
            if not cause.group:
                message = f"needs a group, one of {', '.join(view.book.groups)}"
            yield Finding("causes", cause.id, ("group",) if cause.group else (), message)


def groups_refer(view: View) -> Iterator[Finding]:
    observations = view.book.observations
    for group in view.book.groups.values():
        yield from _signs(view, group, "groups")
    for count in view.book.counts.values():
        if view.missing(count.id, view.book.groups):
            message = f'unknown group "{count.id}"{hint(count.id, view.book.groups)}'
            yield Finding("counts", count.id, (), message, key=True)
        for ident in count.causes:
            if view.missing(ident, view.book.causes):
                message = f'unknown cause "{ident}"{hint(ident, view.book.causes)}'
                yield Finding("counts", count.id, ("causes", ident), message, key=True)
        for ident, told in count.told.items():
            at = ("told", ident)
            if view.missing(ident, observations):
                message = f'unknown observation "{ident}"{hint(ident, observations)}'
                yield Finding("counts", count.id, at, message, key=True)
            elif ident in observations:
                yield from _answers("counts", count.id, at, told, observations[ident].answers, ident)


def _signs(view: View, record: Cause | Group, room: str = "causes") -> Iterator[Finding]:
    observations = view.book.observations
    for i, sign in enumerate(record.signs):
        if view.missing(sign.ask, observations):
            message = f'unknown observation "{sign.ask}"{hint(sign.ask, observations)}'
            yield Finding(room, record.id, ("signs", i, "ask"), message)
        elif sign.ask in observations:
            known = observations[sign.ask].answers
            yield from _answers(room, record.id, ("signs", i, "answers"), sign.answers, known, sign.ask)
    feel = record.feel if isinstance(record, Cause) else None
    for balance in BALANCES if feel else ():
        yield from _answers(room, record.id, ("feel", balance), getattr(feel, balance), PHASES, "phase")


def _answers(
    room: str, ident: str, at: tuple[Any, ...], used: Collection[str], known: Collection[str], of: str
) -> Iterator[Finding]:
    for answer in used:
        if answer not in known:
            message = f'"{answer}" is no answer to {of}{hint(answer, known)}'
            yield Finding(room, ident, (*at, answer), message, key=True)


def _turn(view: View, room: str, ident: str, at: tuple[Any, ...], remedy: Remedy | Fix) -> Iterator[Finding]:
    levers, lever, way = view.book.levers, remedy.lever, remedy.direction
    if view.missing(lever, levers):
        yield Finding(room, ident, (*at, "lever"), f'unknown lever "{lever}"{hint(lever, levers)}')
    elif lever in levers and way not in levers[lever].ways:
        known = levers[lever].ways
        message = f'"{way}" is no direction of {lever}{hint(way, known)} (known: {", ".join(known)})'
        yield Finding(room, ident, (*at, "direction"), message)


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
            unknown = path not in _FIXED and message.startswith(NOTHING_KNOWN)
            yield Finding(room, ident, (*at, path), message, key=unknown)


NOTHING_KNOWN = "nothing is known by the name"
_FIXED = {
    "kart.driver_mass": "mass",
    "conditions.air_temperature": "temperature",
    "conditions.track_temperature": "temperature",
    "conditions.tyre_temperature": "temperature",
    "conditions.tyre_temperature.front": "temperature",
    "conditions.tyre_temperature.rear": "temperature",
    "conditions.tyre_temperature.front_more": "temperature",
    "conditions.tyre_temperature.rear_more": "temperature",
    "setup.tyre_pressure.front_more": "pressure",
    "setup.tyre_pressure.rear_more": "pressure",
    "setup.tyres.laps": "number",
    **worked.DIMENSIONS,
}
_WORDS = {
    "setup.tyres.kind": ("slick", "wet"),
    "setup.tyres.compound": ("soft", "medium", "hard"),
    **worked.WORDS,
}


def _wrong_test(view: View, path: str, test: conditions.Test) -> str | None:
    """What is wrong with one test of a condition, or None."""
    room, _, name = path.partition(".")
    known: Collection[str] = ()
    dimensions: Collection[str] = ()
    if path in _FIXED:
        dimensions = (_FIXED[path],)
    elif path in _WORDS:
        known = _WORDS[path]
    elif room == "observed" and name in view.book.observations:
        known = view.book.observations[name].answers
    elif room == "setup" and name in view.book.levers:
        lever = view.book.levers[name]
        known, dimensions = lever.grades, tuple((lever.dimension or "").split("|"))
        if not set(dimensions) - {""} <= DIMENSIONS:
            return None  # told of the lever already
    elif room == "setup" and (whole := name.removesuffix(worked.APART)) != name and whole in view.book.levers:
        known, dimensions = worked.SIDES, tuple((view.book.levers[whole].dimension or "").split("|"))
    else:
        return None if name in view.broken else f'{NOTHING_KNOWN} "{path}"'
    if test.bound is not None:
        kind = "number" if isinstance(test.bound, float) else test.bound.dimension
        return None if kind in dimensions else f"{path} cannot be compared with a {kind}"
    odd = [w for w in test.words - {conditions.UNKNOWN} if w not in known]
    return f'"{odd[0]}" is no value of {path}{hint(odd[0], known)}' if odd else None


def bars_refer(view: View) -> Iterator[Finding]:
    for bar in view.book.bars.values():
        yield from _condition(view, "bars", bar.id, ("where",), bar.where)
        yield from _levers(view, "bars", bar.id, ("spared",), bar.spared)


def levers_refer(view: View) -> Iterator[Finding]:
    book = view.book
    for lever in book.levers.values():
        for name, way in lever.ways.items():
            other = way.opposite
            yield from _condition(view, "levers", lever.id, ("ways", name, "done_if"), way.done_if)
            yield from _condition(view, "levers", lever.id, ("ways", name, "first_if"), way.first_if)
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
        yield from _job(view, lever)
        yield from _windows(view, lever)
        yield from _levers(view, "levers", lever.id, ("parts",), lever.parts)


def _windows(view: View, lever: Lever) -> Iterator[Finding]:
    """Windows and usual ends are quantities of the lever's own kind, the lower one first."""
    ends: list[tuple[tuple[Any, ...], tuple[str, ...]]] = [(("usual",), lever.usual)] if lever.usual else []
    ends += [(("guide", i), (guide.low, guide.high)) for i, guide in enumerate(lever.guide)]
    for at, pair in ends:
        values = [units.parse(text) for text in pair]
        odd = next((v for v in values if v.dimension not in (lever.dimension or "").split("|")), None)
        if odd is not None:
            yield Finding("levers", lever.id, at, f"{odd} is a {odd.dimension}, which {lever.id} is not")
        elif len(values) != 2 or values[0].si > values[1].si:
            yield Finding("levers", lever.id, at, "takes two values, the lower one first")
    for i, guide in enumerate(lever.guide):
        yield from _condition(view, "levers", lever.id, ("guide", i, "where"), guide.where)


def _step(lever: Lever) -> Iterator[Finding]:
    if lever.step is None or not set((lever.dimension or "length").split("|")) <= DIMENSIONS:
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


def _job(view: View, lever: Lever) -> Iterator[Finding]:
    if lever.job is None:
        return
    job = view.book.jobs.get(lever.job)
    if view.missing(lever.job, view.book.jobs):
        message = f'unknown job "{lever.job}"{hint(lever.job, view.book.jobs)}'
        yield Finding("levers", lever.id, ("job",), message)
    elif job and job.minutes > lever.minutes:
        message = f"takes {lever.minutes} minutes, less than its job {job.id} alone ({job.minutes})"
        yield Finding("levers", lever.id, ("minutes",), message)


def observations_refer(view: View) -> Iterator[Finding]:
    room, overlaps = "observations", view.book.overlaps
    for observation in view.book.observations.values():
        ident = observation.id
        if ident == FEEL:
            message = f'"{ident}" is what {" and ".join(AXES)} tell together; take another id'
            yield Finding(room, ident, ("id",), message)
        if observation.overlaps and view.missing(observation.overlaps, overlaps):
            message = f'unknown overlap "{observation.overlaps}"{hint(observation.overlaps, overlaps)}'
            yield Finding(room, ident, ("overlaps",), message)
        yield from _condition(view, room, ident, ("asked_if",), observation.asked_if)
        yield from _condition(view, room, ident, ("first",), observation.first)
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
        yield "observations", observation.id, ("hints",), observation.hints
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


def terms_refer(view: View) -> Iterator[Finding]:
    book = view.book
    known = {*book.glossary, *book.levers, *book.effects, *book.observations, *book.causes}
    for term in book.glossary.values():
        for i, ident in enumerate(term.see):
            if view.missing(ident, known):
                yield Finding("glossary", term.id, ("see", i), f'unknown entry "{ident}"{hint(ident, known)}')


def fixes_refer(view: View) -> Iterator[Finding]:
    causes = view.book.causes
    for fix in view.book.fixes.values():
        yield from _turn(view, "fixes", fix.id, (), fix)
        if fix.cause is not None and view.missing(fix.cause, causes):
            message = f'unknown cause "{fix.cause}"{hint(fix.cause, causes)}'
            yield Finding("fixes", fix.id, ("cause",), message)
        if fix.cause is None and fix.status == "trusted":
            message = "a trusted fix needs the cause that it answers; write one, as cause: rear_light_grip"
            yield Finding("fixes", fix.id, ("status",), message)
        for key in ("fault", "where"):
            yield from _condition(view, "fixes", fix.id, (key,), getattr(fix, key))


DIMENSIONS = {u.dimension for u in units.UNITS.values()}


def dimensions_exist(view: View) -> Iterator[Finding]:
    for lever in view.book.levers.values():
        dimensions = (lever.dimension or "").split("|") if lever.dimension else []
        unknown = [d for d in dimensions if d not in DIMENSIONS]
        for dimension in unknown:
            message = f'"{dimension}" is nothing with units{hint(dimension, DIMENSIONS)}'
            yield Finding("levers", lever.id, ("dimension",), message)
        if unknown:
            continue
        for key in ("least", "most"):
            bound = getattr(lever, key)
            if bound and dimensions and (kind := units.parse(bound).dimension) not in dimensions:
                message = f"{bound} is a {kind}, not a {' or '.join(dimensions)}"
                yield Finding("levers", lever.id, (key,), message)


def sources_exist(view: View) -> Iterator[Finding]:
    known = (*view.book.sources, *UNSOURCED, TEAM)
    for room, ident, path, sources in claims_of(view.book):
        for key, ids in sources.items():
            for i, source in enumerate(ids):
                if view.missing(source, known):
                    message = f'unknown source "{source}"{hint(source, known)}'
                    yield Finding(room, ident, (*path, key, i), message)


REFERENCES: tuple[Check, ...] = (
    dimensions_exist,
    causes_refer,
    groups_refer,
    bars_refer,
    levers_refer,
    observations_refer,
    terms_refer,
    fixes_refer,
    phrases_compile,
    sources_exist,
)
