"""What the README and DEVELOPERS.md say is there, is there."""

import re
import shlex
from importlib import import_module
from pathlib import Path

import pytest

from assets.pictures.draw import FOLDER, drawn
from companion.cli.main import COMMANDS, main
from companion.wording.manual_pages import manual_pages
from companion.wording.mastery_sentences import WHAT_FALLS, state_rules

HOME = Path(__file__).parents[2]
PACKAGE = HOME / "companion"
README = (HOME / "README.md").read_text("utf-8")
DEVELOPERS = (HOME / "DEVELOPERS.md").read_text("utf-8")
MANUAL = "\n".join(page.text for page in manual_pages())
TYPED = sorted(
    set(re.findall(r"`companion ((?:--plain|[a-z])[^`]*)`", README + DEVELOPERS + MANUAL))
)
PATH = re.compile(r"`((?:[\w.-]+/)*(?:[\w-]+\.(?:py|md|toml|json|tcss)|[\w-]+/))`")


def test_every_command_it_names_exists_and_every_command_is_named() -> None:
    named = set(re.findall(r"`companion ([a-z]+)", README)) | {"demo"}
    assert named <= set(COMMANDS)
    assert set(COMMANDS) - named <= {"open"}


@pytest.mark.parametrize("typed", TYPED)
def test_every_command_line_it_shows_is_understood(
    typed: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = shlex.split(typed)
    name = "open" if words[0] == "--plain" else words[0]
    command = import_module(f"companion.cli.{name}_command")
    monkeypatch.setattr(command, "run", lambda _: 0)
    if "--help" in words:
        with pytest.raises(SystemExit, match="0"):
            main(words)
    else:
        assert main(words) == 0


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_explains_itself(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([name, "--help"])
    assert ended.value.code == 0
    assert f"companion {name}" in capsys.readouterr().out


def test_the_commands_are_found() -> None:
    assert len(TYPED) > 20


@pytest.mark.parametrize("name", sorted(set(PATH.findall(README + DEVELOPERS))))
def test_every_path_they_name_is_there(name: str) -> None:
    """From the top, or from the package, or as the end of a path in it; one path, of a file."""
    ends = f"/{name.rstrip('/')}"
    found = [path for path in PACKAGE.rglob("*") if path.as_posix().endswith(ends)]
    is_there = (HOME / name).exists() or (PACKAGE / name).exists()
    assert is_there or (found if name.endswith("/") else len(found) == 1), found


@pytest.mark.parametrize(
    "package", sorted(PACKAGE.glob("*/__init__.py")), ids=lambda p: p.parent.name
)
def test_a_package_says_where_to_begin(package: Path) -> None:
    begins = re.search(r"Begin with (.*)", package.read_text("utf-8"), re.S)
    assert begins is not None
    for name in re.findall(r"`([\w/.]+)`", begins[1]):
        there = package.parent / name
        assert there.exists() or there.with_suffix(".py").exists(), name


@pytest.mark.parametrize("link", re.findall(r"\]\(([^)#]+)\)", README))
def test_every_file_it_points_to_exists(link: str) -> None:
    assert (HOME / link).exists()


def test_it_has_the_two_commands_for_a_fresh_machine() -> None:
    blocks = re.findall(r"```sh\n(.*?)\n```", README.split("## Two commands")[1], re.S)
    assert len(blocks) == 2
    assert blocks[0].endswith("companion demo")
    assert "pytest" in blocks[1]


async def test_its_pictures_are_what_the_app_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("TERM", "COLORTERM", "COMPANION_SOUND"):
        monkeypatch.setenv(name, "")  # so that what is set for the drawing is taken back
    for name, svg in (await drawn()).items():
        assert svg == (FOLDER / f"{name}.svg").read_text("utf-8")
        assert f"assets/pictures/{name}.svg" in README


def test_its_table_of_what_moves_a_passage_is_the_programs_own() -> None:
    rows = [f"| {way} | **{state}** | {when} |" for way, state, when in state_rules()]
    assert "\n".join(["| | the passage | when |", "|---|---|---|", *rows, "", WHAT_FALLS]) in README
