"""Slips in a call's own words are told plainly, with the way to write it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.bench_of_examples import SATIN, TERN, Caller


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    caller = Caller(tmp_path / "bench", capsys)
    caller.text("stock", "add", SATIN)
    caller.text("printer", "add", TERN)
    return caller


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "stock show Harbour Satin 300",
            "Satin 300 is left over; put a name of several words in quotes: "
            'tackside stock show "Harbour Satin 300"',
        ),
        (
            "stock show Some other card",
            'other card is left over; put a name of several words in quotes: tackside stock show "Some other card"',
        ),
        (
            "stock show “Harbour Satin 300”",
            "Satin 300” is left over; these quotes are typographic, use straight ones: "
            'tackside stock show "Harbour Satin 300"',
        ),
        (
            "fit Harbour Satin 300 Tern 8",
            "300 Tern 8 is left over; put a name of several words in quotes: "
            'tackside fit "Harbour Satin 300" "Tern 8"',
        ),
        ("run cost a.toml b.toml", "b.toml is left over; see tackside run cost --help"),
        ("fit A", "tackside fit needs PRINTER, which is missing; see tackside fit --help"),
        ("sheet A B", "tackside sheet needs --out, which is missing; see tackside sheet --help"),
        ("sheet A B --sid left --out x.tif", "tackside sheet has no option --sid; did you mean --side?"),
        ("sheet A B --side left --out x.tif", "--side is 'left', which is no choice; there are front, back"),
        (
            "sheet A B --side frnt --out x.tif",
            "--side is 'frnt', which is no choice; did you mean front? There are front, back",
        ),
        (
            "stock show A --revision x",
            "--revision is 'x', not a whole number; see tackside stock show --help",
        ),
        (
            "stock show A --revision",
            "--revision lacks its value; give it after the option, as --revision VALUE",
        ),
        ("stock show A --revision 1 --revision 2", "--revision is there more than once; give it once"),
        ("picture check a.jpg --size-mm 100", "--size-mm takes 2 values, and 1 came; give --size-mm 210 297"),
        ("stok list", "there is no command 'stok' here; did you mean stock?"),
        ("stock lst", "there is no command 'lst' here; did you mean list?"),
        ("-x", "there is no option -x; see tackside --help"),
    ],
)
def test_a_slip_is_told_plainly(call: Caller, typed: str, said: str) -> None:
    assert call.refusal(*typed.split()) == f"tackside: {said}\n"
