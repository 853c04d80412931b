"""Colour profiles: those that cannot be used, and what is said of those that can."""

from tackside.messages.catalogue import Fault, Plural, Where

_ANOTHER = "export the profile again, or choose another one"
_WHOLE_CHART = Where(
    terminal="measure a whole chart: tackside sheet STOCK PRINTER --purpose device",
    page="measure a whole chart: test the card with a sheet for the printer alone",
)

TEXTS = {
    # What keeps a profile from being used.
    "profile.shorter-than-header": Fault("the colour profile is shorter than a profile's header", _ANOTHER),
    "profile.too-large": Fault("the colour profile is larger than {limit_mb} MB", _ANOTHER),
    "profile.no-signature": Fault("this is not an ICC colour profile (its signature is missing)", _ANOTHER),
    "profile.cut-short": Fault("the colour profile is cut short", _ANOTHER),
    "profile.version-unknown": Fault(
        "the colour profile is of version {version}, which is unknown", _ANOTHER
    ),
    "profile.contents-damaged": Fault("the colour profile's list of contents is damaged", _ANOTHER),
    "profile.contents-past-end": Fault("the colour profile's list of contents points past its end", _ANOTHER),
    "profile.damaged": Fault('the colour profile "{profile}" is damaged or incomplete', _ANOTHER),
    "profile.of-other-numbers": Fault(
        "the colour profile is for {space} numbers", "choose one for RGB, CMYK or grey"
    ),
    "profile.of-no-device": Fault(
        "the colour profile is of the class {kind}", "choose one of a device or a space"
    ),
    "profile.for-other-numbers": Fault(
        'the colour profile "{profile}" is for {space} numbers, not {expected}',
        "choose a profile for {expected}",
    ),
    "profile.picture-not-rgb": Fault(
        'the colour profile "{profile}" is for {space} numbers, not RGB', "convert the picture to RGB first"
    ),
    "profile.no-way-back": Fault(
        'the colour profile "{profile}" leads from {space} numbers to colours, but not back',
        "choose the profile of a printer, a display or a working space",
    ),
    "profile.no-way-to-printer": Fault(
        'the colour profile "{profile}" leads to colours, but not back to a printer',
        "choose the profile of a printer",
    ),
    "profile.not-of-a-printer": Fault(
        'the colour profile "{profile}" is of the class {kind}', "choose the profile of a printer"
    ),
    "profile.not-the-cards-printer": Fault(
        '"{profile}" is of the class {kind}, not of a printer', "choose the printer profile of the card"
    ),
    "profile.printer-of-other-numbers": Fault(
        'the colour profile "{profile}" is for {space} numbers', "choose a printer profile for RGB or CMYK"
    ),
    "profile.other-channels": Fault(
        "the profile gives {given} channels, but the card was read with {wanted}",
        "choose a profile for the same kind of numbers",
    ),
    "profile.in-file": Fault("{file}: {reason}", "{reason:fix}"),
    # Files.
    "profile.file-empty": Fault("{file} is empty", "copy the profile again from where it came"),
    "profile.file-too-large": Fault("{file} is larger than {limit_mb} MB, which no profile is", _ANOTHER),
    "profile.file-no-signature": Fault(
        "{file} is not an ICC colour profile (its signature is missing)", _ANOTHER
    ),
    "profile.file-missing": Fault(
        "cannot read {file}: there is no file of that name", "check the name and the folder"
    ),
    "profile.folder": Fault("{file} is a folder", "name a profile's file"),
    "profile.neither-profile-nor-picture": Fault(
        "{file} is neither a colour profile nor a picture", "name an ICC profile, a JPEG, PNG or TIFF"
    ),
    "profile.none-inside": Fault(
        "{file} has no colour profile inside", "its numbers are taken for sRGB, or export it with its profile"
    ),
    "profile.no-folder": Fault("there is no folder {folder}", "name a folder that holds profiles, or none"),
    "profile.none-in-folder": Fault(
        "there is no profile in the folder {folder}", "name a folder with .icc or .icm files"
    ),
    "profile.path-missing": Fault("{file} is not there", "check the path of the profile"),
    "profile.none-sent": Fault("there is no profile among what was sent", "drop one, or choose it"),
    "profile.no-such": Fault("there is no such profile", "choose one of the list"),
    "profile.none-named": Fault("no profile was named", "name profiles, or a folder of them"),
    "profile.too-many": Fault("{count} profiles are more than {limit}", "name a folder that holds fewer"),
    "profile.folder-too-large": Fault(
        "{folder} holds more than {limit:,d} files and folders", "name the folder that the profiles are in"
    ),
    "profile.page-name": Fault(
        "{file} does not say what it is to be",
        Where(terminal="end the name of --page in .html", page="end its name in .html"),
    ),
    "profile.left-out": "{reason}: left out",
    "profile.leads-nowhere": "it leads nowhere",
    "profile.rest-not-read": "there are more than {limit} profiles; the rest was not looked at",
    # Pictures on their way through profiles.
    "profile.picture-channels": Fault(
        "the picture has {channels} channels, but its colour profile is for {space}",
        "export it again as RGB with its profile embedded",
    ),
    "profile.picture-without-profile": Fault(
        "the picture has {channels} colour channels and no colour profile",
        "export it again as RGB with its profile embedded",
    ),
    "profile.picture-not-converted": Fault(
        "the picture's colours cannot be converted", "export it again as an RGB picture in sRGB"
    ),
    # A model of printer and card by a reading.
    "profile.too-few-patches": Fault(
        "{count} different patches are too few to model a printer; {limit} is the least", _WHOLE_CHART
    ),
    "profile.channel-not-covered": Fault(
        "the patches do not go from none to full in {channel}, so no model can be fitted", _WHOLE_CHART
    ),
    "profile.patches-too-alike": Fault("the patches do not vary enough to model a printer", _WHOLE_CHART),
    "profile.no-device-numbers": Fault(
        "{source} holds no device numbers beside its colours", "export it with RGB or CMYK columns"
    ),
    "profile.no-such-intent": Fault(
        "there is no rendering intent {intent}", "choose perceptual, relative, saturation or absolute"
    ),
    # Classes, as the header names them.
    "profile.class.input": "a scanner or camera",
    "profile.class.display": "a display or a working space",
    "profile.class.output": "a printer",
    "profile.class.colour-space": "a colour space",
    "profile.class.device-link": "a link from one device to another",
    "profile.class.abstract": "an abstract change of colours",
    "profile.class.named-colour": "a list of named colours",
    "profile.class.unknown": "an unknown class",
    # What stands in its facts.
    "profile.label.of": "Profile of",
    "profile.label.spaces": "Spaces",
    "profile.label.version": "Version",
    "profile.label.made": "Made",
    "profile.label.size": "Size",
    "profile.label.intent": "Intent in the header",
    "profile.label.colours": "Colours",
    "profile.label.white": "White",
    "profile.label.black": "Black",
    "profile.label.gamut": "Gamut volume",
    "profile.label.greys": "Greys",
    "profile.label.smoothness": "Smoothness",
    "profile.of": "{whose} (class {kind})",
    "profile.spaces": "{device} to {connection}",
    "profile.made": "{moment} UTC",
    "profile.size": "{bytes:,} bytes",
    "profile.no-colours": "none to show: {reason}",
    "profile.lab": "{lightness:.1f} {a:.1f} {b:.1f}",
    "profile.tone": "L*a*b* {absolute}",
    "profile.tone-beside": "L*a*b* {absolute}; beside the medium's white {relative}",
    "profile.de00": "{value:.2f}",
    "profile.gamut": "{volume:,.0f} cubic CIELAB units ({method})",
    "profile.gamut-of-greys": "none: greys alone",
    "profile.gamut-method-greys": "none: a grey device holds a line of greys",
    "profile.greys-asked": "largest cast a*, b* {cast:.1f} among neutrals asked for",
    "profile.greys-equal": "largest cast a*, b* {cast:.1f} among equal numbers",
    "profile.smooth-greys": "greys bend by {greys:.2f} ΔE at most (RMS {greys_rms:.2f}) from one of 64 steps to the next",
    "profile.smooth-worst": "greys bend by {greys:.2f} ΔE at most (RMS {greys_rms:.2f}), {ramp} by {worst:.2f} (RMS {worst_rms:.2f})",
    "profile.ramp.black": "black",
    "profile.ramp.cyan": "cyan",
    "profile.ramp.magenta": "magenta",
    "profile.ramp.yellow": "yellow",
    "profile.ramp.red": "red",
    "profile.ramp.green": "green",
    "profile.ramp.blue": "blue",
    # The table of rendering intents.
    "profile.intent": "intent",
    "profile.to-colours": "to colours",
    "profile.from-colours": "from colours",
    "profile.round-trip": "round trip ΔE00",
    "profile.within-95": "95 % within",
    "profile.intent.perceptual": "perceptual",
    "profile.intent.relative": "relative",
    "profile.intent.saturation": "saturation",
    "profile.intent.absolute": "absolute",
    "profile.intent.unknown": "unknown",
    "profile.table-none-back": "no way back",
    "profile.table-on-white": "relative, on the medium's white",
    "profile.table-repeats": "repeats {intent}",
    "profile.table-as": "as {intent}, to within what can be seen",
    "profile.table-primaries": "primaries and curves",
    "profile.table": "table {tag}",
    # The lead.
    "profile.lead-no-colours": "A profile of {whose}, for {space} numbers. It shows no colours: {reason}.",
    "profile.lead-wrong": Plural(
        "A profile of {whose}, for {space} numbers. One thing in it is against the standard.",
        "A profile of {whose}, for {space} numbers. {count} things in it are against the standard.",
    ),
    "profile.lead-doubtful": Plural(
        "A profile of {whose}, for {space} numbers. One thing in it is doubtful, none plainly wrong.",
        "A profile of {whose}, for {space} numbers. {count} things in it are doubtful, none plainly wrong.",
    ),
    "profile.lead-sound": "A profile of {whose}, for {space} numbers. No fault was found in it.",
    # Drawings.
    "profile.drawing.reach": "How far colours reach at several lightnesses",
    "profile.drawing.from-red-and-yellow": "From the side of red and yellow",
    "profile.drawing.from-blue-and-green": "From the side of blue and green",
    "profile.drawing.tone-curves": "How light the ramps come out",
    "profile.drawing.casts-asked": "Casts of the neutrals that it prints when asked for grey",
    "profile.drawing.casts-equal": "Casts of greys of equal numbers",
    "profile.drawing.lightness": "L* {lightness:g}",
}
