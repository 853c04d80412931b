"""Boxes, output intent, corrections and the second page of the PDF, by ISO 32000-1, read with pikepdf."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pikepdf
import pytest

from tackside.card.file.design import Card, CardPicture
from tackside.card.make import make_card
from tackside.card.pixels.conversion import Output
from tackside.errors import BadProfile, BadRequest
from tackside.fit.placement.correction import Correction
from tackside.fit.placement.measured import UNMEASURED, PrintPath
from tackside.press.printer.stock_model import cotton_etching
from tackside.profile.icc.working_space import working_space_profile
from tests.card.designs import printer, stock, write_corners
from tests.profile.card_profiles import press_profile
from tests.refusals import refused

POINT = 25.4 / 72


def card(folder: Path, **more: object) -> Card:
    write_corners(folder)
    pictures = (
        CardPicture(panel="front", file="corners.png"),
        CardPicture(panel="inside-left", file="corners.png"),
    )
    return Card(stock="Harbour Satin 300", printer="Tern 8", pictures=pictures, folder=folder, **more)


def box_mm(box: pikepdf.Array) -> list[float]:
    return [float(edge) * POINT for edge in box]


def test_a_card_that_is_cut_out_has_its_trim_and_bleed(tmp_path: Path) -> None:
    made = card(tmp_path, cut_to_mm=(180, 260))
    make_card(made, stock(), printer(), tmp_path / "card.pdf")
    with pikepdf.open(tmp_path / "card.pdf") as pdf:
        for page in pdf.pages:
            assert box_mm(page.MediaBox) == pytest.approx([0, 0, 210, 297], abs=0.001)
            # 180 × 260 in the middle of A4; 3 mm of bleed all round (docs/sources.md, S18).
            assert box_mm(page.TrimBox) == pytest.approx([15, 18.5, 195, 278.5], abs=0.001)
            assert box_mm(page.BleedBox) == pytest.approx([12, 15.5, 198, 281.5], abs=0.001)


def test_the_output_intent_holds_the_profile_byte_for_byte(tmp_path: Path) -> None:
    profile = press_profile(cotton_etching())
    make_card(card(tmp_path), stock(), printer(), tmp_path / "card.pdf", output=Output(profile=profile))
    make_card(card(tmp_path), stock(), printer(), tmp_path / "plain.pdf")
    for name, expected in (("card.pdf", profile), ("plain.pdf", working_space_profile("srgb"))):
        with pikepdf.open(tmp_path / name) as pdf:
            (intent,) = pdf.Root.OutputIntents
            # Clause 14.11.5, table 365.
            assert intent.Type == "/OutputIntent"
            assert intent.DestOutputProfile.N == 3
            assert intent.DestOutputProfile.read_bytes() == expected
            assert "/GTS_PDFXVersion" not in pdf.docinfo  # no conformance is claimed that nobody has checked
            image = pdf.pages[0].Resources.XObject["/Picture1"]
            assert image.ColorSpace[1].read_bytes() == expected


def test_a_profile_for_cmyk_is_refused_by_name(tmp_path: Path) -> None:
    from tests.profile.card_profiles import fogra39_profile

    with refused(BadProfile, "card.profile-not-rgb"):
        make_card(
            card(tmp_path), stock(), printer(), tmp_path / "c.pdf", output=Output(profile=fogra39_profile())
        )
    with refused(BadRequest, "card.space-and-profile"):
        make_card(
            card(tmp_path), stock(), printer(), tmp_path / "c.pdf", output=Output(profile=b"", space="srgb")
        )
    assert not (tmp_path / "c.pdf").exists()


def test_a_correction_is_the_first_matrix_of_its_page(tmp_path: Path) -> None:
    matrix = ((1.002, -0.005, -1.3), (0.005, 1.004, 0.7))
    measured = UNMEASURED.model_copy(update={"correction": Correction(matrix=matrix)})
    make_card(card(tmp_path), stock(), printer(), tmp_path / "card.pdf", path=PrintPath({"front": measured}))
    with pikepdf.open(tmp_path / "card.pdf") as pdf:
        first = next(i for i in pikepdf.parse_content_stream(pdf.pages[0]) if str(i.operator) == "cm")
        a, b, c, d, e, f = (float(value) for value in first.operands)
        for x, y in ((0.0, 0.0), (210.0, 0.0), (30.0, 250.0)):
            on_page = np.array([a * x + c * (297 - y), b * x + d * (297 - y)]) + np.array([e, f]) * POINT
            wanted = np.array(matrix) @ (x, y, 1)
            assert (on_page[0], 297 - on_page[1]) == pytest.approx(tuple(wanted), abs=1e-3)


def test_a_sheet_turned_head_over_foot_gets_its_second_page_half_turned(tmp_path: Path) -> None:
    make_card(card(tmp_path), stock(), printer(), tmp_path / "card.pdf", path=PrintPath(half_turned=True))
    with pikepdf.open(tmp_path / "card.pdf") as pdf:
        outside, inside = (
            [i for i in pikepdf.parse_content_stream(page) if str(i.operator) == "cm"] for page in pdf.pages
        )
        assert len(outside) == 1  # the picture's own
        turn = [float(value) for value in inside[0].operands]
        assert turn == pytest.approx([-1, 0, 0, -1, 210 / POINT, 297 / POINT], abs=1e-3)
