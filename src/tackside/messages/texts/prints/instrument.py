"""What is said of an instrument's file, CGATS or CxF. A line is counted from 1."""

from tackside.messages.catalogue import Fault, Plural

_AGAIN = "export the file again"
_CXF_AGAIN = "export the measurement as CxF/X-3 again"
_COLOUR = "export it with ReflectanceSpectrum, or with ColorCIELab under D50 and 2°"
_ABSOLUTE = "export it under D50 and 2°, absolute, or with the spectral columns"

TEXTS = {
    # The file.
    "instrument.folder": Fault("{file} is a folder", "name the file inside it"),
    "instrument.too-large": Fault(
        "{file} is larger than {limit_mb} MB, which no measurement file needs",
        "check that it is the instrument's export",
    ),
    "instrument.file-missing": Fault("{file} is not there", "check the path"),
    "instrument.empty": Fault("{file} is empty", "export the measurement again"),
    "instrument.no-text": Fault(
        "{file} is not text (it holds {count} control characters)",
        "choose the CGATS or CxF export, not the instrument program's own file",
    ),
    "instrument.bad-encoding": Fault(
        "{file} breaks off or is not text ({encoding} fails at byte {byte})",
        "export the measurement again as plain text",
    ),
    # CGATS.
    "instrument.no-data-format": Fault(
        "{file}, line {line}: data begin but no BEGIN_DATA_FORMAT says what the columns are",
        "export the file again with its data format",
    ),
    "instrument.begins-inside": Fault(
        "{file}, line {line}: {word} inside the part that began on line {began}",
        "export the file again; the end of that part is missing",
    ),
    "instrument.too-many-rows": Fault(
        "{file}: more than {limit} rows", "export the measurement of one chart at a time"
    ),
    "instrument.breaks-off": Fault(
        "{file} breaks off: what began on line {began} has no {ending}", "export or copy the file again"
    ),
    "instrument.row-length": Fault(
        "{file}, line {line}: {values} values for {columns} columns",
        "export the file again, or correct that line",
    ),
    "instrument.count-no-number": Fault(
        "{file}, line {line}: {key} is '{stated}', not a whole number", _AGAIN
    ),
    "instrument.columns-disagree": Fault(
        "{file}, line {line}: {key} says {stated} but the table has {found} columns",
        "export or copy the file again; rows may be lost",
    ),
    "instrument.rows-disagree": Fault(
        "{file}, line {line}: {key} says {stated} but the table has {found} rows",
        "export or copy the file again; rows may be lost",
    ),
    "instrument.no-rows": Fault("{file}, line {line}: the table has no rows", "export the measurement again"),
    # Columns.
    "instrument.no-table": Fault(
        "{file} holds no table of measurements (no BEGIN_DATA_FORMAT and BEGIN_DATA)",
        "choose a CGATS or CxF export of the instrument",
    ),
    "instrument.only-some-colour-columns": Fault(
        "{file}: the table has only {columns}", "export it with LAB_L LAB_A LAB_B or with spectra"
    ),
    "instrument.no-colour-columns": Fault(
        "{file}: the table has neither Lab, XYZ nor spectral columns",
        "export it with LAB_L LAB_A LAB_B or with spectra",
    ),
    "instrument.columns-missing": Fault(
        Plural("{file}: the column {columns} is missing", "{file}: the columns {columns} are missing"),
        "export all device columns",
    ),
    "instrument.wavelength-varies": Fault(
        "{file}, line {line}: SPECTRAL_NM is not one wavelength for the whole column", "export one grid"
    ),
    "instrument.few-bands": Fault(
        "{file}: the table has fewer than three spectral bands", "export all bands"
    ),
    "instrument.column-twice": Fault("{file}: the column {column} stands there twice", "export it once"),
    "instrument.no-number": Fault(
        "{file}, line {line}: '{word}' in column {column} is no number",
        "measure that patch again, or take the row out and correct NUMBER_OF_SETS",
    ),
    "instrument.range-inferred": "{colours} numbers are taken as 0 to {top:g}, going by the largest of them.",
    "instrument.lab-and-xyz-differ": "Lab and XYZ columns differ by {de:.1f} ΔE*ab in the middle; Lab is used. Check the white of the XYZ.",
    # Under what light and for which observer.
    "instrument.illuminant": "illuminant {illuminant}",
    "instrument.observer-10": "the 10° observer",
    "instrument.white-on-paper": "a white base on paper",
    "instrument.computed-again": "The file says {foreign}: colours are computed again from its spectra under D50 and 2°.",
    "instrument.foreign-light": Fault(
        "{file}: its colours are for {foreign}, and cannot be turned into D50 and 2° without spectra",
        _ABSOLUTE,
    ),
    "instrument.foreign-light-cxf": Fault(
        "{file}: its colours are for {foreign}, and cannot be turned into D50 and 2° without spectra", _COLOUR
    ),
    # Values.
    "instrument.beyond-255": Fault(
        "{file}, line {line}: the {colours} value {value:g} is above 255",
        "export {colours} as 0 to 1, 0 to 100 or 0 to 255",
    ),
    "instrument.negative": Fault("{file}, line {line}: the {colours} value is negative", _AGAIN),
    "instrument.beyond-range": Fault("{file}, line {line}: the {colours} value is beyond its range", _AGAIN),
    "instrument.lab-not-of-a-print": Fault(
        "{file}, line {line}: L*a*b* {lightness:g}/{a:g}/{b:g} is not the colour of any print",
        "check that the columns hold CIELAB, and export the file again",
    ),
    "instrument.xyz-not-of-a-print": Fault(
        "{file}, line {line}: XYZ {x:g}/{y:g}/{z:g} is not the colour of any print",
        "check that the columns hold CIE XYZ, and export the file again",
    ),
    "instrument.reflectance-impossible": Fault(
        "{file}, line {line}: the reflectance {value:g} is not possible",
        "export reflectance as fractions or per cent",
    ),
    "instrument.spectra-do-not-serve": Fault(
        "{file}: {why}", "export the spectra in steps of 10 nm from 380 to 730 nm, or 400 to 700 nm"
    ),
    # CxF.
    "instrument.not-cxf": Fault("{file} is XML but not CxF (its root is '{root}')", _CXF_AGAIN),
    "instrument.too-many-objects": Fault("{file}: more than {limit} objects", "export one chart at a time"),
    "instrument.no-colours": Fault("{file} holds no measured colours (no Object with ColorValues)", _COLOUR),
    "instrument.no-wavelengths": Fault(
        "{file}, line {line}: the spectrum does not say its first wavelength and its step",
        "export it with WavelengthRange (StartWL and Increment)",
    ),
    "instrument.other-wavelengths": Fault(
        "{file}, line {line}: this spectrum has other wavelengths than the first", "export one grid"
    ),
    "instrument.part-missing": Fault("{file}, line {line}: {element} lacks a part", _CXF_AGAIN),
    "instrument.named-part-missing": Fault("{file}, line {line}: {element} lacks {part}", _COLOUR),
    "instrument.spectrum-empty": Fault("{file}, line {line}: the spectrum is empty", _CXF_AGAIN),
    "instrument.element-no-number": Fault(
        "{file}, line {line}: '{word}' in {element} is not a number", "measure that patch again"
    ),
    "instrument.objects-without-spectrum": Plural(
        "One object without a spectrum is left out.", "{count} objects without a spectrum are left out."
    ),
    "instrument.objects-without-lab": Plural(
        "One object without L*a*b* is left out.", "{count} objects without L*a*b* are left out."
    ),
    "instrument.some-without-numbers": "Only {count} of {objects} objects have {colours} numbers: these are not used.",
    # Hostile or broken XML.
    "instrument.document-type": Fault(
        "{file} declares a document type or entities, which no CxF file needs and which can do harm",
        "do not use this file unless you know where it comes from; export the measurement as CxF/X-3 again",
    ),
    "instrument.broken-xml": Fault(
        "{file}, line {line}: the XML is broken or breaks off ({reason})", _CXF_AGAIN
    ),
    "instrument.nested-too-deep": Fault(
        "{file} is nested more than {limit} levels deep, which no CxF file needs", _CXF_AGAIN
    ),
    "instrument.too-many-elements": Fault("{file} holds more than {limit} elements", _CXF_AGAIN),
    # Which patches.
    "instrument.another-chart": Fault(
        "{file} holds {found} of the {patches} patches of this sheet, by name or RGB",
        "check that it is the measurement of this trial, exported with SAMPLE_ID or RGB columns",
    ),
    "instrument.patches-missing": "{count} of the sheet's {patches} patches are not in the file.",
    "instrument.rows-left-out": "Rows of the file that belong to no patch of the sheet and are left out: {count}.",
}
