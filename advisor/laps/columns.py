"""Which column of a lap sheet is which: headings in several languages and spellings.

The words are ordinary ones of each language, collected from memory; a heading that is not known is told
by its name or number (`--column time=NAME`).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence

_LISTS = {
    "lap": "lap, laps, lap no, lap nr, lap number, number, no, nr, n, #, runde, runden, rundennummer, tour, tours,"
    " vuelta, vueltas, giro, giri, volta, voltas, ronde, rondenummer, varv, omgang, kierros, okrazenie, kolo",
    "time": "time, times, lap time, laptime, lap times, seconds, sec, s, zeit, rundenzeit, rundenzeiten, temps,"
    " temps au tour, temps tour, chrono, tiempo, tiempo de vuelta, tiempo vuelta, tempo, tempo giro, tempo sul giro,"
    " tempo de volta, tempo da volta, tempo volta, tijd, rondetijd, tid, varvtid, omgangstid, aika, kierrosaika,"
    " czas, czas okrazenia, cas, cas kola",
    "run": "run, run no, run number, runs, stint, session, outing, heat, lauf, durchgang, sitzung, relais, seance,"
    " manche, tanda, sesion, turno, sessione, uscita, sessao, bateria, sessie, korning, ajo, przejazd, jizda",
    "arm": "arm, a/b, a b, ab, a or b, side, change, changed, state, setup, set up, variant, variante, zustand,"
    " anderung, reglage, modification, ajuste, cambio, assetto, modifica, afstelling, installning, saadot",
    "clock": "clock, clock time, time of day, tod, start, start time, started, uhrzeit, startzeit, heure,"
    " heure de depart, hora, hora de inicio, ora, ora di partenza, klokslag, klokkeslett, klockslag",
    "date": "date, day, datum, tag, jour, fecha, dia, data, giorno, dag, dato, paiva",
    "mark": "mark, marks, note, notes, remark, remarks, comment, kind, type, lap type, flag, in/out, in out,"
    " bemerkung, bemerkungen, hinweis, hinweise, kommentar, kommentare, notiz, notizen, art, rundenart, comments,"
    " observation, observations, remarque, remarques, commentaire, commentaires, nota, notas, note giro, comentario,"
    " comentarios, observacion, observaciones, osservazione, osservazioni, commento, commenti, observacao,"
    " observacoes, opmerking, opmerkingen, anmarkning, anmarkningar, merknad, bemaerkning, huomautus, huomautukset,"
    " uwaga, uwagi, poznamka, poznamky",
    "tyres": "tyre, tyres, tire, tires, tyre set, tire set, set, reifen, reifensatz, pneu, pneus, neumatico,"
    " neumaticos, gomma, gomme, band, banden, dack, daek, rengas, renkaat, opony, pneumatiky",
    "weather": "weather, conditions, sky, rain, wetter, meteo, clima, tempo atmosferico, weer, vader, saa, pogoda,"
    " pocasi",
    "track": "track, grip, track state, strecke, piste, pista, baan, bana, rata, tor, trat",
    "fuel": "fuel, petrol, sprit, kraftstoff, benzin, essence, carburant, combustible, gasolina, benzina, carburante,"
    " brandstof, bransle, polttoaine, paliwo, palivo",
    "driver": "driver, fahrer, pilote, piloto, pilota, rijder, coureur, forare, kuljettaja, kierowca, jezdec",
    "pressure": "pressure, pressures, tyre pressure, tire pressure, druck, reifendruck, pression, pressions, presion,"
    " presiones, pressione, pressioni, pressao, druk, bandenspanning, tryck, paine, cisnienie, tlak",
}
# beside "lap time", a mere "time" is the time of day
_GENERAL = frozenset((
    "time", "zeit", "temps", "tiempo", "tempo", "tijd", "tid", "aika", "czas", "cas", "s", "sec", "seconds",
    "n", "no", "nr", "#",
))  # fmt: skip
CONDITIONS = ("tyres", "weather", "track", "fuel", "driver", "pressure")
ROLES = tuple(_LISTS)
_UNIT = re.compile(r"[(\[{]\s*(?P<inside>[^)\]}]*)[)\]}]")
_UNITS = frozenset((
    "", "-", "s", "sec", "secs", "seconds", "ms", "m:ss", "mm:ss", "m:ss.mmm", "m:ss.000", "mm:ss.mmm",
    "#", "no", "nr", "n", "psi", "bar", "kpa", "l", "kg", "km/h", "c", "°c", "degc", "rpm", "1",
))  # fmt: skip


def plain(heading: str) -> str:
    """A heading without case, accents, units in brackets and signs: "Temps au tour (s)" -> "temps au tour"."""
    bare = _UNIT.sub(" ", heading).replace("ł", "l").replace("ø", "o").replace("æ", "ae")
    bare = "".join(c for c in unicodedata.normalize("NFKD", bare) if not unicodedata.combining(c))
    return " ".join(re.sub(r"[_\-.:]+", " ", bare.casefold()).split())


_ROLE = {plain(word): role for role, words in _LISTS.items() for word in words.split(", ")}


def role(heading: str) -> str | None:
    """What a heading says its column holds; None when it is not known."""
    return _ROLE.get(plain(heading))


def in_thousandths(heading: str) -> bool:
    """True when a heading or a cell of a units row says milliseconds."""
    return (
        any(m["inside"].strip().casefold() == "ms" for m in _UNIT.finditer(heading))
        or heading.strip() == "ms"
    )


def is_units(cells: Sequence[str]) -> bool:
    """True for a row under the headings that holds nothing but units."""
    bare = [c.strip().strip("[]()").strip().casefold() for c in cells]
    return any(bare) and all(b in _UNITS for b in bare) and not all(b.isdigit() or not b for b in bare)


def found(headings: Sequence[str], chosen: Mapping[str, str]) -> tuple[dict[str, int], list[str]]:
    """Role -> column (from 0), and sentences about what is wrong with the headings.

    `chosen` names the column of a role by its heading or by its number from 1, and goes before any heading.
    """
    columns: dict[str, int] = {}
    wrong: list[str] = []
    names = [plain(h) for h in headings]
    for part, name in chosen.items():
        place = _place(name, names)
        if place is None:
            wrong.append(f'there is no column "{name[:30]}"; the columns are: {_listed(headings)}')
        else:
            columns[part] = place
    for part in ROLES:
        places = [i for i, h in enumerate(headings) if role(h) == part and i not in columns.values()]
        if part in columns or not places:
            continue
        exact = [i for i in places if names[i] not in _GENERAL]
        places = exact if len(exact) == 1 else places
        if len(places) > 1 and part in ("time", "run", "arm"):
            both = " and ".join(f'"{headings[i].strip()[:30]}"' for i in places[:2])
            wrong.append(
                f"{both} may both be the {part}; say which: --column {part}=NAME, or a number from 1"
            )
        columns[part] = places[0]
    if "time" not in columns and not wrong:
        wrong.append(
            f"no column is the lap time; the columns are: {_listed(headings)}. Say which: --column time=NAME,"
            " or a number from 1"
        )
    return columns, wrong


def _place(name: str, names: Sequence[str]) -> int | None:
    if plain(name) in names:
        return names.index(plain(name))
    if name.isascii() and name.isdigit() and 1 <= int(name[:6]) <= len(names):
        return int(name) - 1
    return None


def _listed(headings: Sequence[str]) -> str:
    return ", ".join(f'"{h.strip()[:20]}"' for h in headings[:12]) or "none"
