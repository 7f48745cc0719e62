"""Files that are no case at all, or hold what a case file must not hold: status 1, nothing on standard output."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.hostile.command import Advisor, Result, problems, refused

BIG = 10_000_000
DEEP = 50_000


def refused_at(done: Result, line: int, column: int, *pieces: str) -> None:
    """One problem, at that place, with those words."""
    assert (done.status, done.out) == (1, "")
    ((file, *place, message),) = problems(done.err)
    assert (file, place) == ("case.yaml", [line, column])
    for piece in pieces:
        assert piece in message


# --- no case ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "\n\n", "# only a remark\n", "---\n", "~\n", "\ufeff"])
def test_a_file_without_content_is_called_empty(advisor: Advisor, text: str) -> None:
    done = advisor.advise(text.encode())
    assert done.status == 1
    assert "empty" in done.err
    assert len(problems(done.err)) == 1
    assert done.out == ""


@pytest.mark.parametrize("text", ["loose on entry\n", "3\n", "- loose\n- hops\n", '"quoted"\n', "true\n"])
def test_a_file_that_is_no_mapping_says_what_a_case_looks_like(advisor: Advisor, text: str) -> None:
    refused_at(advisor.advise(text), 1, 1, "mapping", "complaint:")


@pytest.mark.parametrize(
    "text",
    [
        "setup: {tyre_pressure_rear: 12 psi}\n",
        "complaint: ''\n",
        "complaint:\n",
        "observed: {}\n",
        "complaint: '   '\nminutes: 15\n",
    ],
)
def test_a_case_needs_a_complaint_or_an_observation(advisor: Advisor, text: str) -> None:
    refused_at(advisor.advise(text), 1, 1, "complaint", "observed")


def test_a_missing_file_is_named(advisor: Advisor) -> None:
    done = advisor("advise", "case.yaml", "--json")
    refused_at(done, 1, 1, "cannot be read", "No such file")


def test_a_folder_is_no_case_file(advisor: Advisor) -> None:
    (advisor.folder / "case.yaml").mkdir()
    refused_at(advisor("advise", "case.yaml"), 1, 1, "cannot be read", "directory")


def test_a_name_longer_than_any_file_is_refused_in_a_sentence(advisor: Advisor) -> None:
    done = advisor("advise", "n" * 5000)
    assert done.status == 1
    assert "cannot be read" in done.err


@pytest.mark.skipif(os.name == "nt", reason="such names cannot be made there")
@pytest.mark.parametrize("command", ["advise", "check"])
def test_escape_codes_in_the_name_of_a_file_do_not_reach_the_terminal(advisor: Advisor, command: str) -> None:
    name = "red\x1b[31m\x1b]0;title\x07.yaml"
    advisor.write("complant: loose\n", name)
    done = advisor(command, name)  # the run itself looks for control codes on both streams
    assert done.status == 1
    assert "complaint" in done.out + done.err


@pytest.mark.skipif(os.name == "nt", reason="such names cannot be made there")
@pytest.mark.parametrize("command", ["advise", "check"])
def test_a_file_name_that_is_no_utf8_is_no_obstacle(advisor: Advisor, command: str) -> None:
    name = os.fsdecode(b"pits\xff.yaml")
    try:
        advisor.write("complant: loose\n", name)
    except OSError:
        pytest.skip("this file system refuses such names")
    strict = Advisor(advisor.folder, advisor.cache, {"PYTHONIOENCODING": "utf-8:strict"})
    done = strict(command, name)
    assert done.status == 1
    assert "complaint" in done.out + done.err


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no endless file here")
def test_an_endless_file_is_not_read_to_its_end(advisor: Advisor) -> None:
    done = advisor("advise", "/dev/zero")
    assert done.status == 1
    assert "larger" in done.err


# --- size and encoding ------------------------------------------------------------------------------


def test_ten_megabytes_are_refused_for_their_size(advisor: Advisor) -> None:
    line = b"complaint: loose on entry\n"
    refused_at(advisor.advise(line + b"# padding\n" * (BIG // 10)), 1, 1, "larger")


def test_binary_data_is_refused(advisor: Advisor) -> None:
    done = advisor.advise(bytes(range(256)) * 8)
    assert (done.status, done.out) == (1, "")
    assert len(problems(done.err)) == 1


@pytest.mark.parametrize(
    ("content", "line", "column"),
    [
        (b"complaint: loose\nkeep: [\xff]\n", 2, 8),  # no byte of UTF-8 at all
        (b"complaint: \xe4 la carte\n", 1, 12),  # Latin-1
        (b"complaint: \xed\xa0\x80\n", 1, 12),  # a lone surrogate as if it were UTF-8
        (b"complaint: \xc0\xaf\n", 1, 12),  # an overlong form
        (b"complaint: loose \xe2\x82", 1, 18),  # cut in the middle of a character
    ],
)
def test_invalid_utf8_is_refused_where_it_stands(
    advisor: Advisor, content: bytes, line: int, column: int
) -> None:
    refused_at(advisor.advise(content), line, column, "UTF-8")


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_other_encodings_of_text_are_refused(advisor: Advisor, encoding: str) -> None:
    done = advisor.advise("complaint: loose on entry\n".encode(encoding))
    assert (done.status, done.out) == (1, "")
    assert len(problems(done.err)) == 1


def test_a_byte_order_mark_is_no_part_of_the_text(advisor: Advisor) -> None:
    done = advisor.advise(b"\xef\xbb\xbfcomplaint: loose on entry\n", "--json")
    assert done.answer["understood"]["phase"] == "entry"


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_any_newline_ends_a_line(advisor: Advisor, newline: str) -> None:
    text = newline.join(("complaint: loose on entry", "keap: [exit traction]", ""))
    refused_at(advisor.advise(text.encode()), 2, 1, 'did you mean "keep"')


@pytest.mark.parametrize("code", ["\\ud800", "\\udfff"])
def test_an_escaped_lone_surrogate_is_refused(advisor: Advisor, code: str) -> None:
    done = advisor.advise(f'complaint: "loose {code}"\n')
    assert (done.status, done.out) == (1, "")
    assert len(problems(done.err)) == 1


# --- control codes ----------------------------------------------------------------------------------


@pytest.mark.parametrize("code", ["\x00", "\x07", "\x08", "\x1b", "\x7f", "\x9b"])
def test_a_raw_control_code_is_refused_where_it_stands(advisor: Advisor, code: str) -> None:
    done = advisor.advise(f"complaint: loose on entry\nhistory: [con{code}tact]\n".encode())
    refused_at(done, 2, 14, f"{ord(code):#04x}")


@pytest.mark.parametrize(
    "text",
    [
        'complaint: loose\n«"\\e[31mred": 1\n',
        'complaint: loose\nsetup: {«"\\e]0;title\\a": 12 psi}\n',
        'complaint: loose\nobserved: {phase: «"\\e[2Jentry"}\n',
        'complaint: loose\nobserved: {«"\\x9b31m": entry}\n',
        'complaint: loose\nsetup: {tyre_pressure_rear: «"12 \\e[31m"}\n',
        'complaint: loose\nsetup: {tyre_pressure_rear: «"\\e[31m12 psi"}\n',
        'complaint: loose\nsetup: {rear_track_width: «"12 psi\\n\\n"}\n',
        'complaint: loose\nkart: {driver_mass: «"-3 kg\\r"}\n',
        'complaint: loose\ntried: [{lever: «"\\e[1mcaster", direction: more, verdict: same}]\n',
        'complaint: loose\ntried: [{lever: caster, direction: «"\\e[1mmore", verdict: «"\\u202eworse"}]\n',
        'complaint: loose\nrules: {caster: {«"\\e[1m": 3 deg}}\n',
        'complaint: loose\nconditions: {tyre_temperature: {«"\\e[1m": 3 degC}}\n',
    ],
)
def test_an_escaped_control_code_is_not_shown_in_a_problem(advisor: Advisor, text: str) -> None:
    done = advisor.advise(text)
    refused(done, text, *[""] * text.count("«"))


ESCAPED = """\
complaint: "loose \\e[31mon entry\\u202e\\u2028 \\x9b2J"
history: ["\\e]0;title\\acontact"]
keep: ["\\e[5mtraction"]
kart: {class: "\\e[1mjunior"}
setup: {axle_stiffness: "\\e[31mhard", hub_stiffness: "\\e[2Jodd"}
kit: {axle_stiffness: ["\\e[31mhard"]}
"""


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_an_escaped_control_code_in_a_usable_case_is_not_shown(
    advisor: Advisor, options: tuple[str, ...]
) -> None:
    done = advisor.advise(ESCAPED, *options)  # the run itself looks for control codes on both streams
    assert done.status == 0
    assert "axle_stiffness" in done.out


def test_no_escape_code_hides_inside_the_json(advisor: Advisor) -> None:
    found = json.dumps(advisor.answer(ESCAPED), ensure_ascii=False)
    assert "\\u001b" not in found
    assert "\\u0007" not in found


# --- YAML -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "complaint: «!!python/object/apply:os.system ['echo ran > ran']\n",
        "«!!python/object/apply:subprocess.check_output [[touch, ran]]\n",
        'complaint: loose\nsetup: «!!python/object/new:os.system ["echo ran > ran"]\n',
        "complaint: loose\n«!!python/object/apply:os.system [echo ran > ran]: 1\n",
        "complaint: «!!python/name:os.system\n",
        "complaint: «!car loose\n",
        "complaint: «!!binary bG9vc2U=\n",
        "complaint: «!!str loose\n",
    ],
)
def test_a_tag_is_refused_and_runs_nothing(advisor: Advisor, text: str) -> None:
    refused(advisor.advise(text), text, "tag")
    assert [p.name for p in advisor.folder.iterdir()] == ["case.yaml"]


def test_a_bomb_of_aliases_is_refused_at_its_first_anchor(advisor: Advisor) -> None:
    rows = ["l0: «&l0 [lol, lol, lol, lol, lol, lol, lol, lol, lol]"]
    rows += [f"l{i}: &l{i} [{', '.join([f'*l{i - 1}'] * 9)}]" for i in range(1, 12)]
    text = "\n".join(rows)
    refused(advisor.advise(text), text, "anchor")


@pytest.mark.parametrize(
    ("text", "piece"),
    [
        ("complaint: «&a loose on entry\n", "anchor"),
        ("observed: «&o {phase: entry}\nsecondary: *o\n", "anchor"),
        ("complaint: loose\nkeep: «*nothing\n", "alias"),
        ("complaint: loose\nkart: «&self {class: *self}\n", "anchor"),
    ],
)
def test_anchors_and_aliases_are_refused(advisor: Advisor, text: str, piece: str) -> None:
    refused(advisor.advise(text), text, piece)


@pytest.mark.parametrize(
    "text",
    [
        "complaint: " + "[" * DEEP,
        "complaint: " + "[" * DEEP + "]" * DEEP,
        "complaint: " + "{a: " * DEEP,
        "complaint: " + "{a: " * DEEP + "1" + "}" * DEEP,
        "complaint: loose\nsetup: " + "{? " * DEEP,
        "- " * DEEP,
        "? " * DEEP,
        "".join(" " * i + "a:\n" for i in range(1200)),
    ],
    ids=["open brackets", "brackets", "open braces", "mappings", "keys", "dashes", "questions", "blocks"],
)
def test_deep_nesting_is_refused(advisor: Advisor, text: str) -> None:
    done = advisor.advise(text)
    assert (done.status, done.out) == (1, "")
    ((*_, message),) = problems(done.err)
    assert "nest" in message or "as a key" in message


def test_a_second_document_is_refused(advisor: Advisor) -> None:
    text = "complaint: loose\n«---\ncomplaint: hops\n"
    refused(advisor.advise(text), text, "second document")


@pytest.mark.parametrize(
    "text",
    [
        'complaint: "loose\n«',
        "complaint: loose\n«\tobserved: {}\n",
        "complaint: loose«: in the rear\n",
        "setup: {tyre_pressure_rear: 12 psi\n«",
        "complaint: loose\n«]\n",
    ],
)
def test_broken_yaml_is_refused_where_it_breaks(advisor: Advisor, text: str) -> None:
    refused(advisor.advise(text), text, "YAML")


@pytest.mark.parametrize("key", ["[a, b]", "{a: b}", "? [a]\n"])
def test_a_key_is_one_word(advisor: Advisor, key: str) -> None:
    done = advisor.advise(f"{key}: 1\n")
    assert (done.status, done.out) == (1, "")
    assert len(problems(done.err)) == 1


@pytest.mark.parametrize("key", ["~", "true", "null", "1", "1.5"])
def test_a_key_that_is_no_word_is_shown_as_it_was_written(advisor: Advisor, key: str) -> None:
    text = f"complaint: loose on entry\n«{key}: 1\n"
    refused(advisor.advise(text), text, f'unknown key "{key}"')


def test_a_key_written_twice_names_both_lines(advisor: Advisor) -> None:
    text = "complaint: loose\nminutes: 15\n«complaint: hops\nsetup: {caster: 3 deg,\n  «caster: 4 deg}\n"
    refused(advisor.advise(text), text, ("complaint", "line 1"), ("caster", "line 4"))


def test_a_key_written_twice_does_not_hide_the_other_problems(advisor: Advisor) -> None:
    text = "complaint: loose\n«complaint: hops\n«keap: [exit traction]\nsetup: {caster: «12 psi}\n"
    refused(advisor.advise(text), text, "line 1", 'did you mean "keep"', "angle")


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_a_refused_case_leaves_standard_output_empty(advisor: Advisor, options: tuple[str, ...]) -> None:
    text = "«complant: loose\n"
    refused(advisor.advise(text, *options), text, 'did you mean "complaint"')
