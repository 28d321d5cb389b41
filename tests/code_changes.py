"""Small changes of a source, each alone: what a mutation run tries."""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

#: a comparison -> what it becomes: the opposite, and the same with its bound on the other side
COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.GtE, ast.LtE), ast.LtE: (ast.Gt, ast.Lt), ast.Gt: (ast.LtE, ast.GtE), ast.GtE: (ast.Lt, ast.Gt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,), ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}  # fmt: skip
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One change of a file: ``new`` in place of the bytes from ``start`` to ``end``; ``what`` in words."""

    path: Path
    line: int
    column: int
    start: int
    end: int
    new: str
    what: str

    def made(self, source: bytes) -> bytes:
        """The source with the change."""
        return source[: self.start] + self.new.encode() + source[self.end :]


def changes(path: Path, source: str) -> Iterator[Change]:
    """Every change of a source, in the order of its text.

    Annotations and texts are left alone, and so is what is asserted, `strict` of a zip too, or imported
    for the type checker.
    """
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line.encode()))
    tree = ast.parse(source)
    for node in sorted(_expressions(tree), key=lambda n: (n.lineno, n.col_offset, n.end_col_offset or 0)):
        for new in _changed(node):
            assert node.end_lineno is not None and node.end_col_offset is not None
            start, end = (
                starts[node.lineno - 1] + node.col_offset,
                starts[node.end_lineno - 1] + node.end_col_offset,
            )
            text = f"({ast.unparse(new)})"
            yield Change(
                path,
                node.lineno,
                node.col_offset + 1,
                start,
                end,
                text,
                f"{ast.unparse(node)} -> {text[1:-1]}",
            )


def _expressions(node: ast.AST) -> Iterator[ast.expr]:
    left_out = {ast.AnnAssign: "annotation", ast.arg: "annotation", ast.FunctionDef: "returns"}
    for name, value in ast.iter_fields(node):
        if name == left_out.get(type(node)) or isinstance(node, ast.JoinedStr | ast.pattern):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.keyword) and child.arg == "strict":
                continue  # that two lengths agree, as an assertion
            if isinstance(child, ast.AST) and not isinstance(child, ast.Assert):
                if isinstance(child, ast.expr):
                    yield child
                # the branch is dropped
                if isinstance(node, ast.If) and child is node.test and not _for_types(child):
                    yield ast.copy_location(ast.Expr(child), child)  # type: ignore[misc]
                yield from _expressions(child)


def _for_types(test: ast.AST) -> bool:
    """Whether a branch is the type checker's alone."""
    return isinstance(test, ast.Name) and test.id == "TYPE_CHECKING"


def _changed(node: ast.AST) -> Iterator[ast.expr]:
    made = copy.deepcopy(node)
    match made:
        case ast.Expr():
            yield ast.Constant(False)
        case ast.Compare(ops=[op]):
            for other in COMPARED[type(op)]:
                made.ops = [other()]
                yield copy.deepcopy(made)
        case ast.BoolOp(op=op):
            made.op = ast.And() if isinstance(op, ast.Or) else ast.Or()
            yield made
        case ast.BinOp(op=op) if type(op) in ARITHMETIC:
            made.op = ARITHMETIC[type(op)]()
            yield made
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield operand
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value) | float(value)):
            yield ast.Constant(value + 1)
