"""Which package uses which, drawn for DEVELOPERS.md from the imports: a line for each package.

`python -m tests.house.package_drawing` prints it, to be put there if the test says it is old.
`errors` and `files` are left out: everything may use them, and they use nothing.
"""

import sys
import tomllib
from pathlib import Path

from tests.house.test_no_circles import USES

HOME = Path(__file__).parents[2]


def layers() -> list[str]:
    """The packages in the order of import-linter's contract, from the bottom up."""
    settings = tomllib.loads((HOME / "pyproject.toml").read_text("utf-8"))
    rows = settings["tool"]["importlinter"]["contracts"][0]["layers"]
    return [name for row in reversed(rows) for name in row.split(" | ")]


def drawing() -> str:
    """A line for each package: its name, an arrow, what its modules import."""
    order = layers()
    uses: dict[str, set[str]] = {name: set() for name in order}
    for module, imported in USES.items():
        name = top(module)
        if name in uses:
            uses[name] |= {top(used) for used in imported} - {name}
    wide = max(map(len, order))
    lines = [
        f"    {name:{wide}} → {' '.join(one for one in order if one in used)}"
        if (used := uses[name]) & set(order)
        else f"    {name}"
        for name in order
    ]
    return "\n".join(lines)


def top(module: str) -> str:
    """The package a module stands in; "" for companion itself."""
    return module.split(".")[1] if "." in module else ""


if __name__ == "__main__":
    sys.stdout.write(drawing() + "\n")
