"""The licences of what is installed with companion and with its extras, as they tell it themselves.

`python -m tests.house.licences` prints the table of DEVELOPERS.md; extras that are not installed
are missing from it.
"""

import sys
import tomllib
from collections.abc import Iterable, Iterator
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

PYPROJECT = Path(__file__).parents[2] / "pyproject.toml"
EXTRAS = ("simpleaudio", "soundfont", "midi")
NOT_SAID = "not said in its metadata"


def libraries() -> dict[str, str]:
    """The licence of each library that is installed, by its name."""
    project = tomllib.loads(PYPROJECT.read_text("utf-8"))["project"]
    asked = [*project["dependencies"]]
    for extra in EXTRAS:
        asked += project["optional-dependencies"][extra]
    waiting = list(needed(asked))
    found: dict[str, str] = {}
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        try:
            library = distribution(name)
        except PackageNotFoundError:
            continue
        found[name] = licence(library)
        waiting += needed(library.requires or [])
    return found


def table() -> str:
    """A row for each licence, with the libraries that say they are under it."""
    by_licence: dict[str, list[str]] = {}
    for name, told in sorted(libraries().items()):
        by_licence.setdefault(told, []).append(name)
    return "\n".join(f"| {told} | {', '.join(by_licence[told])} |" for told in sorted(by_licence))


def needed(requirements: Iterable[str]) -> Iterator[str]:
    """Names of what is asked for on this computer, without extras."""
    for asked in map(Requirement, requirements):
        if asked.marker is None or asked.marker.evaluate({"extra": ""}):
            yield canonicalize_name(asked.name)


def licence(library: Distribution) -> str:
    """Its expression; else the words it gives, if they are a name and no text; else its class."""
    told = library.metadata
    words = str(told["License"]) if "License" in told else ""
    classes = [one for one in told.get_all("Classifier") or [] if one.startswith("License ::")]
    if "License-Expression" in told:
        return str(told["License-Expression"])
    if words and len(words.splitlines()) == 1 and len(words) < 30:
        return words.removesuffix(" License")
    return classes[0].rpartition(" :: ")[2].removesuffix(" License") if classes else NOT_SAID


if __name__ == "__main__":
    sys.stdout.write(table() + "\n")
