"""What to do next: prints and acts that would tell the causes of a fault apart, and those that put one right."""

_SHEET, _PLAIN, _NONE = "Costs 1 sheet.", "Costs a plain sheet.", "Costs no card."

TEXTS = {
    # Said in verdicts that were kept before the next steps were one list.
    "step.next": "Next: {step}",
    # In full: what its outcomes mean, and what it costs.
    "step.other-side": f"Print the sheet on the other side of the card: much darker and sharper means that this was the wrong side, as pale as this one that neither side has a coating. A damp fingertip on a clear corner tells as well, well away from a running, powered printer: it drags on the coated side. {_SHEET}",
    "step.known-card": f"Print the sheet on a card known to be good: if that is fine, it is the card; if not, it is the path or the printer. {_SHEET}",
    "step.device-sheet": f"Print the sheet of bare numbers, which goes past all colour management: if its inks look right, the fault lies in the path from file to driver. {_SHEET}",
    "step.manage-once": f"Print the sheet with colour managed in one place only, the application or the driver: if it comes out right, nothing managed colour before, or both did. {_SHEET}",
    "step.manage-off": f"Print the sheet of bare numbers with all colour management off, in the application and in the driver: if it comes out right, something converted its numbers before. {_SHEET}",
    "step.keep-space": f"See that the file's own colour space is kept on the way to the printer, and print the sheet: if it comes out right, the space was misread before. {_SHEET}",
    "step.media-setting": f"Print the sheet with another media setting and change nothing else: heavier if it is pale, lighter if its shadows close. {_SHEET}",
    "step.media-setting-too": f"Print the sheet with another media setting: heavier if it is pale, lighter if its shadows close. {_SHEET}",
    "step.true-size": f"Print the sheet at 100 %, with no fit to the page and no borderless enlargement: if the rulers are right then, that was what scaled it. {_SHEET}",
    "step.nozzle-check": f"Print the printer's own nozzle check, on plain paper: gaps mean that an ink is missing. {_PLAIN}",
    "step.head-alignment": f"Print the printer's own head alignment page, on plain paper: if its lines do not meet, the heads are out of alignment. {_PLAIN}",
    "step.measure-ruler": f"Lay a steel rule on the printed ruler, across and along: if they differ, something scales the page. {_NONE}",
    "step.rescan": f"Scan the sheet again, flat, with every automatic correction off: if the fault is gone, it was the scan. {_NONE}",
    "step.with-mends": "{step} In the same print: {mends:and}.",
    # The one thing to do, in a few words.
    "step.do.other-side": "Print the sheet on the other side of the card.",
    "step.do.known-card": "Print the sheet on a card known to be good.",
    "step.do.device-sheet": "Print the sheet of bare numbers, past all colour management.",
    "step.do.manage-once": "Print the sheet again, with colour managed in one place only: the application or the driver.",
    "step.do.manage-off": "Print the sheet of bare numbers again, with all colour management off.",
    "step.do.keep-space": "Print the sheet again, with the file's own colour space kept on the way to the printer.",
    "step.do.more-ink": "Print the sheet again, with a media setting that lays more ink.",
    "step.do.less-ink": "Print the sheet again, with a media setting that lays less ink.",
    "step.do.true-size": "Print the sheet again at 100 %: no fit to the page, no borderless enlargement.",
    "step.do.nozzle-check": "Print the printer's own nozzle check, clean the heads if it has gaps, then print the sheet again.",
    "step.do.head-alignment": "Align the heads as the printer's manual says, and print the sheet again.",
    "step.do.measure-ruler": "Lay a steel rule on the printed ruler, across and along.",
    "step.do.rescan": "Scan the sheet again, flat, with every automatic correction off.",
    "step.do.make-card": "Make a card of it.",
    "step.do.make-card-for-friends": "Make a card for friends of it, or test another card to sell.",
    "step.do.another-card": "Test another card.",
    "step.do.another-card-beside-drafts": "Test another card for finished work; this one will do for drafts.",
    "step.do.compensation": "Print the sheet again with black point compensation on.",
    "step.do.check-manager": "You noted that {noted} manages colour, and the print looks otherwise: look which is right, then correct the note or print again.",
    "step.do.check-space": "You noted that the file is read as {noted}, and the print looks otherwise: look which is right, then correct the note or print again.",
    "step.do-with": "{do} In the same print: {mends:and}.",
    # What the print of another step is to see to.
    "step.mend.manage-once": "colour managed in one place only",
    "step.mend.keep-space": "the file's own colour space kept",
    "step.mend.more-ink": "a media setting that lays more ink",
    "step.mend.less-ink": "a media setting that lays less ink",
    "step.mend.true-size": "no fit to the page and no enlargement",
}
