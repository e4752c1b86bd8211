"""Small changes of a module's code, each of them a mistake that a test should notice.

A change is made on the syntax tree and written out again: one operator, constant, comparison, part
of an "and" or "or", guard, or statement is another one. What changes nothing that a test could see
is left alone: docstrings, annotations, imports, decorators, and what is for the type checker only.
"""

from __future__ import annotations

import ast
import random
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from types import CodeType
from typing import Any

SHOWN = 120  # characters of the code before and after

_OTHER: dict[type[ast.AST], tuple[type[ast.AST], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.FloorDiv: (ast.Div,),
    ast.Mod: (ast.Mult,),
    ast.Pow: (ast.Mult,),
    ast.MatMult: (ast.Mult,),
    ast.BitOr: (ast.BitAnd,),
    ast.BitAnd: (ast.BitOr,),
    ast.BitXor: (ast.BitAnd,),
    ast.LShift: (ast.RShift,),
    ast.RShift: (ast.LShift,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
}
_UNSEEN = frozenset({"annotation", "returns", "decorator_list", "format_spec", "type_params"})


@dataclass(frozen=True)
class Change:
    """One change of a module.

    `function` names the function it stands in as the interpreter does, "" outside of any; `number`
    tells it from all others of the same source.
    """

    number: int
    line: int
    function: str
    sort: str
    before: str
    after: str
    _tree: ast.Module = field(repr=False, compare=False)
    _swap: _Swap = field(repr=False, compare=False)

    def source(self) -> str:
        """Return the changed module."""
        with self._made():
            return ast.unparse(self._tree)

    def code(self, path: str) -> CodeType:
        """Return the changed module compiled, as if it stood at a path."""
        with self._made():
            return compile(self._tree, path, "exec", dont_inherit=True)

    @contextmanager
    def _made(self) -> Iterator[None]:
        self._swap.site.put(self._swap.new)
        ast.fix_missing_locations(self._tree)
        try:
            yield
        finally:
            self._swap.site.put(self._swap.site.node)


def changes(source: str) -> list[Change]:
    """Return every change that there is of a module, in the order of its text."""
    tree = ast.parse(source)
    return [
        Change(number, site.node.lineno, site.function, sort, *words, tree, swap)
        for number, (site, sort, words, swap) in enumerate(_all(tree))
    ]


def drawn(every: list[Change], count: int, seed: str) -> list[Change]:
    """Draw so many changes: always the same ones, and of each sort as many as can be."""
    dice = random.Random(seed)
    by_sort: dict[str, list[Change]] = defaultdict(list)
    for change in dice.sample(every, len(every)):
        by_sort[change.sort].append(change)
    sorts = dice.sample(sorted(by_sort), len(by_sort))
    found: list[Change] = []
    while len(found) < min(count, len(every)):
        for sort in sorts:
            if by_sort[sort] and len(found) < count:
                found.append(by_sort[sort].pop())
    return found


def plain(source: str) -> str:
    """Return a module as it is written out when nothing is changed."""
    return ast.unparse(ast.parse(source))


def audible(source: str, module: str) -> str:
    """Return a module each of whose functions says that it is called (calls_heard.py)."""
    tree = ast.parse(source)
    for site in _sites(tree, ""):
        match site.node:
            case ast.FunctionDef(body=body) | ast.AsyncFunctionDef(body=body):
                name = f"{module}\t{site.within}{site.node.name}"
                body.insert(_begins(body), ast.parse(f"_hear({name!r})").body[0])
    own = _begins(tree.body)
    futures = [node for node in tree.body if _is_from(node, "__future__")]
    place = tree.body.index(futures[-1]) + 1 if futures else own
    tree.body.insert(place, ast.parse("from calls_heard import hear as _hear").body[0])
    return ast.unparse(ast.fix_missing_locations(tree))


def _begins(body: list[ast.stmt]) -> int:
    """Return the place of the first statement that is no docstring."""
    first = body[0] if body else None
    return int(isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant))


def _is_from(node: ast.stmt, module: str) -> bool:
    return isinstance(node, ast.ImportFrom) and node.module == module


@dataclass(frozen=True)
class _Site:
    """A node, what it is part of, the function it stands in, and how names begin there."""

    node: ast.expr | ast.stmt
    parent: ast.AST
    name: str
    place: int | None
    function: str
    within: str

    def put(self, node: ast.AST) -> None:
        if self.place is None:
            setattr(self.parent, self.name, node)
        else:
            getattr(self.parent, self.name)[self.place] = node


@dataclass(frozen=True)
class _Swap:
    """What stands in the place of a node while a change is made."""

    site: _Site
    new: ast.AST


_Found = tuple[_Site, str, tuple[str, str], _Swap]


def _all(tree: ast.Module) -> Iterator[_Found]:
    for site in _sites(tree, ""):
        for sort, new in _changed(site):
            yield site, sort, (_shown(site.node), _shown(new)), _Swap(site, new)


def _shown(node: ast.AST) -> str:
    first = ast.unparse(ast.fix_missing_locations(node)).partition("\n")[0]
    return first if len(first) <= SHOWN else f"{first[: SHOWN - 3]}..."


def _sites(parent: ast.AST, function: str, within: str = "") -> Iterator[_Site]:
    """Yield what may be changed below a node; `within` is how names begin that are made there."""
    for name, value in [*ast.iter_fields(parent)]:
        if name in _UNSEEN:
            continue
        for place, node in [*enumerate(value)] if isinstance(value, list) else [(None, value)]:
            if not isinstance(node, ast.AST) or _for_nobody(node):
                continue
            if isinstance(node, ast.expr | ast.stmt):
                yield _Site(node, parent, name, place, function, within)
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                own = within + node.name
                yield from _sites(node, own, f"{own}.<locals>.")
            elif isinstance(node, ast.ClassDef):
                yield from _sites(node, function, f"{within}{node.name}.")
            else:
                yield from _sites(node, function, within)


def _for_nobody(node: ast.AST) -> bool:
    """Say whether nothing in here does anything while the program runs."""
    match node:
        case ast.Import() | ast.ImportFrom() | ast.Assert() | ast.Pass():
            return True
        case ast.Expr():
            return isinstance(node.value, ast.Constant)  # a docstring
        case ast.If():
            return ast.unparse(node.test).endswith("TYPE_CHECKING")
        case ast.AnnAssign():
            return ast.unparse(node.annotation).endswith("TypeAlias")
        case ast.Assign():
            return ast.unparse(node.targets[0]) == "__all__"
    return False


def _changed(site: _Site) -> Iterator[tuple[str, ast.AST]]:
    """Yield the sort of each change of a node, and what stands in its place then."""
    if _decides(site):
        yield from (("guard", ast.Constant(value)) for value in _decided(site.parent))
    if isinstance(site.node, ast.stmt):
        yield from _statements(site.node)
    else:
        yield from _expressions(site.node)


def _expressions(node: ast.expr) -> Iterator[tuple[str, ast.AST]]:
    match node:
        case ast.Compare(left, operators, right):
            for place, operator in enumerate(operators):
                for other in _others(operator):
                    swapped = [*operators[:place], other, *operators[place + 1 :]]
                    yield "comparison", ast.Compare(left, swapped, right)
        case ast.BinOp(left, operator, right):
            yield from (("operator", ast.BinOp(left, o, right)) for o in _others(operator))
        case ast.BoolOp(operator, values):
            yield from (("and/or", ast.BoolOp(o, values)) for o in _others(operator))
            for place in range(len(values)):
                rest = [*values[:place], *values[place + 1 :]]
                yield "and/or", rest[0] if len(rest) == 1 else ast.BoolOp(operator, rest)
        case ast.UnaryOp(ast.Not() | ast.USub(), operand):
            yield "operator", operand
        case ast.Constant(value):
            yield from _constants(value)


def _statements(node: ast.stmt) -> Iterator[tuple[str, ast.AST]]:
    if isinstance(node, ast.AugAssign):
        for other in _others(node.op):
            yield "operator", ast.AugAssign(node.target, other, node.value)
    if _can_go(node):
        yield "statement", ast.Pass()
    if isinstance(node, ast.Return) and node.value and ast.unparse(node.value) != "None":
        yield "statement", ast.Return(ast.Constant(None))


def _decides(site: _Site) -> bool:
    """Say whether the program goes one way or another by this expression."""
    return site.name in ("test", "ifs") and not isinstance(site.node, ast.Constant)


def _decided(parent: ast.AST) -> tuple[bool, ...]:
    """Return what is decided for good by a change: a loop without end would only cost time."""
    if isinstance(parent, ast.comprehension):
        return (True,)
    return (False,) if isinstance(parent, ast.While) else (True, False)


def _others(operator: ast.AST) -> list[Any]:
    return [other() for other in _OTHER.get(type(operator), ())]


def _constants(value: object) -> Iterator[tuple[str, ast.AST]]:
    match value:
        case bool():
            yield "constant", ast.Constant(not value)
        case int():
            yield "constant", ast.Constant(value + 1)
        case float():
            yield "constant", ast.Constant(value * 1.01 or 1.0)
            yield "constant", ast.Constant(value * 2 or -1.0)
        case str():
            yield "text", ast.Constant(value + "X")
        case bytes():
            yield "text", ast.Constant(value + b"X")


def _can_go(node: ast.stmt) -> bool:
    """Say whether the module still makes sense without a statement: no name is missing then."""
    match node:
        case ast.Expr() | ast.AugAssign() | ast.Raise() | ast.Delete():
            return True
        case ast.Continue() | ast.Break():
            return True
        case ast.Assign(targets=[ast.Attribute() | ast.Subscript()]):
            return True
        case ast.Assign(targets=[ast.Name(name)], value=value):
            return any(isinstance(n, ast.Name) and n.id == name for n in ast.walk(value))
    return False
