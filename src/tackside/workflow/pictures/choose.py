"""Choose a card for pictures: what the bench has read is weighed up, with profiles that are named beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyvips

from tackside.bench.store import Bench
from tackside.errors import BadProfile, NotFound
from tackside.files.atomic import atomic_path, write_text
from tackside.messages.message import Message
from tackside.picture.choose.answer import answer
from tackside.picture.choose.candidates import Candidate, WantedCard, candidates
from tackside.picture.choose.cards import CardProfile, comparable
from tackside.picture.choose.choose import Choice
from tackside.picture.choose.choose import choose as weigh_up
from tackside.picture.choose.contact_sheet import ContactSheet, as_html, as_image, contact_sheet
from tackside.picture.proof.ways import LeftOut, ways_of
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import with_profile
from tackside.records.reading import ESTIMATES
from tackside.tasks.cache import prune_now_and_then
from tackside.workflow.pictures.read_cards import newest_readings
from tackside.workflow.pictures.work_out import CACHE
from tackside.workflow.profiles.kept import kept_profile_on
from tackside.workflow.progress import Progress, counted, part, unheard

MOST_REASONS = 3
WEIGHED = 0.9  # of the whole job; the rest is drawing proofs
SHEETS = (".html", ".png", ".tif", ".tiff")


@dataclass(frozen=True)
class CardChoice:
    """The choice with its ``answer``, the ``cards`` that were weighed up and those left out, each with its reason."""

    choice: Choice
    answer: Message
    cards: tuple[Candidate, ...]
    left_out: tuple[LeftOut, ...]

    @property
    def best(self) -> Candidate | None:
        """The card that comes first; None where a bare profile does."""
        first = self.choice.ranking[0].way.stock if self.choice.ranking else None
        return next((each for each in self.cards if each.card.name == first), None)

    @property
    def comparable(self) -> bool:
        """Whether all cards were read alike, so that their ranking means something."""
        return comparable([each.card.reading for each in self.cards])

    @property
    def by_scanner(self) -> bool:
        """Whether any card was read by scanner or phone: its figures are then estimates."""
        return any(each.card.reading.kind in ESTIMATES for each in self.cards)


def choose(
    bench: Bench | None,
    pictures: Sequence[Path],
    wanted: WantedCard,
    profiles: Sequence[CardProfile] = (),
    *,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress = unheard,
) -> CardChoice:
    """Rank the cards that were read, by each way to print on them; without a ``bench`` the papers of ``profiles``.

    What was worked out of each card and picture is kept in the bench's cache. Raises NotFound where nothing comes into
    question, and what ``picture.choose`` raises.
    """
    progress(0.0, Message("progress.gathering-cards"))
    found, left = ([], []) if bench is None else cards_in_question(bench, wanted)
    if not found and not left and not profiles:
        raise NotFound("choosing.nothing-read")
    own = {} if bench is None else _own_profiles(bench, found)
    ways, unusable = ways_of([(each.card, each.prints_bare_numbers) for each in found], profiles, own)
    left = [*left, *unusable]
    if not ways or (not found and wanted.asks):
        raise _nothing(left)
    cache = bench.folder / CACHE if bench is not None and found else None
    choice = weigh_up(
        pictures,
        ways,
        cache=cache,
        workers=workers,
        cluster=cluster,
        progress=counted(part(progress, 0.05, WEIGHED), "progress.weighed"),
    )
    if cache is not None:
        prune_now_and_then(cache)
    progress(1.0, Message("progress.weighed", done=len(pictures), of=len(pictures)))
    sound = sum(each.fault is None for each in choice.pictures)
    alike = comparable([each.card.reading for each in found])
    said = answer(choice.ranking, sound, comparable=alike)
    return CardChoice(choice, said, tuple(found), (*left, *choice.left_out))


def cards_in_question(bench: Bench, wanted: WantedCard) -> tuple[list[Candidate], list[LeftOut]]:
    """The cards to weigh up, and those that were read but are not what is wanted, each with its reason.

    Raises NotFound for a stock or printer that is not on the bench, and where nothing was read of one that is wanted.
    """
    stocks = {stock.name: stock for stock in bench.stocks.list()}
    printers = {printer.name: printer for printer in bench.printers.list()}
    if wanted.printer is not None:
        bench.printers.get(wanted.printer)
    return candidates(newest_readings(bench, wanted.printer), stocks, printers, wanted)


def _own_profiles(bench: Bench, found: Sequence[Candidate]) -> dict[str, CardProfile]:
    """By a card's name the profile that was built from its reading, where one was."""
    built = {}
    for each in found:
        kept = kept_profile_on(bench, each.trial.stock, each.trial.side, each.trial.printer)
        if kept is not None:
            built[each.card.name] = CardProfile(kept.title, read_profile_file(bench.file(kept.sha256)))
    return built


def printer_profiles(files: Sequence[Path]) -> list[CardProfile]:
    """Profiles to weigh up as well. Raises BadProfile for a file that is no printer profile, before any work."""
    profiles = []
    for file in files:
        profile = CardProfile(file.name, read_profile_file(file))
        try:
            profile.device  # noqa: B018  opened here, so that its faults show here
        except BadProfile as error:
            raise BadProfile("profile.in-file", file=str(file), reason=error.message) from error
        profiles.append(profile)
    return profiles


def proofs_of(chosen: CardChoice) -> ContactSheet:
    """A small proof of each of the first pictures on the best cards."""
    return contact_sheet(chosen.choice, chosen.answer)


def write_contact_sheet(chosen: CardChoice, path: Path) -> None:
    """The proofs as a page or a picture, by the name of the file: one of SHEETS. Raises StorageTrouble."""
    made = proofs_of(chosen)
    if path.suffix.lower() == ".html":
        write_text(path, as_html(made))
        return
    pixels = np.ascontiguousarray(as_image(made))
    image = with_profile(pyvips.Image.new_from_array(pixels), working_space_profile("srgb"))
    with atomic_path(path) as temporary:
        if path.suffix.lower() == ".png":
            image.pngsave(str(temporary), compression=6)
        else:
            image.tiffsave(str(temporary), compression="deflate", predictor="horizontal")


def _nothing(left: Sequence[LeftOut]) -> NotFound:
    reasons = tuple(
        Message("choosing.left-out", name=each.name, why=each.why) for each in left[:MOST_REASONS]
    )
    return NotFound("choosing.nothing-wanted", reasons=reasons) if reasons else NotFound("choosing.no-card")
