"""Many phones over a bad link to a real server that is killed, and what must be true all along."""

import json
import random
import re
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from threading import Lock, Thread
from urllib.parse import urlencode
from uuid import UUID

from tests.browser.fill import PASSWORD
from tests.browser.served import ROOT, Served
from yardwright.season.read import read_file
from yardwright.season.write import write
from yardwright.web.sqlite import sqlite3

DROPS = 0.2  # of requests, and of replies
AT_ONCE = 12  # rows in a request, at most
WAIT_S = 60.0
OURS = (  # a reading's verdict is written with it
    "SELECT uuid, body FROM work_fact "
    "WHERE kind IN ('looked', 'disturbed', 'reading') AND sent != ''"
)


@dataclass(frozen=True, slots=True)
class Storm:
    phones: int
    entries: int  # on each
    kills: int
    seed: int = 5


@dataclass(slots=True)
class Told:
    """What all phones saw, together."""

    acknowledged: dict[str, str] = field(default_factory=dict)
    count: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    in_flight: int = 0
    lock: Lock = field(default_factory=Lock)


@dataclass(frozen=True, slots=True)
class Boat:
    tag: str
    undone: tuple[str, ...]


@dataclass(slots=True)
class Phone:
    """A phone at one boat: it sends what waits, any of it in any order, until each is named."""

    number: int
    boat: Boat
    person: int
    cookie: str
    port: int
    told: Told
    chance: random.Random
    waits: dict[str, dict[str, object]] = field(default_factory=dict)

    def fill(self, entries: int) -> None:
        for number in range(entries):
            row = self._row(f"phone {self.number} entry {number}", number)
            self.waits[str(row["uuid"])] = row

    def _row(self, words: str, number: int) -> dict[str, object]:
        tag, undone = self.boat.tag, self.boat.undone
        to, fields = [
            (f"/boats/{tag}/look/?at=livewell+seacock", {"holds": "no", "words": words}),
            (f"/undone/{undone[number % len(undone)]}/", {"deed": "does not hold", "words": words}),
            (f"/boats/{tag}/look/?at=all+openings+counted", {"holds": "yes", "words": words}),
            (
                f"/boats/{tag}/readings/new/?quantity=battery_at_rest",
                {"value_1": "12.6 V", "where": words},
            ),
            (f"/boats/{tag}/since/", {"by_what": "somebody aboard"}),
        ][number % 5]
        return {
            "uuid": str(UUID(int=self.chance.getrandbits(128), version=4)),
            "to": to,
            "fields": [*fields.items()],
            "made_at": (datetime.now(UTC) - timedelta(minutes=number)).isoformat(),
            "person": self.person,
            "boat": tag,
            "words": words,
        }

    def run(self) -> None:
        while self.waits:
            rows = list(self.waits.values())
            self.chance.shuffle(rows)
            self._send(rows[: self.chance.randint(1, AT_ONCE)])

    def _send(self, rows: list[dict[str, object]]) -> None:
        told = self.told
        told.count["requests"] += 1
        if self.chance.random() < DROPS:
            told.count["requests lost"] += 1
            return
        with told.lock:
            told.in_flight += 1
        try:
            answers = self._asked(rows)
        except (OSError, HTTPException):
            told.count["no server"] += 1
            time.sleep(0.2 + self.chance.random())
            return
        finally:
            with told.lock:
                told.in_flight -= 1
        for uuid, answer in answers.items():
            told.count[answer["word"]] += 1
            if answer["word"] not in ("held", "held before"):
                told.wrong.append(f"{answer['word']}: {answer['says']}")
            told.acknowledged[uuid] = str(self.waits.pop(uuid)["words"])

    def _asked(self, rows: list[dict[str, object]]) -> dict[str, dict[str, str]]:
        body = json.dumps({"sent_at": datetime.now(UTC).isoformat(), "entries": rows})
        headers = {"Content-Type": "application/json", "Cookie": self.cookie}
        with closing(HTTPConnection("127.0.0.1", self.port, timeout=WAIT_S)) as link:
            link.request("POST", "/phone/entries/", body, headers)
            lost = self.chance.random() < DROPS
            if lost and self.chance.random() < 0.5:
                self.told.count["replies lost"] += 1  # out of reach before the server answered
                return {}
            reply = link.getresponse()
            text = reply.read().decode()
        if lost:
            self.told.count["replies lost"] += 1
            return {}
        if reply.status != 200:
            self.told.count[f"answered {reply.status}"] += 1
            return {}
        answers: dict[str, dict[str, str]] = json.loads(text)["answers"]
        return answers


def yard(home: Path, boats: int) -> Served:
    """Teal, again and again, so that each phone has a boat."""
    season = read_file(ROOT / "docs/teal.toml")
    (teal,) = season.boats
    many = tuple(replace(teal, name=f"Teal {n}", tag="") for n in range(boats))
    home.mkdir()
    file = home.with_suffix(".toml")
    file.write_text(write(replace(season, boats=many)), encoding="utf-8")
    return Served(home, file)


