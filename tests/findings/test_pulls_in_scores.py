"""What is found in real scores is what stands in them: chorales, which must be almost free of
pulls, and quartets, whose passages were looked up by eye (`chorales.toml`, `quartets.toml`)."""

import tomllib
from collections.abc import Iterator
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from companion.findings.conflicts import conflicts_of
from companion.findings.displacement import displacements
from companion.findings.grouping import groupings
from companion.findings.hemiola import hemiolas
from companion.findings.periods import periods_of
from companion.findings.polymeter import polymeters
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.readers.opening import read_score
from companion.score.texture import Texture, texture_of

SPEC = find_spec("music21")
assert SPEC is not None and SPEC.origin is not None
CORPUS = Path(SPEC.origin).parent / "corpus"
HERE = Path(__file__).parent


def table(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


@lru_cache(maxsize=1)
def chorales() -> tuple[tuple[str, Clock, Texture], ...]:
    """Every one, laid, with at least four parts."""
    return tuple(_chorales())


def _chorales() -> Iterator[tuple[str, Clock, Texture]]:
    for path in sorted((CORPUS / "bach").glob("bwv*.mxl")):
        score = read_score(path).score
        if len(score.parts) >= 4:
            clock = lay(score)
            yield path.name, clock, texture_of(clock)


def meters(texture: Texture) -> set[str]:
    return {str(meter) for stream in texture.streams for meter in stream.own_meters}


def test_chorales_in_common_time_pull_nowhere() -> None:
    common = [(name, clock) for name, clock, texture in chorales() if meters(texture) == {"4/4"}]
    assert len(common) > 300
    assert [name for name, clock in common if conflicts_of(clock)] == []


def test_chorales_have_no_periods_but_those_listed() -> None:
    listed = {
        (row["file"], row["what"], *row["bars"], *row["parts"])
        for row in table("chorales.toml")["found"]
    }
    found: set[tuple[Any, ...]] = set()
    for name, _, texture in chorales():
        found |= {(name, "grouping", g.first, g.last, *g.parts) for g in groupings(texture)}
        found |= {(name, "hemiola", h.first, h.last, *h.parts) for h in hemiolas(texture)}
        found |= {(name, "displacement", d.first, d.last, *d.parts) for d in displacements(texture)}
        assert polymeters(texture) == ()
    assert found == listed


@pytest.mark.parametrize("row", table("quartets.toml")["file"], ids=lambda row: row["path"])
def test_quartets_have_the_pulls_that_were_looked_up(row: dict[str, Any]) -> None:
    texture = texture_of(lay(read_score(CORPUS / row["path"]).score))
    of_bars = {(h.first, h.last, h.parts, h.against) for h in hemiolas(texture)}
    of_groups = {(g.first, g.last, g.parts, g.ratio) for g in groupings(texture)}
    known = {(*one["bars"], tuple(one["parts"]), tuple(one["against"])) for one in row["hemiolas"]}
    groups = {(*one["bars"], tuple(one["parts"]), tuple(one["ratio"])) for one in row["groupings"]}
    assert known <= of_bars and groups <= of_groups
    if row["whole"]:
        assert (known, groups) == (of_bars, of_groups)


@pytest.mark.parametrize("path", list(table("read_in_the_notes.toml")))
def test_what_was_drawn_at_random_and_read_in_the_notes_is_found(path: str) -> None:
    clock = lay(read_score(CORPUS / path).score)
    found = [
        (one.kind, one.first, one.last, one.parts, str(one.length), one.evidence)
        for one in periods_of(clock, conflicts_of(clock))
    ]
    for row in table("read_in_the_notes.toml")[path]["found"]:
        facts = (row["kind"], *row["bars"], tuple(row["parts"]), row["length"], tuple(row["by"]))
        assert facts in found
