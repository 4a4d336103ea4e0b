"""Who imports whom, read from the source with ast: nothing is imported to find out."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import moldvol

PACKAGE = Path(moldvol.__file__).parent


@cache
def modules() -> dict[str, Path]:
    """The file of each of our modules by its dotted name."""
    return {_dotted(path): path for path in sorted(PACKAGE.rglob("*.py"))}


def _dotted(path: Path) -> str:
    parts = ("moldvol", *path.relative_to(PACKAGE).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def tree_of(module: str) -> ast.Module:
    return ast.parse(modules()[module].read_text(encoding="utf-8"))


def room_of(module: str) -> str:
    """``geometry`` for ``moldvol.geometry.soundness.rims``; the module's own name for what stands on the floor."""
    pieces = module.split(".")
    return pieces[1] if len(pieces) > 1 else ""


def all_imports(module: str) -> set[str]:
    """Every module named in an import statement of *module*, wherever it stands, ours resolved to modules."""
    return set(_named(ast.walk(tree_of(module)), module))


def loading_imports(module: str) -> set[str]:
    """What importing *module* imports at once: no imports in functions, none for the type checker alone."""
    return set(_named(_run_on_import(tree_of(module).body), module))


def _run_on_import(body: list[ast.stmt]) -> Iterator[ast.AST]:
    for statement in body:
        if isinstance(statement, ast.If) and "TYPE_CHECKING" in ast.dump(statement.test):
            continue
        if isinstance(statement, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        yield statement
        for field in ("body", "orelse", "finalbody"):
            yield from _run_on_import(getattr(statement, field, []))


def _named(nodes: Iterator[ast.AST], importer: str) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = _base(node, importer)
            for alias in node.names:
                inside = f"{base}.{alias.name}"
                yield inside if inside in modules() else base


def _base(node: ast.ImportFrom, importer: str) -> str:
    if not node.level:
        return node.module or ""
    package = importer.split(".") if modules()[importer].name == "__init__.py" else importer.split(".")[:-1]
    up = package[: len(package) - node.level + 1]
    return ".".join([*up, *([node.module] if node.module else [])])
