"""The answer as the JSON object of the case contract."""

from __future__ import annotations

import json
from typing import Any

from advisor.model.advice import Advice, Answer, Moved


def text(found: Answer) -> str:
    """One JSON object in ASCII, so that no terminal or pipe can spoil it; chances to six places."""
    return json.dumps(as_data(found))


def as_data(found: Answer) -> dict[str, Any]:
    """The answer as plain data."""
    stop, question = found.stop, found.next_question
    return {
        "understood": found.understood,
        "stop": None
        if stop is None
        else {"reason": stop.reason, "text": stop.text, "inspect": list(stop.inspect)},
        "causes": [
            {"id": c.id, "name": c.name, "kind": c.kind, "probability": round(c.probability, 9)}
            for c in found.causes
        ],
        "advice": [_advice(a) for a in found.advice],
        "withheld": [
            {"lever": w.lever, "direction": w.direction, "reason": w.reason} for w in found.withheld
        ],
        "next_question": None
        if question is None
        else {"id": question.id, "text": question.text, "answers": list(question.texts)},
        "look_first": [
            {"id": q.id, "text": q.text, "answers": list(q.texts), "seconds": q.seconds} for q in found.first
        ],
        "wheel_loads": [
            {"lever": a.lever, "direction": a.direction, **_moved(one)}
            for a in found.advice
            for one in a.loads
        ],
        "warnings": [*([f"enough: {found.enough}"] if found.enough else []), *found.warnings],
    }


def _advice(advice: Advice) -> dict[str, Any]:
    amount, to = advice.amount, advice.to
    return {
        "lever": advice.lever,
        "direction": advice.direction,
        "detail": advice.detail,
        "amount": None if amount is None else {"value": amount.value, "unit": amount.unit, "per": amount.per},
        "to": None if to is None else {"value": to.value, "unit": to.unit},
        "minutes": advice.minutes,
        "chance": round(advice.chance, 6),
        "confidence": round(advice.confidence, 6),
        "why": list(advice.why),
        "costs": list(advice.costs),
        "cautions": list(advice.cautions),
        "sources": list(advice.sources),
    }


def _moved(one: Moved) -> dict[str, Any]:
    """What the kart model says: the change with its spread, nine karts in ten lie between low and high."""
    change = {name: round(getattr(one, name), 6) for name in ("low", "middle", "high")}
    before = None if one.before is None else round(one.before, 6)
    return {"figure": one.figure, "unit": one.unit, "before": before, "change": change, "text": one.text}
