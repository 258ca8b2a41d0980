"""The water's way: from the sea through each barrier to the bilge, and how far water can come."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from yardwright.papers.drawing import (
    BLUE,
    INK,
    PAPER,
    SOFT,
    Drawing,
    hatch,
    svg,
    text,
    text_over,
    text_width,
    wrapped,
)

SIZE, SMALL, LINE = 15.0, 13.0, 17.0
BAR, STEP, GATE = 8.0, 30.0, 14.0
NARROWEST = 300.0


@dataclass(frozen=True, slots=True)
class Gate:
    """One barrier between two places.

    ``passes`` says whether water gets by: None is *not known*. ``word`` is the state as the page
    says it, ``because`` the proof and when it lapses, a line each.
    """

    name: str
    outside: str
    inside: str
    word: str
    passes: bool | None
    because: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.outside == self.inside:
            raise ValueError(f"{self.name} joins {self.inside} to itself; name both its sides.")

    @property
    def lines(self) -> tuple[str, ...]:
        """The state with its proof, then when that lapses: the same words in a list."""
        first, *others = self.because or ("",)
        said = first.startswith(self.word)
        return (first if said else f"{self.word}: {first}" if first else self.word, *others)


@dataclass(frozen=True, slots=True)
class _Row:
    """A gate in its place: where its water comes from and goes to, and how far in that is.

    ``opens_space`` says that the gates of the space behind it hang below it.
    """

    gate: Gate
    here: str
    beyond: str
    depth: int
    lines: tuple[str, ...]
    opens_space: bool

    @property
    def height(self) -> float:
        return LINE * (1 + len(self.lines)) + 30


@dataclass(frozen=True, slots=True)
class _Frame:
    """What all rows of a drawing share."""

    sources: tuple[str, ...]
    goals: tuple[str, ...]  # the first has its bar on the right
    width: float
    water: Mapping[str, bool]  # places where water is: True for certain, False perhaps

    @property
    def goal(self) -> str:
        return self.goals[0]

    @property
    def right(self) -> float:
        return self.width - BAR

    def x(self, depth: int) -> float:
        return BAR / 2 + STEP * depth


def reach(gates: Iterable[Gate], sources: Sequence[str], goals: Sequence[str]) -> dict[str, bool]:
    """How far water comes.

    Parameters
    ----------
    gates : iterable of Gate
        All barriers; water passes both ways.
    sources, goals : sequence of str
        Where it comes from, and where it stays.

    Returns
    -------
    dict of str to bool
        Each place that it can reach: True by gates that surely pass, False by some not known.
    """
    gates = list(gates)
    certain = _joined([g for g in gates if g.passes], sources, goals)
    perhaps = _joined([g for g in gates if g.passes is not False], sources, goals)
    return {place: place in certain for place in perhaps}


def _joined(gates: Sequence[Gate], sources: Sequence[str], goals: Sequence[str]) -> set[str]:
    there = set(sources)
    while True:
        more = {
            end
            for gate in gates
            for one, end in ((gate.outside, gate.inside), (gate.inside, gate.outside))
            if one in there and one not in goals
        } - there
        if not more:
            return there
        there |= more


def ways_in_drawing(
    ident: str,
    gates: Sequence[Gate],
    *,
    sources: tuple[str, ...] = ("sea", "rain"),
    goals: tuple[str, ...] = ("bilge", "cylinders"),
    width: float = 560,
    sentence: str = "",
) -> Drawing:
    """Draw every barrier between the water and the bilge, the water's way heavier.

    Parameters
    ----------
    ident : str
        Name of this drawing, its own on the page.
    gates : sequence of Gate
        Her barriers, in the order of the walk round her.
    sources : tuple of str
        Places where water is, drawn as bars on the left.
    goals : tuple of str
        Where the water stays: the first is the bar on the right, another is written at its pipe.
    width : float
        Width in px at which the letters have their true size: 560 for a desk, 340 for a phone.
    sentence : str
        The drawing in words; empty: how many barriers stand how, and where water gets to.

    Returns
    -------
    Drawing
        A gate is solid where it keeps water out, two posts apart where it stands open, hatched
        where it is not known. Heavy blue is where water surely comes, heavy dashes where it may.

    Raises
    ------
    ValueError
        Too narrow for its words.
    """
    if width < NARROWEST:
        raise ValueError(f"{width:g} px is too narrow for the words; give {NARROWEST:g} or more.")
    frame = _Frame(sources, goals, width, reach(gates, sources, goals))
    body, y = [], 0.0
    for root, rows in _trees(gates, frame):
        part, y = _tree(root, rows, y, frame)
        body.append(part)
    sentence = sentence or _sentence(gates, frame)
    return Drawing(svg(ident, width, max(y, 1), sentence, "img", "".join(body)), sentence)


def in_parts(
    gates: Sequence[Gate],
    most: int,
    ends: Sequence[str] = ("sea", "rain", "bilge", "cylinders"),
) -> list[tuple[Gate, ...]]:
    """The gates in parts of so many at most, for paper: what shares a space stays together.

    Parameters
    ----------
    gates : sequence of Gate
        All of one drawing.
    most : int
        Gates a part; more where that many hang together.
    ends : sequence of str
        Places that many gates share without hanging together.
    """
    groups: list[list[Gate]] = []
    for gate in gates:
        spaces = {gate.outside, gate.inside} - set(ends)
        own = [g for g in groups if any(spaces & {o.outside, o.inside} for o in g)]
        groups = [g for g in groups if g not in own]
        groups.append([other for g in own for other in g] + [gate])
    groups.sort(key=lambda group: gates.index(group[0]))
    parts: list[tuple[Gate, ...]] = []
    for group in groups:
        if parts and len(parts[-1]) + len(group) <= most:
            parts[-1] = (*parts[-1], *group)
        else:
            parts.append(tuple(group))
    return parts


# --- what hangs on what -------------------------------------------------------


def _trees(gates: Sequence[Gate], frame: _Frame) -> Iterator[tuple[str, list[_Row]]]:
    """Each source with its gates, each space under the gate that leads to it; then what is left."""
    left = list(gates)
    roots = [*frame.sources, *(g.outside for g in gates)]
    seen = {*frame.goals, *frame.sources}
    for root in roots:
        if rows := list(_rows(root, 0, left, seen, frame)):
            yield root, rows


def _rows(
    place: str, depth: int, left: list[Gate], seen: set[str], frame: _Frame
) -> Iterator[_Row]:
    seen.add(place)
    for gate in [g for g in left if place in (g.outside, g.inside)]:
        if gate not in left:
            continue
        left.remove(gate)
        beyond = gate.inside if gate.outside == place else gate.outside
        goes_on = any(beyond in (g.outside, g.inside) for g in left)
        opens_space = goes_on and beyond not in seen
        yield _Row(gate, place, beyond, depth, _lines(gate, depth, frame), opens_space)
        if opens_space:
            yield from _rows(beyond, depth + 1, left, seen, frame)


def _lines(gate: Gate, depth: int, frame: _Frame) -> tuple[str, ...]:
    room = frame.right - _text_x(depth, frame) - 8
    return tuple(line for part in gate.lines for line in wrapped(part, SMALL, room))


def _text_x(depth: int, frame: _Frame) -> float:
    return frame.x(depth) + 14


# --- drawing ------------------------------------------------------------------


def _tree(root: str, rows: list[_Row], y: float, frame: _Frame) -> tuple[str, float]:
    """One source: its bar on the left, the goal's on the right, its gates between."""
    y += LINE + 2
    head = text(0, y, root.capitalize(), 'font-weight="700"')
    ends = any(row.beyond == frame.goal for row in rows)
    if ends:
        head += text(frame.width, y, frame.goal.capitalize(), 'font-weight="700" text-anchor="end"')
    top = y + 6
    parts, pipes, y = [], [], top
    for row in rows:
        parts.append(_words(row, y, frame))
        y += row.height
        pipes.append((row, y - 15))
    bars = _bar(0, top, y, frame.water.get(root))
    if ends:
        bars += _bar(frame.right, top, y, frame.water.get(frame.goal))
    return (
        head
        + bars
        + _spaces(pipes, frame)
        + "".join(_pipe(*p, frame) for p in pipes)
        + "".join(parts),
        y + 8,
    )


