"""How much of the house somebody walks through who follows one command."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.walks import WALKS

# Modules in which a function is called (our own choice: what one can still follow in an hour). Raised by one, one and
# seven since steps lead on, a scanner's name goes with its reading, and a card's outside lies on either face; by one,
# fourteen and three since rows are sealed, a scan is looked through for what its program did to it, and a picture's
# channels and packing are told apart before it is opened; by one, two and three since every file that others made is
# opened in one place, and a PDF is written so that a full disk is told.
MOST = {"judge": 63, "read": 77, "card make": 76}
BEGINS = {"judge": "prints.judge", "read": "prints.read", "card make": "cards.card"}
# What a choice of cards asks of a card is no part of reading it.
NOT_FOR_READING = ("tackside.picture.", "tackside.profile.device.", "tackside.profile.gamut.")


@pytest.mark.slow
@pytest.mark.parametrize("command", MOST)
def test_a_command_can_be_followed(command: str, tmp_path: Path) -> None:
    walk = WALKS[command](tmp_path)
    assert f"tackside.cli.commands.{BEGINS[command]}" in walk.modules
    assert len(walk.modules) <= MOST[command], sorted(walk.modules)
    if command == "read":
        assert not [name for name in walk.modules if name.startswith(NOT_FOR_READING)]
