"""A printer's profile built from its own sheet: what keeps it from being built, what is being done, what to know of it."""

from tackside.messages.catalogue import Fault, Plural

_AGAIN = "read the sheet again, or print and read another one"
_COLUMNS = "export it again with all columns"

TEXTS = {
    # What keeps a profile from being built.
    "profile-build.not-rgb": Fault(
        "the patches have four device numbers: profiles are built for printers that take RGB",
        "print the sheet through the printer's RGB driver",
    ),
    "profile-build.device-columns": Fault(
        "the patches have {count} columns of device numbers where RGB has 3", _COLUMNS
    ),
    "profile-build.colour-columns": Fault(
        "the patches have {count} columns of colours where L*a*b* has 3", _COLUMNS
    ),
    "profile-build.rows-differ": Fault(
        "there are {device} rows of device numbers but {colours} of colours", _COLUMNS
    ),
    "profile-build.numbers-missing": Fault(
        Plural(
            "numbers are missing in one patch: {patch}",
            "numbers are missing in {count} patches, the first is {patch}",
        ),
        _COLUMNS,
    ),
    "profile-build.device-range": Fault(
        "the device numbers of patch {patch} are not between 0 and 1",
        "export it again as 0 to 255 or per cent",
    ),
    "profile-build.channels-mixed": Fault(
        "some of the readings are of RGB and some of CMYK", "take readings of one kind of sheet"
    ),
    "profile-build.too-few-patches": Fault(
        "{count} different patches are too few for a profile; {limit} is the least",
        "print a sheet with more patches: 200 for a start, 500 for good colour",
    ),
    "profile-build.no-paper": Fault(
        "no patch of bare paper was read, so the profile would not know its white", "read the whole sheet"
    ),
    "profile-build.no-black": Fault(
        "no patch of RGB 0, 0, 0 was read, so the profile would not know its black", "read the whole sheet"
    ),
    "profile-build.corner-missing": Fault(
        "nothing near full {colour} was read, so the profile would have to guess it", "read the whole sheet"
    ),
    "profile-build.black-lighter": Fault(
        "black (L* {black:.1f}) is no darker than the paper (L* {paper:.1f})",
        "check that the rows belong to this sheet and were read in its order",
    ),
    "profile-build.two-papers": Fault(
        "the paper differs by {apart:.1f} ΔE between the readings, more than {limit:g}: two papers, or two ways to measure",
        "build a profile from readings of one stock, measured in one way",
    ),
    "profile-build.repeats-disagree": Fault(
        "patches that were read more than once differ by {spread:.1f} ΔE about their mean, more than {limit:g}",
        "let the prints dry, check which sheet each reading is of, and read them again",
    ),
    "profile-build.too-many-outliers": Fault(
        "{count} of {of} patches are unlike all that surrounds them, too many for slips", _AGAIN
    ),
    "profile-build.does-not-follow": Fault(
        "the colours do not follow the device numbers: patches foretold from all others are off by {median:.1f} ΔE, "
        "more than {limit:g}",
        "check that the reading is of this sheet, in its order",
    ),
    # Corners of the cube of RGB.
    "profile-build.corner.paper": "white",
    "profile-build.corner.black": "black",
    "profile-build.corner.red": "red",
    "profile-build.corner.green": "green",
    "profile-build.corner.blue": "blue",
    "profile-build.corner.cyan": "cyan",
    "profile-build.corner.magenta": "magenta",
    "profile-build.corner.yellow": "yellow",
    # What is being done.
    "profile-build.step.fitting": "fitting the printer's colours to the patches",
    "profile-build.step.tables": "calculating colours for all numbers",
    "profile-build.step.inverting": "finding the numbers for each colour",
    "profile-build.step.rendering": "drawing pictures' colours into what the card holds",
    "profile-build.step.writing": "writing the profile",
    # What to know of it.
    "profile-build.outliers": Plural(
        "one patch was left out, unlike all that surrounds it: {names}",
        "{count} patches were left out, unlike all that surrounds them: {names}",
    ),
    "profile-build.outliers-more": "{count} patches were left out, unlike all that surrounds them: {names} and {more} more",
    "profile-build.no-repeats": "no patch was read more than once: how far the readings can be trusted is a guess",
    "profile-build.greys-straightened": (
        "some greys were read darker than the number below them: their L* was changed by up to {change:.1f}"
    ),
}
