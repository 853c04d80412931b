"""What is remarked on a card: what its fit warns of in the person's language, all else in English, as it comes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tackside.fit.model import Fit
from tackside.web.i18n.preferences import Person


@dataclass(frozen=True)
class Remark:
    words: str
    is_english: bool


def told(sentences: Iterable[str], fits: Iterable[Fit], person: Person) -> tuple[Remark, ...]:
    """Remarks in their order; ``sentences`` hold the warnings of ``fits`` among others."""
    of_fit = {str(each): each for fit in fits for each in fit.warned}
    return tuple(
        Remark(person.tell(of_fit[said]), person.language == "en") if said in of_fit else Remark(said, True)
        for said in sentences
    )
