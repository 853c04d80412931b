"""What is said of a scanner that was characterised, or is to be: its inks, its surface, its drift, its sharp edge."""

from tackside.messages.catalogue import Fault, Where

_ENOUGH = "measure {least} or more; 125 serve well"

TEXTS = {
    # Using it.
    "scanner.other-settings": Fault(
        'the scanner "{scanner}" was characterised with {known}, this scan has {settings}',
        Where(
            "scan with the settings it was characterised with, or characterise it again: tackside scanner learn",
            "scan with the settings it was characterised with, or characterise the scanner again",
        ),
    ),
    "scanner.strip-moved": Where(
        "The control strip reads {de00:.1f} ΔE00 off what it was when the scanner was characterised: the scanner or the print has changed. Scan the sheet it was characterised on again: tackside scanner check {scanner} FILE.",
        "The control strip reads {de00:.1f} ΔE00 off what it was when the scanner was characterised: the scanner or the print has changed. Scan the sheet it was characterised on again.",
    ),
    "scanner.learnt-on-target": "The scanner was characterised on a photographic target: print inks reflect otherwise and may look alike to it that are not. Characterise it on a measured sheet of your own.",
    "scanner.other-inks": "The scanner was characterised on the inks of {known}, not of {inks}.",
    "scanner.other-surface": "The scanner was characterised on a {known} surface, not {surface}.",
    "scanner.model-polynomial": "polynomial",
    "scanner.model-root-polynomial": "root-polynomial",
    "scanner.model-lab-polynomial": "lab-polynomial",
    "scanner.model-table": "table",
    # Characterising it.
    "scanner.scan-not-fit": Fault(
        "{file} is not fit to characterise a scanner with ({why})",
        "scan again with all corrections off and save as TIFF",
    ),
    "scanner.too-few-shared": Fault("scan and measurement share {patches} patches", _ENOUGH),
    "scanner.too-few-patches": Fault("{patches} patches are too few to characterise a scanner with", _ENOUGH),
    "scanner.no-agreement": Fault(
        "scan and measurement do not agree (median error {de00:.1f} ΔE00 after the best fit)",
        "check that both are of the same print, and that scanner corrections are off",
    ),
    "scanner.no-resolution": Fault("{file} does not say its resolution", "save it as the scanner gave it"),
    "scanner.edge-too-large": Fault(
        "{file} has {width} × {height} pixels, more than an edge needs",
        "crop the scan to one straight edge, dark on one side and light on the other",
    ),
    "scanner.no-edge": Fault(
        "{file} shows no single sharp edge 2° to 10° askew",
        "crop the scan to one straight edge, dark on one side and light on the other",
    ),
    # An ISO 12641 target.
    "scanner.target-names": Fault(
        "{file} names {named} of the {patches} patches of an ISO 12641 target",
        "give the data file of your target, with SAMPLE_ID A1 to L22",
    ),
    "scanner.corners-outside": Fault(
        "the four corners do not lie in the scan", "give the centres of A1, A22, L22 and L1 as x,y in pixels"
    ),
    "scanner.target-unlike": Fault(
        "the patches in {file} do not run as {data} says",
        "check the order of the corners (A1, A22, L22, L1) and that the data are of this target",
    ),
    # The commands.
    "scanner.corners-no-numbers": Fault(
        'corners "{corners}" are no numbers', 'write them as "x,y x,y x,y x,y"'
    ),
    "scanner.corners-not-four": Fault(
        'corners "{corners}" are not four points', 'write them as "x,y x,y x,y x,y"'
    ),
    "scanner.learnt-from-withdrawn": Fault(
        'what "{scanner}" was characterised on was withdrawn',
        Where(
            "characterise it again with tackside scanner learn, or put back what was withdrawn",
            "read without it, or put back what was withdrawn",
        ),
    ),
    "scanner.not-learnt-from-this": Fault(
        '"{scanner}" was not characterised on the stock and settings of this scan',
        Where("see: tackside scanner show NAME", "see what the scanner was characterised on"),
    ),
}
