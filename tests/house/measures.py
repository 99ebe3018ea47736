"""How easily a newcomer finds a thing, in numbers, beside other projects.

Run by hand: `python -m tests.house.measures [FOLDER …]`. Without folders it counts this one; a
folder is a package as it is installed, and folders named `tests` or `_vendor` are left out.
A name that stands in several modules is a public function, class or constant at the top of two
or more; not counted are those that a protocol asks of every module of a kind (PROTOCOL).
"""

from __future__ import annotations

import ast
import io
import sys
import tokenize
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from statistics import median

HOME = Path(__file__).parents[2]
PROTOCOL = {"read", "write", "run", "arguments", "main", "WORDS"}
LEFT_OUT = {"tests", "_vendor", "__pycache__"}


@dataclass(frozen=True, slots=True)
class Measures:
    """The figures of one package."""

    sizes: tuple[int, ...]
    """Lines of each file."""
    import_lines: int
    comments: int
    """Lines with a `#` comment."""
    repeated_files: float
    """Share of the files whose name another file has too, `__init__.py` not counted."""
    repeated_names: float
    """Share of the public names that stand in several modules."""

    @property
    def lines(self) -> int:
        return sum(self.sizes)


def measured(folder: Path) -> Measures:
    paths = [
        path
        for path in sorted(folder.rglob("*.py"))
        if not LEFT_OUT & set(path.relative_to(folder).parts)
    ]
    texts = [path.read_text("utf-8") for path in paths]
    trees = [ast.parse(text) for text in texts]
    files = Counter(path.name for path in paths if path.name != "__init__.py")
    names = Counter(name for tree in trees for name in public_names(tree))
    return Measures(
        tuple(len(text.splitlines()) for text in texts),
        sum(map(import_lines, trees)),
        sum(map(comments, texts)),
        sum(count for count in files.values() if count > 1) / max(1, files.total()),
        sum(count > 1 for count in names.values()) / max(1, len(names)),
    )


def import_lines(tree: ast.Module) -> int:
    return sum(
        (node.end_lineno or node.lineno) - node.lineno + 1
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
    )


def comments(text: str) -> int:
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return len({token.start[0] for token in tokens if token.type == tokenize.COMMENT})


def public_names(tree: ast.Module) -> set[str]:
    named: set[str] = set()
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            named.add(node.name)
        targets = node.targets if isinstance(node, ast.Assign) else []
        targets += [node.target] if isinstance(node, ast.AnnAssign) else []
        named |= {target.id for target in targets if isinstance(target, ast.Name)}
    return {name for name in named if not name.startswith("_")} - PROTOCOL


def table(folders: list[Path]) -> str:
    """In Markdown, a column a package."""
    found = [measured(folder) for folder in folders]
    rows = [
        ("", [folder.name for folder in folders]),
        ("files / lines", [f"{len(one.sizes)} / {one.lines / 1000:.1f}k" for one in found]),
        ("median / largest file", [f"{median(m.sizes):.0f} / {max(m.sizes)}" for m in found]),
        ("import lines", [f"{one.import_lines / one.lines:.1%}" for one in found]),
        ("`#` comments per 100 lines", [f"{100 * m.comments / m.lines:.1f}" for m in found]),
        ("file names used more than once", [f"{one.repeated_files:.0%}" for one in found]),
        ("public names in several modules", [f"{one.repeated_names:.1%}" for one in found]),
    ]
    lines = [f"| {name} | {' | '.join(cells)} |" for name, cells in rows]
    return "\n".join([lines[0], "|---" * (len(folders) + 1) + "|", *lines[1:]])


if __name__ == "__main__":
    print(table([Path(name) for name in sys.argv[1:]] or [HOME / "companion"]))  # noqa: T201
