"""How a sitting begins or goes on: the kart, the complaint, one that was left, an earlier one, what is known."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime

from advisor.app import danger, hear, wording
from advisor.app.felt import said_of, told_anew
from advisor.app.left_standing import stands_still, told
from advisor.app.place import NO, YES, Go, Place, heard, stay
from advisor.app.prompt import Prompt, Row, news, options
from advisor.app.workspace import LONGEST, Workspace
from advisor.interview import steps
from advisor.interview.choices import numbered
from advisor.interview.steps import State
from advisor.journal.belonging import known, to_ask
from advisor.journal.sittings import Sitting
from advisor.karts import on_file
from advisor.karts.noted import but_for
from advisor.model import assumed
from advisor.model.belonging import Belonging
from advisor.model.case import Case, in_liked_units
from advisor.planning.alarms import alarming
from advisor.problems import UnusableError
from advisor.words.tokens import tokens

BEFORE_ANY_RUN = (
    "Before any run: wheels tight and straight, steering free without play, brakes firm, throttle springs back, "
    "seat and chain guard tight, nothing cracked or leaking. In doubt do not drive it, and ask the scrutineer."
)
KEYS_ELSEWHERE = frozenset(
    (*"123456789atlsmwnfpiyx", "plan", "ok", "yes", "no")
)  # keys of other places, and slips
A_WORD_OR_TWO = 2  # more than these are no answer to yes or no
ENGLISH = "English only, in your own words; spelling does not matter."


@dataclass(frozen=True)
class Opening:
    """What does the kart do?"""

    case: Case = field(default_factory=Case)
    words: str = ""  # what was typed here before, when it is come back to
    notes: tuple[str, ...] = ()
    state: State | None = None
    done: bool = True  # nothing is lost by leaving here

    def prompt(self, desk: Workspace) -> Prompt:
        rows = [
            *(Row(f"Note: {text}.", "dim", most=3, rank=4) for text in self.notes),
            *((Row(f"Kart: {self.case.kart_file}", "dim"),) if self.case.kart_file else ()),
            Row("What does the kart do? Say it in your own words, or press Enter to be asked.", "bold"),
            Row("For example: loose in the rear on entry, hops in the fast ones", "dim", indent=2, rank=3),
            Row(ENGLISH, "dim", indent=2, rank=4),
            *((Row(f"You said: {self.words}", "dim", indent=2, most=3, rank=3),) if self.words else ()),
        ]
        return Prompt("opening", tuple(rows), ("o: earlier sittings", "explain WORD", "h: keys", "q: leave"))

    def reply(self, desk: Workspace, text: str) -> Go:
        if hear.asks_for_safety(text) and len(text.split()) < 8 and not _alarms(desk, text):
            return stay(BEFORE_ANY_RUN)
        if self.words and text.lower() in KEYS_ELSEWHERE:
            return stay(
                "What you said stands. Say it in other words, Enter to be asked from the start, or q to leave."
            )
        old = (desk.sitting, desk.title, desk.trial)
        if not desk.sitting or desk.trial or not self.words:
            desk.anew(text)
        else:  # the same sitting, told anew
            desk.title = text[:LONGEST]
        left = hear.minutes_left(text)
        case = replace(
            but_for(self.case, told_anew(desk.mind, text)),
            complaint=text[:LONGEST],
            minutes=self.case.minutes if left is None else left,
        )
        state = steps.begin(desk.mind, desk.knowing(case))
        asked = danger.hints(desk.mind, state, text)
        said = (news(danger.ASKED_FIRST, "bold"),) if asked else _understood(desk, state, text)

        def undo() -> tuple[Row, ...]:
            if not desk.sitting:
                desk.sitting, desk.title, desk.trial = old
            return ()

        return Go(on=replace(state, reopened=asked), said=said, undo=undo)


def asks_what(desk: Workspace, text: str) -> bool:
    """True for a question what a change or a part does, and nothing of what the kart does ("what does caster do?")."""
    if not hear.asks_what(text):
        return False
    names = any(m.tag[0] == "lever" for m in desk.mind.lexicon.matches(tokens(text)))
    told = said_of(desk.mind, text).told
    return "balance" not in told and (names or (not told and hear.asks_meaning(text)))


def _alarms(desk: Workspace, text: str) -> bool:
    """True where the phrases hear danger."""
    return any(alarming(desk.mind.book, said_of(desk.mind, text)))


def _understood(desk: Workspace, state: State, text: str) -> tuple[Row, ...]:
    """What was heard, and what was read otherwise than it is spelt."""
    warnings = state.gathered.warnings
    if warnings and state.gathered.foreign:
        return tuple(news(w if w.endswith((".", "!", "?")) else f"{w}.") for w in warnings[:1])
    if not text:
        return ()
    evidence = state.gathered.evidence
    if not evidence.said and not evidence.perhaps and (evidence.danger or 0.0) < assumed.ASKS:
        return (news("None of that tells me about a kart, so I ask instead."),)
    respelt = state.gathered.understood.get("respelt")
    if isinstance(respelt, dict):
        return (news(f"Read as: {wording.fact('respelt', respelt, desk.mind.book)}."),)
    return ()


@dataclass(frozen=True)
class KartChoice:
    """Which of several karts on file."""

    names: tuple[str, ...]
    notes: tuple[str, ...] = ()
    state: State | None = None
    done: bool = True

    def prompt(self, desk: Workspace) -> Prompt:
        rows = (Row("Which kart?", "bold"), *options(self.names))
        return Prompt("kart", rows, ("Enter: none of these", "h: keys", "q: leave"), self.names)

    def reply(self, desk: Workspace, text: str) -> Go:
        if not text:
            return Go(to=Opening(notes=self.notes))
        place = numbered(self.names, text)
        if place is None:
            return stay(f"A number from 1 to {len(self.names)}, or Enter for none of these.")
        return Go(to=with_kart(desk, self.names[place], self.notes))


def with_kart(desk: Workspace, name: str, notes: tuple[str, ...] = ()) -> Opening | Today:
    """The opening with a kart on file, after who drives it where, once a day. Raises UnusableError."""
    kart = desk.kart = on_file.read(desk.karts, name, desk.mind.book)
    odd = tuple(f"look again at the kart file: {text}".rstrip(".") for text in kart.warnings)
    case, known_by = desk.standing(in_liked_units(kart.case))
    opening = Opening(case, notes=(*((known_by,) if known_by else ()), *odd, *notes))
    here = desk.place(opening.case.kart_file)
    before = known(desk.journal, here.kart, here.time, desk.now)
    asked = to_ask(here, before)
    return Today(asked, before, here, opening) if asked else opening


def of_kart(desk: Workspace, name: str) -> Opening:
    """The opening with a kart on file; without one where none is named, or it is on file no more."""
    try:
        place = with_kart(desk, name) if name else Opening()
    except UnusableError:
        return Opening()
    return place.then if isinstance(place, Today) else place


@dataclass(frozen=True)
class Today:
    """Who drives, and where: asked once a day, where it was told on an earlier one."""

    asked: tuple[str, ...]
    before: Belonging
    here: Belonging
    then: Opening
    state: State | None = None
    done: bool = True

    def prompt(self, desk: Workspace) -> Prompt:
        name, kart = self.asked[0], self.here.kart
        rows = (
            Row(f"Kart: {kart}", "dim"),
            Row(f"{name.capitalize()} today? Enter: {getattr(self.before, name)}", "bold", most=2),
        )
        return Prompt("today", rows, (f"Enter: {getattr(self.before, name)}"[:40], "q: leave"))

    def reply(self, desk: Workspace, text: str) -> Go:
        name, *rest = self.asked
        if hear.is_sentence(text):
            return stay(
                f"A name, four words at most, or Enter for {getattr(self.before, name)}; what the kart does comes next."
            )
        here = replace(self.here, **{name: text[:100] or getattr(self.before, name)})
        if rest:
            return Go(to=replace(self, asked=tuple(rest), here=here))
        desk.note_day(here)
        return Go(to=self.then)


@dataclass(frozen=True)
class LeftOff:
    """A sitting that was left in the middle."""

    left: Sitting
    other: Place
    state: State | None = None
    done: bool = True

    def prompt(self, desk: Workspace) -> Prompt:
        words = self.left.row.complaint or "no complaint typed"
        rows = (
            Row(f"Last time you left in the middle ({when(self.left.at)}):", "bold"),
            Row(words, indent=2, most=3),
            Row("Go on there?", "bold"),
        )
        return Prompt("left", rows, ("Enter: yes", "n: something new", "o: earlier sittings", "q: leave"))

    def reply(self, desk: Workspace, text: str) -> Go:
        if text.lower() in YES:
            state = desk.opened(self.left)
            if state is None:
                return Go(
                    to=self.other, said=(news("That sitting cannot be read any more, so it begins anew."),)
                )
            return Go(on=state, said=(news("It goes on where it was left."),))
        other = self._warned(desk, self.other) if isinstance(self.other, Opening) else self.other
        if text.lower() in NO:
            desk.anew()
            return Go(to=other)
        told = len(text.split()) > A_WORD_OR_TWO or (text and said_of(desk.mind, text).said)
        if told and isinstance(other, Opening):  # another complaint, told at once
            desk.anew()
            go = other.reply(desk, text)
            new = other.notes[len(self.other.notes) :] if isinstance(self.other, Opening) else ()
            return replace(
                go, said=(*go.said, *(news(f"{note[:1].upper()}{note[1:]}.", "alarm") for note in new))
            )
        return stay("Enter goes on there, n begins something new; or say what the kart does now.")

    def _warned(self, desk: Workspace, other: Opening) -> Opening:
        """The other matter, with a word of what was left standing as dangerous."""
        if not stands_still(desk.mind, self.left):
            return other
        return replace(other, notes=(*other.notes, told(self.left, when(self.left.at))))


@dataclass(frozen=True)
class Earlier:
    """The latest sittings, to be opened again."""

    state: State | None = None
    done: bool = True

    def prompt(self, desk: Workspace) -> Prompt:
        found = desk.sittings()
        texts = [self._line(desk, s) for s in found]
        rows = (
            Row("Earlier sittings, the latest first", "bold"),
            *(Row(f"{n}  {text}", indent=2, hang=3, most=1) for n, text in enumerate(texts, start=1)),
            *(() if found else (Row("There is none yet.", indent=2),)),
        )
        return Prompt("earlier", rows, ("a number: open it", "b: back", "q: leave"))

    @staticmethod
    def _line(desk: Workspace, sitting: Sitting) -> str:
        row = sitting.row
        trial = desk.find(row.trial) if row.trial else None
        if trial is not None:
            stands = "waits" if trial.verdict is None and not trial.dropped else trial.verdict or "taken back"
            came = f"{trial.say}: {stands}"
        else:
            came = "ended" if row.done else "left in the middle"
        return f"{when(sitting.at)}  {row.complaint or 'no words'} ({came})"

    def reply(self, desk: Workspace, text: str) -> Go:
        found = desk.sittings()
        place = int(text) - 1 if text.isdigit() else -1
        if not 0 <= place < len(found):
            return stay(f"A number from 1 to {len(found)}, or b to go back." if found else "b goes back.")
        old = (desk.sitting, desk.title, desk.trial)
        row = found[place].row
        state = desk.opened(found[place])
        if state is None:
            return stay("That sitting cannot be read any more: it was written with other knowledge.")

        def undo() -> tuple[Row, ...]:
            desk.sitting, desk.title, desk.trial = old
            return ()

        trial = desk.find(row.trial) if row.trial else None
        if trial is not None and not trial.dropped:
            return Go(trial=trial, undo=undo)
        return Go(on=state, said=(news(f"Opened again: {row.complaint or 'no words'}."),), undo=undo)


def when(at: str) -> str:
    """A moment of the journal in local time, as people write it; as it stands where it is none."""
    try:
        local = datetime.fromisoformat(at).astimezone()
    except (ValueError, OverflowError, OSError):
        return at[:16]
    return f"{local.day} {local:%b %H:%M}"


SHOWN = 9  # facts on the screen; the others are a page


@dataclass(frozen=True)
class Known:
    """All that is known, to be put right."""

    state: State
    done: bool = False

    def prompt(self, desk: Workspace) -> Prompt:
        facts = self._facts()
        rows = [
            Row("Known. Wrong? Type its number or name, and it is taken back. Or say more.", "bold"),
            *options(self._texts(desk)[:SHOWN]),
            *((Row(f"and {len(facts) - SHOWN} more: ? shows all", indent=2),) if len(facts) > SHOWN else ()),
            *(() if facts else (Row("Nothing yet.", indent=2),)),
            *(Row(text, "dim", indent=2, most=3) for text in self._beside(desk)),
        ]
        names = tuple(wording.label(i) for i in facts)
        return Prompt("known", tuple(rows), ("Enter: go on", "b: back"), names)

    def _texts(self, desk: Workspace) -> list[str]:
        book = desk.mind.book
        follows = self.state.gathered.evidence.follows
        return [
            f"{wording.label(i)}: {wording.fact(i, v, book)}{wording.by_figures(i, follows)}"
            for i, v in self._facts().items()
        ]

    def _facts(self) -> dict[str, object]:
        return {k: v for k, v in self.state.gathered.understood.items() if k not in ("respelt", "keep")}

    def _beside(self, desk: Workspace) -> tuple[str, ...]:
        case = self.state.case
        texts = [f"Said first: {desk.title}"] if desk.title else []
        texts += [f"Kart: {case.kart_file}"] if case.kart_file else []
        texts += [f"Minutes left: {case.minutes:g}"] if case.minutes is not None else []
        texts += [f"Kept: {', '.join(case.keep)}"] if case.keep else []
        if case.tried:
            book = desk.mind.book
            tried = [f"{wording.name(book, t.lever, t.direction)}: {wording.came(t)}" for t in case.tried]
            texts.append(f"Tried: {'; '.join(tried)}")
        return tuple(texts)

    def reply(self, desk: Workspace, text: str) -> Go:
        if not text or text.lower() in ("y", "yes", "right", "ok"):
            return Go(on=self.state)
        if text == "?":
            return Go(page=options(self._texts(desk)))
        facts = list(self._facts())
        bare = text.removeprefix("no ").removeprefix("not ")
        place = numbered([wording.label(i) for i in facts], bare)
        if place is not None:
            gone = facts[place]
            state = steps.forget(desk.mind, self.state, gone)
            return Go(to=Known(state), said=(news(f"Taken back: {wording.label(gone)}."),))
        told = heard(desk, self.state, text)
        return (
            Go(to=Known(told[0]), said=told[1])
            if told
            else stay("A number or a name of the list, or more words.")
        )


def first_place(
    desk: Workspace, names: tuple[str, ...], named: str | None, notes: tuple[str, ...]
) -> Opening | KartChoice | Today:
    """Where a new matter begins: with the kart named, the only one on file, one to be chosen, or none."""
    if named:
        return with_kart(desk, named, notes)
    if len(names) == 1:
        return with_kart(desk, names[0], notes)
    return KartChoice(names, notes) if names else Opening(notes=notes)
