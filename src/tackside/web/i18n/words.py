"""The interface's words for what records hold. Marked here, translated where they are shown."""

from __future__ import annotations

from tackside.fit.model import called
from tackside.messages.message import Message


def _(text: str) -> str:
    """Marks a text for translation."""
    return text


# Sheets and cards that have a name in words; all others are called by their figures or by a standard's letters.
SIZES = (
    _("US letter"), _("US half letter"), _("US legal"), _("US tabloid"), _("US slim"), _("US bookmark"),
    _("a third of A4"), _("bookmark"), _("150 mm square"),
    _("US square 4.75 in"), _("US square 5.25 in"), _("US square 5.75 in"), _("US square 6.25 in"),
    _("square 100 mm"), _("square 125 mm"), _("square 135 mm"), _("square 145 mm"),
    _("square 150 mm"), _("square 160 mm"),
)  # fmt: skip
BASES = {
    "unknown": _("Not known"), "photo": _("Photo base (resin-coated)"), "matt": _("Matt coated"),
    "cotton": _("Cotton or etching"), "plain": _("Plain card"),
}  # fmt: skip
COATED = {
    "unknown": _("Not known yet"), "front": _("Front"), "back": _("Back"), "both": _("Both sides"),
    "none": _("Neither side"),
}  # fmt: skip
FOUND_BY = {
    "not-checked": _("Not checked"), "damp-fingertip": _("A damp fingertip"), "maker": _("The maker's word"),
    "two-sided-trial": _("A trial of both sides"),
}  # fmt: skip
CREASES = {
    "": _("No crease"), "horizontal": _("Across the feed (horizontal)"), "vertical": _("Along the feed (vertical)"),
}  # fmt: skip
INKS = {"unknown": _("Not known"), "dye": _("Dye"), "pigment": _("Pigment"), "mixed": _("Dye and pigment")}
YES_NO = {"": _("Not known"), "yes": _("Yes"), "no": _("No")}
SIDES = {"front": _("Front"), "back": _("Back")}
MANAGED = {
    "": _("Not noted"), "application": _("The application"), "driver": _("The printer driver"), "nobody": _("Nobody"),
}  # fmt: skip
INTENTS = {
    "": _("Not noted"), "perceptual": _("Perceptual"), "relative": _("Media-relative colorimetric"),
    "saturation": _("Saturation"), "absolute": _("ICC-absolute colorimetric"),
}  # fmt: skip
PRINT_INTENTS = {value: word for value, word in INTENTS.items() if value}
QUALITIES = {"high": _("High"), "normal": _("Normal"), "draft": _("Draft, fast")}
# States of a job at a printer (RFC 8011 section 5.3.7), and "lost" and "sent" of our own.
PRINT_STATES = {
    "sent": _("on its way"), "pending": _("waits at the printer"), "held": _("held at the printer"),
    "processing": _("is printed"), "stopped": _("stopped at the printer"), "canceled": _("cancelled"),
    "aborted": _("given up by the printer"), "completed": _("printed"), "lost": _("lost"),
}  # fmt: skip
SPACES = {"srgb": _("sRGB"), "adobe-rgb": _("Compatible with Adobe RGB (1998)")}
PURPOSES = {
    "path": _("The whole way from file to paper"),
    "device": _("The printer alone: bare numbers, no profile"),
}
GRADES = {"sell": _("Sell"), "send": _("Send"), "draft": _("Draft"), "reject": _("Reject")}
# What begins a next step.
DOORS = {
    "sheet": _("Make the sheet"), "other-side": _("Make the sheet for the other side"),
    "device-sheet": _("Make the sheet of bare numbers"), "another-card": _("Test another card"),
    "make-card": _("Make a card"), "print-card": _("Make its file"), "read-again": _("Read again"),
    "settings": _("See what was noted"), "describe-stock": _("Describe a card"),
    "describe-printer": _("Describe a printer"), "fit": _("See the fit"), "read": _("Read the print"),
    "judge": _("Judge it"), "practise": _("Practise"), "reveal": _("Guess, and see the truth"),
}  # fmt: skip
CAUSES = {
    "none": _("Nothing is wrong"), "stock": _("The card itself"), "side": _("The wrong side of the card"),
    "too-little-ink": _("Too little ink"), "too-much-ink": _("Too much ink"),
    "managed-twice": _("Colour managed twice"), "unmanaged": _("Colour managed by nobody"),
    "wide-read-as-narrow": _("Wide colour numbers read as sRGB"),
    "narrow-read-as-wide": _("sRGB numbers read as wide ones"), "missing-ink": _("An ink missing or blocked"),
    "alignment": _("Print heads out of line"), "scaling": _("Something scales the page"),
    "unknown": _("Something this reading cannot show"),
}  # fmt: skip
STAGES = {"to-print": _("To be printed and read"), "to-judge": _("Read, not judged"), "judged": _("Judged")}
SORTS = {
    "newest": _("Newest first"),
    "oldest": _("Oldest first"),
    "name": _("By name"),
    "grade": _("Best first"),
}
JOB_STATES = {
    "queued": _("Waiting"), "running": _("At work"), "stopping": _("Stopping"), "done": _("Done"),
    "failed": _("Did not work"), "cancelled": _("Stopped"),
}  # fmt: skip
# The sides of a sheet; a folded card's panels have the same English names, and others elsewhere.
SHEET_SIDES = {name: Message(f"fit.face-{name}") for name in ("front", "back")}
PANELS = {name: called(name) for name in ("front", "back", "inside-left", "inside-right", "flap")}
READING_KINDS = {
    "scan": _("Scan"),
    "instrument": _("Instrument file"),
    "photo": _("Photograph"),
    "eye": _("Answers by eye"),
}
PROFILE_KINDS = {
    "output": _("Printer"), "display": _("Display or working space"), "input": _("Scanner or camera"),
    "colour space": _("Colour space"), "device link": _("Device link"), "abstract": _("Abstract"),
    "named colour": _("Named colours"), "unknown": _("Not known"),
}  # fmt: skip
