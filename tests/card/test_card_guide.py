"""The guide's examples are card files that hold, and its list of templates is the list."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tackside.card.file.design import TEMPLATES, load_card

GUIDE = (Path(__file__).parents[2] / "docs" / "make-a-card.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```toml\n(.*?)```", GUIDE, flags=re.DOTALL)
HEAD = 'stock = "Harbour Satin 300"\nprinter = "Tern 8"\n'
FILLER = '[[texts]]\npanel = "front"\ntext = "A"\n'


@pytest.mark.parametrize("example", EXAMPLES, ids=range(len(EXAMPLES)))
def test_each_example_of_the_guide_is_read(tmp_path: Path, example: str) -> None:
    whole = example if example.startswith("stock") else HEAD + example
    path = tmp_path / "card.toml"
    path.write_text(whole if "[[" in whole or "[credit]" in whole else whole + FILLER, encoding="utf-8")
    assert load_card(path).stock == "Harbour Satin 300"


def test_the_guide_has_examples_and_every_template() -> None:
    assert len(EXAMPLES) >= 5
    told = dict(re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", GUIDE, flags=re.MULTILINE))
    assert {name: told.get(name) for name in TEMPLATES} == TEMPLATES
