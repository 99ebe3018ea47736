"""Ten kinds of players stand where a teacher would put them."""

import pytest

from tests.practice.simulation.players import PLAYERS, Player


@pytest.mark.parametrize("player", PLAYERS, ids=lambda player: player.name)
def test_a_player_stands_where_a_teacher_would_say(player: Player) -> None:
    assert player.judged.state is player.stands


@pytest.mark.parametrize(
    ("name", "named"),
    [
        ("lost it", "It slipped on the last 5 days it was played"),
        ("lucky once a day", "fell apart or was shaky more often than it held"),
        ("hid behind the click", "was shaky: that counts"),
        ("good when warm", "was shaky: that counts"),
        ("always with the click", "only with the click sounding"),
        ("never up to tempo", "It held at quarter = 60"),
    ],
)
def test_what_a_teacher_would_name_is_named(name: str, named: str) -> None:
    (player,) = (one for one in PLAYERS if one.name == name)
    assert any(named in why for why in player.judged.reasons)
