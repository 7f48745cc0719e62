"""Power loss: what SQLite really wrote and synced is recorded, and replayed with unsynced writes discarded.

`strace` records every call by which a writer changes files; the recording is cut after each of them, as a power cut
would. Each file then holds what had been synced, and of what had not: nothing, all, or any part, in any order, torn
at 512 bytes. A file whose name was not yet synced with its folder may be gone. Every acknowledged event must be there.
The shared memory file is left out: it is of no use after a restart, and SQLite makes it anew.

Run as `python -m tests.journal.power [EVENTS [DRAWS [SEED]]]`; a second run with syncing turned off shows that losses
are found where there are any. Model: Pillai et al., All File Systems Are Not Created Equal, OSDI 2014 (writes since the
last sync may reach the disk in part and in any order); 512 bytes are the smallest sector of a disk.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

from advisor.journal.store import Event, Journal, JournalError
from tests.hostile.command import ROOT
from tests.journal import rows

SECTOR = 512
CALLS = "openat,pwrite64,write,fsync,fdatasync,ftruncate,unlink,rename,mkdir"
LINE = re.compile(r"(?:\d+ +)?(\w+)\((.*)\) += (-?\d+)(?:<([^>]*)>)?")
Write = tuple[int, bytes]  # place and bytes; a cut is a place and no bytes


@dataclass(slots=True)
class File:
    """What is surely on the disk, and what was written since."""

    synced: bytes = b""
    since: list[Write] = field(default_factory=list)
    named: bool = False  # its name is on the disk


@dataclass(slots=True)
class Disk:
    """The files of one folder as calls come in."""

    folder: str
    files: dict[str, File] = field(default_factory=dict)
    gone: dict[str, File] = field(default_factory=dict)  # unlinked, but its name may still be on the disk

    def opened(self, path: str, flags: str) -> None:
        if "O_CREAT" in flags and path.startswith(self.folder + "/") and not path.endswith("-shm"):
            self.files.setdefault(path, File())

    def wrote(self, path: str, at: int, what: bytes) -> None:
        if path in self.files:
            self.files[path].since.append((at, what))

    def synced(self, path: str) -> None:
        if path == self.folder:
            self.gone.clear()
            for file in self.files.values():
                file.named = True
        elif path in self.files:
            file = self.files[path]
            file.synced, file.since = apply(file.synced, file.since), []

    def unlinked(self, path: str) -> None:
        if path in self.files:
            self.gone[path] = self.files.pop(path)

    def after_the_cut(self, way: str, chance: random.Random) -> dict[str, bytes]:
        """What the files hold when the power is back."""
        found: dict[str, bytes] = {}
        for path, file in {**self.gone, **self.files}.items():
            if path in self.gone and path not in self.files and way == "all":
                continue
            if not file.named and (way == "nothing" or (way == "part" and chance.random() < 0.5)):
                continue
            found[path] = apply(file.synced, _kept(file.since, way, chance))
        return found


def _kept(since: list[Write], way: str, chance: random.Random) -> list[Write]:
    """The unsynced writes that reached the disk: torn at sectors, in any order."""
    if way == "nothing":
        return []
    if way == "all":
        return since
    pieces = [piece for write in since for piece in _sectors(*write) if chance.random() < 0.5]
    chance.shuffle(pieces)
    return pieces


def _sectors(at: int, what: bytes) -> Iterator[Write]:
    if not what:
        yield at, what
    start = 0
    while start < len(what):
        end = start + SECTOR - (at + start) % SECTOR
        yield at + start, what[start:end]
        start = end


def apply(content: bytes, writes: list[Write]) -> bytes:
    """A file after these writes; holes are zeros."""
    found = bytearray(content)
    for at, what in writes:
        if not what:
            del found[at:]
        found.extend(bytes(max(0, at + len(what) - len(found))))
        found[at : at + len(what)] = what
    return bytes(found)


# --- recording --------------------------------------------------------------------------------------


def record(path: Path, events: int, *, careless: bool = False) -> str:
    """Let a writer write so many events under strace; the log. Raises RuntimeError where strace cannot be used."""
    strace = shutil.which("strace")
    if strace is None:
        raise RuntimeError("strace is not installed here")
    log = path.parent.parent / "calls.log"
    command = [strace, "-f", "-y", "-xx", "-s", "10000000", "-e", f"trace={CALLS}", "-o", str(log)]
    command += [sys.executable, "-m", "tests.journal.power", "write", str(path), str(events)]
    done = subprocess.run(
        [*command, *(["careless"] if careless else [])],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=120,
        check=False,
    )
    if done.returncode or not log.exists():
        raise RuntimeError(f"strace cannot be used here: {done.stderr.decode(errors='replace')[-200:]}")
    return log.read_text("ascii")


def write(path: Path, events: int, careless: bool) -> None:
    """Append and merge, and close the journal once in between, so that the log is written into the file."""
    half = events // 2
    for part in (range(half), range(half, events)):
        with Journal(path) as journal:
            if careless:
                journal._db.execute("PRAGMA synchronous = OFF")
            for i in part:
                _one(journal, i)
                os.write(1, f"ack e{i}\n".encode())


def _one(journal: Journal, i: int) -> None:
    if i % 5 == 4:
        journal.merge([Event(f"e{i}", rows.AT, "trial", rows.TRIAL)])
    elif i % 5 == 3:
        journal.append(rows.verdict(f"e{i}", of=f"e{i - 4}", note="n" * 5000))
    else:
        journal.append(rows.trial(f"e{i}", complaint="c" * (i * 700 % 9000)))


def calls(log: str) -> Iterator[tuple[str, list[bytes], str, int]]:
    """Each call: its name, its texts, the rest of its arguments, and what it returned."""
    for line in log.splitlines():
        match = LINE.match(line)
        if match and int(match[3]) >= 0:
            texts = re.findall(r'[<"]((?:\\x[0-9a-f]{2})*)[>"]', match[2])
            rest = re.sub(r'[<"](?:\\x[0-9a-f]{2})*[>"]', "", match[2])
            yield match[1], [bytes.fromhex(t.replace("\\x", "")) for t in texts], rest, int(match[3])


def moments(log: str, folder: Path) -> Iterator[tuple[Disk, set[str]]]:
    """The disk after each call that changes it, and the ids that had been acknowledged by then."""
    disk, told = Disk(str(folder)), set[str]()
    for name, texts, rest, returned in calls(log):
        paths = [text.decode(errors="replace") for text in texts[:2]]
        if name == "openat":
            disk.opened(paths[1] if len(paths) > 1 else paths[0], rest)
        elif name == "pwrite64":
            disk.wrote(paths[0], int(rest.rsplit(",", 1)[1]), texts[1][:returned])
        elif name == "write" and texts[-1].startswith(b"ack "):
            told.add(texts[-1].split()[1].decode())
        elif name == "ftruncate":
            disk.wrote(paths[0], int(rest.rsplit(",", 1)[1]), b"")
        elif name in ("fsync", "fdatasync"):
            disk.synced(paths[0])
        elif name == "unlink":
            disk.unlinked(paths[0])
        else:
            assert not any(p in disk.files for p in paths), f"{name} is not replayed here"
            continue
        if disk.files:
            yield disk, told


# --- replaying --------------------------------------------------------------------------------------


@dataclass(slots=True)
class Replayed:
    cuts: int = 0
    restarts: int = 0
    lost: int = 0  # restarts after which an acknowledged event was missing, or the file was not sound


def replay(log: str, path: Path, draws: int, seed: int, most: int | None = None) -> Replayed:
    """Cut the power after each call (or after so many, drawn), and look what is there when it is back."""
    chance, done = random.Random(seed), Replayed()
    every = sum(1 for _ in moments(log, path.parent))
    chosen = set(range(every)) if most is None else set(chance.sample(range(every), min(most, every)))
    for i, (disk, told) in enumerate(moments(log, path.parent)):
        if i not in chosen:
            continue
        done.cuts += 1
        for way in ("nothing", "all", *["part"] * draws):
            done.restarts += 1
            done.lost += not _holds(disk.after_the_cut(way, chance), path.name, told)
    return done


def _holds(files: dict[str, bytes], name: str, told: set[str]) -> bool:
    with TemporaryDirectory(dir=rows.IN_MEMORY) as folder:
        for path, content in files.items():
            Path(folder, Path(path).name).write_bytes(content)
        try:
            with Journal(Path(folder) / name) as journal:
                found = {event.id for _, event in journal.since()}
                sound = journal._db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        except JournalError:
            return False
        return sound and told <= found


def main(events: int = 40, draws: int = 3, seed: int = 1) -> None:
    for careless in (False, True):
        with TemporaryDirectory() as folder:
            path = Path(folder).resolve() / "pits" / "journal.sqlite3"
            log = record(path, events, careless=careless)
            done = replay(log, path, draws, seed)
        how = "syncing turned off" if careless else "as it is"
        print(f"{how}: {done.cuts} power cuts, {done.restarts} restarts, {done.lost} with a loss")


if __name__ == "__main__":
    if sys.argv[1:2] == ["write"]:
        write(Path(sys.argv[2]), int(sys.argv[3]), "careless" in sys.argv)
    else:
        main(*map(int, sys.argv[1:]))
