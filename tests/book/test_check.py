"""`advisor check`: every mistake of an author is told at its place, in words that help, all at once."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pytest

from tests.book import tiny
from tests.hostile.command import Advisor, Result, marks, problems

Change = tuple[str, str, str]
Place = tuple[str, int, int]
WIDE, BENT = "causes/too_wide.yaml", "causes/axle_bent.yaml"
WIDTH, AXLE = "levers/rear_track_width.yaml", "levers/inspect_axle.yaml"
PHASE, BALANCE = "observations/phase.yaml", "observations/balance.yaml"
WEAR, HEAT = "observations/wear.yaml", "observations/heat.yaml"
WORDS, SOURCES, EFFECTS, OVERLAPS = "words.yaml", "sources.yaml", "effects.yaml", "overlaps.yaml"


@dataclass(frozen=True, slots=True)
class Report:
    """The two lists that a check prints, each a message by its place."""

    errors: dict[Place, str]
    weaknesses: dict[Place, str]


def report(done: Result) -> Report:
    """Read the lists; each title counts what stands below it."""
    lists: dict[str, dict[Place, str]] = {"Errors": {}, "Weaknesses": {}}
    counted: dict[str, int] = {}
    current = ""
    for line in done.out.splitlines():
        if title := re.fullmatch(r"(Errors|Weaknesses) \(.*\): (\d+)", line):
            current = title[1]
            counted[current] = int(title[2])
        elif current:
            ((file, row, column, message),) = problems(line.strip())
            lists[current][file.removeprefix("tiny/"), row, column] = message
    assert {title: len(found) for title, found in lists.items() if found} == counted
    return Report(lists["Errors"], lists["Weaknesses"])


def check(advisor: Advisor, *changes: Change) -> tuple[Result, list[Place]]:
    """Check the tiny folder with some changes; the places that are marked in them."""
    tiny.write(advisor.folder / "tiny", *changes)
    done = advisor("check", "tiny")
    places = [(name, *place) for name, text in tiny.marked(changes).items() for place in marks(text)]
    return done, sorted(places)


# --- nothing wrong ----------------------------------------------------------------------------------


def test_the_shipped_knowledge_and_scenarios_have_no_errors_and_no_weaknesses(advisor: Advisor) -> None:
    done = advisor("check")
    assert (done.status, done.err) == (0, ""), done.out
    assert "no errors, no weaknesses" in done.out


def test_the_tiny_folder_has_no_errors_and_no_weaknesses(advisor: Advisor) -> None:
    done, _ = check(advisor)
    assert done.status == 0, done.out
    assert f"Checked {len(tiny.TINY)} files" in done.out


# --- errors -----------------------------------------------------------------------------------------

SCALE = "on the probability scale"
AGAIN = tiny.TINY[WIDE].replace("too_wide", "«too_wide", 1)
REGIME = '{setup.rear_track_width: "> 1390 mm"}'
COOL = "cool: {text: cool, usual:"
ERRORS: dict[str, tuple[Change, tuple[str, ...]]] = {
    # keys and ids
    "an unknown key": ((BENT, "remedies:", "«remedyes:"), ('"remedyes"', 'did you mean "remedies"')),
    "an unknown key inside": (
        (BENT, "cures: very likely", "cures: very likely, «detial: x"),
        ('"detial"', 'did you mean "detail"'),
    ),
    "an unknown key in a table": (
        (EFFECTS, "  less_feels: the rear slides", "  less_feels: the rear slides\n  «kepe: [x]"),
        ('"kepe"', 'did you mean "keep"'),
    ),
    "an unknown key of an answer": (
        (WEAR, "usual: likely}", "usual: likely, «frases: [x]}"),
        ('"frases"', 'did you mean "phrases"'),
    ),
    "an unknown list of words": ((WORDS, "past:", "«passt: [x]\npast:"), ('"passt"',)),
    "an unknown balance": (
        (WIDE, "oversteer: {mid: likely}", "«overster: {mid: likely}"),
        ('"overster"', 'did you mean "oversteer"'),
    ),
    "a missing key": ((WIDE, "base: often\n", ""), ('"base"', "missing")),
    "a missing key inside": ((BENT, "{ask: wear, ", "«{"), ('"ask"', "missing")),
    "a key twice": ((WIDE, "base: often", "base: often\n«base: rarely"), ('"base"', "line 5")),
    "a key twice in a table": ((SOURCES, "S1: {", "S1: {id: S1, about: x}\n«S1: {"), ('"S1"', "line 1")),
    "an id twice": (("causes/zz/too_wide.yaml", "", AGAIN), ("used twice",)),
    "an id that is not the file's": ((WIDE, "id: too_wide", "id: «too_broad"), ('"too_broad"', '"too_wide"')),
    "an id with capitals": ((WIDE, "id: too_wide", "id: «Too_wide"), ('"Too_wide"',)),
    "an observation by the id of what is felt": (
        ("observations/feel.yaml", "", tiny.TINY[WEAR].replace("id: wear", "id: «feel")),
        ('"feel"', "phase and balance"),
    ),
    # what is named and is not there
    "an effect a cause needs": (
        (WIDE, "effect: rear_bite", "effect: «rear_bit"),
        ('"rear_bit"', 'mean "rear_bite"'),
    ),
    "an effect a lever gives": (
        (WIDTH, "effect: rear_bite", "effect: «raer_bite"),
        ('"raer_bite"', 'mean "rear_bite"'),
    ),
    "a lever of a remedy": (
        (BENT, "lever: inspect_axle", "lever: «inspect_axel"),
        ('"inspect_axel"', 'mean "inspect_axle"'),
    ),
    "a lever to inspect": (
        (BENT, "inspect: [inspect_axle]", "inspect: [«inspect_axel]"),
        ('"inspect_axel"', 'mean "inspect_axle"'),
    ),
    "a lever an answer has inspected": (
        (WEAR, "usual: likely}", "usual: likely, inspect: [inspect_axle, «inspect_hub]}"),
        ('"inspect_hub"',),
    ),
    "a job": ((WIDTH, "job: rear_off", "job: «rear_of"), ('"rear_of"', 'mean "rear_off"')),
    "a job that takes longer than the lever": (
        (WIDTH, "minutes: 10", "minutes: «5"),
        ("less than its job rear_off alone (6)",),
    ),
    "a direction of a remedy": ((BENT, "direction: check", "direction: «chekc"), ('"chekc"', 'mean "check"')),
    "a direction of a claim": ((WIDTH, "{way: wider", "{way: «widr"), ('"widr"', 'mean "wider"')),
    "a direction of a step": ((WIDTH, "raises: wider", "raises: «widest"), ('"widest"',)),
    "an opposite": (
        (
            WIDTH,
            "narrower, phrases: [wider REAR]}\n  narrower: {say: narrow the rear, opposite: wider",
            "«narower}\n  narrower: {say: narrow the rear, opposite: «wider",
        ),
        ('"narower"',),
    ),
    "an observation": ((BENT, "ask: wear", "ask: «waer"), ('"waer"', 'mean "wear"')),
    "an answer": ((BENT, "{centre: likely}", "{«center: likely}"), ('"center"', 'mean "centre"')),
    "an answer that denies": ((WEAR, "denied: even", "denied: «evn"), ('"evn"',)),
    "a phase": ((WIDE, "{mid: likely}", "{«middle: likely}"), ('"middle"', "phase")),
    "a source of a sign": (
        (BENT, "answers: {centre: likely}, source: [memory]", "answers: {centre: likely}, source: [«memry]"),
        ('"memry"', 'mean "memory"'),
    ),
    "a source of a file": ((AXLE, "source: [memory]", "source: [«S9]"), ('"S9"',)),
    "a source of a claim": ((WIDTH, "agree: [S1]", "agree: [S1, «S2]"), ('"S2"',)),
    "an overlap": ((HEAT, "overlaps: one_fact", "overlaps: «one_fakt"), ('"one_fakt"', 'mean "one_fact"')),
    "a class of words": ((BALANCE, "REAR slides", "«RAER slides"), ("RAER",)),
    "a class of words of a lever": ((WIDTH, "[wider REAR]", "[«wider RAER]"), ("RAER",)),
    "a condition on a lever": (
        (WIDE, "setup.rear_track_width:", "«setup.rear_width:"),
        ('"setup.rear_width"',),
    ),
    "a condition on an observation": (
        (HEAT, 'conditions.tyre_temperature.rear: "> 90 degC"', "«observed.waer: even"),
        ('"observed.waer"',),
    ),
    "a condition on an answer": (
        (HEAT, 'conditions.tyre_temperature.rear: "> 90 degC"', "observed.wear: «evn"),
        ('"evn"', 'mean "even"'),
    ),
    "a condition with a wrong dimension": (
        (
            HEAT,
            'conditions.tyre_temperature.rear: "> 90 degC"',
            'conditions.tyre_temperature.rear: «"> 90 mm"',
        ),
        ("length",),
    ),
    # words off the scale, and other values
    "a likelihood": (
        (BENT, "hot: very likely", "hot: «very probable"),
        ('"very probable"', SCALE, "virtually certain"),
    ),
    "a likelihood in numbers": ((BENT, "hot: very likely", "hot: «0.9"), ("hot",)),
    "a likelihood with a typing error": (
        (BENT, "hot: very likely", "hot: «very likly"),
        ('"very likly"', 'mean "very likely"'),
    ),
    "a cure": ((WIDE, "more, cures: likely", "more, cures: «surely"), ('"surely"', SCALE)),
    "a supply": ((WIDTH, "supplies: likely", "supplies: «always"), ('"always"', SCALE)),
    "a usual share": ((HEAT, f"{COOL} likely", f"{COOL} «mostly"), ('"mostly"', SCALE)),
    "a danger": ((BENT, "{at: likely", "{at: «maybe"), ('"maybe"', SCALE)),
    "a base rate": ((WIDE, "base: often", "base: «oftn"), ('"oftn"', "base rate", 'mean "often"')),
    "a kind": ((WIDE, "kind: setup", "kind: «set-up"), ("setup",)),
    "a change": ((WIDE, "change: more", "change: «higher"), ("more",)),
    "minutes of text": ((AXLE, "minutes: 5", "minutes: «five"), ("minutes",)),
    "minutes below zero": ((AXLE, "minutes: 5", "minutes: «-5"), ("minutes", "between")),
    "seconds without end": ((HEAT, "seconds: 60", "seconds: «99999"), ("seconds", "between")),
    "a factor without end": ((WIDE, "times: 2", "times: «1e9"), ("times", "between")),
    "a limit without unit": ((WIDTH, "least: 1200 mm", "least: «'1200'"), ("unit",)),
    "a limit of another unit": ((WIDTH, "most: 1400 mm", "most: «1400 mmm"), ("mmm",)),
    "a limit of another dimension": ((WIDTH, "most: 1400 mm", "most: «12 psi"), ("pressure",)),
    "a dimension": ((WIDTH, "dimension: length", "dimension: «lenght"), ("lenght",)),
    "a step of another dimension": ((WIDTH, "amount: 5 mm", "amount: «5 psi"), ("5 psi",)),
    "a condition that starts nowhere": (
        (WIDE, "{setup.rear_track_width:", "«{width:"),
        ("width",),
    ),
    "a condition without number": ((WIDE, REGIME, f"«{REGIME.replace('1390 mm', 'wide')}"), ("wide",)),
    "a list for a text": ((WIDE, "plain: A wide rear slides.", "plain: «[a]"), ("plain",)),
    "a text for a list": ((AXLE, "source: [memory]", "source: «memory"), ("source",)),
    # files
    "an unknown folder": (("cauzes/x.yaml", "", "«id: x\n"), ("no such part", 'mean "causes"')),
    "an empty file": ((OVERLAPS.replace("overlaps", "causes/none"), "", "«"), ("empty",)),
    "a list for a file": (("causes/list.yaml", "", "«- a\n"), ("mapping",)),
    "broken YAML": (("causes/broken.yaml", "", 'id: "broken\n«'), ("YAML",)),
    "a tag": (("causes/tag.yaml", "", "id: «!!python/name:os.system\n"), ("tag",)),
    "an alias": (("causes/alias.yaml", "", "id: «*a\n"), ("alias",)),
    "two documents": (("causes/two.yaml", "", "id: two\n«---\nid: two\n"), ("second document",)),
    "a control code": (("causes/code.yaml", "", "id: «\x1b[31m\n"), ("0x1b",)),
}


@pytest.mark.parametrize(("change", "pieces"), ERRORS.values(), ids=ERRORS)
def test_a_mistake_is_an_error_at_its_place(
    advisor: Advisor, change: Change, pieces: tuple[str, ...]
) -> None:
    done, places = check(advisor, change)
    found = report(done)
    assert done.status == 1
    assert done.err == ""
    if not places:  # what is missing has no place but its file
        places = [(change[0], 1, 1)]
    assert sorted(found.errors) == places, done.out
    for piece in pieces:
        assert piece in found.errors[places[0]]


@pytest.mark.parametrize(
    "change",
    [
        (BENT, "direction: check, cures: very likely", "direction: check, cures: mostly"),
        (WIDE, "base: often", "base: oftn"),
        (WIDTH, "minutes: 10", "minutes: ten"),
        (WEAR, "effort: look", "effort: lok"),
        (SOURCES, "about: a page on width", "abot: a page on width"),
    ],
)
def test_what_hangs_on_a_broken_file_is_not_called_poor_because_of_that(
    advisor: Advisor, change: Change
) -> None:
    done, _ = check(advisor, change)
    found = report(done)
    assert {file for file, *_ in found.errors} == {change[0]}
    assert found.weaknesses == {}


def test_a_hint_names_a_key_of_the_same_kind_of_entry(advisor: Advisor) -> None:
    """`phrases` belongs to answers and levers; the lists of words have no such key."""
    done, _ = check(advisor, (WORDS, "past:", "«frases: [x]\npast:"))
    assert "did you mean" not in done.out


def test_all_errors_are_told_at_once_in_the_order_of_the_files(advisor: Advisor) -> None:
    changes = (
        (BENT, "direction: check", "direction: «chekc"),
        (BENT, "hot: very likely", "hot: «very probable"),
        (EFFECTS, "  name: side grip at the rear", "  naem: x\n  name: side grip at the rear"),
        (WIDTH, "agree: [S1]", "agree: [«S7]"),
        (HEAT, "overlaps: one_fact", "overlaps: «another"),
        ("causes/broken.yaml", "", "id: «[\n"),
    )
    done, _ = check(advisor, *changes)
    found = report(done)
    text = " ".join(found.errors.values())
    for word in ("very probable", "naem", "S7", "another", "YAML"):
        assert word in text
    assert list(found.errors) == sorted(found.errors)
    assert done.status == 1


def test_a_file_that_does_not_load_is_not_blamed_on_those_who_name_it(advisor: Advisor) -> None:
    """One mistake in a lever: the causes that name the lever are all right."""
    done, places = check(advisor, (AXLE, "minutes: 5", "minutes: «five"))
    assert sorted(report(done).errors) == places


@pytest.mark.parametrize("missing", [WORDS, EFFECTS, WEAR, AXLE])
def test_a_missing_file_is_an_error(advisor: Advisor, missing: str) -> None:
    tiny.write(advisor.folder / "tiny")
    (advisor.folder / "tiny" / missing).unlink()
    done = advisor("check", "tiny")
    assert done.status == 1
    assert report(done).errors


def test_a_folder_without_words_is_told_so(advisor: Advisor) -> None:
    """Each file of it would be no case either; that helps nobody."""
    tiny.write(advisor.folder / "tiny")
    (advisor.folder / "tiny" / WORDS).unlink()
    done = advisor("check", "tiny")
    assert "words.yaml" in done.out
    assert len(report(done).errors) == 1


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"id: \xe4\n", b"# " + b"x" * 2_000_000])
def test_a_file_that_is_no_short_text_is_an_error(advisor: Advisor, content: bytes) -> None:
    tiny.write(advisor.folder / "tiny")
    (advisor.folder / "tiny" / "causes" / "odd.yaml").write_bytes(content)
    done = advisor("check", "tiny")
    assert done.status == 1
    assert [file for file, *_ in report(done).errors] == ["causes/odd.yaml"]


def test_a_folder_where_a_file_should_be_is_no_crash(advisor: Advisor) -> None:
    tiny.write(advisor.folder / "tiny")
    (advisor.folder / "tiny" / "causes" / "folder.yaml").mkdir()
    assert advisor("check", "tiny").status in (0, 1)


def test_a_lock_file_of_an_editor_is_no_knowledge(advisor: Advisor) -> None:
    """Some editors keep a dangling link `.#name.yaml` beside a file that is being changed."""
    tiny.write(advisor.folder / "tiny")
    try:
        (advisor.folder / "tiny" / "causes" / ".#too_wide.yaml").symlink_to("nobody@nowhere.1234")
    except OSError:
        pytest.skip("no links here")
    done = advisor("check", "tiny")
    assert done.status == 0, done.out


# --- weaknesses -------------------------------------------------------------------------------------


TWIN = tiny.TINY[WIDE].replace("too_wide", "zz_too_broad")
UNSURE = """\
«id: vague
name: something vague
kind: setup
plain: Nobody knows.
base: rarely
signs:
  - {ask: wear, answers: {centre: very likely}, source: [memory]}
