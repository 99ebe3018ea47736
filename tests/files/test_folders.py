from __future__ import annotations

import sys
from pathlib import Path

import pytest

from companion.files.folders import folders


def test_the_folder_the_player_names_comes_first(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "elsewhere"))
    assert folders(tmp_path / "here").data == tmp_path / "here"


def test_then_the_folder_of_the_environment(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "elsewhere"))
    assert folders().data == tmp_path / "elsewhere"


@pytest.mark.parametrize("unset", [None, ""])
def test_else_the_place_the_platform_keeps_for_such_things(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, unset: str | None
) -> None:
    monkeypatch.delenv("COMPANION_DATA", raising=False)
    if unset is not None:
        monkeypatch.setenv("COMPANION_DATA", unset)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    folder = folders().data
    assert folder.is_absolute()
    assert "companion" in folder.parts
    if sys.platform == "linux":  # XDG Base Directory Specification: $XDG_DATA_HOME/<program>
        assert folder == tmp_path / "companion"
    assert list(tmp_path.iterdir()) == []


def test_home_may_be_written_short(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    assert folders(Path("~/log")).data == tmp_path / "log"
