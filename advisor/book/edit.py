"""Plain values of a YAML file replaced to the letter; all else in the file stays as a person wrote it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from advisor.book import marked
from advisor.book.marked import Marked


def replace_values(path: Path, values: Mapping[tuple[str, ...], str]) -> bool:
    """Put new plain values in place of the old ones at paths of keys.

    A key that the top of the file lacks is added as a last line. False, and nothing is touched, where the file
    cannot be written or a value is not there as plain text: then a person writes it.
    """
    before = marked.read(path)
    if not path.is_file() or before.problems or not isinstance(before.data, dict):
        return False
    try:
        text = path.read_bytes().decode("utf-8")
        wanted = before.data
        for keys, value in values.items():
            changed = _with_value(text, before, keys, value)
            if changed is None:
                return False
            text, wanted = changed, _with(wanted, keys, value)
            before = marked.parse(text.removeprefix("\ufeff"), str(path))
        return before.data == wanted and not before.problems and _written(path, text)
    except OSError:
        return False


def _with_value(text: str, before: Marked, keys: tuple[str, ...], value: str) -> str | None:
    """The text of a file with one value replaced, or None."""
    old: Any = before.data
    for key in keys:
        old = old.get(key) if isinstance(old, dict) else None
    if old is None and len(keys) == 1 and keys[0] not in before.data:
        return f"{text}{'' if text.endswith(chr(10)) else chr(10)}{keys[0]}: {json.dumps(value)}\n"
    if old is None or isinstance(old, dict | list):
        return None
    row, column = before.at(keys)
    lines = text.splitlines(keepends=True)
    start, rest = lines[row - 1][: column - 1], lines[row - 1][column - 1 :]
    written = next((w for w in (f'"{old}"', f"'{old}'", str(old)) if rest.startswith(w)), None)
    if written is None:
        return None
    new = json.dumps(value) if written != str(old) and ": " in value else value  # a sentence stays in quotes
    lines[row - 1] = f"{start}{new}{rest.removeprefix(written)}"
    return "".join(lines)


def _with(data: dict[str, Any], keys: tuple[str, ...], value: str) -> dict[str, Any]:
    first, *rest = keys
    return {**data, first: _with(data[first], tuple(rest), value) if rest else value}


def _written(path: Path, text: str) -> bool:
    """Replace the file in one step, and never half of it."""
    draft = path.with_suffix(".draft")
    try:
        draft.write_bytes(text.encode("utf-8"))
        draft.replace(path)
        return True
    finally:
        draft.unlink(missing_ok=True)