needs:
  - {effect: rear_bite, change: more, cures: likely, source: [memory]}
source: [memory]
"""
COLOUR = """\
«id: colour
question: Which colour?
plain: It is painted.
effort: look
seconds: 5
source: [memory]
answers:
  red: {text: red, usual: likely}
  blue: {text: blue, usual: unlikely}
"""
HORN = """\
«id: horn
name: the horn
plain: It makes a noise.
minutes: 1
ways: {check: {say: blow it}}
source: [memory]
"""
HIDDEN = """\
«id: hidden
name: something hidden
kind: setup
plain: It looks like a bent axle, and is rarer.
base: hardly ever
feel:
  oversteer: {mid: likely, exit: likely}
  source: [memory]
signs:
  - {ask: wear, answers: {centre: very likely}, source: [memory]}
  - {ask: heat, answers: {hot: very likely}, source: [memory]}
needs:
  - {effect: rear_bite, change: more, cures: likely, source: [memory]}
source: [memory]
"""
WIDER = "{lever: rear_track_width, direction: wider, cures: unlikely, source: [S1]}"
NARROWER = "{lever: rear_track_width, direction: narrower, cures: likely, detail: in the wet, source: [S1]}"
SIGN = "{ask: wear, answers: {centre: likely}"
UNSOURCED: Change = (BENT, f"{SIGN}, source: [memory]}}", f"«{SIGN}}}")
REMEDY = "remedies:\n  - {lever: inspect_axle, direction: check, cures: very likely, source: [memory]}\n"
WEAKNESSES: dict[str, tuple[tuple[Change, ...], tuple[str, ...]]] = {
    "a sign without a source": (
        (UNSOURCED,),
        ("source", "memory"),
    ),
    "a need without a source": (
        ((WIDE, "cures: likely, source: [S1]}", "cures: likely}"), (WIDE, "{effect", "«{effect")),
        ("source",),
    ),
    "a claim without a source": (
        ((WIDTH, "agree: [S1], ", ""), (WIDTH, "{way: wider", "«{way: wider")),
        ("source",),
    ),
    "a cause without a source": (
        ((WIDE, "\nsource: [S1]", ""), (WIDE, "id: too_wide", "«id: too_wide")),
        ("source",),
    ),
    "a source that nobody names": (
        ((SOURCES, "S1: {", "S2: «{id: S2, about: x}\nS1: {"),),
        ("cited by nothing",),
    ),
    "a cause that nobody can fix": (
        (
            (BENT, REMEDY, ""),
            (BENT, "id: axle_bent", "«id: axle_bent"),
            (WIDE, "\nsource: [S1]", f"\n{REMEDY}source: [S1]"),
        ),
        ("nobody can fix",),
    ),
    "twins": ((("causes/zz_too_broad.yaml", "", f"«{TWIN}"),), ("too_wide", "tell the two apart")),
    "a cause with one telling observation": ((("causes/vague.yaml", "", UNSURE),), ("only 1", "2")),
    "an observation that nobody uses": (
        (("observations/colour.yaml", "", COLOUR),),
        ("uses this observation",),
    ),
    "an effect that no lever gives": (
        ((EFFECTS, "rear_bite:", "calm: «{name: x, more_feels: y, less_feels: z}\nrear_bite:"),),
        ("no lever gives",),
    ),
    "look-alikes that want different changes": (
        (
            (BENT, "base: rarely", "base: often"),
            (BENT, "{centre: likely}", "{even: virtually certain}"),
            (WIDE, "id: too_wide", "«id: too_wide"),
        ),
        ("hardly told from", "axle_bent"),
    ),
    "a cause that no answer reaches": (
        (("causes/hidden.yaml", "", HIDDEN),),
        ("not reached", "axle_bent"),
    ),
    "a question that cannot come": (
        (
            (WEAR, "seconds: 30", "seconds: 30\nasked: false"),
            (WEAR, ", phrases: [worn in the centre], denied: even", ""),
            (HEAT, "seconds: 60", "seconds: 60\nasked_if: «{observed.wear: centre}"),
        ),
        ("wear", "never asked"),
    ),
    "opposite claims in one regime": (
        (
            (
                WIDTH,
                "because: it slides sooner}",
                "because: it slides sooner}\n  - «{way: wider, effect: rear_bite, change: more, supplies: likely, "
                "agree: [S1], because: it bites}",
            ),
        ),
        ("opposite of claim 1", "disagree"),
    ),
    "a remedy named both ways": (
        ((WIDE, "\nsource: [S1]", f"\nremedies:\n  - {NARROWER}\n  - «{WIDER}\nsource: [S1]"),),
        ("both ways", "when wider is right"),
    ),
    "a lever that answers no cause": ((("levers/horn.yaml", "", HORN),), ("answers no cause",)),
}


@pytest.mark.parametrize(("changes", "pieces"), WEAKNESSES.values(), ids=WEAKNESSES)
def test_what_works_but_poorly_is_a_weakness_and_no_error(
    advisor: Advisor, changes: tuple[Change, ...], pieces: tuple[str, ...]
) -> None:
    done, places = check(advisor, *changes)
    found = report(done)
    assert done.status == 0
    assert found.errors == {}
    assert sorted(found.weaknesses) == places, done.out
    for piece in pieces:
        assert piece in found.weaknesses[places[0]]


def test_all_weaknesses_are_told_at_once(advisor: Advisor) -> None:
    changes = [change for some, _ in WEAKNESSES.values() for change in some if change[1] == ""]
    done, places = check(advisor, *changes)
    assert sorted(report(done).weaknesses) == places
    assert len(places) == 5


def test_errors_and_weaknesses_are_two_lists_told_together(advisor: Advisor) -> None:
    """A claim without a source is poor whether or not another file names an effect that is not there."""
    done, _ = check(
        advisor,
        (WIDE, "effect: rear_bite", "effect: «rear_bit"),
        UNSOURCED,
    )
    found = report(done)
    assert done.status == 1
    assert [file for file, *_ in found.errors] == [WIDE]
    assert [file for file, *_ in found.weaknesses] == [BENT]


# --- scenarios and cases -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "piece"),
    [
        ("- «complaint: loose\n  expect: {stop: false}\n", "name"),
        ("- «name: x\n  complaint: loose\n", "expect"),
        ("- name: x\n  «complant: loose\n  observed: {phase: entry}\n  expect: {stop: false}\n", "complaint"),
        ("- name: x\n  complaint: loose\n  expect: {«frist: driver}\n", "first"),
        ("- name: x\n  complaint: loose\n  expect: {first: «[drivr]}\n", "driver"),
        ("- name: x\n  complaint: loose\n  expect: {stop: «maybe}\n", "stop"),
        ("- name: x\n  complaint: «[a]\n  expect: {stop: false}\n", "text"),
    ],
)
def test_a_mistake_in_a_scenario_is_told_at_its_place(advisor: Advisor, text: str, piece: str) -> None:
    advisor.write(text, "some.yaml")
    done = advisor("check", "some.yaml")
    assert done.status == 1
    found = report(done)
    assert {place[1:] for place in found.errors} == set(marks(text)), done.out
    assert piece in " ".join(found.errors.values())


def test_a_folder_of_cases_is_checked_whole(advisor: Advisor) -> None:
    (advisor.folder / "cases").mkdir()
    advisor.write("complaint: loose on entry\n", "cases/good.yaml")
    advisor.write("complant: loose on entry\n", "cases/bad.yaml")
    done = advisor("check", "cases")
    assert done.status == 1
    assert [file for file, *_ in report(done).errors] == ["cases/bad.yaml"]


def test_a_name_used_twice_is_an_error(advisor: Advisor) -> None:
    entry = "- name: one\n  complaint: loose\n  expect: {stop: false}\n"
    advisor.write(entry * 2, "some.yaml")
    done = advisor("check", "some.yaml")
    assert done.status == 1
    assert "used twice" in done.out
