"""What was found on boats, and where the same is found on one kind of engine. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from yardwright.fleet.models import Boat
from yardwright.procedures.findings import Finding
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import standing
from yardwright.yard import clock

A_WINTER = timedelta(days=300)  # from haul-out to launch, and no finding of the winter before
ORDINALS = ("", "First", "Second", "Third", "Fourth", "Fifth", "Sixth", "Seventh", "Eighth")
FROM = 2


@dataclass(frozen=True, slots=True)
class Batch:
    """The same thing found on several boats with one kind of engine."""

    what: str
    engine: str
    found: tuple[Boat, ...]
    not_there: tuple[Boat, ...]  # somebody looked for it
    others: tuple[Boat, ...]  # nobody has looked yet

    @property
    def sentence(self) -> str:
        n = len(self.found)
        nth = ORDINALS[n] if n < len(ORDINALS) else f"{n}."
        begins = f"{nth} boat with {self.engine} and this in one winter: {self.what}."
        match len(self.others):
            case 0:
                return f"{begins} All others of the kind were looked at."
            case 1:
                return f"{begins} Look at the other one."
            case many:
                return f"{begins} Look at the other {many}."


def findings(of: Boat | None = None) -> list[Fact]:
    """All findings, or one boat's, the newest first; what was looked for and not found is not one."""
    facts = standing().filter(kind=Kind.FOUND, body__there=True)
    if of is not None:
        facts = facts.filter(boat=of)
    return list(facts.select_related("boat", "by").order_by("-done_at", "-received_at"))


def batches(now: datetime | None = None) -> list[Batch]:
    """What was found on two boats or more of one kind of engine this winter, the most first."""
    since = (now or clock.now()) - A_WINTER
    facts = standing().filter(kind=Kind.FOUND, done_at__gte=since).exclude(body__engine="")
    seen: dict[tuple[str, str], dict[int, bool]] = defaultdict(dict)
    for fact in facts.order_by("done_at", "received_at"):
        if Finding(fact.what).is_noticed and fact.boat_id is not None:
            there = seen[fact.what, fact.body["engine"]]
            there[fact.boat_id] = there.get(fact.boat_id, False) or fact.body["there"]
    noticed = {key: there for key, there in seen.items() if sum(there.values()) >= FROM}
    fleet = _by_engine(Boat.objects.filter(engine__in={engine for _, engine in noticed}))
    each = [_batch(*key, there, fleet[key[1]]) for key, there in noticed.items()]
    return sorted(each, key=lambda one: (-len(one.found), one.what, one.engine))


def _by_engine(boats: Iterable[Boat]) -> dict[str, list[Boat]]:
    found: dict[str, list[Boat]] = defaultdict(list)
    for boat in boats:
        found[boat.engine].append(boat)
    return found


def _batch(what: str, engine: str, there: dict[int, bool], boats: Sequence[Boat]) -> Batch:
    """Boats that have another engine by now are not among them."""
    return Batch(
        what,
        engine,
        found=tuple(boat for boat in boats if there.get(boat.pk)),
        not_there=tuple(boat for boat in boats if there.get(boat.pk) is False),
        others=tuple(boat for boat in boats if boat.pk not in there),
    )


def batch_of(finding: Fact) -> Batch | None:
    """The batch that a finding belongs to; None: it is alone so far."""
    key = finding.what, finding.body["engine"]
    return next((one for one in batches() if (one.what, one.engine) == key), None)


def what_came(finding: Fact) -> list[Fact]:
    """What was decided about it, in that order."""
    facts = standing().filter(kind=Kind.CAME, of=finding).select_related("by")
    return list(facts.order_by("done_at", "received_at"))
