"""Rows of a damaged SQLite file, read from its pages without SQLite.

Format: SQLite, "Database File Format" (sqlite.org/fileformat2.html), sections 1.3 (the header), 1.6 (b-tree pages and
overflow chains), 2.1 (records) and 4.1 (the write-ahead log). Only pages that hold rows of tables are looked at, so
neither the tree above them nor any index need be whole. Nothing is believed: whoever calls judges the rows.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

MAGIC = b"\x37\x7f\x06"  # how a write-ahead log begins
LEAF = 13  # type of a page with rows of a table
Row = tuple[int, tuple[object, ...]]  # row number and columns
SIZES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}  # serial types of whole numbers: bytes
LONGEST = 50_000_000  # bytes of a row that are believed


def rows(data: bytes, log: bytes = b"") -> Iterator[Row]:
    """Rows of all tables in a file and in its write-ahead log, as far as they can be read; some may come twice."""
    size = page_size(data, log)
    main = [data[i : i + size] for i in range(0, len(data), size)]
    frames = list(_frames(log, size))
    for number, page in enumerate(main, start=1):
        yield from _rows(page, number, main, {}, size)
    newer = dict(frames)
    for number, page in frames:
        yield from _rows(page, number, main, newer, size)


def page_size(data: bytes, log: bytes) -> int:
    """Bytes of a page as one of the headers tells, or the usual 4096."""
    told = struct.unpack(">H", data[16:18])[0] if len(data) >= 18 else 0
    told = 65536 if told == 1 else told
    if not _is_size(told) and len(log) >= 12:
        told = struct.unpack(">I", log[8:12])[0]
    return told if _is_size(told) else 4096


def _is_size(number: int) -> bool:
    return 512 <= number <= 65536 and number & (number - 1) == 0


def _frames(log: bytes, size: int) -> Iterator[tuple[int, bytes]]:
    """Pages of a write-ahead log: a header of 32 bytes, then 24 bytes before each page.

    A log is written over from its start; frames of an earlier round, which are in the file already, carry another
    salt than the header. Where the header itself is damaged all frames are given.
    """
    salt = log[16:24] if log[:3] == MAGIC else None
    for i in range(32, len(log) - 24 - size + 1, 24 + size):
        if salt in (None, log[i + 8 : i + 16]):
            yield struct.unpack(">I", log[i : i + 4])[0], log[i + 24 : i + 24 + size]


def _rows(page: bytes, number: int, main: list[bytes], newer: dict[int, bytes], size: int) -> Iterator[Row]:
    start = 100 if number == 1 else 0
    if len(page) < start + 8 or page[start] != LEAF:
        return
    cells = struct.unpack(">H", page[start + 3 : start + 5])[0]
    for i in range(min(cells, size // 4)):
        place = page[start + 8 + 2 * i : start + 10 + 2 * i]
        try:
            yield _row(page, struct.unpack(">H", place)[0], main, newer, size)
        except (IndexError, ValueError, struct.error):
            continue  # this cell is damaged; the next may be whole


def _row(page: bytes, at: int, main: list[bytes], newer: dict[int, bytes], size: int) -> Row:
    length, at = _varint(page, at)
    rowid, at = _varint(page, at)
    if length > LONGEST:
        raise ValueError("no such long row is written")
    local = _local(length, size)
    payload = bytearray(page[at : at + local])
    if local < length:
        following = struct.unpack(">I", page[at + local : at + local + 4])[0]
        while len(payload) < length:
            chained = newer.get(following) or main[following - 1 if following else len(main)]
            payload += chained[4:size]
            following = struct.unpack(">I", chained[:4])[0]
    if len(payload) < length:
        raise ValueError("the row is cut off")
    return rowid, _columns(bytes(payload[:length]))


def _local(length: int, size: int) -> int:
    """Bytes of a row that are on its own page (section 1.6; no bytes are reserved at the end of our pages)."""
    most, least = size - 35, (size - 12) * 32 // 255 - 23
    if length <= most:
        return length
    fits = least + (length - least) % (size - 4)
    return fits if fits <= most else least


def _columns(payload: bytes) -> tuple[object, ...]:
    end, at = _varint(payload, 0)
    types = []
    while at < end:
        kind, at = _varint(payload, at)
        types.append(kind)
    found: list[object] = []
    for kind in types:
        value, at = _value(payload, kind, at)
        found.append(value)
    return tuple(found)


def _value(payload: bytes, kind: int, at: int) -> tuple[object, int]:
    if kind in SIZES:
        return int.from_bytes(payload[at : at + SIZES[kind]], "big", signed=True), at + SIZES[kind]
    if kind in (0, 8, 9):
        return {0: None, 8: 0, 9: 1}[kind], at
    if kind == 7:
        return struct.unpack(">d", payload[at : at + 8])[0], at + 8
    if kind < 12:
        raise ValueError("no such type")
    length = (kind - 12) // 2
    raw = payload[at : at + length]
    if len(raw) < length:
        raise ValueError("cut off")
    return (raw.decode("utf-8") if kind % 2 else raw), at + length


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A number of one to nine bytes, and where it ends."""
    number = 0
    for i in range(8):
        byte = data[at + i]
        number = number << 7 | byte & 0x7F
        if byte < 0x80:
            return number, at + i + 1
    return number << 8 | data[at + 8], at + 9
