"""A card's own profile: what it can't be built from, how good it is, how to use it, what a print through it showed."""

from tackside.messages.catalogue import Entry, Fault, Plural, Where

_DEVICE_SHEET = Where(
    terminal="print and read a sheet of bare numbers: tackside sheet STOCK PRINTER --purpose device --out FILE",
    page="test the card with a sheet for the printer alone, and read that",
)

TEXTS: dict[str, Entry] = {
    # What a profile can't be built from.
    "own-profile.what-it-takes": Fault(
        Where(
            terminal="profile build takes trials or --data FILE, and not both",
            page="a profile is built from trials",
        ),
        Where(terminal="name them, as: tackside profile build TRIAL --out FILE.icc", page="choose a trial"),
    ),
    "own-profile.card": "{card} on {printer}",
    "own-profile.cards-mixed": Fault(
        "the trials are of two cards: {first}; {second}",
        "build a profile from trials of one card in one printer",
    ),
    "own-profile.settings-mixed": Fault(
        "the trials were printed with two settings, {first} and {second}",
        "build a profile from trials that were printed alike",
    ),
    "own-profile.measured-in-two-ways": Fault(
        "the readings were measured in two ways, by scanner and instrument or by two conditions (M0 to M3)",
        "build a profile from readings of one kind",
    ),
    "own-profile.through-management": Fault(
        "the sheet of trial {trial} was printed through colour management, so its numbers are not the printer's",
        _DEVICE_SHEET,
    ),
    "own-profile.photographed": Fault(
        "trial {trial} was read from a photograph, which is too coarse for a profile",
        "scan the sheet by a scanner that you have characterised, or measure it",
    ),
    "own-profile.scanner-unknown": Fault(
        "trial {trial} was read by a scanner that is not characterised, whose colours are off by about {uncertainty:.1f} ΔE",
        Where(
            terminal="characterise it once (tackside scanner learn) and read the scan again, or measure with an instrument",
            page="characterise the scanner once and read the scan again, or measure with an instrument",
        ),
    ),
    "own-profile.unfit": Fault(
        "the reading of trial {trial} is not fit to conclude anything from", "read the print again"
    ),
    "own-profile.unfit-as": Fault(
        "the reading of trial {trial} is not fit for a profile ({why})", "read the print again"
    ),
    "own-profile.suffix": Fault("{file} is no name of a profile", "end it in .icc or .icm"),
    "own-profile.description-too-long": Fault(
        "the description is longer than {limit} characters", "programs list profiles by it: use fewer words"
    ),
    "own-profile.of-another-card": Fault(
        "trial {trial} is of {stock} on {printer}, not of this card's stock and printer",
        "name a trial of this card, or convert by a profile's file",
    ),
    "own-profile.card-or-profile": Fault(
        Where(
            terminal="--card and --profile both say how to convert",
            page="both a card and a profile are chosen",
        ),
        "give one of them",
    ),
    # Sheets through a profile.
    "own-profile.sheet-no-file": Fault(
        "there is no profile {file} to send the sheet through",
        "check its name; to note a profile that you used, give its name without .icc",
    ),
    "own-profile.sheet-of-bare-numbers": Fault(
        "a sheet of bare numbers goes through no profile", "leave the profile or the purpose device out"
    ),
    "own-profile.sheet-through-none": Fault(
        "the sheet of trial {trial} went through no profile",
        Where(
            terminal="make one that does: tackside sheet STOCK PRINTER --profile FILE.icc --out FILE.tif",
            page="make one on the profile's page",
        ),
    ),
    "own-profile.built-elsewhere": Fault(
        "this profile was not built on this bench, so its card and printer are not known",
        Where(
            terminal="name them: tackside sheet STOCK PRINTER --profile FILE.icc --out FILE.tif",
            page="build one on the page of a trial",
        ),
    ),
    "own-profile.nothing-read": Fault(
        "none of the patches of trial {trial} was read", "read the print again"
    ),
    "own-profile.carries-no-measurements": Fault(
        '"{profile}" carries no measurements that it could be refined from', "build one from trials"
    ),
    "own-profile.check.kept": (
        "The print keeps what the profile promised: ΔE00 {median:.2f} in the middle, 95 % within {p95:.2f}."
    ),
    "own-profile.check.near": Where(
        terminal="The print is near what the profile promised, ΔE00 {median:.2f} in the middle, 95 % within {p95:.2f}: "
        "tackside profile refine {trial} --out FILE.icc takes it closer.",
        page="The print is near what the profile promised, ΔE00 {median:.2f} in the middle, 95 % within {p95:.2f}: "
        "refine it from this print.",
    ),
    "own-profile.check.broken": (
        "The print is not what the profile promised, ΔE00 {median:.1f} in the middle: another paper or setting, or colour "
        "was managed a second time. Print the sheet again without colour management, as the first one was."
    ),
    # Putting it where the system looks.
    "own-profile.install-by-hand": Fault(
        "this system takes profiles by its own installer alone",
        "right-click {file} and choose Install Profile; to undo it, remove it in the system's colour management",
    ),
    "own-profile.install-what": Fault(
        Where(
            terminal="profile install takes FILE, --undo, or both",
            page="a profile is installed from its file",
        ),
        Where(terminal="name the profile, as: tackside profile install FILE.icc", page="choose a profile"),
    ),
    "own-profile.installed-by-another": Fault(
        "{file} was put there by another program", "give your profile another name"
    ),
    "own-profile.none-installed": Fault(
        "no profile in {folder} was put there by Tackside",
        "remove others with the program that put them there",
    ),
    "own-profile.not-installed": Fault(
        "{file} in {folder} was not put there by Tackside", "name one that was, or none for the newest"
    ),
    "own-profile.changed-since": Fault(
        "{file} was changed since it was put there", "remove it yourself if you no longer want it"
    ),
    "own-profile.installed": Where(
        terminal="Installed: {file}. Start programs again that are open; undo it with --undo.",
        page="Installed: {file}. Start programs again that are open.",
    ),
    "own-profile.installed-already": "It is there already: {file}.",
    "own-profile.taken-away": "Removed: {file}.",
    # How good it is: labels and what stands beside them.
    "own-profile.quality.readings": "Readings",
    "own-profile.quality.readings-of": Plural(
        "{patches} different patches, read once", "{patches} different patches from {count} readings"
    ),
    "own-profile.quality.noise": "Noise of a reading",
    "own-profile.quality.noise-measured": "ΔE {noise:.2f}, shown by patches that were read more than once",
    "own-profile.quality.noise-guessed": "about ΔE {noise:.2f}: no patch was read more than once",
    "own-profile.quality.fit": "Fit to the patches",
    "own-profile.quality.left-out": "Patches predicted from all others",
    "own-profile.quality.two": "ΔE00 {median:.2f} in the middle, 95 % within {high:.2f}",
    "own-profile.quality.round-trip": "There and back",
    "own-profile.quality.round-trip-of": "ΔE00 {median:.2f} in the middle, 99 % within {high:.2f}, of colours that the card holds",
    "own-profile.quality.smoothness": "Smoothness",
    "own-profile.quality.smoothness-of": (
        "largest bend ΔE {bend:.2f} in 64 steps from white to {ramp}; the noise is {noise:.2f}"
    ),
    "own-profile.quality.greys": "Greys",
    "own-profile.quality.greys-of": Plural(
        "at most ΔE {swing:.2f} from neutral; one step of 256 goes back",
        "at most ΔE {swing:.2f} from neutral; no step of 256 goes back",
        by="back",
    ),
    "own-profile.quality.greys-back": "at most ΔE {swing:.2f} from neutral; {back} steps of 256 go back",
    "own-profile.quality.gamut": "Gamut volume",
    "own-profile.quality.gamut-of": "{volume:,.0f}; of the readings alone {readings:,.0f}",
    "own-profile.quality.ends": "White and black",
    "own-profile.quality.ends-of": "paper L* {white:.1f}, black L* {black:.1f}",
    "own-profile.quality.drawn": Where(
        terminal="Ramps and the line of greys, drawn: tackside profile show {file} --page PAGE.html",
        page="Ramps and the line of greys are drawn further below.",
    ),
    # What to choose when printing.
    "own-profile.use.head": "To print with it",
    "own-profile.use.make": Where(
        terminal="Cards made here need nothing else: tackside card make FILE.toml --card {trial} --out card.pdf, "
        "printed without colour management.",
        page="Cards made here need nothing else: choose it when the card's files are made, and print them without "
        "colour management.",
    ),
    "own-profile.use.program": (
        'In another program: let the program manage colours, not the printer, and choose "{profile}" as the '
        "printer's profile."
    ),
    "own-profile.use.intent": (
        "Rendering intent: perceptual for most photographs; relative colorimetric with black point compensation "
        "where the picture's colours must stay as they are."
    ),
    "own-profile.use.driver": (
        "In the printer's window: colour management off, and the same paper, quality and feed as for the sheet "
        "that was read."
    ),
    "own-profile.use.driver-as": (
        "In the printer's window: colour management off, and the same paper ({media}), quality and feed as for the "
        "sheet that was read."
    ),
    "own-profile.use.list": Where(
        terminal="Programs that don't list it: tackside profile install FILE, start them again; older ones need one "
        "built with --v2.",
        page="Programs that don't list it: save the file where the system keeps profiles and start them again; older "
        "ones need one of version 2.",
    ),
}
