"""The ear: its weights as they are applied, what it adds to the phrases, and floors under what was measured."""

from __future__ import annotations

import json
import math
import os
import random
import zlib
from array import array
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.special import expit, softmax

from advisor.book import load, voices
from advisor.inference.belief import WORDS_MOST
from advisor.interview import steps
from advisor.model.case import VERDICTS, Case
from advisor.planning.alarms import doubted
from advisor.problems import UnusableError
from advisor.reasoning.advise import advise, find_stop
from advisor.reasoning.weighing import Mind, make_ready, reason
from advisor.words import ear_file
from advisor.words.ear import (
    CAME,
    CAUSE,
    HAND,
    KNOWN_SAYS,
    LONG,
    MEANT,
    QUESTION,
    STEM,
    TOGETHER,
    TURN,
    WAY,
    Ear,
    Layer,
    Two,
    features,
    known_features,
)
from advisor.words.ear_file import LARGEST, packed, unpacked
from advisor.words.tongues import recognised
from advisor.words.turns import NOTHING, turns_told
from advisor.words.understand import understand
from tests.ear import game, net, train
from tests.ear.advice import listed, place
from tests.ear.danger import fate
from tests.ear.examples import Saying, Told, apart, dangers, others, sayings, told
from tests.ear.turned import counted, of_authors

HERE = Path(__file__).parent
STORY = (
    "Third in the heat, then from lap six it went greasy at the back, more and more, and the boy came in saying the "
    "rear lets go in the long ones as soon as he picks the throttle up. Tyres are four race days old. In the morning "
    "it was fine."
)


@cache
def mind() -> Mind:
    return make_ready(load.book(), load.ear())


@cache
def ear() -> Ear:
    found = load.ear()
    assert found is not None
    return found


def hits(text: str) -> set[str]:
    return features(text, understand(text, mind().book, mind().lexicon))


def strengths(names: Iterable[str], long: float = math.inf) -> NDArray[np.float64]:
    """A text as a row of all features: as rare as they are, what phrases found counting more; of length one, and of a
    long text more by the root of what it is longer.
    """
    heard = ear()
    known = [f for f in names if f in heard.place]
    found = [heard.place[f] for f in known]
    row = np.zeros(len(heard.rarity))
    row[found] = np.array(heard.rarity)[found]
    length = float(np.linalg.norm(row))
    row /= length if length <= long else math.sqrt(length * long)
    row[[heard.place[f] for f in known if f[0] in "=?!%"]] *= HAND
    return row


def heard_by_the_layer(names: Iterable[str]) -> list[str]:
    last = ear().layer.hears
    return [f for f in names if ear().place.get(f, last) < last]


def layer(row: NDArray[np.float64], answers: Mapping[str, str]) -> NDArray[np.float64]:
    """The scores of all outputs, by dense matrices of the same numbers."""
    heard = ear()
    hidden = heard.layer
    cells = np.array(hidden.cells).reshape(-1, len(hidden.step)) * np.array(hidden.step)
    known = row[: len(cells)].copy()
    known[[heard.place[f] for f in known_features(answers)]] = KNOWN_SAYS
    units = np.maximum(known @ cells + np.array(hidden.rest), 0)
    outputs = np.array(hidden.weight).reshape(len(hidden.outputs), -1) * np.array(hidden.scale)[:, None]
    scores: NDArray[np.float64] = outputs @ units + np.array(hidden.bias)
    return scores


def test_the_weights_are_applied_as_matrix_products_and_a_softmax() -> None:
    """Against numpy and scipy: dense products of the same numbers, scipy.special.softmax beside "not told" = 0."""
    found = hits(STORY)
    heard = ear().hear(found)
    scores = layer(strengths(heard_by_the_layer(found), LONG), {})
    kinds = ear().layer.outputs
    places = [i for i, (kind, ident, _) in enumerate(kinds) if (kind, ident) == (QUESTION, "balance")]
    expected = softmax([0.0, *scores[places]])[1:]
    assert [heard.facts["balance"][kinds[i][2]] for i in places] == pytest.approx(expected.tolist())
    near = strengths(found)
    assert np.count_nonzero(near) > np.count_nonzero(strengths(f for f in found if f[0] != TOGETHER))
    danger = ear().danger
    score = danger.bias + danger.scale * float(near @ np.array(danger.weight))
    assert heard.danger == pytest.approx(expit(score)), "danger is heard by words near each other too"


