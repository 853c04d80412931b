"""Gamuts: whose they are, by what they were worked out, what they hold."""

from tackside.messages.catalogue import Fault

TEXTS = {
    "gamut.by-model": "a model of {patches} patches (each from the others: ΔE00 median {median:.2f}, 95th percentile {p95:.2f})",
    "gamut.by-profile": "the profile's colorimetric table, ICC-absolute",
    "gamut.by-definition": "its definition",
    "gamut.method.rgb": "tetrahedra of the RGB device solid",
    "gamut.method.cmyk": "tetrahedra of the CMYK device solid, union of its facets",
    "gamut.through-management": "The sheet was printed through colour management: this is what the whole path reaches, maybe less than what the card holds.",
    "gamut.scanned": "The colours come from a scan, good to about ΔE00 {uncertainty:.1f}.",
    "gamut.photographed": "The colours come from a photograph, good to about ΔE00 {uncertainty:.1f}.",
    "gamut.read-unlike": "The two come from different devices or settings, so their gamuts are not compared; scan both sheets on one scanner with the same settings, at best in one scan.",
    "gamut.no-solid": Fault(
        'the colour profile "{profile}" is of the class {kind}, for {space} numbers',
        "choose the profile of a printer, a display or a working space, for RGB or CMYK",
    ),
    "gamut.folder": Fault("{file} is a folder", "name one profile, instrument file or trial"),
    "gamut.not-there": Fault("{file} is not there", "check the path, or name a trial by its id"),
    "gamut.no-part": Fault("there is no such part of a gamut", "open the gamut again"),
    "gamut.part-not-prepared": Fault("this part of the gamut is not prepared", "open the gamut again"),
}
