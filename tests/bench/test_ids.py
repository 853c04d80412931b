"""Trial ids: short, readable, the same for the same inputs."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.ids import CROCKFORD, id_of, trial_id, typed
from tackside.bench.store import Bench
from tests.bench import invented

ASKED: dict[str, Any] = {"purpose": "path", "space": "srgb", "side": "front", "feed": "rear"}


def test_the_alphabet_is_crockfords() -> None:
    # D. Crockford, "Base 32" (crockford.com/base32.html): the digits, then the letters without I, L, O, U.
    letters = (chr(code) for code in range(ord("A"), ord("Z") + 1))
    assert list(CROCKFORD) == [*"0123456789", *(letter for letter in letters if letter not in "ILOU")]


def test_an_id_is_eight_characters_of_the_alphabet() -> None:
    found = trial_id(invented.stock(), invented.printer(), **ASKED)
    assert len(found) == 8
    assert set(found) <= set(CROCKFORD)
    assert typed(found.lower()) == found


def test_an_id_spells_the_first_forty_bits_of_the_hash() -> None:
    digest = hashlib.sha256(b"combination/1").digest()
    value = 0
    for character in id_of("combination", 1):
        value = value * 32 + CROCKFORD.index(character)
    assert value.to_bytes(5, "big") == digest[:5]


def test_every_input_changes_the_id() -> None:
    plain = trial_id(invented.stock(), invented.printer(), **ASKED)
    others = [
        trial_id(invented.stock(caliper_mm=0.3), invented.printer(), **ASKED),
        trial_id(invented.stock(), invented.printer(grid_ppi=720), **ASKED),
        trial_id(invented.stock(), invented.printer(), **{**ASKED, "purpose": "device", "space": None}),
        trial_id(invented.stock(), invented.printer(), **{**ASKED, "space": "adobe-rgb"}),
        trial_id(invented.stock(), invented.printer(), **{**ASKED, "side": "back"}),
        trial_id(invented.stock(), invented.printer(), **{**ASKED, "feed": "tray"}),
        trial_id(invented.stock(), invented.printer(), **ASKED, ordinal=2),
    ]
    assert len({plain, *others}) == len(others) + 1


@pytest.mark.parametrize("folder", ["one", "other"])
def test_a_fresh_bench_gives_the_same_ids_in_the_same_order(tmp_path: Path, folder: str) -> None:
    bench = Bench.open(tmp_path / folder)
    stock, printer = invented.stock(), invented.printer()
    bench.stocks.add(stock)
    bench.printers.add(printer)
    ids = []
    for _ in range(3):
        ids.append(bench.trials.next_id(stock, printer, **ASKED))
        bench.trials.add(invented.trial(ids[-1]))
    assert ids == [trial_id(stock, printer, **ASKED, ordinal=number) for number in (1, 2, 3)]
