"""Heron Slip in May 2031: an invented yard with sixty boats, the same each time it is made.

All names of people, engines and books are invented. The water is that of NOAA's station 8418150.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import cache
from random import Random

from yardwright.demo import winter
from yardwright.demo.gauges import INSTRUMENTS, LIMITS, READINGS
from yardwright.demo.kinds import (
    BLANK,
    LIVEWELL_SEACOCK,
    SPLASH_WELL,
    TEMPLATES,
    TRANSDUCER,
    sized,
)
from yardwright.demo.stories import (
    ELEVEN,
    FILTER_KIT,
    NEVER_MEASURED,
    NEVER_WEIGHED,
    ON_TRAILERS,
    PUMP_KIT,
    RAIN_INSIDE,
    SEAL_KIT,
    Story,
    april,
    may,
    pack,
    stories,
)
from yardwright.demo.winter import ZONE, Deed
from yardwright.procedures.going_in import State
from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import OPENINGS, Barrier, Disturbance, Disturbed, Look
from yardwright.season.model import (
    VERSION,
    Boat,
    Lift,
    Lifted,
    Owner,
    Part,
    Person,
    Place,
    Right,
    Season,
    Water,
    Work,
    Yard,
)
from yardwright.tides.sill import Sill
from yardwright.tides.stations import station

NOW = datetime(2031, 5, 6, 6, 50, tzinfo=ZONE)  # what the clock on the yard's wall says
STATION = "8418150"
MANAGER, MECHANIC, YARD_HAND, LIFT_HAND, LEARNER = "Mara", "Ines", "Tomas", "Runa", "Pia"
HOURS = ((time(7), time(12)), (time(12, 30), time(15, 30)))
LIFT_HOURS = ((time(6), time(11)), (time(11, 30), time(16)))
BREAK_LATER = ((time(6), time(11, 30)), (time(12), time(16)))  # somebody is always at the lift
SURNAMES = (
    "Alder Ashby Barrow Birch Bourne Bracken Brand Calder Carver Cole Corrie Dale Denholm Ellery Fenn "
    "Field Firth Garth Glover Hale Harker Hollis Ingram Iver Joyner Keel Kerr Lamb Larkin Lorne Marlow "
    "Marsh Mercer Moss Nash Norden Oakes Orme Parrish Penn Quayle Rand Ridley Rowan Sayer Selby Stroud "
    "Tarn Thorne Tolland Usher Vane Wade Walden Weir Wick Wren Yarrow Yates Zeller "
)


@cache
def season() -> Season:
    """The whole yard, its people, its water and its boats, as the clock stands at ``NOW``."""
    tide = station(STATION).water()
    return Season(
        version=VERSION,
        yard=Yard(
            name="Heron Slip",
            zone=ZONE.key,
            first_day=april(1),
            last_day=may(31),
            sling_bight_m=0.10,
            margin_m=0.25,
            latitude=43.66,
            longitude=-70.24,
        ),
        water=Water(
            datum=tide.datum,
            epoch=tide.epoch or "",
            sill=Sill(-1.00, tide.datum, tide.epoch or "", date(2030, 10, 14), MECHANIC),
            station=STATION,
        ),
        lifts=(
            Lift(
                name="Travel lift",
                kind="travel lift",
                rating_kg=15_000,
                sling_rating_kg=8_000,
                opens=time(6),
                closes=time(16),
                launch_min=30,
                aside_min=30,
                beam_m=4.6,
                draft_m=2.5,
                run_by=(LIFT_HAND, "Sander"),
            ),
        ),
        people=tuple(_people()),
        places=(
            *(Place(f"Row {row}", "row", 8) for row in "ABCD"),
            Place("North shed", "shed bay", 4),
            Place("South shed", "shed bay", 4),
            Place("Trailer line", "trailer line", 13),
        ),
        parts=(
            Part(PUMP_KIT, datetime(2031, 5, 6, 7, 30, tzinfo=ZONE)),
            Part(SEAL_KIT, datetime(2031, 5, 9, 10, 0, tzinfo=ZONE)),
            Part(
                FILTER_KIT,
                datetime(2031, 5, 2, 7, 30, tzinfo=ZONE),
                datetime(2031, 5, 5, 11, 40, tzinfo=ZONE),
            ),
        ),
        limits=LIMITS,
        instruments=INSTRUMENTS,
        boats=tuple(_boats()),
    )


def _people() -> Iterator[Person]:
    prove, all_rights = frozenset({Right.PROVE}), frozenset(Right)
    at_the_lift = prove | {Right.WATER}
    yield Person(MANAGER, hours=HOURS, rights=all_rights)
    yield Person(MECHANIC, ("mechanic",), HOURS, rights=at_the_lift | {Right.CLEAR})
    yield Person("Ole", ("mechanic",), HOURS, off=(may(16),), rights=prove)
    yield Person("Vera", ("mechanic",), HOURS, rights=prove)
    yield Person(YARD_HAND, ("yard hand",), HOURS, rights=prove)
    yield Person("Bea", ("yard hand", "rigger"), HOURS, off=(may(9),), rights=prove)
    yield Person(LIFT_HAND, ("lift",), LIFT_HOURS, rights=at_the_lift)
    yield Person("Sander", ("lift",), BREAK_LATER, rights=at_the_lift)
    for name in (LEARNER, "Nils", "Juno"):  # they go along with someone; no plan counts on them
        yield Person(name, hours=HOURS, rights=prove, learner=True)


@dataclass(frozen=True, slots=True)
class Winter:
    """The steps that were done on one boat, in fall and in spring."""

    fall: tuple[Deed, ...]
    spring: tuple[Deed, ...]


def winter_of(name: str, story: Story) -> Winter:
    """The steps done on her up to now."""
    draw, has = pack(name, "winter"), _has(story)
    hauled = may(5) if story.state == State.BLOCKED_UP else date(2030, 11, 4)
    if story.state != State.BLOCKED_UP:
        hauled += timedelta(days=draw.randrange(16))
    laid_up = winter.fall(has, hauled, draw, story.only)
    proven: list[Deed] = []
    if story.until and story.began:
        proven = winter.spring(has, story.began, draw, story.until, story.still)
    if story.until and story.in_slings:
        proven += winter.afloat(has, story.in_slings, draw, story.until, story.still)
    return Winter(tuple(laid_up), tuple(proven))


def _has(story: Story) -> frozenset[Has]:
    has = TEMPLATES[story.kind].has
    if story.only == ELEVEN:  # Teal wears no wrap and carries nothing that comes off
        return has - {Has.ANODES, Has.COVER, Has.TRAILER, Has.ELECTRONICS}
    return has


def _boats() -> Iterator[Boat]:
    told = stories()
    where = _where(told)
    for number, (name, story) in enumerate(told.items(), 1):
        place, berth = where.get(name, ("", None))
        yield _boat(name, story, number, place, berth)


def _boat(name: str, story: Story, number: int, place: str, berth: int | None) -> Boat:
    template, draw, done = TEMPLATES[story.kind], pack(name, "boat"), winter_of(name, story)
    told = story.state != State.BLOCKED_UP  # she came on Monday; nobody has written her down yet
    ways = _ways_in(story) if told else ()
    boat = Boat(
        name=name,
        state=story.state,
        tag=name[:3].upper(),
        owner=_owner(name, number, draw),
        has=_has(story) if told else frozenset(),
        engine=template.engine if told else "",
        draft_m=story.draft_m,
        length_m=story.length_m,
        place=place,
        berth=berth,
        promise=story.promise,
        ways_in=ways,
        work=_work(story, draw),
        undone=tuple(winter.undone(done.fall, done.spring, ways, number, story.only)),
        looks=tuple(sorted(_looks(name, story, done), key=lambda look: look.at)),
        disturbed=tuple(_disturbed(name, story)),
        readings=READINGS.get(name, ()),
        done=frozenset(deed.step.code for deed in (*done.fall, *done.spring)),
        lifted=_lifted(story),
    )
    boat = sized(boat, story.kind, draw)
    if name in NEVER_MEASURED:
        return replace(boat, draft_m=None)
    return replace(boat, weight_kg=None) if name in NEVER_WEIGHED else boat


def _lifted(story: Story) -> Lifted | None:
    if story.state != State.IN_THE_WATER or story.in_slings is None:
        return None
    return Lifted(story.in_slings + timedelta(minutes=winter.FLOATS_AFTER_MIN), "Travel lift")


def _owner(name: str, number: int, draw: Random) -> Owner:
    if name == "Teal":
        return Owner("A. Reeve", "555 0142")
    initial = draw.choice("ABCDEFGHJKLMPRST")
    return Owner(f"{initial}. {SURNAMES.split()[number - 1]}", f"555 0{number + 99}")


def _ways_in(story: Story) -> tuple[Barrier, ...]:
    ways = TEMPLATES[story.kind].ways_in
    if story.only == ELEVEN:  # Teal has no splash well and no transducer: four openings
        return tuple(way for way in ways if way.name not in (SPLASH_WELL, TRANSDUCER))
    return ways


def _work(story: Story, draw: Random) -> tuple[Work, ...]:
    """What she waits for; about a third want a coat of paint as well, once her hull is seen to."""
    if story.work is not None:
        return story.work
    plain = [
        Work(what, trade, round(draw.randint(*minutes), -1))
        for what, (trade, minutes) in TEMPLATES[story.kind].work.items()
    ]
    if story.state == State.FITTING_OUT:
        return tuple(plain)
    if draw.random() < 0.35:
        plain.append(Work("one coat of bottom paint", "yard hand", 90, after=("hull",)))
    return tuple(plain)


def _looks(name: str, story: Story, done: Winter) -> Iterator[Look]:
    ways = _ways_in(story)
    if story.state == State.BLOCKED_UP:
        return
    yield from winter.looks(done.fall, done.spring, ways, story.unseen, counted=story.counted)
    if story.state in (State.LAID_UP, State.OWNERS_TURN):
        yield winter.cover_look("Bea", sheds=name not in RAIN_INSIDE)
    if story.state in (State.READY, State.IN_THE_WATER, State.HANDED_OVER):
        goes_in = story.in_slings or NOW + timedelta(hours=3)
        yield from winter.proven_again(ways, goes_in - timedelta(hours=19), MECHANIC)
    if story.in_slings:
        yield from winter.hung_and_watched(ways, story.in_slings, NOW, YARD_HAND)
    if name == "Teal":
        yield from _teals_looks()


def _teals_looks() -> Iterator[Look]:
    def at(minute: int) -> datetime:
        return datetime(2031, 4, 10, 8, minute, tzinfo=ZONE)

    yield Look(OPENINGS, True, at(10), MECHANIC, "walked round the bare hull: four")
    yield Look(LIVEWELL_SEACOCK, True, at(20), MECHANIC, "shut, handle stiff, no weep")
    yield Look(BLANK, True, at(25), MECHANIC, "screwed home, ring in its groove")


def _disturbed(name: str, story: Story) -> Iterator[Disturbed]:
    if story.state != State.BLOCKED_UP:  # she lay afloat all winter
        yield Disturbed(Disturbance.FROST, winter.FROST)
    if name == "Whimbrel":  # a new transducer: her openings are to be counted again
        yield Disturbed(Disturbance.HULL, datetime(2031, 5, 5, 14, 0, tzinfo=ZONE))


def _where(told: Mapping[str, Story]) -> dict[str, tuple[str, int | None]]:
    """Where each boat on land stands: mostly in the order of her day, and not always."""
    draw = pack("the yard", "rows")
    on_land = [name for name in told if told[name].in_slings is None]
    where: dict[str, tuple[str, int | None]] = {"Curlew": ("Row C", 1), "Dunlin": ("Row C", 2)}
    where |= dict.fromkeys(
        (name for name in on_land if name in ON_TRAILERS), ("Trailer line", None)
    )
    rest = [name for name in on_land if name not in where]
    rest.sort(key=lambda name: _day(told[name]) + draw.gauss(0, 2))
    rows = {**{f"Row {row}": 8 for row in "ABCD"}, "North shed": 4, "South shed": 4}
    free = [(berth, row) for berth in range(1, 9) for row, deep in rows.items() if berth <= deep]
    free = [(berth, row) for berth, row in free if (row, berth) not in where.values()]
    return where | {name: (row, berth) for name, (berth, row) in zip(rest, free, strict=True)}


def _day(story: Story) -> float:
    """The day of the year that she is meant for; one that stays stands at the back."""
    promise = story.promise
    day = promise.ink or promise.pencil or promise.wished
    return day.timetuple().tm_yday if day else 400
