"""Profiles held against a card: which fits, in what it is wrong, what to do."""

from tackside.messages.catalogue import Fault, Where

_ERRORS = "ΔE00 median {median:.1f}, 95th percentile {p95:.1f}"
_NAME = '"{profile}" ({file})'

TEXTS = {
    # The verdict.
    "match.fits": f"{_NAME} fits this card: {_ERRORS}.",
    "match.fits-with-outliers": f"{_NAME} fits this card: {_ERRORS}, though some colours are far off.",
    "match.but-for-white": f"{_NAME} is right but for the white ({_ERRORS}; {{after:.1f}} with the white made equal): the card is {{card:and}}. Relative colorimetric and perceptual leave the white to the card.",
    "match.but-for-black": f"{_NAME} is right but for white and black ({_ERRORS}; {{after:.1f}} with both made equal): it expects {{black}}. Print with black point compensation.",
    "match.but-for-tone": f"{_NAME} has the card's colours, but not its tone ({_ERRORS}; {{after:.1f}} with white, black and tone made equal). {{tone}}",
    "match.near": f"{_NAME} is the closest, and usable at most: {_ERRORS}. {{wrong}}",
    "match.near-by-this-reading": f"{_NAME} is the closest, and by this reading usable at most: {_ERRORS}. {{wrong}}",
    "match.none": f"None fits: the closest, {_NAME}, is far off ({_ERRORS}). {{wrong}}",
    "match.none-by-this-reading": f"By this reading none fits: the closest is {_NAME} ({_ERRORS}). {{wrong}}",
    "match.none-holds-so-little": f"None fits: the card holds less than half of what {_NAME} expects ({{held:%}} at most), and no profile will change that. The closest is {_NAME}: {_ERRORS}.",
    "match.none-holds-so-little-of-any": f"None fits: the card holds less than half of what any of these expects ({{held:%}} at most), and no profile will change that. The closest is {_NAME}: {_ERRORS}.",
    # How the card's white differs from the profile's.
    "match.white.lighter": "{step:.1f} L* lighter",
    "match.white.darker": "{step:.1f} L* darker",
    "match.white.redder": "redder by {step:.1f}",
    "match.white.greener": "greener by {step:.1f}",
    "match.white.yellower": "yellower by {step:.1f}",
    "match.white.bluer": "bluer by {step:.1f}",
    "match.white.away": "ΔE00 {step:.1f} away",
    "match.black.deeper": "a black {step:.1f} L* deeper than the card's",
    "match.black.lighter": "a black {step:.1f} L* lighter than the card's",
    "match.tone.mixed": "Greys print partly lighter, partly darker than it expects: check the driver's own adjustments.",
    "match.tone.darker": "Greys print {shift:.1f} L* darker than it expects: try a media setting that lays less ink, and measure again.",
    "match.tone.lighter": "Greys print {shift:.1f} L* lighter than it expects: try a media setting that lays more ink, and measure again.",
    "match.wrong.white": "Most of the error lies in the white.",
    "match.wrong.black": "Most of the error lies in the black: it expects {black}.",
    "match.wrong.tone": "Most of the error lies in the tone. {tone}",
    "match.wrong.colour": "Most of the error lies in hue and chroma.",
    "match.wrong.colour-fuller": "Most of the error lies in hue and chroma: colours print {share:%} fuller than it expects.",
    "match.wrong.colour-weaker": "Most of the error lies in hue and chroma: colours print {share:%} weaker than it expects.",
    # What comes after it.
    "match.close": "It is a close call: this reading cannot tell it from {others:and}.",
    "match.estimate": "No instrument made the reading, which is good to about ΔE00 {uncertainty:.1f}: in truth the closest profile may be off by {least:.1f} to {most:.1f}. Take all this as an estimate; an instrument, or a characterised scanner, tells more.",
    "match.profile-will-do": "The profile will do; the card's own reading is not needed.",
    "match.profile-will-do-by-this-reading": "By this reading the profile will do, but the reading is too uncertain to be sure of it: print a picture through the profile before you rely on it.",
    "match.no-own-reading": "The reading has too few patches to stand in for a profile.",
    "match.use-own-reading": Where(
        terminal=f"Use the card's own reading instead of any profile: it predicts this card better ({_ERRORS}, each patch from the others). Build its own profile: tackside profile build TRIAL --out FILE.icc.",
        page=f"Use the card's own reading instead of any profile: it predicts this card better ({_ERRORS}, each patch from the others). Build its own profile on the trial's page.",
    ),
    "match.own-hardly-better": f"The card's own reading is hardly better ({_ERRORS}, each patch from the others).",
    "match.own-no-surer": f"The card's own reading agrees with itself ({_ERRORS}, each patch from the others), but is only good to about ΔE00 {{uncertainty:.1f}}: it may be no better than the profile.",
    # Profiles and readings that cannot be held against each other.
    "match.unusable": "{file} is no profile that can be used ({reason})",
    "match.no-printer-profile": "{file} is of the class {kind}, no printer's profile",
    "match.other-numbers": "{file} is for {space} numbers, but the reading has {wanted}",
    "match.refused": "{file}: {reason}",
    "match.left-out": "{reason}: left out",
    "match.no-print": "{file} describes a display or a working space, no print",
    "match.through-management": "its sheet was printed through colour management, so the reading mixes profile and card",
    "match.none-can-be-matched": Fault(
        "none of the profiles can be matched: {reason}", "choose printer profiles for {space}"
    ),
    "match.no-profile": Fault(
        "none of the profiles can be matched: no profile was found", "choose printer profiles for {space}"
    ),
    "match.no-range": Fault("the profile has no range between white and black", "choose another one"),
    "match.too-few-patches": Fault(
        "{count} patches are too few to tell profiles apart; {limit} is the least",
        Where(
            terminal="measure a whole chart: tackside sheet STOCK PRINTER --purpose device",
            page="measure a whole chart: test the card with a sheet for the printer alone",
        ),
    ),
    "match.no-white-or-black": Fault(
        "the reading lacks the bare paper or the black, without which no profile can be matched",
        "measure those two patches too",
    ),
    # The command.
    "match.sheet-through-management": Fault(
        "the sheet of {card} was printed through colour management, so its reading mixes profile and card",
        Where(
            terminal="print and read a bare one: tackside sheet STOCK PRINTER --purpose device --out FILE",
            page="test the card with a sheet for the printer alone, and read that",
        ),
    ),
    "match.what-it-takes": Fault(
        Where(
            terminal="profile match takes a trial or --data FILE, and profiles",
            page="a match takes a trial and profiles",
        ),
        Where(terminal="name them, as: tackside profile match TRIAL FOLDER", page="choose both"),
    ),
    "match.file-for-trial": Fault(
        "{file} stands where the trial's id belongs",
        Where(
            terminal="name the trial first, or an instrument file with --data {file}",
            page="choose the trial first",
        ),
    ),
}
