"""How far the colours of a reading can be trusted, and on what that rests."""

TEXTS = {
    "uncertainty.instrument": "Hand-held instruments commonly differ by 0.3 to 1 ΔE00 on prints (common practice); {de00} is taken as one standard uncertainty",
    "uncertainty.instrument-repeats": "Hand-held instruments commonly differ by 0.3 to 1 ΔE00 on prints (common practice); {de00} is taken as one standard uncertainty; repeats spread by {spread:.2f} ΔE*ab",
    "uncertainty.scan-no-profile": "relative: a scan with no colour profile, its numbers taken for sRGB: an estimate",
    "uncertainty.scan-profile": "relative: a scan through its embedded profile, the scanner itself not characterised: an estimate",
    "uncertainty.scanner-own-inks": 'scanner "{scanner}", characterised on your own inks ({inks} on {stock}, {patches} patches, {model} regression): cross-validated error, median {de00:.1f} ΔE00',
    "uncertainty.scanner-target": 'scanner "{scanner}", characterised on an ISO 12641 target ({inks} on {stock}, {patches} patches, {model} regression): cross-validated error, median {de00:.1f} ΔE00',
    "uncertainty.photo": "a photograph beside the print of trial {trial}, whose own colours it tells to ± {de00:.1f} ΔE00 when they are left out, on top of how far that print's reading can be trusted",
    "uncertainty.photo-alone": "relative: a photograph in which no print's colours are known, good for setting its two prints beside each other only",
    "uncertainty.eye-beside": "answers by eye, a good print beside it: an estimate, good for telling plain faults only",
    "uncertainty.eye-alone": "answers by eye, with no other print beside it: an estimate, good for telling plain faults only",
}
