"""Where prints fall, and what that is told from."""

TEXTS = {
    "placement.unmeasured": "Nothing is measured yet: ±{within_mm:g} is what the trade sees, and nothing is corrected.",
    "placement.measured": "The spread is measured over {prints} prints.",
    "placement.one-print": "One print tells no spread: the trade's ±{within_mm:g} is taken for it. Print and read more test sheets on the same way, three in all or more, to have your own.",
    "placement.two-prints": "Two prints may agree by luck: the trade's ±{within_mm:g} is taken for it. Print and read more test sheets on the same way, three in all or more, to have your own.",
    "placement.scaled": "The print path scales by about {scale:.3f} both ways: switch off any fitting to the page and print a new test sheet, rather than correct it.",
    "placement.no-offset": "Trial {trial} tells no offset: scan it again with all four edges of the sheet in view.",
    "placement.left-out": "Trial {trial} is left out: it lies so far off that its page size or scaling was wrong. Print it again at 100 % on the page size that the fit names.",
}
