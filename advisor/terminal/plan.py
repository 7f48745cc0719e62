"""A what-if on the screen: the kart from above before and after, figures, the chain, and what people say beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.mechanics.asked import Asked
from advisor.mechanics.chain import asides, links, short
from advisor.mechanics.claims import Judged
from advisor.mechanics.known import Known
from advisor.mechanics.outlook import Outlook, sided
from advisor.mechanics.quoted import quote
from advisor.mechanics.rows import Row
from advisor.mechanics.spans import TOLD, WORDS, span, stands
from advisor.mechanics.turns import TURNS
from advisor.model.knowledge import Book
from advisor.model.scale import percent
from advisor.physics.elements import G
from advisor.terminal import show
from advisor.terminal.screen import Screen

ASIDES = 2  # that stand below an explanation; a what-if tells them all
BOX = 10  # characters inside a wheel
GAP = "   "  # between two drawings


def whatif(
    out: Screen, book: Book, kart: Known, asked: Sequence[Asked], seen: Outlook, claims: Sequence[Judged]
) -> None:
    """Print the whole answer."""
    show.heading(out, f"What if: {'; '.join(one.say for one in asked)}")
    _about(out, kart, seen, any(sided(one.change) for one in asked))
    out.write()
    for text in drawings(seen, kart.turn == "right", out.width):
        out.write(text)
    _in_figures(out, seen)
    show.heading(out, "How it comes about")
    for place, text in enumerate(links(asked, seen), start=1):
        show.line(out, f"{place}  {text}", 2, hang=3)
    _beside(out, book, claims)
    show.heading(out, "Before you turn it")
    for text in dict.fromkeys(t for one in asked for t in book.levers[one.change.lever].cautions[:1]):
        show.line(out, text, 2)
    show.heading(out, "How far to trust it")
    for text in LIMITS:
        show.line(out, text, 2)
    show.heading(out, "In short")
    against = sum(claim.verdict == "disagree" for claim in claims)
    show.line(out, short(asked, seen, against), 2)


def _in_figures(out: Screen, seen: Outlook) -> None:
    """What changes, a line each, then what does not."""
    show.heading(out, "In figures, before -> after")
    for name in TOLD:
        if seen.rows[name].sign != "nothing":
            show.line(out, _figures(name, seen.rows[name]), 2, hang=2)
    same = [(WORDS[name], row) for name in TOLD if (row := seen.rows[name]).sign == "nothing"]
    if same:
        texts = "; ".join(f"{words.name} {stands(words, row.before)}" for words, row in same)
        show.line(out, f"no change that you would feel: {texts}", 2, hang=2)
    first = " -> ".join(percent(share) for share in seen.first)
    show.line(out, f"the front gives up before the rear in {first} of such karts", 2, hang=2)


LIMITS = (
    "A change is told with the ends between which it lies in nine karts of ten that fit what is known; "
    '"cannot tell" where they lie on either side of nothing. No height of the mass and no tyre rate of a kart was '
    "found measured, so trust directions and order more than sizes.",
    "Not in it: heat and rubber, bumps, damping, the speed of a lift, and the driver. "
    "One step on the track tells more.",
)


def _about(out: Screen, kart: Known, seen: Outlook, sided: bool) -> None:
    told = f"Known of this kart: {', '.join(kart.told)}; the rest" if kart.told else "A usual kart: all of it"
    show.line(out, f"{told} from usual ranges (advisor whatif --figures lists them).", 2)
    turn = f"a {kart.turn}-hander" if kart.turn else "either way (--turn tells which)"
    if sided and not kart.turn:
        turn = "a left-hander (a right-hander differs: --turn right)"
    speed = 3.6 * (seen.lateral * G * seen.radius) ** 0.5
    show.line(
        out,
        f"The corner: {turn}, {seen.radius:.0f} m at {seen.lateral:.2f} g (about {speed:.0f} km/h). "
        "The middle kart is drawn; loads in kg.",
        2,
    )
    if min(seen.rows["front_left"].before, seen.rows["rear_left"].before) < 0:
        show.line(out, "That is more than such a kart holds: it would slide before.", 2, "bold")


def barred(out: Screen, reasons: Sequence[str]) -> None:
    """What stands against a change on this kart."""
    for reason in reasons:
        show.line(out, f"Note: {reason}.", 0, "bold")


# --- the drawing ------------------------------------------------------------------------------------


def drawings(seen: Outlook, right: bool, width: int) -> Iterator[str]:
    """The kart from above before and after: side by side where there is room, else one under the other."""
    most = max(seen.rows[name].before for name in LOADS)
    before = _drawing("BEFORE", seen, right, most, after=False)
    after = _drawing("AFTER", seen, right, most, after=True)
    if width > 2 * len(before[1]) + len(GAP) + 2:
        yield from (
            f"  {left:{len(before[1])}}{GAP}{right_}".rstrip()
            for left, right_ in zip(before, after, strict=True)
        )
        return
    yield from (f"  {text}".rstrip() for text in (*before, *after))


LOADS = ("front_inner", "front_outer", "rear_inner", "rear_outer")


def _drawing(title: str, seen: Outlook, right: bool, most: float, after: bool) -> list[str]:
    sides = ("outer", "inner") if right else ("inner", "outer")
    names = {"inner": "inside", "outer": "outside"}
    head = f" {names[sides[0]]:<{BOX + 2}}{title:^6}{names[sides[1]]:>{BOX + 2}}"
    rows = [head]
    for end in ("front", "rear"):
        boxes = [_wheel(seen, f"{end}_{side}", most, after) for side in sides]
        links_ = ("  /\\  " if end == "front" else "  ||  ", "==||==", "  ||  ", "  ||  ")
        rows += [
            f" {left}{link}{right_}" for left, link, right_ in zip(boxes[0], links_, boxes[1], strict=True)
        ]
        rows += [f"{'':{BOX + 5}}||"] if end == "front" else []
    return rows


def _wheel(seen: Outlook, name: str, most: float, after: bool) -> list[str]:
    """A wheel as a box: what it carries, and as much of the box filled."""
    row = seen.rows[name]
    load = row.after if after else row.before
    text = f"{load / G:.1f} kg"
    if load <= 0:
        height = seen.rows["height"].after if after else seen.rows["height"].before
        text = f"UP {height:.0f} mm" if name == "rear_inner" and height >= 1 else "UP"
    bar = "#" * max(round(BOX * load / most), 0)
    edge = f"+{'-' * BOX}+"
    return [edge, f"|{text:^{BOX}}|", f"|{bar[:BOX]:<{BOX}}|", edge]


def _figures(name: str, row: Row) -> str:
    words = WORDS[name]
    before, after = stands(words, row.before), stands(words, row.after)
    return f"{words.name} {before if before == after else f'{before} -> {after}'}: {span(words, row)}"


# --- beside what people say -------------------------------------------------------------------------

_SAID = {
    "agree": "the model agrees",
    "disagree": "the model says the other way",
    "depends": "the model: either way, it depends on the kart",
    "cannot tell": "the model cannot tell",
}


def _beside(out: Screen, book: Book, claims: Sequence[Judged]) -> None:
    """The claims of the trade about what was turned, with what the model makes of each."""
    told = [c for c in claims if c.verdict in _SAID]
    if not told:
        return
    show.heading(out, "Beside what people say")
    for claim in told:
        gives = claim.gives
        effect = f"{gives.way.replace('_', ' ')}: {gives.change} {book.effects[gives.effect].name}"
        tally = f"{len(gives.agree)} for, {len(gives.disagree)} against"
        show.line(out, f"{effect} ({tally}): {_SAID[claim.verdict]}.", 2, hang=2)
    for text in asides(book, (c.gives for c in told)):
        show.line(out, text, 2)


def quoted(out: Screen, book: Book, lever: str) -> None:
    """What the kart model says of one step of a lever, and where it contradicts or settles the sources; or nothing."""
    turn = TURNS.get(lever)
    said = quote(book, lever, turn.raises) if turn else ""
    if turn is None or not said:
        return
    say = book.levers[lever].ways[turn.raises].say
    show.line(out, f"By the wheel loads of a usual kart, one step ({say}): {said}", 2)
    for text in asides(book, book.levers[lever].gives)[:ASIDES]:
        show.line(out, text, 2)
    show.line(out, f'More, with a drawing: advisor whatif "{say}"', 2, "dim")
