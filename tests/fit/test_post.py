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
    """The smallest letter of each country."""
    return {each.country: each for each in reversed(fit.post)}


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
        ({"least_ratio": 1.5}, Message("post.too-square", ratio=162 / 114, limit=1.5)),
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
    seen = {each.country: each for each in reversed(shipped_limits().services)}
    kingdom, states, canada = seen["United Kingdom"], seen["United States"], seen["Canada"]
    assert (kingdom.max_size_mm, kingdom.max_thickness_mm, kingdom.max_mass_g) == ((240, 165), 5, 100)
    assert (states.min_size_mm, states.max_size_mm) == ((127, 89), (292.1, 155.6))
    assert (states.min_thickness_mm, states.max_thickness_mm) == (0.18, 6.35)
    assert (canada.min_size_mm, canada.max_size_mm) == ((140, 90), (245, 156))
    assert (canada.min_thickness_mm, canada.max_thickness_mm, canada.max_mass_g) == (0.18, 5, 50)
    assert all(each.source and each.noted for each in shipped_limits().services)


def test_a_card_goes_in_one_country_and_not_in_another() -> None:
    found = letters(fitted((210, 297), horizontal(148.5)))
    assert found["United Kingdom"].goes
    assert not found["United States"].goes  # C5 is 162 mm high, 156 are allowed


def goes_as(fit: FullFit) -> dict[str, str]:
    """The smallest letter that it goes as, by country."""
    return {each.country: each.service for each in reversed(fit.post) if each.goes}


def test_a_square_of_160_mm_goes_as_a_letter_in_an_envelope_of_165() -> None:
    fit = fitted((320, 160), vertical(160))
    assert fit.mailed is not None
    assert fit.mailed.envelope == "square 165 mm"
    assert goes_as(fit)["United Kingdom"] == "letter"  # 165 mm, the limit itself


def test_an_inch_envelope_is_not_refused_for_a_tenth_of_a_millimetre() -> None:
    square = Mailed(envelope="US square 6.5 in", size_mm=(165.1, 165.1), mass_g=20.0, thickness_mm=1.0)
    assert check(square, service(max_size_mm=(240, 165))).goes
    assert not check(square, service(max_size_mm=(240, 164))).goes


def test_what_is_too_large_for_a_letter_goes_as_the_next_larger_one() -> None:
    # A square of 200 mm, in an envelope of 220: docs/sources.md, S130.
    assert goes_as(fitted((400, 200), vertical(200))) == {
        "United Kingdom": "large letter",
        "United States": "large envelope",
        "Canada": "non-standard letter",
        "Australia": "large letter",
        "Germany": "Großbrief",
        "Switzerland": "Grossbrief",
        "Netherlands": "letter up to 50 g",
        "between countries": "large letter",
    }


def test_three_and_a_half_ounces_are_the_most_of_a_letter_in_the_united_states() -> None:
    # 3.5 oz (docs/sources.md, S130) of 28.349523125 g, the international avoirdupois ounce.
    (states,) = [
        each for each in shipped_limits().services if (each.country, each.name) == ("United States", "letter")
    ]
    assert states.max_mass_g == pytest.approx(3.5 * 28.349523125, abs=0.05)


def test_the_smallest_us_envelope_goes_as_a_letter() -> None:
    # 4-bar, 5 1/8 × 3 5/8 in: over the least of 5 × 3 1/2 in.
    fit = fitted((247.6, 88.9), vertical(123.8))
    assert fit.mailed is not None
    assert fit.mailed.envelope == "US 4-bar"
    assert goes_as(fit)["United States"] == "letter"


def test_a_german_letter_is_longer_than_it_is_high() -> None:
    # 1.4 times (docs/sources.md, S130): C6 is 1.42 times, US A2 1.31 times as long.
    assert goes_as(fitted((210, 148), vertical(105)))["Germany"] == "Standardbrief"
    assert goes_as(fitted((279.4, 107.95), vertical(139.7)))["Germany"] == "Großbrief"


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
    by_country = {each.country: each for each in reversed(limits.services)}
    assert by_country["United Kingdom"].max_mass_g == 90
    assert by_country["United Kingdom"].max_size_mm is None  # a service is given whole
    assert by_country["Norway"].noted == date(2027, 2, 1)
    assert by_country["Canada"].max_mass_g == 50
    assert limits.envelope == shipped_limits().envelope


def test_the_users_own_envelopes_and_countries_are_kept_to(tmp_path: Path) -> None:
    (tmp_path / "post.toml").write_text(
        """
        countries = ["germany", "United Kingdom"]
        [[envelopes]]
        name = "the box from the market"
        size_mm = [163.7, 163.7]
        noted = 2027-02-01
        source = "measured"
        [[envelopes]]
        name = "square 165 mm"
        size_in = [6.5, 6.5]
        noted = 2027-02-01
        source = "invented"
        """,
        encoding="utf-8",
    )
    limits = limits_for(tmp_path)
    assert list(dict.fromkeys(each.country for each in limits.services)) == ["Germany", "United Kingdom"]
    fit = fit_in_full(stock((320, 160), vertical(160)), printer(), post=limits)
    assert fit.envelopes[0].name == "the box from the market"
    (own,) = [each for each in limits.envelopes if each.name == "square 165 mm"]
    assert own.format.long_mm == pytest.approx(165.1)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "[[services]]\ncountry = 'X'\nname = 'y'\nmax_mas_g = 3\nnoted = 2026-01-01\nsource = 'z'",
            "max_mas_g",
        ),
        ("[[services]]\ncountry = 'X'\nname = 'y'\nsource = 'z'", "noted"),
        (
            "[[envelopes]]\nname = 'x'\nsize_mm = [1, 1]\nsize_in = [1, 1]\nnoted = 2026-01-01\nsource = 'z'",
            "in mm or in inches",
        ),
        ("[envelope]\nweight_gsm = -1", "weight_gsm"),
        ("services = [", "not valid TOML"),
    ],
)
def test_a_faulty_file_is_named_with_its_field(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "post.toml").write_text(text, encoding="utf-8")
    with pytest.raises(BadRecord, match=r"post\.toml") as refused:
        limits_for(tmp_path)
    assert words in str(refused.value)
