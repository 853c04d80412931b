"""Next prints that would tell the causes of a fault apart."""

TEXTS = {
    "step.next": "Next: {step}",
    "step.other-side": "Print the same sheet on the other side of the card: much darker and sharper means that this was the wrong side, as pale as this one that neither side has a coating. It would tell about {gain_bits:.1f} bits, for 1 sheet.",
    "step.known-card": "Print the same sheet on a card known to be good: if that is fine, it is the card; if not, it is the path or the printer. It would tell about {gain_bits:.1f} bits, for 1 sheet.",
    "step.device-sheet": "Print the device sheet, which goes past all colour management: if its inks look right, the fault lies in the path from file to driver. It would tell about {gain_bits:.1f} bits, for 1 sheet.",
    "step.media-setting": "Print the same sheet with another media setting and change nothing else: heavier if it is pale, lighter if its shadows close. It would tell about {gain_bits:.1f} bits, for 1 sheet.",
    "step.nozzle-check": "Print the printer's own nozzle check, on plain paper. It would tell about {gain_bits:.1f} bits, for a plain sheet.",
    "step.head-alignment": "Print the printer's own head alignment page, on plain paper. It would tell about {gain_bits:.1f} bits, for a plain sheet.",
    "step.measure-ruler": "Lay a steel rule on the printed ruler, across and along. It would tell about {gain_bits:.1f} bits, for no sheet of card.",
    "step.rescan": "Scan the sheet again, flat, with every automatic correction off. It would tell about {gain_bits:.1f} bits, for no sheet of card.",
}