def cookie(port: int, name: str) -> str:
    """Log in, as the page does."""
    with closing(HTTPConnection("127.0.0.1", port, timeout=WAIT_S)) as link:
        link.request("GET", "/sign-in/")
        page = link.getresponse()
        text = page.read().decode()
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', text)
        assert token is not None
        told = {"username": name, "password": PASSWORD, "csrfmiddlewaretoken": token[1]}
        first = (page.getheader("Set-Cookie") or "").split(";")[0]
        headers = {"Cookie": first, "Content-Type": "application/x-www-form-urlencoded"}
        link.request("POST", "/sign-in/", urlencode(told), headers)
        answer = link.getresponse()
        answer.read()
        cookies = [value.split(";")[0] for value in answer.msg.get_all("Set-Cookie") or []]
    return next(one for one in cookies if one.startswith("sessionid="))


def rows(home: Path, question: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(home / "yard.sqlite3", timeout=20)) as db:
        found: list[tuple[object, ...]] = db.execute(question).fetchall()
    return found


def phones(storm: Storm, served: Served, told: Told) -> Iterator[Phone]:
    person = int(served.ask("SELECT id FROM yard_person WHERE name = 'Ines'"))
    hers = cookie(served.port, "Ines")
    ask = "SELECT b.tag, f.uuid FROM work_fact f JOIN fleet_boat b ON b.id = f.boat_id"
    undone: dict[str, list[str]] = {}
    for tag, uuid in rows(served.home, f"{ask} WHERE f.kind = 'undone' ORDER BY f.uuid"):
        undone.setdefault(str(tag), []).append(str(UUID(str(uuid))))
    boats = [Boat(tag, tuple(uuids)) for tag, uuids in sorted(undone.items())]
    for number in range(storm.phones):
        chance = random.Random(storm.seed * 1000 + number)  # noqa: S311  # a lottery of losses
        boat = boats[number % len(boats)]
        phone = Phone(number, boat, person, hers, served.port, told, chance)
        phone.fill(storm.entries)
        yield phone


def held(served: Served) -> set[str]:
    return {str(UUID(str(uuid))) for (uuid,) in rows(served.home, "SELECT uuid FROM work_fact")}


def rage(storm: Storm, served: Served) -> Told:
    """Let them all send at once; kill the server in the middle, again and again.

    After each kill, whatever any phone was told is held must be there.
    """
    told = Told()
    every = list(phones(storm, served, told))
    threads = [Thread(target=phone.run, daemon=True) for phone in every]
    for thread in threads:
        thread.start()
    for kill in range(1, storm.kills + 1):
        _wait_for(storm.phones * storm.entries * kill // (storm.kills + 1), told, threads)
        served.stop()
        acknowledged = set(told.acknowledged)
        told.count["in flight at a kill"] += told.in_flight
        told.wrong += [f"{uuid} was lost by kill {kill}" for uuid in acknowledged - held(served)]
        served.start()
    for thread in threads:
        thread.join()
    told.wrong += _at_the_end(storm, served, told)
    return told


def _wait_for(many: int, told: Told, threads: list[Thread]) -> None:
    while len(told.acknowledged) < many or not told.in_flight:
        assert any(thread.is_alive() for thread in threads), told.wrong
        time.sleep(0.005)


def _at_the_end(storm: Storm, served: Served, told: Told) -> Iterator[str]:
    """Each acknowledged, each there, none twice, nothing kept aside."""
    wanted = storm.phones * storm.entries
    if len(told.acknowledged) != wanted:
        yield f"{len(told.acknowledged)} of {wanted} were acknowledged"
    if lost := set(told.acknowledged) - held(served):
        yield f"{len(lost)} were acknowledged and are not held"
    facts = rows(served.home, OURS)
    if len(facts) != wanted:
        yield f"{len(facts)} are held of {wanted}"
    words = Counter(_words(json.loads(str(body))) for _, body in facts)
    if twice := [one for one, count in words.items() if one and count > 1]:
        yield f"held twice: {twice}"
    for uuid, body in facts:
        sent = told.acknowledged.get(str(UUID(str(uuid))), "")
        if _words(json.loads(str(body))) not in ("", sent):
            yield f"{uuid} holds what another entry said"
    if aside := rows(served.home, "SELECT body FROM work_fact WHERE kind = 'kept aside'"):
        yield f"{len(aside)} were kept aside: {aside[0]}"
    if (whole := rows(served.home, "PRAGMA integrity_check")) != [("ok",)]:
        yield f"the database is damaged: {whole}"


def _words(body: dict[str, object]) -> str:
    return str(body.get("words") or body.get("where") or "")
