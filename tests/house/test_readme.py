"""What the README says is there, is there."""

import re
from pathlib import Path

import pytest

from assets.pictures.draw import PICTURE, drawn
from companion.cli.main import COMMANDS
from companion.wording.mastery_sentences import state_rules

HOME = Path(__file__).parents[2]
README = (HOME / "README.md").read_text("utf-8")


def test_every_command_it_names_exists_and_every_command_is_named() -> None:
    named = set(re.findall(r"`companion ([a-z]+)", README)) | {"demo"}
    assert named <= set(COMMANDS)
    assert set(COMMANDS) - named <= {"open"}


@pytest.mark.parametrize("link", re.findall(r"\]\(([^)#]+)\)", README))
def test_every_file_it_points_to_exists(link: str) -> None:
    assert (HOME / link).exists()


def test_it_has_the_two_commands_for_a_fresh_machine() -> None:
    blocks = re.findall(r"```sh\n(.*?)\n```", README.split("## Two commands")[1], re.S)
    assert len(blocks) == 2
    assert blocks[0].endswith("companion demo")
    assert "pytest" in blocks[1]


async def test_its_picture_is_what_the_app_shows() -> None:
    assert await drawn() == PICTURE.read_text("utf-8")


def test_its_table_of_what_moves_a_passage_is_the_programs_own() -> None:
    rows = [f"| {way} | **{state}** | {when} |" for way, state, when in state_rules()]
    assert "\n".join(["| | the passage | when |", "|---|---|---|", *rows]) in README
