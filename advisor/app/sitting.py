"""A sitting: prompts out, replies in. Any front shows the prompt and gives back one line; nothing here knows how."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from advisor.app import counting, danger, hear, outcome, overheard
from advisor.app.advising import Advising
from advisor.app.asking import Asking, Stopped, next_question
from advisor.app.closing import Closed, Mended
from advisor.app.left_standing import stands_still
from advisor.app.looking import Looking, LookOver
from advisor.app.opening import Earlier, Known, LeftOff, Opening, asks_what, first_place, of_kart
from advisor.app.place import Go, Place
from advisor.app.prompt import Counted, Page, Prompt, Row, Word, news
from advisor.app.results import Waiting, Whose, booked
from advisor.app.workspace import Workspace
from advisor.inference.belief import inspected
from advisor.interview import steps
from advisor.interview.steps import State
from advisor.journal.sittings import Sitting as Left
from advisor.journal.trials import Trial
from advisor.karts import on_file
from advisor.model.case import Case, Laps, Verdict
from advisor.planning import stopping
from advisor.problems import printable

LEFT = "Left. Nothing that was written down is lost."
NO_WAY_BACK = (
    "b does not leave a stop. Say what you found, or type x if you did not say that or took a wrong number."
)
LONGEST = 8000  # letters of one line that are read

KEYS = (
    (
        "at a question",
        "a number or words answer; Enter: don't know; t: take the best so far; ?: why it is asked",
    ),
    (
        "at the advice",
        "a number tries a change; l: look over; s: all sound; m: all reasons, costs and sources",
    ),
    ("", "w 1: why; n WORD: why not; i: what if; plan: what comes after; a: ask on; f: fix it now"),
    ("", "p: what did not help stays on the kart"),
    (
        "anywhere",
        "b: back, also out of what was written down; k: what is known, to put it right; o: earlier sittings",
    ),
    ("", "explain WORD or ? WORD: what it means; q: leave, and go on next time"),
    ("a sum", "ask it: how much oil in five litres; 12 82 or 11 80; what pressure should I start with"),
    ("news", "say it at any prompt: its raining; 20 min left; keep exit traction; i am the helper"),
)


@dataclass(frozen=True, slots=True)
class Step:
    """A place that was left, what takes back the line that left it, and the event that told of it last."""

    place: Place
    undo: Callable[[], tuple[Row, ...]] | None
    event: str


@dataclass
class Sitting:
    """Where a sitting stands, and the way back. `prompt` is None when it is over."""

    desk: Workspace
    place: Place | None
    said: tuple[Row, ...] = ()
    left: bool = False  # by q, not by coming to its end
    _back: list[Step] = field(default_factory=list)
    _page: Prompt | None = None
    _at: State | None = field(default=None, repr=False)  # what was written down last, and whether as done
    _at_end: bool = False
    _shown: tuple[Place, Prompt] | None = field(
        default=None, repr=False
    )  # the prompt of the place, reasoned once

    @property
    def prompt(self) -> Prompt | None:
        """What to show now."""
        if self.place is None:
            return None
        if self._shown is None or self._shown[0] is not self.place:
            self._shown = self.place, self.place.prompt(self.desk)
        shown = self._shown[1]
        return replace(shown, said=self.said, page=self._page.page if self._page else None)

    def reply(self, text: str) -> None:
        """Take in one line, as it was typed."""
        place = self.place
        if place is None:
            return
        # bytes that are no text arrive as lone surrogates, and codes of a terminal are nobody's words
        text = printable(text[:LONGEST].encode("utf-8", "replace").decode("utf-8")).strip()
        self.said, self._page = (), None
        key = text.lower()
        if key in ("q", "quit") or (key == "exit" and "exit" not in place.prompt(self.desk).words):
            self.left, self.place = True, None
        elif key in ("b", "back") and isinstance(place, Stopped) and not place.due:
            self.said = (news(NO_WAY_BACK),)
        elif key in ("b", "back"):
            self._return()
        elif key in ("h", "help", "keys"):
            self._show(tuple(Row(f"{where + ': ' if where else ''}{what}", hang=2) for where, what in KEYS))
        elif key == "k" and place.state is not None and not isinstance(place, Known):
            self._go(Go(to=Known(place.state)))
        elif key == "o" and not isinstance(place, Earlier):
            self._go(Go(to=Earlier()))
        elif key == "n" and isinstance(place, Closed):
            self._anew()
        elif page := self._asked(place, text):
            self._show(page)
        else:
            self._go(self._danger(place, text) or place.reply(self.desk, text))

    def tell(self, trial: Trial, verdict: Verdict, note: str, laps: Laps | None = None) -> None:
        """Take in an outcome that was told with the command."""
        self._go(booked(self.desk, trial, verdict, note, False, laps))

    def _danger(self, place: Place, text: str) -> Go | None:
        """Where a line leads that tells of danger where something else was asked."""
        assert self.prompt is not None
        opening = self._new() if isinstance(place, Earlier | Closed) else overheard.begins(place)
        return overheard.first(self.desk, place, text, self.prompt.words, opening)

    # --- moving -----------------------------------------------------------------------------------

    def _asked(self, place: Place, text: str) -> Page | None:
        """The answer to a line that asks what a word means, what a part does, or for a sum."""
        word = hear.to_explain(text)
        if found := self._counted(place, text if word is None else word):
            return found
        here = word is None and isinstance(place, Opening | Asking | Advising)
        if here and asks_what(self.desk, text) and not danger.told(self.desk.mind, text):
            return Word(text)
        return None if word is None else Word(word)

    def _counted(self, place: Place, text: str) -> Counted | None:
        """The answer to a sum that is asked in words."""
        answer = counting.counted(self.desk, place.state, text)
        return Counted(answer) if answer else None

    def _show(self, page: Page) -> None:
        self._page = Prompt("page", (), page=page)

    def _go(self, go: Go) -> None:
        self.said = go.said
        if go.page is not None:
            self._page = Prompt("page", (), page=go.page)
        if go.over:
            self.place = None
            return
        then = go.to
        if go.on is not None:
            then = onward(self.desk, go.on)
        elif go.trial is not None:
            then = Waiting(go.trial, self._new())
        if then is None:
            return
        assert self.place is not None
        if not isinstance(self.place, LeftOff):  # going on is nothing to go back to: the last answer is
            self._back.append(Step(self.place, go.undo, self.desk.latest))
        self._enter(then)

    def _enter(self, place: Place, known: State | None = None) -> None:
        """Stand at a place; how far the sitting has come is written down first. `known`, where the place tells none."""
        before, self.place = self.place, place
        state = place.state or known or (before.state if isinstance(place, Waiting) and before else None)
        if state is not None and (state is not self._at or place.done or self._at_end):
            self.desk.remember(state, place.done)
            self._at, self._at_end = state, place.done

    def _return(self) -> None:
        if not self._back:
            self._before_all()
            return
        step = self._back.pop()
        place = step.place
        if isinstance(place, Opening):
            place = replace(place, words=self.desk.title)
        self.said = step.undo() if step.undo else ()
        self.desk.latest = step.event
        if isinstance(place, Waiting) and (now := self.desk.find(self.desk.trial or place.trial.id)):
            place = Waiting(now if not now.dropped else place.trial, place.after)
        self._enter(place)

    def _before_all(self) -> None:
        """Back from where a sitting was opened again, as the journal tells what came before; or there is nothing."""
        place, desk = self.place, self.desk
        if isinstance(place, Waiting) and place.trial.verdict is None:
            self._go(place._dropped(desk))
            return
        chosen = desk.trial
        was = desk.before()
        state = desk.opened(was) if was else None
        if was and state:
            if chosen != was.row.trial and (taken_back := self._not_chosen(chosen)):
                self.said = taken_back
                state = desk.opened(was) or state  # without what was learnt from it
            self._enter(self._stood(was, state), state)
        elif place and place.state and desk.sitting:
            self.place = replace(self._new(), words=desk.title)
            desk.latest = ""
        else:
            self.said = (news("There is nothing to go back to. o: earlier sittings; q: leave."),)

    def _not_chosen(self, ident: str) -> tuple[Row, ...]:
        """A change is taken back that was chosen after the place that is gone back to."""
        trial = self.desk.find(ident)
        if trial is None or trial.dropped:
            return ()
        self.desk.drop(trial, "taken back")
        filed = tuple(outcome.for_file(trial, trial.belongs.kart, self.desk.mind.book))
        said = [f"Taken back: {trial.say}."]
        if trial.verdict == "better" and filed:
            said.append(f"What the kart file {trial.belongs.kart} says is left as it is.")
        return tuple(news(text) for text in said)

    def _stood(self, was: Left, state: State) -> Place:
        """The place that a row of the journal tells of: one that was done waited for an outcome."""
        trial = self.desk.find(was.row.trial) if was.row.done else None
        if trial is None:
            return onward(self.desk, state)
        return Waiting(self.desk.again(trial) if trial.dropped else trial, self._new())

    def _new(self) -> Opening:
        """Where another matter begins: with the same kart."""
        first = next((step.place for step in self._back if isinstance(step.place, Opening)), None)
        return Opening(first.case) if first else of_kart(self.desk, self._kart)

    @property
    def _kart(self) -> str:
        """The kart on file that it is about; empty where there is none."""
        if isinstance(self.place, Waiting):
            return self.place.trial.belongs.kart
        return self.place.state.case.kart_file if self.place and self.place.state else ""

    def _anew(self) -> None:
        opening = self._new()
        self.desk.anew()
        self._back.clear()
        self._at = None
        self.place = opening


def onward(desk: Workspace, state: State) -> Place:
    """The place that a state leads to: what forbids driving, what was mended, a question, or the advice."""
    while (stop := steps.stopped(desk.mind, state)) is not None:
        if state.reopened and not stop.questions:
            break  # what was not said so is asked plainly first
        if stop.questions or stop.inspect[0] not in inspected(desk.mind.book, state.case.cleared):
            return Stopped(state, stop)
        state = steps.checked(desk.mind, state, stop)  # only likely, and just found sound: not asked twice
    if mended := stopping.mended(desk.mind.book, state.case.tried):
        return Mended(state, mended)
    if looks := steps.gone_through(desk.mind, state):
        return Looking(state, looks)
    asked = next_question(desk, state)
    if asked is None:
        return Advising(state, desk)
    first = desk.mind.book.observations[asked.id].first
    over = () if first else steps.look_over(desk.mind, state, asked)
    return LookOver(state, over) if over else Asking(state, asked)


def begun(
    desk: Workspace, named: str | None = None, notes: Sequence[str] = (), trial: Trial | None = None
) -> Sitting:
    """A sitting where it begins: what waits for its outcome first, then one that was left, then the complaint.

    `named` is a kart on file; `trial` the change that is spoken of, where it is known. Raises UnusableError where the
    file of the kart cannot be read.
    """
    names = tuple(on_file.names(desk.karts))
    each = [] if named or trial else desk.each_waiting()
    waiting = trial or desk.waiting(named)
    first = _first(desk, names, named, tuple(notes))
    if waiting is None:
        return Sitting(desk, first)
    if len(each) > 1:
        return Sitting(desk, Whose(tuple(reversed(each)), first))
    desk.taken_up(waiting)
    outcome, left = Waiting(waiting, first), desk.left(named)
    if left is not None and (left.row.trial == waiting.id or stands_still(desk.mind, left)):
        return Sitting(desk, LeftOff(left, outcome))
    return Sitting(desk, outcome)


def of_case(desk: Workspace, case: Case) -> Sitting:
    """A sitting on a case that is told already. Raises UnusableError."""
    desk.anew(case.complaint)
    place = onward(desk, steps.begin(desk.mind, desk.knowing(case)))
    if isinstance(place, Stopped):  # it stands, whatever is typed next
        desk.remember(place.state, place.done)
    return Sitting(desk, place)


def _first(desk: Workspace, names: tuple[str, ...], named: str | None, notes: tuple[str, ...]) -> Place:
    """Where it begins if nothing waits: a sitting that was left, if it is of the kart that is named, or a new one."""
    new, left = first_place(desk, names, named, notes), desk.left(named)
    case = desk.case(left.row.case) if left else None
    if left is not None and case is not None and named in (None, case.kart_file):
        return LeftOff(left, new)
    return new
