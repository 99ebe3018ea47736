"""Several players on one machine: a folder each, under names that are folders everywhere.

Which names are devices is from Microsoft's "Naming Files, Paths, and Namespaces"; that a
letter may be written in two ways and compared without case is from Unicode (UAX #15, and
the Standard, 3.13).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.errors import RequestError
from companion.files.folders import folders, others_of_new_player


@pytest.fixture(autouse=True)
def nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COMPANION_PLAYER", raising=False)


def test_without_a_name_the_log_stays_where_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert folders(tmp_path).data == tmp_path
    monkeypatch.setenv("COMPANION_PLAYER", " ")
    assert folders(tmp_path).data == tmp_path


def test_the_option_comes_before_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COMPANION_PLAYER", "Ana")
    assert folders(tmp_path).data == tmp_path / "players" / "ana"
    assert folders(tmp_path, "Ben").data == tmp_path / "players" / "ben"


@pytest.mark.parametrize(
    "names",
    [
        ("Zoë", "zoë", "ZOË", "Zoe\u0308", " Zoë "),
        ("Straße", "STRASSE"),
        ("Ἀθηνᾶ", "ἀθηνᾶ"),
        ("\uff21\uff4e\uff4e", "Ann"),
    ],
)
def test_one_player_however_the_name_is_typed(tmp_path: Path, names: tuple[str, ...]) -> None:
    assert len({folders(tmp_path, name).data for name in names}) == 1


@pytest.mark.parametrize("name", ["Ana María", "O'Neil", "J. S.-B", "李小龍", "आरती", "Ana_2"])
def test_names_of_all_scripts_are_names(tmp_path: Path, name: str) -> None:
    folder = folders(tmp_path, name).data
    folder.mkdir(parents=True)
    newcomer = folders(tmp_path, "zoe")
    assert others_of_new_player(newcomer, tmp_path) == [folder.name]


@pytest.mark.parametrize(
    "name",
    [
        *("", " ", ".", "..", "../ana", "a/b", "a\\b", "a:b", "~", "a\0b", "a\nb", "-\u202eana"),
        *("CON", "nul", "com1", "LPT9.x", "aux.txt", "COM¹", ".hidden", "ana.", "x" * 61, "\udce9"),
    ],
)
def test_what_is_no_folder_everywhere_is_no_name(tmp_path: Path, name: str) -> None:
    with pytest.raises(RequestError, match="cannot be the name of a player") as refusal:
        folders(tmp_path, name)
    assert refusal.value.next


@given(st.text(max_size=70))
def test_whatever_is_typed_a_player_stays_inside_the_folder_of_players(name: str) -> None:
    data = Path("/data")
    try:
        folder = folders(data, name).data
    except RequestError:
        return
    assert folder.parent == data / "players"
    assert folder.name not in ("", ".", "..")
    assert folders(data, folder.name).data == folder
    assert len(folder.name.encode()) <= 255


def test_if_nobody_else_has_a_name_a_newcomer_is_not_told(tmp_path: Path) -> None:
    assert others_of_new_player(folders(tmp_path, "zoe"), tmp_path) == []
