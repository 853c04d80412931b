"""What a proof finds out about a picture on a card, and how its figures are said."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from tackside.cli.proof_card import ProofCard
from tackside.picture.file.open import Picture
from tackside.picture.proof.advice import Advice, Variant, Weighed, advise
from tackside.picture.proof.proof import Gamut, Sample, gamut_of, sample_of, weigh_variants
from tackside.profile.device.device import Device, Intent

HEADS = ("intent", "bpc", "ΔE00", "p95", "hue", "dark", "vivid", "grey")


@dataclass(frozen=True, eq=False)
class Proofed:
    """A picture, a card, the figures of every way between them, the advice and the way that is taken."""

    picture: Picture
    card: ProofCard
    sample: Sample
    gamut: Gamut
    weighed: tuple[Weighed, ...]
    advice: Advice
    taken: Weighed

    @property
    def device(self) -> Device:
        return self.card.device

    @property
    def warnings(self) -> tuple[str, ...]:
        """What must be known before the proof is trusted: of the picture, then of the card."""
        return (*self.picture.warnings, *self.card.notices)


def find_out(picture: Picture, card: ProofCard, intent: Intent | None, *, bpc: bool) -> Proofed:
    """Weigh every way to the card. Without an ``intent`` the advised one is taken."""
    device = card.device
    sample = sample_of(picture)
    weighed = weigh_variants(sample, device)
    allowed = weighed if bpc else tuple(each for each in weighed if not each.variant.bpc)
    advice = advise(allowed)
    asked = advice.variant
    if intent is not None:
        asked = Variant(intent, bpc and intent != "absolute")
    taken = next((each for each in weighed if each.variant == asked), None)
    if taken is None:
        # A card's own reading has one compression for perceptual and saturation, whatever the black.
        taken = next(each for each in weighed if each.variant.intent == "perceptual")
    return Proofed(picture, card, sample, gamut_of(sample, device), weighed, advice, taken)


def document_of(found: Proofed, files: list[str]) -> dict[str, Any]:
    """What ``--json`` prints."""
    figures, advice = found.taken.figures, found.advice
    return {
        "picture": str(found.picture.path),
        "profile": found.card.profile_name,
        "card": found.card.name,
        "intent": found.taken.variant.intent,
        "bpc": found.taken.variant.bpc,
        "out_of_gamut": found.gamut.share,
        "out_of_gamut_de00": found.gamut.mean,
        "de00": {"mean": figures.de00_mean, "median": figures.de00_median, "p95": figures.de00_p95},
        "advice": {
            "intent": advice.variant.intent,
            "bpc": advice.variant.bpc,
            "why": advice.why,
            "close": advice.close,
        },
        "intents": [
            {**asdict(each.variant), "cost": each.cost, **asdict(each.figures)} for each in found.weighed
        ],
        "white_lab": [float(value) for value in found.device.white_lab],
        "black_lab": [float(value) for value in found.device.black_lab],
        "files": files,
        "warnings": list(found.warnings),
    }


def rows_of(found: Proofed) -> tuple[tuple[str, ...], ...]:
    """The figures of every way, in the order of HEADS."""
    return tuple(
        (
            each.variant.intent,
            "yes" if each.variant.bpc else "no",
            f"{each.figures.de00_mean:.1f}",
            f"{each.figures.de00_p95:.1f}",
            _or_dash(each.figures.hue_shift_deg, "{:.1f}°"),
            _or_dash(each.figures.lost_shadow, "{:.0%}"),
            _or_dash(each.figures.lost_saturated, "{:.0%}"),
            _or_dash(each.figures.grey_balance, "{:.1f}"),
        )
        for each in found.weighed
    )


def _or_dash(value: float | None, form: str) -> str:
    return "–" if value is None else form.format(value)
