"""A sum's picture: its answer over one of its fields, with the ring at what was typed."""

from collections.abc import Callable, Mapping

from yardwright.calc.units import say
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Number, Value, within_a_sentence
from yardwright.sums.sum import Answer, Told

STEPS = 96


def swept(
    work: Callable[..., Answer], along: Number, low: float, high: float, *answers: str
) -> Callable[[Mapping[str, Value]], Drawing]:
    """A picture that lets one field run while the others stay as typed.

    Parameters
    ----------
    work : callable
        The sum's function.
    along : Number
        The field that runs.
    low, high : float
        From where to where, in its unit; what was typed is always within.
    *answers : str
        Which numbers of the answer are drawn, the main one first; all of one unit.

    Returns
    -------
    callable
        Takes the fields' values, gives the drawing; a ValueError where the sum refuses them.
    """

    def picture(values: Mapping[str, Value]) -> Drawing:
        typed = values[along.key]
        here = work(**values)
        told = [one for one in here.numbers if one.key in answers]
        asked = typed if isinstance(typed, float | int) else None
        ends = [low, high, *([] if asked is None else [asked])]
        step = (max(ends) - min(ends)) / STEPS
        xs = tuple(min(ends) + n * step for n in range(STEPS + 1))
        each = [_answer(work, {**values, along.key: x}) for x in xs]
        lines = [Line(xs, tuple(_number(one, key) for one in each)) for key in answers]
        main, *dashed = (one.label for key in answers for one in told if one.key == key)
        label = main + "".join(f", dashed: {within_a_sentence(one)}" for one in dashed)
        titles = (_title(along.label, along.unit), _title(label, told[0].unit))
        points = [] if asked is None else [(float(asked), one.value) for one in told]
        return chart("picture", lines, titles, points, _sentence(along, asked, told))

    return picture


def _sentence(along: Number, asked: float | None, told: list[Told]) -> str:
    titles = " and ".join(within_a_sentence(one.label) for one in told)
    head = f"{titles}, against {within_a_sentence(along.label)}"
    head = head[:1].upper() + head[1:]
    if asked is None:
        return f"{head}."
    at = say(asked, along.unit, 4) if along.unit else f"{asked:g}"
    return f"{head}; at {at}: {', '.join(one.words for one in told)}."


def _answer(work: Callable[..., Answer], values: Mapping[str, Value]) -> Answer | None:
    try:
        return work(**values)
    except ValueError:  # outside its range there is no line
        return None


def _number(answer: Answer | None, key: str) -> float | None:
    return (
        next((told.value for told in answer.numbers if told.key == key), None) if answer else None
    )


def _title(label: str, unit: str) -> str:
    return f"{label}, {unit}" if unit else label
