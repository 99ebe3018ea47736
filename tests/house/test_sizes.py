"""The house keeps its rooms small: a file is one thing, a function a paragraph."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

HOME = Path(__file__).parents[2]
SOURCES = sorted((HOME / "companion").rglob("*.py"))
EVERYTHING = (
    SOURCES + sorted((HOME / "tests").rglob("*.py")) + sorted((HOME / "assets").rglob("*.py"))
)

LINES_A_FILE = 400
LINES_A_FUNCTION = 40
LINES_A_CLASS = 250
EXCEPTIONS: dict[str, str] = {}
"""Path → the reason it may be longer."""

DRAWERS = {"utils", "util", "helpers", "helper", "manager", "common", "misc", "base", "core"}


def named(paths: list[Path]) -> Iterator[object]:
    for path in paths:
        yield pytest.param(path, id=str(path.relative_to(HOME)))


@pytest.mark.parametrize("path", named(EVERYTHING))
def test_a_file_is_one_thing(path: Path) -> None:
    lines = len(path.read_text("utf-8").splitlines())
    assert lines <= LINES_A_FILE or str(path.relative_to(HOME)) in EXCEPTIONS


@pytest.mark.parametrize("path", named(SOURCES))
def test_a_function_is_a_paragraph_and_a_class_a_page(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert length(node) <= LINES_A_FUNCTION, node.name
        if isinstance(node, ast.ClassDef):
            assert length(node) <= LINES_A_CLASS, node.name


def length(node: ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) -> int:
    assert node.end_lineno is not None
    return node.end_lineno - node.lineno + 1


def test_there_is_no_drawer_into_which_everything_goes() -> None:
    assert not {path.stem for path in EVERYTHING} & DRAWERS


def test_the_top_level_holds_what_was_agreed() -> None:
    agreed = {
        *("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"),
        *("companion", "tests", "exercises", "assets"),
    }
    made_by_tools = {"build", "dist", "__pycache__", "snapshot_report.html"}
    there = {path.name for path in HOME.iterdir() if not path.name.startswith(".")}
    assert there - made_by_tools <= agreed
