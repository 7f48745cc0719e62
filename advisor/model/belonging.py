"""Where an event of the journal belongs: kart, driver, track, session, tyres, weather, and its local time."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace


@dataclass(frozen=True, slots=True)
class Belonging:
    """What is known of where and when something happened; empty where nobody said.

    `tyres` is the name of a set, `weather` is in words, `time` is local, in ISO 8601 with the offset from UTC.
    """

    kart: str = ""
    driver: str = ""
    track: str = ""
    session: str = ""
    tyres: str = ""
    weather: str = ""
    time: str = ""

    @property
    def day(self) -> str:
        """The local date, such as 2024-05-04."""
        return self.time[:10]

    def over(self, other: Belonging) -> Belonging:
        """This, with what is not said here taken from another."""
        return replace(other, **{f.name: v for f in fields(self) if (v := getattr(self, f.name))})


ASKED = ("driver", "track", "session")  # once a day


def kart_name(name: str) -> str:
    """A kart as it is compared: by its name, however it is written and wherever its file lies."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    for end in (".yaml", ".yml"):
        last = last.removesuffix(end)
    return " ".join(last.casefold().split())
