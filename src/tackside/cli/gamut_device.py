"""What ``gamut`` is asked about: a trial, an instrument file or a profile, as a solid of colours."""

from __future__ import annotations

from pathlib import Path

from tackside.cli.card_reading import reading_of_file, reading_of_trial
from tackside.errors import BadRequest, NotFound
from tackside.picture.found_reading import FoundReading
from tackside.profile.gamut.gamut_device import GamutDevice, gamut_of_profile, gamut_of_reading
from tackside.profile.icc.files import PROFILE_SUFFIXES, is_profile_file, read_profile_file


def gamut_device(named: str) -> GamutDevice:
    """The device that ``named`` means: a file that is there, else a trial. Raises the errors of either."""
    path = Path(named)
    if path.is_dir():
        raise BadRequest(f"{named} is a folder", "name one profile, instrument file or trial")
    if not path.is_file():
        try:
            return _of_reading(reading_of_trial(named))
        except NotFound as error:
            if path.suffix or len(path.parts) > 1:
                raise NotFound(
                    f"{named} is not there", "check the path, or name a trial by its id"
                ) from error
            raise
    if path.suffix.lower() in PROFILE_SUFFIXES or is_profile_file(path):
        return gamut_of_profile(path.name, read_profile_file(path))
    return _of_reading(reading_of_file(path))


def _of_reading(found: FoundReading) -> GamutDevice:
    return gamut_of_reading(found.reading, found.plan, found.title, through_path=found.through_path)
