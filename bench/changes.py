"""Where a module can be broken: each place, what stands there, and what is put instead.

Left alone are texts, type hints, decorators, imports, and all that a ``raise`` says.
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import singledispatch

OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div, ast.Mod: ast.Mult, ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}  # fmt: skip
COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
}  # fmt: skip
INSTEAD = {"min": "max", "max": "min", "any": "all", "all": "any"}
SHAPES = {"abs", "sqrt", "exp", "log", "log10", "sin", "cos", "tan", "radians", "degrees"}
SHAPES |= {"round", "ceil", "floor", "sorted", "reversed", "fabs", "hypot"}
TYPES = {"bool", "int", "float", "str"}
ALONE = {"annotation", "returns", "decorator_list", "bases", "format_spec", "type_params"}
DECIDED = (ast.Compare, ast.BoolOp, ast.UnaryOp, ast.Constant)  # broken in their own way


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """One place in a tree, and the node to put there."""

    parent: ast.AST
    field: str
    index: int | None
    was: ast.AST
    now: ast.AST

    def make(self) -> None:
        """Put it there."""
        now = ast.copy_location(self.now, self.was)
        if self.index is None:
            setattr(self.parent, self.field, now)
        else:
            getattr(self.parent, self.field)[self.index] = now

    @property
    def lines(self) -> range:
        """The lines of what is changed."""
        return range(self.was.lineno, (self.was.end_lineno or self.was.lineno) + 1)  # type: ignore[attr-defined]

    def __str__(self) -> str:
        was, now = (" ".join(ast.unparse(node).split()) for node in (self.was, self.now))
        return f"{self.lines[0]}  {was[:90]}  ->  {now[:90]}"


def changes(parent: ast.AST) -> Iterator[Change]:
    """Every change to a tree, from top to bottom."""
    for field, value in ast.iter_fields(parent):
        if field in ALONE:
            continue
        nodes = enumerate(value) if isinstance(value, list) else [(None, value)]
        for index, node in nodes:
            if isinstance(node, ast.expr | ast.stmt):
                for now in (*_decided(node, field), *instead(node)):
                    yield Change(parent, field, index, node, now)
            if isinstance(node, ast.AST) and not isinstance(node, ast.Raise):
                yield from changes(node)


def _decided(node: ast.AST, field: str) -> Iterator[ast.AST]:
    """The other way round, where something is decided by a plain name or call."""
    if field in ("test", "ifs") and isinstance(node, ast.expr) and not isinstance(node, DECIDED):
        yield ast.UnaryOp(ast.Not(), node)


@singledispatch
def instead(_: ast.AST) -> Iterator[ast.AST]:
    """What may stand in a node's place, and should be noticed."""
    yield from ()


@instead.register
def _(node: ast.BinOp) -> Iterator[ast.AST]:
    """Without a factor or a term, and the other operator."""
    if not (_no_number(node.left) or _no_number(node.right)):
        yield from (node.left, node.right)
        if type(node.op) in OPERATORS:
            yield ast.BinOp(node.left, OPERATORS[type(node.op)](), node.right)


@instead.register
def _(node: ast.AugAssign) -> Iterator[ast.AST]:
    if not _no_number(node.value):
        if type(node.op) in OPERATORS:
            yield ast.AugAssign(node.target, OPERATORS[type(node.op)](), node.value)
        yield ast.Pass()


@instead.register
def _(node: ast.Compare) -> Iterator[ast.AST]:
    """Each bound moved to its other side, and turned round."""
    for place, op in enumerate(node.ops):
        for other in COMPARED[type(op)]:
            ops = [*node.ops[:place], other(), *node.ops[place + 1 :]]
            yield ast.Compare(node.left, ops, node.comparators)


@instead.register
def _(node: ast.BoolOp) -> Iterator[ast.AST]:
    """Without one of the conditions, and *and* for *or*."""
    for place in range(len(node.values)):
        rest = [*node.values[:place], *node.values[place + 1 :]]
        yield rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest)
    yield ast.BoolOp(ast.And() if isinstance(node.op, ast.Or) else ast.Or(), node.values)


@instead.register
def _(node: ast.UnaryOp) -> Iterator[ast.AST]:
    if isinstance(node.op, ast.Not | ast.USub):
        yield node.operand


@instead.register
def _(node: ast.IfExp) -> Iterator[ast.AST]:
    yield from (node.body, node.orelse)


@instead.register
def _(node: ast.Constant) -> Iterator[ast.AST]:
    """A number a little more and a little less."""
    value = node.value
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int):
        step = max(1, abs(value) // 10)
        yield from (ast.Constant(value + step), ast.Constant(value - step))
    elif isinstance(value, float):
        more, less = (value * 1.1, value / 1.1) if value else (0.1, -0.1)
        yield from (ast.Constant(more), ast.Constant(less))


@instead.register
def _(node: ast.Call) -> Iterator[ast.AST]:
    """Most for least, all for any; a number or list as it came; without what a list is sorted by."""
    name = getattr(node.func, "id", "") or getattr(node.func, "attr", "")
    if name in INSTEAD and isinstance(node.func, ast.Name):
        yield ast.Call(ast.Name(INSTEAD[name], ast.Load()), node.args, node.keywords)
    if name in SHAPES and node.args:
        yield node.args[0]
    for place, keyword in enumerate(node.keywords):
        if keyword.arg in ("key", "reverse"):
            rest = [*node.keywords[:place], *node.keywords[place + 1 :]]
            yield ast.Call(node.func, node.args, rest)


@instead.register
def _(node: ast.Return) -> Iterator[ast.AST]:
    if node.value and not (isinstance(node.value, ast.Constant) and node.value.value is None):
        yield ast.Return(ast.Constant(None))


@instead.register(ast.Break)
@instead.register(ast.Continue)
@instead.register(ast.Raise)
def _(_: ast.stmt) -> Iterator[ast.AST]:
    yield ast.Pass()


@instead.register
def _(node: ast.Expr) -> Iterator[ast.AST]:
    """A check or an answer left out."""
    if isinstance(node.value, ast.Call | ast.Yield | ast.YieldFrom):
        yield ast.Pass()


def _no_number(node: ast.AST) -> bool:
    """A text, or a type: ``bool | float`` computes nothing."""
    return (
        isinstance(node, ast.JoinedStr)
        or (isinstance(node, ast.Constant) and isinstance(node.value, str | None))
        or (isinstance(node, ast.Name) and node.id in TYPES)
    )