def _bar(x: float, top: float, bottom: float, water: bool | None) -> str:
    fill = {True: f'fill="{BLUE}"', False: f'fill="{PAPER}" stroke="{BLUE}" stroke-dasharray="4 3"'}
    look = fill.get(bool(water)) if water is not None else f'fill="{PAPER}" stroke="{INK}"'
    return f'<rect x="{x + 0.75:.1f}" y="{top:.1f}" width="{BAR - 1.5}" height="{bottom - top:.1f}" {look}/>'


def _words(row: _Row, y: float, frame: _Frame) -> str:
    x = _text_x(row.depth, frame)
    lines = [text(x, y + LINE, row.gate.name, 'font-weight="700"')]
    lines += [
        text(x, y + LINE * (n + 2), line, f'font-size="{SMALL:g}" fill="{SOFT}"')
        for n, line in enumerate(row.lines)
    ]
    return "".join(lines)


def _spaces(pipes: Sequence[tuple[_Row, float]], frame: _Frame) -> str:
    """The upright of each space: from the gate that leads to it down to its last gate."""
    drawn = []
    for place, (row, y) in enumerate(pipes):
        behind = [at for other, at in pipes[place + 1 :] if other.here == row.beyond]
        if row.opens_space and behind:
            path = f"M{frame.x(row.depth + 1):.1f} {y:.1f}V{behind[-1]:.1f}"
            drawn.append(_line(path, frame.water.get(row.beyond)))
    return "".join(drawn)


