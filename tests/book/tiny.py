"""A knowledge folder as small as it can be without an error or a weakness, to be broken in one place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields
from pathlib import Path

from advisor.model.knowledge import Words
from tests.hostile.command import MARK

# One word in each list that the language of complaints must have, whichever lists those are.
WORDS = "classes: {REAR: [rear, back]}\n" + "".join(
    f"{each.name}: [one word]\n"
    for each in fields(Words)
    if each.name != "classes" and each.default is MISSING and each.default_factory is MISSING
)
TINY: dict[str, str] = {
    "words.yaml": WORDS,
    "sources.yaml": """\
S1: {id: S1, about: a page on width}
""",
    "effects.yaml": """\
rear_bite:
  name: side grip at the rear
  more_feels: the rear holds
  less_feels: the rear slides
""",
    "overlaps.yaml": """\
one_fact: {kept: 0.5, because: they are one fact}
""",
    "jobs.yaml": """\
rear_off: {open: the rear wheels are off, minutes: 6, source: [common_practice]}
""",
    "observations/phase.yaml": """\
id: phase
question: Where?
plain: The part of the corner.
effort: remember
seconds: 5
source: [common_practice]
answers:
  entry: {text: on the way in, usual: unlikely, phrases: [entry]}
  mid: {text: in the middle, usual: unlikely, phrases: [mid corner]}
  exit: {text: on the way out, usual: unlikely, phrases: [exit]}
  straight: {text: on the straight, usual: very unlikely, phrases: [straight]}
""",
    "observations/balance.yaml": """\
id: balance
question: What does it do?
plain: Which end slides first.
effort: remember
seconds: 5
source: [common_practice]
answers:
  understeer: {text: runs wide, usual: unlikely, phrases: [pushes]}
  oversteer: {text: the rear steps out, usual: unlikely, phrases: [loose, REAR slides]}
  hop: {text: hops, usual: very unlikely, phrases: [hops]}
  bind: {text: stuck, usual: very unlikely, phrases: [bogs]}
  slide: {text: both ends, usual: very unlikely, phrases: [both ends]}
""",
    "observations/wear.yaml": """\
id: wear
question: How do the rears look?
plain: Worn in the middle or not.
effort: look
seconds: 30
overlaps: one_fact
source: [memory]
answers:
  even: {text: even, usual: likely}
  centre: {text: worn in the centre, usual: very unlikely, phrases: [worn in the centre], denied: even}
""",
    "observations/heat.yaml": """\
id: heat
question: How hot are the rears?
plain: Feel them in the pits.
effort: measure
seconds: 60
overlaps: one_fact
source: [memory]
answers:
  cool: {text: cool, usual: likely}
  hot: {text: hot, usual: very unlikely, when: [{conditions.tyre_temperature.rear: "> 90 degC"}]}
""",
    "causes/too_wide.yaml": """\
id: too_wide
name: the rear is too wide
kind: setup
plain: A wide rear slides.
base: often
feel:
  oversteer: {mid: likely}
  source: [S1]
signs:
  - {ask: wear, answers: {even: virtually certain}, source: [S1]}
  - {ask: heat, answers: {hot: likely}, source: [S1]}
odds:
  - {where: {setup.rear_track_width: "> 1390 mm"}, times: 2, because: it is wide, source: [memory]}
needs:
  - {effect: rear_bite, change: more, cures: likely, source: [S1]}
source: [S1]
""",
    "causes/axle_bent.yaml": """\
id: axle_bent
name: the axle is bent
kind: mechanical
plain: It wobbles.
base: rarely
signs:
  - {ask: wear, answers: {centre: likely}, source: [memory]}
  - {ask: heat, answers: {hot: very likely}, source: [memory]}
remedies:
  - {lever: inspect_axle, direction: check, cures: very likely, source: [memory]}
danger: {at: likely, text: Do not drive it., inspect: [inspect_axle]}
source: [memory]
""",
    "levers/rear_track_width.yaml": """\
id: rear_track_width
name: rear width
plain: The distance of the rear wheels.
job: rear_off
minutes: 10
dimension: length
step: {amount: 5 mm, raises: wider, per: side, counts: 2, source: [S1]}
least: 1200 mm
most: 1400 mm
ways:
  wider: {say: widen the rear, opposite: narrower, phrases: [wider REAR]}
  narrower: {say: narrow the rear, opposite: wider, phrases: [narrower REAR]}
gives:
  - {way: wider, effect: rear_bite, change: less, supplies: likely, agree: [S1], because: it slides sooner}
cautions: [Tighten the hubs.]
source: [S1]
""",
    "levers/inspect_axle.yaml": """\
id: inspect_axle
name: the axle
plain: Spin it and look.
minutes: 5
runs: 0
ways:
  check: {say: look at the axle}
source: [memory]
""",
}
NEW = ""  # stands for the text of a file that the tiny folder does not have


def write(folder: Path, *changes: tuple[str, str, str]) -> Path:
    """Write the folder; each change is a file, a piece of its text, and what stands there instead."""
    files = dict(TINY)
    for name, old, new in changes:
        if old == NEW:
            files[name] = new
        else:
            assert files[name].count(old) == 1, f"{old!r} stands {files[name].count(old)} times in {name}"
            files[name] = files[name].replace(old, new)
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text.replace(MARK, ""), encoding="utf-8")
    return folder


def marked(changes: tuple[tuple[str, str, str], ...]) -> Mapping[str, str]:
    """The changed files with their marks."""
    files = dict(TINY)
    for name, old, new in changes:
        files[name] = new if old == NEW else files[name].replace(old, new)
    return {name: text for name, text in files.items() if MARK in text}
