"""What a fuzzer found stays found: each kept input is read, or refused by one of our errors, with no fuzzer needed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz.__main__ import NAMES
from tests.fuzz.targets import CORPUS, Target, targets

MOST_FILES, MOST_BYTES = 60, 16_384


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Target]:
    return targets(tmp_path_factory.mktemp("sound"))


def test_every_target_has_a_corpus_that_is_small(known: dict[str, Target]) -> None:
    assert tuple(known) == NAMES
    for name in NAMES:
        sizes = [file.stat().st_size for file in (CORPUS / name).iterdir()]
        assert 0 < len(sizes) <= MOST_FILES, name
        assert max(sizes) <= MOST_BYTES, name


@pytest.mark.parametrize("name", NAMES)
def test_what_was_kept_is_read_or_refused(name: str, known: dict[str, Target], tmp_path: Path) -> None:
    for file in sorted((CORPUS / name).iterdir()):
        try:
            known[name].try_out(file.read_bytes(), tmp_path / "input")
        except Exception as error:
            raise AssertionError(f"{file.name}: {error!r}") from error