def _line(path: str, water: bool | None) -> str:
    look = {
        True: f'stroke="{BLUE}" stroke-width="5"',
        False: f'stroke="{BLUE}" stroke-width="4" stroke-dasharray="7 4"',
        None: f'stroke="{INK}" stroke-width="1.5"',
    }[water]
    return f'<path d="{path}" fill="none" {look}/>'


def _pipe(row: _Row, y: float, frame: _Frame) -> str:
    """From the place outside to the gate, and on to where it leads."""
    gate, x = row.gate, frame.x(row.depth)
    at = x + (STEP if row.opens_space else STEP + 8) / 2
    end = frame.x(row.depth + 1) if row.opens_space else frame.right
    before = frame.water.get(row.here)
    after = None if before is None or gate.passes is False else (before and gate.passes is True)
    label = ""
    if not row.opens_space and row.beyond != frame.goal:
        end -= text_width(row.beyond, SMALL) + 12
        label = text_over(end + 6, y + 4, row.beyond, f'font-size="{SMALL:g}" font-weight="700"')
    return (
        _line(f"M{x:.1f} {y:.1f}H{at:.1f}", before)
        + _line(f"M{at:.1f} {y:.1f}H{end:.1f}", after)
        + label
        + _gate(at - GATE / 2, y - GATE / 2, gate.passes)
    )


def _gate(x: float, y: float, passes: bool | None) -> str:
    box = f"M{x:.1f} {y:.1f}h{GATE:g}v{GATE:g}h{-GATE:g}z"
    if passes:  # two posts apart, and water between
        posts = f"M{x:.1f} {y - 2:.1f}v5h{GATE:g}v-5M{x:.1f} {y + GATE + 2:.1f}v-5h{GATE:g}v5"
        return f'<path d="{posts}" fill="none" stroke="{INK}" stroke-width="2.5"/>'
    if passes is None:
        lines = hatch(x, y, GATE, GATE, 5)
        return f'<path d="{box}" fill="{PAPER}"/><path d="{box}{lines}" fill="none" stroke="{INK}" stroke-width="1.5"/>'
    return f'<path d="{box}" fill="{INK}"/>'


# --- in words -----------------------------------------------------------------


def _sentence(gates: Sequence[Gate], frame: _Frame) -> str:
    if not gates:
        return "No way in is listed."
    counts = Counter(gate.word for gate in gates)
    many = ", ".join(f"{word} {count}" for word, count in counts.items())
    barriers = "1 barrier" if len(gates) == 1 else f"{len(gates)} barriers"
    return f"{barriers}: {many}. {_comes(frame)}"


def _comes(frame: _Frame) -> str:
    there = [goal for goal in frame.goals if frame.water.get(goal)]
    perhaps = [goal for goal in frame.goals if frame.water.get(goal) is False]
    says = [f"Water gets to the {' and the '.join(there)}."] if there else []
    says += [f"Water may get to the {' and the '.join(perhaps)}."] if perhaps else []
    return " ".join(says) or f"Water does not get to the {frame.goal} by any of them."
