"""The folded card in its envelope against the limits of the post, which are dated data and the user's to change."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tackside.errors import BadRecord
from tackside.fit.full_fit import fit_in_full
from tackside.fit.mail.post import PostService, check
from tackside.fit.mail.post_file import limits_for, shipped_limits
from tackside.fit.model import FullFit, Mailed, PostCheck
from tackside.messages.message import Message
from tests.fit.stocks import horizontal, printer, stock, vertical

LETTER = Mailed(envelope="C6", size_mm=(162, 114), mass_g=20.0, thickness_mm=1.0)


def service(**limits: object) -> PostService:
    return PostService(
        country="Here",
        name="letter",
        noted=date(2026, 1, 5),
        source="invented",
        **limits,
    )


def fitted(size: tuple[float, float], *creases: object, **more: object) -> FullFit:
    return fit_in_full(stock(size, *creases, **more), printer(), post=shipped_limits())  # type: ignore[arg-type]


def letters(fit: FullFit) -> dict[str, PostCheck]:
    return {each.country: each for each in fit.post}


def test_mass_is_area_times_weight() -> None:
    # A4 is a sixteenth of a square metre (ISO 216): 300 g/m² weigh 18.7 g.
    fit = fitted((210, 297), horizontal(148.5))
    assert fit.mass_g == pytest.approx(300 / 16, abs=0.1)
    assert fit.mailed is not None
    assert fit.mailed.mass_g is not None
    assert fit.mailed.mass_g > 300 / 16
    assert fit.mailed.thickness_mm == pytest.approx(0.6 + 3 * 0.13)


@pytest.mark.parametrize(
    ("limits", "reason"),
    [
        ({"max_size_mm": (150, 120)}, Message("post.too-long", length_mm=162.0, limit_mm=150.0)),
        ({"max_size_mm": (162, 110)}, Message("post.too-high", length_mm=114.0, limit_mm=110.0)),
        ({"min_size_mm": (170, 100)}, Message("post.too-little-long", length_mm=162.0, limit_mm=170.0)),
        ({"max_thickness_mm": 0.9}, Message("post.too-thick", thickness_mm=1.0, limit_mm=0.9)),
        ({"min_thickness_mm": 1.1}, Message("post.too-thin", thickness_mm=1.0, limit_mm=1.1)),
        ({"max_mass_g": 19}, Message("post.too-heavy", mass=20.0, limit=19.0)),
    ],
)
def test_a_letter_over_a_limit_does_not_go_and_says_why(limits: dict[str, object], reason: Message) -> None:
    found = check(LETTER, service(**limits))
    assert not found.goes
    assert found.reasons == (reason,)


def test_a_letter_at_its_limits_goes() -> None:
    at = service(
        max_size_mm=(162, 114),
        min_size_mm=(162, 114),
        max_thickness_mm=1.0,
        min_thickness_mm=1.0,
        max_mass_g=20,
        surcharge_outside_ratio=(1, 2),
    )
    assert check(LETTER, at) == PostCheck(
        country="Here",
        service="letter",
        goes=True,
        reasons=(),
        surcharge=None,
        unchecked=(),
        noted=date(2026, 1, 5),
        source="invented",
    )


def test_what_is_not_known_of_the_card_is_said_and_not_guessed() -> None:
    unknown = LETTER.model_copy(update={"mass_g": None, "thickness_mm": None})
    found = check(unknown, service(max_mass_g=1, max_thickness_mm=0.1))
    assert found.goes
    assert found.unchecked == ("mass", "thickness")


def test_a_square_letter_costs_more_in_the_united_states() -> None:
    # Ratio 1.3 to 2.5, square surcharge: docs/sources.md, S10.
    square = letters(fitted((300, 150), vertical(150)))["United States"]
    assert square.goes
    assert square.surcharge is not None
    assert square.surcharge.code == "post.square-costs-more"
    assert letters(fitted((254, 178), vertical(127)))["United States"].surcharge is None


def test_the_shipped_limits_are_those_of_the_page_of_sources() -> None:
    # docs/sources.md, S10: the postal operators' own published figures, of a date that is not known.
    seen = {each.country: each for each in shipped_limits().services}
    kingdom, states, canada = seen["United Kingdom"], seen["United States"], seen["Canada"]
    assert (kingdom.max_size_mm, kingdom.max_thickness_mm, kingdom.max_mass_g) == ((240, 165), 5, 100)
    assert (states.min_size_mm, states.max_size_mm) == ((127, 89), (292, 156))
    assert (states.min_thickness_mm, states.max_thickness_mm) == (0.18, 6.35)
    assert (canada.min_size_mm, canada.max_size_mm) == ((140, 90), (245, 156))
    assert (canada.min_thickness_mm, canada.max_thickness_mm, canada.max_mass_g) == (0.18, 5, 50)
    assert all(each.source and each.noted for each in seen.values())


def test_a_card_goes_in_one_country_and_not_in_another() -> None:
    found = letters(fitted((210, 297), horizontal(148.5)))
    assert found["United Kingdom"].goes
    assert not found["United States"].goes  # C5 is 162 mm high, 156 are allowed


def test_without_limits_or_envelope_there_is_no_letter() -> None:
    assert fit_in_full(stock(), printer()).post == ()
    assert fitted((329, 900), horizontal(420)).mailed is None


def test_the_users_own_file_replaces_and_joins(tmp_path: Path) -> None:
    assert limits_for(tmp_path) == shipped_limits()
    (tmp_path / "post.toml").write_text(
        """
        [[services]]
        country = "United Kingdom"
        name = "letter"
        max_mass_g = 90
        noted = 2027-02-01
        source = "leaflet at the counter"
        [[services]]
        country = "Norway"
        name = "small letter"
        max_mass_g = 20
        noted = 2027-02-01
        source = "invented"
        """,
        encoding="utf-8",
    )
    limits = limits_for(tmp_path)
    by_country = {each.country: each for each in limits.services}
    assert by_country["United Kingdom"].max_mass_g == 90
    assert by_country["United Kingdom"].max_size_mm is None  # a service is given whole
    assert by_country["Norway"].noted == date(2027, 2, 1)
    assert by_country["Canada"].max_mass_g == 50
    assert limits.envelope == shipped_limits().envelope


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "[[services]]\ncountry = 'X'\nname = 'y'\nmax_mas_g = 3\nnoted = 2026-01-01\nsource = 'z'",
            "max_mas_g",
        ),
        ("[[services]]\ncountry = 'X'\nname = 'y'\nsource = 'z'", "noted"),
        ("[envelope]\nweight_gsm = -1", "weight_gsm"),
        ("services = [", "not valid TOML"),
    ],
)
def test_a_faulty_file_is_named_with_its_field(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "post.toml").write_text(text, encoding="utf-8")
    with pytest.raises(BadRecord, match=r"post\.toml") as refused:
        limits_for(tmp_path)
    assert words in str(refused.value)