def test_what_is_tried_first_is_heard_from_words_and_answers_together() -> None:
    answers = {"balance": "oversteer", "phase": "mid"}
    found = hits(STORY)
    shares, _ = ear().tries(ear().hear(found).units, answers)
    scores = layer(strengths(heard_by_the_layer(found), LONG), answers)
    ways = [
        (ident, score)
        for (kind, ident, _), score in zip(ear().layer.outputs, scores, strict=True)
        if kind == WAY
    ]
    expected = softmax([score for _, score in ways])
    assert [shares[ident] for ident, _ in ways] == pytest.approx(expected.tolist())
    assert shares != pytest.approx(ear().tries((), answers)[0])


def test_what_a_sentence_tells_of_changes_is_matrix_products_and_softmaxes() -> None:
    """Against numpy and scipy, as above; only the words that the layer of changes hears lengthen the sentence."""
    hidden, place = ear().turns, ear().place
    found = features("Went out 10 mm a side at the rear and it was worse.", NOTHING)
    row = strengths(name for name in found if place.get(name, hidden.hears) < hidden.hears)[: hidden.hears]
    cells = np.array(hidden.cells).reshape(-1, len(hidden.step)) * np.array(hidden.step)
    units = np.maximum(row @ cells + np.array(hidden.rest), 0)
    weight = np.array(hidden.weight).reshape(len(hidden.outputs), -1) * np.array(hidden.scale)[:, None]
    scores = weight @ units + np.array(hidden.bias)
    doing = ear().doing(found)
    for (kind, ident), heard in {
        (TURN, "rear_track_width"): doing.turns["rear_track_width"], (MEANT, ""): doing.meant, (CAME, ""): doing.came
    }.items():  # fmt: skip
        at = [i for i, output in enumerate(hidden.outputs) if output[:2] == (kind, ident)]
        expected = softmax([0.0, *scores[at]])[1:]
        assert [heard[hidden.outputs[i][2]] for i in at] == pytest.approx(expected.tolist())
    assert doing.turns["rear_track_width"]["wider"] > 0.5
    assert doing.came["worse"] > 0.5


def test_the_say_about_causes_is_measured_against_one_that_the_words_do_not_touch() -> None:
    says = ear().hear(hits(STORY)).causes
    assert np.mean(np.exp(list(says.values()))) == pytest.approx(1.0)


def test_what_is_packed_comes_back() -> None:
    again = unpacked(packed(ear()))
    assert again == ear()


def remade(**changes: Any) -> bytes:
    ear = small()
    parts = {name: changes.pop(name) for name in [*changes] if name in Layer.__dataclass_fields__}
    return packed(replace(ear, **changes, layer=replace(ear.layer, **parts)))


@cache
def small() -> Ear:
    """Two features, two outputs, one unit."""
    outputs = ((QUESTION, "balance", "hop"), (CAUSE, "axle_bent", ""))
    two, one, ones = Two(0.0, 1.0, array("b", [1, -1])), array("f", [1]), array("f", [1, 1])
    layer = Layer(
        outputs, array("b", [5, -5]), one, array("f", [0]), array("b", [7, -7]), ones, array("f", [0, 0])
    )
    turns = Layer(
        ((TURN, "caster", "more"),),
        array("b", [3]),
        one,
        array("f", [0]),
        array("b", [9]),
        one,
        array("f", [0]),
    )
    return Ear("hops\nhop", array("f", [1, 2]), layer, turns, two, two, "hop\nhops")


