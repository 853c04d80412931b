"""Colour numbers that cannot be worked with."""

from tackside.messages.catalogue import Fault

_SPECTRA = "export the spectra in steps of 10 nm from 380 to 730 nm, or 400 to 700 nm"

TEXTS = {
    "colour.spectrum-length": Fault(
        "a spectrum has {count} values for {wavelengths} wavelengths",
        "measure again or export the file again",
    ),
    "colour.too-few-wavelengths": Fault("the spectra have fewer than three wavelengths", _SPECTRA),
    "colour.wavelengths-uneven": Fault(
        "the wavelengths of the spectra are not evenly spaced and rising", _SPECTRA
    ),
    "colour.wavelengths-far-apart": Fault(
        "the wavelengths of the spectra are {step_nm:g} nm apart", _SPECTRA
    ),
    "colour.wavelengths-short": Fault("the spectra reach only from {from_nm:g} to {to_nm:g} nm", _SPECTRA),
}
