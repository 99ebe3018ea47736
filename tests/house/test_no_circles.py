"""Nothing imports itself by a detour: neither a module nor a package.

Imports count wherever they stand: at the top, inside a function, for the type checker only.
A module that stands in a package itself (`exercise/pack.py`) may use a package inside it
(`exercise/file/`), which then may not use the module.
"""

import ast
from collections.abc import Iterable
from pathlib import Path

HOME = Path(__file__).parents[2]
MODULES = {
    ".".join(path.relative_to(HOME).with_suffix("").parts).removesuffix(".__init__")
    for path in (HOME / "companion").rglob("*.py")
}
Graph = dict[str, set[str]]


def imported(module: str) -> set[str]:
    stem = HOME / Path(*module.split("."))
    path = stem / "__init__.py" if stem.is_dir() else stem.with_suffix(".py")
    named: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            named |= {alias.name for alias in node.names}
        if isinstance(node, ast.ImportFrom) and node.module is not None:
            named |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return (named & MODULES) - {module}


def packages(modules: Graph) -> Graph:
    """The same arrows between the folders in which the modules stand."""
    graph: Graph = {}
    for module, uses in modules.items():
        graph.setdefault(package(module), set()).update(package(used) for used in uses)
    return {name: uses - {name} for name, uses in graph.items()}


def package(module: str) -> str:
    above = module.rpartition(".")[0]
    is_by_itself = above == "companion" or (HOME / Path(*module.split("."))).is_dir()
    return module if is_by_itself else above


def reached(graph: Graph, start: str) -> set[str]:
    found: set[str] = set()
    waiting = list(graph[start])
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += graph[name]
    return found


def circles(graph: Graph) -> set[frozenset[str]]:
    """Every set of names of which each reaches each other."""
    reach = {name: reached(graph, name) for name in graph}
    return {
        frozenset(other for other in reach[name] if name in reach[other])
        for name in graph
        if name in reach[name]
    }


def told(found: Iterable[frozenset[str]]) -> str:
    return "\n".join(" ↔ ".join(sorted(circle)) for circle in found)


USES = {module: imported(module) for module in MODULES}


def test_no_modules_import_each_other_in_a_circle() -> None:
    assert not (found := circles(USES)), told(found)


def test_no_packages_import_each_other_in_a_circle() -> None:
    assert not (found := circles(packages(USES))), told(found)


def test_a_circle_is_seen() -> None:
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}) == {frozenset("abc")}