UNSOUND = {
    "empty": b"",
    "nonsense": b"nonsense",
    "cut short": remade()[:-4],
    "another form": zlib.compress(b'{"form": 99}\n'),
    "no mapping": zlib.compress(b"[1]\n"),
    "no JSON": zlib.compress(b"{\n"),
    "a bomb": zlib.compress(bytes(LARGEST + 1)),
    "cells of more features": remade(cells=array("b", [5, 5, 5])),
    "outputs missing": remade(weight=array("b", [7])),
    "a unit too many": remade(rest=array("f", [0, 0])),
    "pairs before words": remade(names="+hop~rear\nhop", cells=array("b", [5])),
    "danger of other features": remade(danger=Two(0.0, 1.0, array("b", [1]))),
    "danger past all numbers": remade(danger=Two(float("inf"), 1.0, array("b", [1, 1]))),
    "danger without numbers": zlib.compress(
        zlib.decompress(remade()).replace(b'"two": [[0.0, 1.0], [0.0, 1.0]]', b'"two": [[0.0, 1.0]]')
    ),
    "names missing": remade(names="hops"),
    "no number": remade(bias=array("f", [float("nan"), 0])),
    "sizes that lie": zlib.compress(
        zlib.decompress(remade()).replace(
            b"[2, 1, 1, 2, 2, 2, 2, 1, 1, 1, 1, 1, 1, 2, 2]",
            b"[2, 1, 1, 2, 2, 2, 2, 1, 1, 1, 1, 1, 1, 2, -2]",
        )
    ),
}


