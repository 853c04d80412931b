"""What a scanning program did to a scan, how that is told, and how to switch it off."""

from tackside.messages.catalogue import Fault, Plural

_TONE_OFF = "In the scanning program look for automatic exposure, tone, contrast or colour correction, set it to none or manual, and scan again."

TEXTS = {
    "spoilt.levels-missing": f"{{file}} was given another tone after it was scanned: {{levels}} of the levels in use are missing, as a curve leaves them out and no print does. Its colours are the program's in part. {_TONE_OFF}",
    "spoilt.white-pulled-up": f"In {{file}} bare card lies at the very end of the numbers (L* {{lightness:.1f}}), whiter than card is: the program pulled white up. The card's own white and the lightest tints are lost. {_TONE_OFF}",
    "spoilt.contrast-uneven": "{file} was given a contrast of its own in each place: bare card beside the marks differs by {spread:.1f} levels of 255 and does not fall off as light does. In the scanning program look for adaptive or local contrast, shadow or backlight correction, switch it off, and scan again.",
    "spoilt.smoothed": "{file} looks smoothed: in even areas {noise:.2f} levels of noise are left from pixel to pixel, less than most scanners make. If the program smooths, graininess, mottle and fine lines are in part its own; colours hold. In the scanning program look for descreening, noise or grain removal and dust removal, and switch all of them off.",
    "spoilt.light-jpeg": "{file} was once a JPEG of a quality of about {quality}: its blocks of 8 pixels show. Colours hold; for fine lines scan again and save as TIFF or PNG.",
    "spoilt.eight-bits-as-sixteen": "{file} has 16 bits and only {levels} different levels: it was scanned or saved with 8 before. Choose 48 bits colour in the scanning program; where it only offers 24, nothing is lost by saving those.",
    "spoilt.enlarged": "{file} was enlarged: along each side about {factor:.2g} of its pixels were made of each that was scanned. Lines and edges are as blurred as at the lower resolution. In the scanning program choose a resolution that the scanner has itself (300 or 600 ppi), with no scaling.",
    # Refused.
    "spoilt.red-and-blue-exchanged": Fault(
        "red and blue are exchanged in {file}: its patches are as light in green as their inks, and the other two channels stand the wrong way round",
        "save the scan unchanged from the scanning program, or scan again as RGB colour",
    ),
    "spoilt.part-bare": Fault(
        Plural(
            "in {file} one patch shows bare card where lighter patches show ink ({x_mm} from the left, {y_mm} from the top of the sheet)",
            "in {file} {count} patches show bare card where lighter patches show ink (around {x_mm} from the left, {y_mm} from the top of the sheet)",
        ),
        "take away what covers the print and scan all of it; if the print itself is blank there, print it again",
    ),
    "spoilt.part-painted": Fault(
        "{share:.0%} of the sheet in {file} is pure white, lighter than its card: it was covered or painted over after the print",
        "take away what covers the print, and give the scan as the scanning program saves it",
    ),
    # The pictures.
    "spoilt.nothing-to-show": "Nothing in the scan shows that a program changed it: {file} was not written.",
    "spoilt.not-of-photographs": "A photograph is not looked at for what a program did to it: {file} was not written.",
    "spoilt.picture-written": "Where it shows: {file}.",
    "spoilt.picture-format": Fault("{file} does not end in .png", "give the picture a name that does"),
}
