"""A team's own fixes as files: `fixes/ID.yaml` in a folder of knowledge."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import NoReturn

from advisor.book import edit, marked, validate
from advisor.book.findings import View
from advisor.book.references import fixes_refer
from advisor.model.knowledge import Book, Fix
from advisor.problems import Problem, UnusableError, hint, printable

ROOM = "fixes"
KIND = "fix"  # of the document that carries one with a journal
_FILE = re.compile(r"[a-z][a-z0-9_]{0,80}\.yaml")  # never a path, and the same on every file system

HEAD = """\
# A fix of our own, drafted from trials. It changes no advice until it is trusted: advisor fix trust {id}
# Read every line and put right what is wrong; the journal does not know it all.
"""
REGIME = """\
# Where it holds, if not everywhere; take away the first # to use it. {hint}
#where: {{{example}}}
"""


def text(fix: Fix, regime: Mapping[str, str] | None = None) -> str:
    """A fix as a file for a person to edit; `regime` is what all its trials had in common, as a proposal."""
    rows = {
        "id": fix.id,
        "author": _quoted(fix.author),
        "date": fix.date,
        "status": fix.status,
        "lever": fix.lever,
        "direction": fix.direction,
        "cause": f"{fix.cause}   # the likeliest in the trials; advisor explain WORD tells of others",
        "fault": f"{_flow(fix.fault)}   # what the kart does",
        "cures": f"{fix.cures}   # how often it cures, by the trials",
        "because": _quoted(fix.because),
        "evidence": f"[{', '.join(_quoted(e) for e in fix.evidence)}]   # trials of the journal",
    }
    left_out = {key for key in ("cause", "fault") if not getattr(fix, key)}
    lines = [f"{key}: {value}\n" for key, value in rows.items() if key not in left_out]
    told = "All its trials had this." if regime else "For example:"
    where = REGIME.format(hint=told, example=_flow(regime or {"setup.tyres.kind": "wet"})[1:-1])
    return "".join((HEAD.format(id=fix.id), *lines, where))


def _quoted(text: str) -> str:
    """A text as YAML in double quotes; JSON's escapes are YAML's."""
    return json.dumps(printable(text), ensure_ascii=False)


def _flow(condition: Mapping[str, str]) -> str:
    tests = (f"{path}: {test if _is_plain(test) else _quoted(test)}" for path, test in condition.items())
    return f"{{{', '.join(tests)}}}"


def _is_plain(test: str) -> bool:
    """False for words that some reader of YAML takes for true, false or nothing."""
    return bool(re.fullmatch(r"[a-z_]+", test)) and test not in (
        "yes",
        "no",
        "on",
        "off",
        "true",
        "false",
        "null",
    )


def create(folder: Path, ident: str, content: str) -> Path:
    """Write a new fix. Raises UnusableError when the id is taken; nothing is overwritten."""
    path = folder / ROOM / f"{ident}.yaml"
    if not _FILE.fullmatch(f"{ident}.yaml"):
        refuse(
            folder / ROOM,
            f'"{printable(ident)[:40]}" is no id: small letters, digits and underscores, a letter first',
        )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as stream:
            stream.write(content.encode("utf-8"))
    except FileExistsError:
        refuse(
            path,
            "there is such a fix or a file in its way already; edit it, or choose another name: --id NAME",
        )
    except OSError as error:
        refuse(path, f"cannot be written: {error.strerror or error}")
    return path


def refuse(path: Path, message: str) -> NoReturn:
    """One sentence with its place."""
    raise UnusableError([Problem(str(path), 1, 1, message)])


def path_of(folders: Sequence[Path], ident: str) -> Path:
    """The file of a fix; the last folder that has it counts. Raises UnusableError where there is none."""
    found = {path.stem: path for folder in folders for path in sorted((folder / ROOM).rglob("*.yaml"))}
    if ident not in found:
        known = ", ".join(sorted(found)) or "none"
        raise UnusableError(
            [
                Problem(
                    ROOM, 1, 1, f'no fix "{printable(ident)[:40]}"{hint(ident, found)} (there are: {known})'
                )
            ]
        )
    return found[ident]


def set_status(path: Path, status: str, anyway: str | None = None, fell: str | None = None) -> None:
    """Change one word of a file, and write down a reason if there is one. Raises UnusableError."""
    values: dict[tuple[str, ...], str] = {("status",): status}
    values |= {(key,): text for key, text in (("anyway", anyway), ("fell", fell)) if text}
    if not edit.replace_values(path, values):
        refuse(path, f"cannot be changed here; open it and write: status: {status}")


# --- carried with a journal ---------------------------------------------------------------------------


def carried(folder: Path) -> list[dict[str, str]]:
    """Every fix of a folder, as it is written there. Raises UnusableError for what cannot be read."""
    bodies = []
    for path in sorted((folder / ROOM).rglob("*.yaml")):
        document = marked.read(path)
        if document.problems:
            raise UnusableError(document.problems)
        bodies.append({"name": path.name, "text": path.read_bytes().decode("utf-8-sig")})
    return bodies


def understood(body: object) -> tuple[str, str] | None:
    """The name and text of a carried fix, or None when it is none: it may come from anywhere."""
    if not isinstance(body, dict) or set(body) != {"name", "text"}:
        return None
    name, text = body["name"], body["text"]
    if not isinstance(name, str) or not isinstance(text, str) or not _FILE.fullmatch(name):
        return None
    return name, text


def wrong(name: str, text: str, book: Book) -> list[Problem]:
    """What keeps a carried fix from being used with this book."""
    if len(text.encode("utf-8", "replace")) > marked.MAX_BYTES or any(
        "\ud800" <= c <= "\udfff" for c in text
    ):
        return [Problem(name, 1, 1, "is too large or no text")]
    document = marked.parse(text, name)
    if document.problems or not isinstance(document.data, dict):
        return document.problems or [document.problem((), "must be a mapping of keys to values")]
    fix, problems = validate.record("Fix", document, (), document.data)
    if fix is None:
        return problems
    if f"{fix.id}.yaml" != name:
        return [document.problem(("id",), f'the id "{fix.id}" differs from the file name')]
    return [
        document.problem(f.path, f.message, key=f.key)
        for f in fixes_refer(View(replace(book, fixes={fix.id: fix}), frozenset()))
    ]


def take_in(folder: Path, name: str, text: str) -> tuple[str, Path]:
    """Write a carried fix that is not there yet: "new", "known", or "trust" or "other" when ours differs and stays.

    "trust": only whether it is trusted differs, which each laptop judges by its own journal. What differs otherwise is
    kept beside ours under a name that is not read. Raises OSError.
    """
    content = text.encode("utf-8")
    path = folder / ROOM / name
    there = next(iter(sorted((folder / ROOM).rglob(name))), path)
    if not there.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        _whole(path, content)
        return "new", path
    ours = there.read_bytes().removeprefix(b"\xef\xbb\xbf")
    if ours == content:
        return "known", there
    if _but_for_trust(ours.decode("utf-8", "replace")) == _but_for_trust(text):
        return "trust", there
    beside = there.with_name(f"{name}.{sha256(content).hexdigest()[:8]}")
    if beside.exists():
        return "known", beside
    _whole(beside, content)
    return "other", beside


def _but_for_trust(text: str) -> list[str]:
    """The lines of a fix without those that `set_status` writes."""
    return [line for line in text.splitlines() if not re.match(r"(status|anyway|fell):", line)]


def is_trusted(text: str) -> bool:
    """Whether a fix as a file says that it is trusted."""
    return bool(re.search(r"(?m)^status:\s*[\"']?trusted\b", text))


def _whole(path: Path, content: bytes) -> None:
    """Write a new file whole or not at all; one that came meanwhile is left as it is."""
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    draft.write_bytes(content)
    try:
        os.link(draft, path)
    except FileExistsError:
        pass
    except OSError:  # a file system without links
        if not path.exists():
            draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)