def test_a_sound_file_of_weights_is_read(tmp_path: Path) -> None:
    (tmp_path / "ear.bin").write_bytes(remade())
    assert load.ear(tmp_path) == small()


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """What is kept of the small ear after it was read once."""
    monkeypatch.delenv("ADVISOR_NO_CACHE", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    (tmp_path / "ear.bin").write_bytes(remade())
    load.ear(tmp_path)
    (found,) = (tmp_path / "cache").rglob("ear-*.bin")
    return found


def test_an_ear_is_unpacked_once(kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ear_file, "inflated", None)
    assert load.ear(tmp_path) == small()


def test_another_ear_in_its_place_is_noticed(kept: Path, tmp_path: Path) -> None:
    other = remade(bias=array("f", [1, 0]))
    (tmp_path / "ear.bin").write_bytes(other)
    os.utime(tmp_path / "ear.bin", (1, 1))
    assert load.ear(tmp_path) == unpacked(other)


def test_of_a_damaged_copy_of_an_ear_nothing_is_read(kept: Path, tmp_path: Path) -> None:
    sound = kept.read_bytes()
    changed = (sound[:i] + bytes((sound[i] ^ 1,)) + sound[i + 1 :] for i in range(len(sound)))
    for damaged in (b"", sound[:-1], sound + b"0", sound.partition(b"\n")[2], b"\n" * 99, *changed):
        kept.write_bytes(damaged)
        assert load.ear(tmp_path) == small()
        assert kept.read_bytes() == sound, "it is mended"


def test_a_sealed_copy_that_is_no_sound_ear_is_not_read(kept: Path, tmp_path: Path) -> None:
    """Whoever can write there can seal what he wrote; it is checked like the file."""
    head = json.loads(kept.read_bytes().partition(b"\n")[0])
    for name, packed_up in UNSOUND.items():
        if name not in ("empty", "nonsense", "cut short", "a bomb"):  # those are no packed files
            text = zlib.decompress(packed_up)
            kept.write_bytes(json.dumps([*head[:-1], zlib.crc32(text)]).encode() + b"\n" + text)
            assert load.ear(tmp_path) == small(), name


@pytest.mark.parametrize("what", UNSOUND)
def test_a_file_that_holds_no_sound_weights_is_one_sentence(what: str, tmp_path: Path) -> None:
    (tmp_path / "ear.bin").write_bytes(UNSOUND[what])
    with pytest.raises(UnusableError, match=r"ear\.bin:1:1: cannot be used: its? "):
        load.ear(tmp_path)


def test_a_file_that_holds_any_rarity_still_says_what_is_tried_first() -> None:
    whole = ear()
    huge = replace(whole, rarity=array("f", [3e38] * len(whole.rarity)))
    shares, counts = huge.tries((), {"balance": "oversteer"})
    assert sum(shares.values()) == pytest.approx(1)
    assert 0 <= counts < 1e-9


def test_features_are_words_pairs_pieces_and_what_the_phrases_find() -> None:
    found = hits("It oversteers. Loose on entry!")
    assert {"oversteers", "it oversteers", "~overs", "=balance:oversteer", "=phase:entry"} <= found
    assert not any("oversteers loose" in f for f in found), "no pair crosses the end of a sentence"
    assert not any(f.startswith("~") and len(f) > STEM + 2 for f in found)


def test_a_refit_on_a_sample_hears_as_the_shipped_weights_do() -> None:
    """The same commands on a tenth of the examples: what is sure to both is the same answer."""
    rng = random.Random(1)
    known = tuple(rng.sample(told(), 2000))
    asked = ("balance", "phase", "track")
    pieces = tuple(s for s in sayings() if s.question in asked)
    every, heard = train.words_of([*(t.text for t in known), *(p.text for p in pieces)])
    words = train.only(every, lambda i, _: i < heard)
    data = train.taught(words, known, pieces, load.book().causes)
    none = train.Column(0.0, np.zeros(len(words.place)))
    small = train.frozen(data, train.learnt(data, rounds=40, units=32), ear().turns, words, none, none)
    both = same = 0
    for story in apart("p"):
        found = hits(story.text)
        mine, shipped = small.hear(found).facts, ear().hear(found).facts
        for question in asked:
            a, b = (max(h[question].items(), key=lambda c: c[1]) for h in (mine, shipped))
            if a[1] > 0.5 and b[1] > 0.5:
                both += 1
                same += a[0] == b[0]
    assert both > 20
    assert same / both > 0.9


def test_the_gradient_of_the_layer_is_that_of_its_loss() -> None:
    """Against finite differences of the loss (central, double precision), in every kind of weight."""
    rng = np.random.default_rng(5)
    share = [rng.random((4, n)) * rng.integers(0, 2, (4, 1)) for n in (3, 2)]
    told_ = np.zeros((4, 5))
    told_[[0, 1, 2], [0, 4, 1]] = 1
    first = np.array([0, 2])
    wanted = net.Wanted((share[0], share[1]), told_, rng.random((4, 2)), first)  # type: ignore[arg-type]
    texts = csr_matrix(rng.random((4, 6)) * rng.integers(0, 2, (4, 6)))
    weights = {k: w.astype(float) for k, w in net.begun(6, wanted, rng, units=3).items()}
    weights["rest"] += 0.1
    _, slopes = net.loss(weights, texts, wanted)
    for name, whole in weights.items():
        for at in np.ndindex(whole.shape):
            ends = []
            for step in (1e-6, -1e-6):
                moved = {k: w.copy() for k, w in weights.items()}
                moved[name][at] += step
                ends.append(net.loss(moved, texts, wanted)[0])
            assert slopes[name][at] == pytest.approx((ends[0] - ends[1]) / 2e-6, rel=1e-4, abs=1e-7)


def test_examples_are_many_by_many_hands_and_cover_every_cause_and_answer() -> None:
    book = load.book()
    assert len(told()) >= 5000
    assert len({t.author for t in told()}) >= 10
    assert sum(bool(t.levers) for t in told()) >= 2000
    assert set(book.causes) - {c for t in told() for c in t.causes} <= {
        c for c in book.causes if c.startswith("rest_") or c == "recent_change"
    }
    said = {(s.question, s.answer) for s in sayings()}
    # what is asked in doubt is not told by itself, and what a sheet tells is no part of a complaint
    heard = [o for o in book.observations.values() if not o.doubt and not o.sheet]
    assert {(o.id, a) for o in heard for a in o.answers} <= said


def test_authors_kept_apart_are_not_learnt_from() -> None:
    texts = {t.text for t in told()}
    for rows in (apart("d"), apart("p")):
        assert not texts & {t.text for t in rows}
    assert not {d.text for d in dangers()} & {d.text for d in dangers(HERE / "danger_u.yaml")}
    assert not set(others()) & set(others(HERE / "other_o.yaml"))


def test_wrong_examples_are_told_with_their_place(tmp_path: Path) -> None:
    folder = tmp_path / "voices" / "told"
    folder.mkdir(parents=True)
    (folder / "x.yaml").write_text(
        "- id: X1\n  said: It hops.\n  cause: no_such_cause\n  st: {balance: hopp}\n  hist: [axle_stiffness nowhere]\n"
        "- said: nothing\n"
    )
    found, files = voices.problems(tmp_path, load.book())
    assert files == 1
    text = "\n".join(str(p) for p in found)
    assert 'x.yaml:4:17: "balance" has no answer "hopp"' in text
    assert "no_such_cause" in text
    assert "nowhere" in text
    assert "needs an id" in text


def test_the_shipped_examples_are_sound() -> None:
    assert voices.problems(load.shipped(), load.book())[0] == []


def test_the_words_never_say_so_much_that_two_answers_cannot_overrule_it() -> None:
    done = reason(mind(), Case(complaint=STORY))
    assert max(map(abs, done.belief.ledger["words"])) <= WORDS_MOST
    known = Case(complaint=STORY, observed={"track": "wet", "tyre_kind": "wets", "balance": "understeer"})
    assert max(map(abs, reason(mind(), known).belief.ledger["words"])) <= WORDS_MOST / 3, "fields come first"


def test_without_the_ear_the_phrases_alone_answer() -> None:
    deaf = make_ready(load.book())
    assert "words" not in reason(deaf, Case(complaint=STORY)).belief.ledger
    assert advise(deaf, Case(complaint="It is loose on entry.")).advice


def test_a_doubtful_answer_moves_less_than_the_answer_itself() -> None:
    done = reason(mind(), Case(complaint=STORY))
    lines = {n: t for n, t in done.belief.ledger.items() if n.startswith("perhaps ")}
    assert lines
    for name, terms in lines.items():
        question = name.removeprefix("perhaps ")
        assert question not in done.evidence.answers
        assert all(np.isfinite(terms))


# --- floors: what was measured on authors kept apart must not be lost (regression values of these files) ------


def test_the_judges_changes_are_found_from_the_words_alone() -> None:
    """Author P, kept apart: measured .71 first and .90 in three; a floor below it, on every fifth story."""
    rows = [r for r in apart("p") if r.levers][::5]
    places = [place(listed(mind(), r.text)[0], set(r.levers[:3])) for r in rows]
    assert sum(p == 1 for p in places) / len(places) > 0.55
    assert sum(p <= 3 for p in places) / len(places) > 0.78


def test_danger_is_stopped_or_asked_about() -> None:
    """Author U, kept apart: measured .94 of 200; every fifth here."""
    fates = [fate(mind(), d.text) for d in dangers(HERE / "danger_u.yaml") if d.dangerous][::5]
    assert fates.count("drive") / len(fates) < 0.15
    harmless = [fate(mind(), d.text) for d in dangers(HERE / "danger_u.yaml") if not d.dangerous][::5]
    assert harmless.count("stop") / len(harmless) < 0.2


def test_where_no_danger_stands_out_the_whole_kart_is_asked_about() -> None:
    """A question about one part would be a guess, and a wrong one lets the danger pass."""
    for text in (
        "it feels wrong since he hit something and nobody can say what",
        "something feels odd since the kerb",
    ):
        state = steps.begin(mind(), Case(complaint=text))
        asked = steps.danger_first(mind(), state)
        assert asked is not None
        assert mind().book.observations[asked.id].doubt
        stop = steps.stopped(mind(), steps.answered(mind(), state, asked, "wrong"))
        assert stop is not None
        assert "driver_care" in stop.inspect
        assert steps.danger_first(mind(), steps.answered(mind(), state, asked, "sound")) is None
    for plain in (
        "loose in the rear on the way in",
        "flat out of the hairpin, others have a tooth less",
    ):
        assert steps.danger_first(mind(), steps.begin(mind(), Case(complaint=plain))) is None
    pedal = steps.danger_first(
        mind(), steps.begin(mind(), Case(complaint="the brake pedal goes a bit longer every lap"))
    )
    assert pedal is not None
    assert pedal.id in ("pedal", "pedal_feel")


def test_who_answers_questions_gets_to_the_cause() -> None:
    """Author P, kept apart, every tenth of 60: measured over all .98 in five, .87 of the changes in three."""
    known = game.answers("p")
    told_ = [t for t in apart("p") if t.id in known][::10]
    played = [game.play(mind(), t, known[t.id]) for t in told_]
    assert sum(p.cause <= 5 for p in played) / len(played) > 0.8
    assert sum(p.change <= 3 for p in played) / len(played) > 0.7


def test_other_matters_get_no_ranking() -> None:
    """Author O, kept apart."""
    quiet = [not advise(mind(), Case(complaint=t)).advice for t in others(HERE / "other_o.yaml")[::2]]
    assert sum(quiet) / len(quiet) >= 0.6


# --- other languages -----------------------------------------------------------------------------------------

FOREIGN = {
    "german": (
        "Die Bremse geht nicht mehr.",
        "Das Heck ist beim Anbremsen sehr nervös und wir sind auf Slicks.",
    ),
    "french": (
        "Il n'y a plus de freins et le pédale est molle.",
        "L'arrière est trop léger dans les virages rapides.",
    ),
    "italian": (
        "I freni non funzionano, il pedale è molle.",
        "Il posteriore è troppo leggero nelle curve veloci.",
    ),
    "spanish": ("Los frenos no funcionan.", "El tren trasero se va en las curvas rápidas cuando acelero."),
    "portuguese": (
        "Os freios não funcionam mais.",
        "A traseira está solta quando acelero na saída, não sei por quê.",
    ),
    "dutch": (
        "De remmen doen het niet meer.",
        "De achterkant is los in het begin van de bocht en ik heb geen grip.",
    ),
}


@pytest.mark.parametrize("tongue", FOREIGN)
def test_another_language_is_told_so_and_danger_in_it_stops(tongue: str) -> None:
    dangerous, plain = FOREIGN[tongue]
    known = mind().book.tongues[tongue]
    for text in (dangerous, plain):
        assert recognised(text, mind().book) == known
        assert known.reply in advise(mind(), Case(complaint=text)).warnings
    assert find_stop(mind(), reason(mind(), Case(complaint=dangerous)))
    assert not advise(mind(), Case(complaint=plain)).advice


@pytest.mark.parametrize("rows", [apart("p"), apart("d")], ids=["P", "D"])
def test_english_is_taken_for_no_other_language(rows: tuple[Told, ...]) -> None:
    assert [t.id for t in rows if recognised(t.text, mind().book)] == []


def test_the_question_about_danger_is_asked_once() -> None:
    text = "Brilliant day, P4, only the pedal goes a bit further down each heat and the lad laughs about it, all good."
    evidence = reason(mind(), Case(complaint=text)).evidence
    asked = doubted(mind().book, evidence, frozenset())
    assert asked is not None
    assert doubted(mind().book, evidence, frozenset((asked.id,))) is None
    fine = next(ident for ident, answer in asked.answers.items() if not answer.alarm)
    assert doubted(mind().book, evidence.answering(asked.id, fine), frozenset()) is None


def test_an_alarm_that_only_a_phrase_heard_is_asked_about_and_never_let_go() -> None:
    """However harmless the rest sounds, it stops or is the first question; beside any field it stops."""
    for text in (d.text for d in dangers(HERE / "danger_u.yaml")[::2]):
        done = reason(mind(), Case(complaint=text))
        book, evidence = mind().book, done.evidence
        told = [
            q
            for q, answers in evidence.told.items()
            if len(answers) == 1 and all(book.observations[q].answers[a].alarm for a in answers)
        ]
        if told and find_stop(mind(), done) is None:
            assert (asked := doubted(book, evidence, frozenset())) is not None
            assert asked.id in told
            assert (
                find_stop(mind(), reason(mind(), Case(complaint=text, observed={"wind": "calm"}))) is not None
            )


def test_sayings_teach_their_answer() -> None:
    """Of what was learnt from, most must be heard again: a check of the way, no evidence of how well it hears."""
    rng = random.Random(2)
    sample: list[Saying] = rng.sample([s for s in sayings() if s.answer != "not"], 300)
    right = 0
    for piece in sample:
        chances = ear().hear(hits(piece.text)).facts[piece.question]
        right += max(chances, key=lambda a: chances[a]) == piece.answer
    assert right / len(sample) > 0.85


def test_kinds_of_outputs_are_complete() -> None:
    book = load.book()
    causes = {ident for kind, ident, _ in ear().layer.outputs if kind == CAUSE}
    questions = {(ident, answer) for kind, ident, answer in ear().layer.outputs if kind == QUESTION}
    assert causes <= set(book.causes)
    assert questions <= {(o.id, a) for o in book.observations.values() for a in o.answers}
    assert len(causes) > 200
    turns = {(ident, way) for kind, ident, way in ear().turns.outputs if kind == TURN and way}
    assert turns <= {(lever.id, way) for lever in book.levers.values() for way in lever.ways}
    assert len(turns) > 180
    assert {answer for kind, _, answer in ear().turns.outputs if kind == CAME} == set(VERDICTS)


# --- changes: what was done, what came of it, what is asked about --------------------------------------------

TELLS = {
    "Went out 10 mm a side at the rear and it got worse.": ("rear_track_width", "wider", "worse"),
    "Tried the softer axle, no difference at all.": ("axle_stiffness", "softer", "same"),
    "Dropped the front pressures half a pound and it turned in much better.": ("tyre_pressure_front", "down", "better"),
    "We fitted a new plug and it still misfires.": ("engine", "plug", "same"),
    "Went up two teeth on the axle sprocket, no difference.": ("gearing", "shorter", "same"),
    "Raised the seat 10 mm. No change.": ("seat_height", "raise", "same"),
}  # fmt: skip


@pytest.mark.parametrize("text", TELLS)
def test_a_change_is_heard_with_its_way_and_what_came_of_it(text: str) -> None:
    lever, way, came = TELLS[text]
    assert turns_told(text, ear()).done[lever, way] == came


def test_an_idea_is_no_change() -> None:
    heard = turns_told("It pushes on entry. Should I go up to a stiffer axle?", ear())
    assert heard.done == {}
    assert [lever for lever, _ in heard.asked] == ["axle_stiffness"]


def test_what_was_tried_in_vain_is_not_advised_again() -> None:
    text = "Loose on the way out. We widened the rear by 10 mm a side, no difference."
    found = advise(mind(), Case(complaint=text))
    assert found.understood["tried"] == ["rear_track_width wider: same"]
    assert ("rear_track_width", "wider") not in {(a.lever, a.direction) for a in found.advice}
    assert [w.reason for w in found.withheld if w.lever == "rear_track_width"] == ["already tried: no change"]


def test_changes_that_authors_kept_apart_tell_are_heard() -> None:
    """Floors below what was measured (tests.ear.turned): a regression value of the shipped weights."""
    found = {name: counted(ear(), rows) for name, rows in of_authors()}
    for name, heard, right in (("C, lines", 0.5, 0.7), ("T", 0.5, 0.7), ("P", 0.3, 0.45)):
        row = found[name]
        assert row["done right"] / row["done told"] > heard, name
        assert row["done right"] / row["done heard"] > right, name


def test_what_came_of_several_changes_of_one_sentence_is_told_apart() -> None:
    text = "Opened the rear 10 mm a side, worse, then more caster, no difference at all."
    done = turns_told(text, ear()).done
    assert done["rear_track_width", "wider"] == "worse"
    assert done["caster", "more"] == "same"
