"""An outlook in words: the chain of cause and effect, each link with the spread that the figures leave it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from advisor.mechanics import lead
from advisor.mechanics.asked import Asked
from advisor.mechanics.outlook import Outlook
from advisor.mechanics.rows import Row
from advisor.mechanics.spans import WORDS, either, figure, span
from advisor.mechanics.turns import TURNS
from advisor.model.knowledge import Book
from advisor.model.levers import Gives, Statics


def links(asked: Sequence[Asked], seen: Outlook) -> Iterator[str]:
    """The chain from the turn of a part to what the driver feels, a sentence a link."""
    for one in asked:
        change = one.change
        if change.spot is not None:
            first = lead.first(change.amount, change.spot)
        else:
            first = TURNS[change.lever].first[0 if change.amount > 0 else 1]
        yield f"{first[:1].upper()}{first[1:]}."
    rows = seen.rows
    twist = rows["twist"]
    if twist.sign in ("more", "less"):
        now, then = figure(twist.after), figure(twist.before)
        told = f"{now} mm out of level instead of {then}"
        if now == then:
            told = f"a shade {_(twist, 'more', 'less')} than {then} mm out of level"
        yield (
            f"With the lock that this corner needs, the two front wheels stand {told}: the kart rocks "
            f"{_(twist, 'further', 'less')} across its diagonal."
        )
    yield _inside(rows["rear_inner"], rows["lifts_at"], rows["height"], seen.lateral)
    yield _axle(rows["resisting"])
    yield _ends(rows["front_left"], rows["rear_left"])
    yield _balance(seen)


def _(row: Row, more: str, less: str) -> str:
    return more if row.middle > 0 else less


def _inside(load: Row, lifts: Row, height: Row, lateral: float) -> str:
    told = {
        "more": "The inside rear is pressed down more",
        "less": "The inside rear becomes lighter",
        "nothing": "What the inside rear carries hardly changes",
        "cannot tell": "Whether the inside rear becomes lighter cannot be told",
    }[load.sign]
    text = f"{told}: {span(WORDS['rear_inner'], load)}."
    if load.sign == "nothing":
        text = f"{told}."
    if load.sign == "cannot tell":
        text = f"{told} ({either(WORDS['rear_inner'], load)})."
    if lifts.sign in ("more", "less"):
        now, then, by = f"{lifts.after:.2f}", f"{lifts.before:.2f}", span(WORDS["lifts_at"], lifts)
        told = f"{by}, of {then} g" if now == then else f"at {now} g instead of {then} g ({by})"
        text += f" It leaves the ground {told}; this corner is driven at {lateral:.2f} g."
    if height.before > 0 or height.after > 0:
        text += f" It stands {figure(height.after)} mm up instead of {figure(height.before)}."
    return text


def _axle(row: Row) -> str:
    lead = "Both rear wheels sit on one axle and must turn alike, so on the ground both push the kart straight on."
    told = {
        "more": f"That resistance grows: {span(WORDS['resisting'], row)}, of {row.before:.0f}.",
        "less": f"That resistance shrinks: {span(WORDS['resisting'], row)}, of {row.before:.0f}.",
        "nothing": "That resistance hardly changes.",
        "cannot tell": f"What becomes of that resistance cannot be told ({either(WORDS['resisting'], row)}).",
    }[row.sign]
    return f"{lead} {told}"


def _ends(front: Row, rear: Row) -> str:
    return f"Before it slides, {_hand(front, 'front')}; {_hand(rear, 'rear')}."


def _hand(row: Row, end: str) -> str:
    """What an end has in hand before it slides."""
    words = WORDS[f"{end}_left"]
    if row.sign == "nothing":
        return f"the {end} has as much side force in hand as before, as far as you would feel"
    if row.sign == "cannot tell":
        return f"what the {end} has in hand sideways cannot be told ({either(words, row)})"
    return f"the {end} has {span(words, row)} side force in hand"


def _unfelt(seen: Outlook) -> str:
    """What is added to a direction where neither end changes by what is felt."""
    ends = (seen.rows["front_left"], seen.rows["rear_left"])
    return ", by less than you would feel" if all(row.sign == "nothing" for row in ends) else ""


def _balance(seen: Outlook) -> str:
    sign, unfelt = seen.rows["balance"].sign, _unfelt(seen)
    if unfelt and sign in ("more", "less"):
        return f"So what there is goes towards {'understeer' if sign == 'more' else 'oversteer'}{unfelt}."
    return {
        "more": "So it goes towards understeer: the front gives up sooner, set against the rear.",
        "less": "So it goes towards oversteer: the front holds longer, set against the rear, and the kart turns more.",
        "nothing": "So the balance hardly changes by the wheel loads: what is felt of it on the track comes from what "
        "they leave out.",
        "cannot tell": "So whether it goes towards understeer or oversteer cannot be told from the wheel loads.",
    }[sign]


def short(asked: Sequence[Asked], seen: Outlook, against: int = 0) -> str:
    """The upshot for those who read no further; `against`: claims that the wheel loads contradict."""
    say = " and ".join(one.say for one in asked)
    lifts = seen.rows["lifts_at"]
    told = (
        f"; the inside rear lifts {span(WORDS['lifts_at'], lifts)}" if lifts.sign in ("more", "less") else ""
    )
    unfelt = _unfelt(seen)
    balance = {
        "more": f"the front gives up sooner (towards understeer{unfelt})",
        "less": f"the front holds longer (towards oversteer{unfelt})",
        "nothing": "the balance hardly changes",
        "cannot tell": "the balance cannot be told",
    }[seen.rows["balance"].sign]
    more = (
        f" People say otherwise of {against} of its effects: see above which side holds where."
        if against
        else ""
    )
    return f"{say[:1].upper()}{say[1:]}, by the wheel loads: {balance}{told}.{more}"


def brief(seen: Outlook) -> str:
    """One sentence of what a change does: the inside rear, its lift, and what either end has in hand."""
    rows = seen.rows
    load, lifts = rows["rear_inner"], rows["lifts_at"]
    told = span(WORDS["rear_inner"], load)
    parts = [f"the inside rear carries {told}"]
    if load.sign == "cannot tell":
        parts = [
            f"whether the inside rear becomes lighter cannot be told ({either(WORDS['rear_inner'], load)})"
        ]
    if load.sign == "nothing":
        parts = ["the inside rear carries what it carried, as far as you would feel"]
    if lifts.sign in ("more", "less"):
        parts.append(f"it lifts {span(WORDS['lifts_at'], lifts)}")
    parts += [_hand(rows[f"{end}_left"], end) for end in ("front", "rear")]
    return f"{'; '.join(parts)}."


def asides(book: Book, claims: Iterable[Gives]) -> list[str]:
    """What the records say where the wheel loads contradict or settle their sources, a text for effects alike."""
    alike: dict[tuple[str, Statics], list[str]] = {}
    for gives in claims:
        if gives.statics is not None:
            effects = alike.setdefault((gives.way, gives.statics), [])
            effect = f"{gives.change} {book.effects[gives.effect].name}"
            effects += [effect] if effect not in effects else []
    return [_aside(", ".join(effects), way, told) for (way, told), effects in alike.items()]


def _aside(effects: str, way: str, told: Statics) -> str:
    return (
        f"{effects[:1].upper()}{effects[1:]} ({way.replace('_', ' ')}), by the wheel loads: {told.says}. Left out "
        f"there: {told.left_out}. As we read it, what the sources say is to be expected {told.sources}; what the "
        f"wheel loads say, {told.loads}."
    )
