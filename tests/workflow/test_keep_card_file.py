"""A card file kept in the bench, to be worked on there."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.errors import Overtaken
from tackside.workflow.cards.keep_file import keep_card_file
from tackside.workflow.cards.kept import images_of, parts_of
from tests.card import designs
from tests.web.card_bench import write_picture

CARD = """
stock = "Harbour Satin 300"
printer = "Tern 8"
pictures = [{ panel = "front", file = "boats at noon.png", border_mm = 12 }]
texts = [{ panel = "back", text = "Printed by hand", size_pt = 9 }]
"""


def test_a_card_file_is_kept_with_its_picture(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(designs.stock())
    bench.printers.add(designs.printer(grid_ppi=300))
    write_picture(tmp_path)
    (tmp_path / "card.toml").write_text(CARD, encoding="utf-8")
    assert keep_card_file(bench, tmp_path / "card.toml", "Boats") == 1
    kept = bench.cards.get("Boats")
    parts = parts_of(kept)
    assert (parts.pictures[0].border_mm, parts.texts[0].text) == (12, "Printed by hand")
    (image,) = images_of(bench, kept)
    assert image.size_px == (900, 600)
    assert bench.file(image.sha256).read_bytes() == (tmp_path / "boats at noon.png").read_bytes()
    assert keep_card_file(bench, tmp_path / "card.toml", "Boats") == 1  # the same design is no new revision
    (tmp_path / "card.toml").write_text(CARD.replace("hand", "machine"), encoding="utf-8")
    with pytest.raises(Overtaken):  # another design does not take the place of one by that name
        keep_card_file(bench, tmp_path / "card.toml", "Boats")
