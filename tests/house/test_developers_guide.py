"""What DEVELOPERS.md shows of the code and of its libraries is as they are."""

import re
from pathlib import Path

import pytest

from tests.house.licences import libraries
from tests.house.package_drawing import drawing

GUIDE = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text("utf-8")


def test_the_drawing_of_the_packages_is_that_of_the_imports() -> None:
    assert drawing() in GUIDE, "python -m tests.house.package_drawing"


@pytest.mark.parametrize("name, licence", libraries().items(), ids=list(libraries()))
def test_the_licence_of_every_library_is_in_the_table(name: str, licence: str) -> None:
    (row,) = re.findall(rf"^\| {re.escape(licence)} \| (.*) \|$", GUIDE, re.MULTILINE)
    assert name in row.split(", "), "python -m tests.house.licences"
