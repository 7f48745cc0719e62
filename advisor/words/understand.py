"""A complaint in a driver's words -> facts by id: what it does, where, when, what was changed or asked.

Only what is said counts. Negation, good news, comparisons and history are told apart from the fault;
a change that was made is a suspect; a change that is asked about is an idea to judge.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from advisor import units
from advisor.model.case import Verdict
from advisor.model.feel import AXES
from advisor.model.knowledge import Book, Observation
from advisor.units import Quantity
from advisor.words import compared
from advisor.words.phrases import Lexicon, Match, keep_longest
from advisor.words.spelling import corrected
from advisor.words.tokens import LONGEST, Token, tokens

REACH = 3  # how many words before a phrase a negation may stand
NOT_DENYING = frozenset(
    ("only", "just", "enough", "stop", "stops", "stopped", "quit", "quits", "end", "ends")
)
# "no it is dry" puts something right: the word denies nothing of what comes after it
ANSWERING = frozenset(("no", "nope", "nah"))
PUTS_RIGHT = frozenset(
    ("it", "its", "i", "im", "we", "he", "she", "they", "this", "thats", "sorry", "wait", "actually")
)
SPENT, HINT = "spent", "hint"
TRIED = frozenset(("tried", "trying"))  # the plain words for a change that was made
MARKERS = (
    "negators",
    "past",
    "fine",
    "others",
    "idle",
    "changed",
    "wondering",
    "preparing",
    "sequence",
)

Pair = tuple[str | None, str | None]  # phase, balance
Turn = tuple[str, str | None]  # lever, way
Row = tuple[frozenset[str], bool, str]  # answers, whether they are denied, the words


@dataclass(frozen=True, slots=True)
class Reading:
    """One fact: the answers it allows. `denied` tells that it was said of the other answers, negated."""

    answers: frozenset[str]
    denied: bool
    said: str


@dataclass(frozen=True, slots=True)
class Understanding:
    """What a text says. `feels` are pairs of phase and balance in the order told."""

    facts: dict[str, Reading] = field(default_factory=dict)
    feels: tuple[Pair, ...] = ()
    changes: tuple[Turn, ...] = ()
    ideas: tuple[Turn, ...] = ()
    preparing: bool = False
    respelt: tuple[tuple[str, str], ...] = ()
    air: Quantity | None = None
    spent: tuple[Turn, ...] = ()  # ways that go no further
    trials: tuple[tuple[str, str, Verdict], ...] = ()  # lever, way, and what came of it
    named: tuple[Turn, ...] = ()  # levers that are named with one way, done or not
    tried: frozenset[str] = frozenset()  # levers that are told as tried, in so many words
    hints: frozenset[str] = frozenset()  # questions of danger that the words may tell, and do not answer
    fine: frozenset[str] = frozenset()  # phases that are told as good, and nothing else of them

    @property
    def empty(self) -> bool:
        return not (self.facts or self.feels or self.changes or self.ideas or self.air)

    def answers(self, question: str) -> frozenset[str]:
        """What is said of one question; of phase and balance only what is said outright."""
        if question in AXES:
            place = list(AXES).index(question)
            return frozenset(said for pair in self.feels if (said := pair[place]))
        return self.facts[question].answers if question in self.facts else frozenset()


def lexicon(book: Book, ordinary: frozenset[str] = frozenset()) -> Lexicon:
    """Compile every phrase of the book. `ordinary`: words that people use, which are never "corrected"."""
    result = Lexicon(
        book.words.classes,
        barriers=frozenset(book.words.negators),
        ordinary=ordinary | frozenset(book.words.common),
    )
    for observation in book.observations.values():
        for ident, answer in observation.answers.items():
            for phrase in answer.phrases:
                result.add(phrase, (observation.id, ident))
        for phrase in observation.hints:
            result.add(phrase, (HINT, observation.id))
    for tag, phrase in _of_levers(book):
        result.add(phrase, tag)
    for marker in MARKERS:
        for phrase in getattr(book.words, marker):
            result.add(phrase, ("marker", marker))
    return result


def _of_levers(book: Book) -> Iterable[tuple[tuple[str, ...], str]]:
    for lever in book.levers.values():
        yield from ((("lever", lever.id), phrase) for phrase in lever.phrases)
        for name, way in lever.ways.items():
            yield from ((("lever", lever.id, name), phrase) for phrase in way.phrases)
            yield from (((SPENT, lever.id, name), phrase) for phrase in way.spent)


def understand(text: str, book: Book, known: Lexicon) -> Understanding:
    """Read a text. Unknown words are ignored; nothing is concluded from what is not said."""
    row = corrected(tokens(text), known.vocabulary, known.ordinary)
    found = known.matches(row)
    markers = [m for m in found if m.tag[0] == "marker"]
    idle = [m.places for m in markers if m.tag[1] == "idle"]
    telling = (
        m for m in found if m.tag[0] not in ("marker", "lever", SPENT, HINT) and not _idles(m.places, idle)
    )
    phrases = keep_longest(telling)
    turns = keep_longest(m for m in found if m.tag[0] == "lever")
    always = frozenset(o.id for o in book.observations.values() if o.always)
    context = _Context(row, markers, phrases, always)
    kept = [m for m in phrases if not (context.dismissed(m) or context.contrasted(m, phrases))]
    changes, ideas = context.turns(turns, book)
    facts = _facts(kept, context, book)
    feels = _feels(kept, context)
    if _push_then_snap(feels, context):
        facts.setdefault("front_first", Reading(frozenset(("yes",)), False, "the front first, then the rear"))
    if (hot := compared.hot_pressure(text)) and compared.HOT in book.observations:
        facts[compared.HOT] = Reading(frozenset((hot,)), False, "the figures told")
    respelt = tuple((t.typed, t.word) for t in row if t.typed != t.word)
    ends = dict.fromkeys(
        (m.tag[1], m.tag[2]) for m in found if m.tag[0] == SPENT and not context.dismissed(m)
    )
    one_way = context.ways(turns, book)
    tried = frozenset(m.tag[1] for m in turns if context.after(TRIED, m))
    hints = (m for m in found if m.tag[0] == HINT and not context.in_phrase & set(m.places))
    hinted = frozenset(m.tag[1] for m in hints if not context.negated(m))
    bad = {m.tag[1] for m in kept if m.tag[0] == "phase"}
    fine = frozenset(m.tag[1] for m in phrases if m.tag[0] == "phase" and context.told_fine(m)) - bad
    return Understanding(
        facts, feels, changes, ideas, context.has("preparing"), respelt, air_temperature(text), tuple(ends),
        named=one_way, tried=tried, hints=hinted, fine=fine,
    )  # fmt: skip


def air_temperature(text: str) -> Quantity | None:
    """A temperature told with its unit, unless the sentence is about the tyres, the engine or the track.

    Of two ("10-15 °C", "8 to 12 degrees C") the middle. Bare degrees are Celsius of the air where the sentence tells
    of the day ("6 degrees in the morning").
    """
    for sentence in re.split(r"[.;!?\n](?!\d)", text[:LONGEST].lower()):
        found = _TEMPERATURE.search(sentence)
        if found and not re.search(r"tyre|tire|engine|head|exhaust|water|track temp", sentence):
            low, high, unit = found.groups()
            told = [float(x.replace("−", "-").replace(",", ".")) for x in (low, high) if x]
            return units.parse(f"{sum(told) / len(told):g} {'degF' if unit[0] == 'f' else 'degC'}")
        bare = _DEGREES.search(sentence)
        if bare and _DAY.search(sentence) and not _ANGLE.search(sentence):
            return units.parse(f"{bare[1].replace('−', '-')} degC")
    return None


_TEMPERATURE = re.compile(
    r"(?:(?<![\d.,])([-−]?\d{1,3})\s*(?:-|–|to)\s*)?"
    r"(?<![\d.,])([-−]?\d{1,3}(?:[.,]\d)?)\s*(?:°|degrees?|deg\.?)?\s*(c|f|celsius|fahrenheit)\b"
)


_DEGREES = re.compile(r"(?<![\d.,])([-−]?[0-4]?\d)\s*(?:°|degrees\b)(?!\s*[cf]\b)")
_DAY = re.compile(
    r"\b(morning|outside|weather|air|ambient|forecast|session|today|tomorrow|day|night|evening)\b"
)
_ANGLE = re.compile(
    r"caster|camber|toe|king|timing|angle|lock|turn|tyre|tire|engine|head|exhaust|water|track temp"
)


def _idles(places: Sequence[int], idle: Sequence[Sequence[int]]) -> bool:
    """True when words that tell nothing take a part of a phrase that is no longer than they are."""
    in_a_row = places[-1] - places[0] == len(places) - 1
    return in_a_row and any(len(i) >= len(places) and i != places and set(i) & set(places) for i in idle)


class _Context:
    """Where the markers stand, and which words belong to a phrase."""

    def __init__(
        self, row: Sequence[Token], markers: Sequence[Match], phrases: Sequence[Match], always: frozenset[str]
    ) -> None:
        self.row = row
        self.always = always
        self.phrases = phrases
        self.in_phrase = {p for m in phrases for p in m.places}
        self.markers = [(m.tag[1], m) for m in markers]

    def has(self, marker: str) -> bool:
        return any(name == marker for name, _ in self.markers)

    def said(self, match: Match) -> str:
        return " ".join(self.row[p].typed for p in match.places)

    def after(self, words: frozenset[str], match: Match) -> bool:
        """True where one of the words stands just before a phrase, in its clause."""
        clause = self.row[match.start].clause
        near = self.row[max(0, match.start - REACH) : match.start]
        return any(t.word in words and t.clause == clause for t in near)

    def clause(self, match: Match) -> int:
        return self.row[match.start].clause

    def _marked(self, marker: str, match: Match, sentence: bool = False) -> bool:
        where = self.row[match.start]
        for name, m in self.markers:
            spot = self.row[m.start]
            if name == marker and (
                spot.sentence == where.sentence if sentence else spot.clause == where.clause
            ):
                return True
        return False

    def dismissed(self, match: Match) -> bool:
        """True when the words tell of good news, of others or of the past instead of the fault."""
        if match.tag[0] in self.always:
            return False
        return any(self._marked(marker, match) for marker in ("past", "fine", "others"))

    def told_fine(self, match: Match) -> bool:
        """True for what is good now, here."""
        return self._marked("fine", match) and not any(self._marked(m, match) for m in ("past", "others"))

    def negated(self, match: Match) -> bool:
        first = self.row[match.start]
        for name, m in self.markers:
            if name != "negators" or m.start in self.in_phrase:
                continue
            spot = self.row[m.start]
            following = self.row[m.end + 1].word if m.end + 1 < len(self.row) else ""
            if self.row[m.start].word in ANSWERING and following in PUTS_RIGHT:
                continue
            near = 0 < match.start - m.end <= REACH
            if near and spot.clause == first.clause and following not in NOT_DENYING:
                return not self._only_later(match)
        return False

    def contrasted(self, match: Match, others: Sequence[Match]) -> bool:
        """True for A in "not A, only B", where B answers the same question; a fault stays, it is only elsewhere."""
        where, question = self.row[match.start].sentence, match.tag[0]
        if question == "balance":
            return False
        only = [
            i for i, t in enumerate(self.row) if t.word == "only" and t.sentence == where and i > match.end
        ]
        denied = any(
            name == "negators" and self.row[m.start].sentence == where and m.end < match.start
            for name, m in self.markers
        )
        after = (o for o in others if o.tag[0] == question and o.tag[1] != match.tag[1])
        return (
            bool(only)
            and denied
            and any(o.start > only[0] and self.row[o.start].sentence == where for o in after)
        )

    def _only_later(self, match: Match) -> bool:
        """True for "it does not push in the slow ones, only in the fast ones": the fault is there.

        Not for "no understeer, only oversteer", where another answer of the same question follows.
        """
        sentence = self.row[match.start].sentence
        only = [
            i for i, t in enumerate(self.row) if t.word == "only" and t.sentence == sentence and i > match.end
        ]
        other = (m for m in self.phrases if m.tag[0] == match.tag[0] and m.tag[1] != match.tag[1])
        return bool(only) and not any(
            m.start > only[0] and self.row[m.start].sentence == sentence for m in other
        )

    def way_beside(self, match: Match, ways: Iterable[str], words: Mapping[str, Sequence[str]]) -> str | None:
        """The way that a word next to the name of a lever tells, such as "front bar removed"."""
        clause = self.row[match.start].clause
        near = range(max(0, match.start - REACH), min(len(self.row), match.end + REACH + 1))
        here = [p for p in near if self.row[p].clause == clause and p not in match.places]
        said = {self.row[p].word for p in here if not self._out_of(p)}
        told = [way for way in ways if said & set(words.get(way, ()))]
        return told[0] if len(told) == 1 else None

    def _out_of(self, place: int) -> bool:
        """True for "out" in "take 10 mm out of the front track", which tells no way outwards."""
        after = self.row[place + 1].word if place + 1 < len(self.row) else ""
        return self.row[place].word == "out" and after == "of"

    def ways(self, matches: Iterable[Match], book: Book) -> tuple[Turn, ...]:
        """The levers that are named with one way, whether that was done or not."""
        told: dict[str, set[str]] = {}
        for match in matches:
            lever = match.tag[1]
            beside = self.way_beside(match, book.levers[lever].ways, book.words.ways)
            if way := match.tag[2] if len(match.tag) > 2 else beside:
                told.setdefault(lever, set()).add(way)
        return tuple((lever, min(ways)) for lever, ways in told.items() if len(ways) == 1)

    def turns(self, matches: Iterable[Match], book: Book) -> tuple[tuple[Turn, ...], tuple[Turn, ...]]:
        """Changes that were made and ideas that are asked about, each lever once, the first way told."""
        changes: dict[str, str | None] = {}
        ideas: dict[str, str | None] = {}
        for match in sorted(matches, key=lambda m: (m.start, -len(m.tag))):
            lever = match.tag[1]
            ways, words = book.levers[lever].ways, book.words.ways
            way = match.tag[2] if len(match.tag) > 2 else self.way_beside(match, ways, words)
            if self._marked("wondering", match, sentence=True):
                into = ideas
            elif self._marked("changed", match) or self._marked("changed", match, sentence=True):
                into = changes
            else:
                continue
            if into.get(lever) is None:
                into[lever] = way
        return tuple(changes.items()), tuple(ideas.items())


def _facts(matches: Sequence[Match], context: _Context, book: Book) -> dict[str, Reading]:
    """Facts other than phase and balance, which `_feels` pairs; and every denial."""
    said: dict[str, list[Row]] = {}
    for match in matches:
        ident, answer = match.tag
        observation = book.observations[ident]
        denied = context.negated(match)
        if not denied and ident in AXES:
            continue
        if denied and ident == "phase":
            continue
        answers = frozenset((answer,))
        if denied:
            other = observation.answers[answer].denied
            answers = frozenset((other,)) if other else frozenset(observation.answers) - answers
        said.setdefault(ident, []).append((answers, denied, context.said(match)))
    return {
        ident: reading
        for ident, rows in said.items()
        if (
            reading := _merged(
                _alarming(rows, book.observations[ident]), len(book.observations[ident].answers)
            )
        )
    }


def _alarming(rows: list[Row], observation: Observation) -> list[Row]:
    """The rows that tell of danger alone, where there are any: good news of the same part does not soften it."""
    alarms = {ident for ident, answer in observation.answers.items() if answer.alarm}
    return [r for r in rows if not r[1] and r[0] <= alarms] or rows


def _merged(rows: Sequence[Row], size: int) -> Reading | None:
    """What is said positively counts, several answers as "one of these"; denials narrow it."""
    positive = [r for r in rows if not r[1]]
    told = [r[0] for r in positive or rows]
    answers = frozenset[str]().union(*told) if positive else frozenset.intersection(*told)
    if not answers or len(answers) == size:
        return None
    return Reading(answers, not positive, ", ".join(dict.fromkeys(r[2] for r in positive or rows)))


def _feels(matches: Sequence[Match], context: _Context) -> tuple[Pair, ...]:
    """Pair each balance with the phases of its clause, or with the last phase told in its sentence."""
    told = sorted(
        (m for m in matches if m.tag[0] in AXES and not context.negated(m)),
        key=lambda m: m.start,
    )
    balances = [m for m in told if m.tag[0] == "balance"]
    if any(m.tag[1] == "oversteer" for m in balances):
        # "it is loose, it slides": the slide is the rear's, not a fault of both ends
        balances = [m for m in balances if m.tag[1] != "slide"]
    phases = [m for m in told if m.tag[0] == "phase"]
    if not balances:
        return tuple(dict.fromkeys((m.tag[1], None) for m in phases))[:2]
    pairs: dict[Pair, None] = {}
    for balance in balances:
        near = [p for p in phases if context.clause(p) == context.clause(balance)] or _nearest(
            phases, balance, context
        )
        if len([b for b in balances if context.clause(b) == context.clause(balance)]) > 1 and len(near) > 1:
            near = [min(near, key=lambda p: abs(p.start - balance.start))]
        for phase in near:
            pairs[(phase.tag[1], balance.tag[1])] = None
        if not near:
            pairs[(None, balance.tag[1])] = None
    return tuple(p for p in pairs if p[0] is not None or not any(q[1] == p[1] and q[0] for q in pairs))


def _nearest(phases: list[Match], balance: Match, context: _Context) -> list[Match]:
    sentence = context.row[balance.start].sentence
    same = [p for p in phases if context.row[p.start].sentence == sentence]
    before = [p for p in same if p.start < balance.start]
    if before:
        return before[-1:]
    return same[:1] or phases[:1]


def _push_then_snap(feels: Sequence[Pair], context: _Context) -> bool:
    order = [balance for _, balance in feels]
    if "understeer" not in order or "oversteer" not in order:
        return False
    return order.index("understeer") < order.index("oversteer") and context.has("sequence")
