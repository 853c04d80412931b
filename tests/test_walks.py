"""How much of the house somebody walks through who follows one command."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.walks import WALKS

# Modules in which a function is called (our own choice: what one can still follow in an hour).
MOST = {"judge": 46, "read": 59, "card make": 60}
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
