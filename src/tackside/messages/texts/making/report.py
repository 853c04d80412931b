"""What plots of several prints are called, and reports that cannot be made or are not there."""

from tackside.messages.catalogue import Entry, Fault, Where

TEXTS: dict[str, Entry] = {
    "report.axis-a": "a*  (green to red)",
    "report.axis-b": "b*  (blue to yellow)",
    "report.axis-grey": "Grey in the file, % (0 is black)",
    "report.axis-lightness": "L* of the print",
    "report.tone-curve": "Tone curve",
    "report.tone-curve-told": "Lightness of the printed greys over the grey asked for, one line for each of: {names}",
    "report.hue-plane": "Reach of the colours in the a* b* plane",
    "report.hue-plane-told": (
        "One outline and one set of solids for each of: {names}. The figures are in the table of measures."
    ),
    "report.can-i-print": "Can I print on {stock}?",
    "report.no-trials": Fault(
        "there is no trial to report on",
        Where("name one or more; tackside trial list shows them", "choose one or more"),
    ),
    "report.pdf-not-set": Fault("the PDF cannot be set ({reason})", "write it as HTML and print that"),
    "report.catalogue-and-more": Fault(
        Where("--catalogue takes all stocks", "a catalogue takes all card stocks"),
        Where("leave out the trials, --out and --short", "leave out the trials and the short form"),
    ),
    "report.no-name": Fault(
        "the report has no name",
        Where("add --out FILE.html or --out FILE.pdf", "give it a name that ends in .html or .pdf"),
    ),
    "report.other-ending": Fault(
        "{file} does not say what it is to be",
        Where("end the name of --out in .html or .pdf", "end its name in .html or .pdf"),
    ),
    "report.short-on-several": Fault(
        Where("--short answers on one trial", "the short form answers on one trial"),
        Where("name one, or leave out --short", "choose one, or leave the short form out"),
    ),
    "report.text-too-long": Fault("it is too long", "shorten it to {most:d} characters"),
    "report.short-on-several-trials": Fault(
        "the short form answers on one trial", "choose one, or leave the short form out"
    ),
    "report.not-made": Fault("this report is not made", "make it on the page of reports"),
    "report.unknown": Fault("there is no such report", "see those that were made on the page of reports"),
}
