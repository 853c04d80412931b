"""Proofs: which rendering intent, and what must be known before one is trusted."""

from tackside.messages.catalogue import Fault, Where

TEXTS = {
    # Rendering intents, as they stand within a sentence.
    "proof.intent.perceptual": "perceptual",
    "proof.intent.relative": "relative colorimetric",
    "proof.intent.saturation": "saturation",
    "proof.intent.absolute": "absolute colorimetric",
    "proof.intent.perceptual-bpc": "perceptual with black point compensation",
    "proof.intent.relative-bpc": "relative colorimetric with black point compensation",
    "proof.intent.saturation-bpc": "saturation with black point compensation",
    "proof.intent.absolute-bpc": "absolute colorimetric with black point compensation",
    # Advice.
    "proof.advice.only": "The only way that was compared is {best}",
    "proof.advice.alike": "Take {best} or {second}: they come out alike",
    "proof.advice.close": "Take {best}, though {second} is close: {why}",
    "proof.advice.clear": "Take {best} rather than {second}: {why}",
    "proof.at-the-price": "{gain}, at the price of {loss}",
    "proof.gain.de00-mean": "colour closer to the picture on the whole ({best} against {second})",
    "proof.gain.de00-p95": "smaller worst differences ({best} against {second})",
    "proof.gain.hue-shift-deg": "steadier hues ({best} against {second})",
    "proof.gain.lost-shadow": "more shadow detail ({best} against {second})",
    "proof.gain.lost-saturated": "more detail in saturated colours ({best} against {second})",
    "proof.gain.grey-balance": "cleaner greys ({best} against {second})",
    "proof.loss.de00-mean": "colour further off on the whole ({best} against {second})",
    "proof.loss.de00-p95": "larger worst differences ({best} against {second})",
    "proof.loss.hue-shift-deg": "hues that turn more ({best} against {second})",
    "proof.loss.lost-shadow": "shadow detail ({best} against {second})",
    "proof.loss.lost-saturated": "detail in saturated colours ({best} against {second})",
    "proof.loss.grey-balance": "less clean greys ({best} against {second})",
    "proof.figure.none": "none",
    "proof.figure.de00": "ΔE00 {value:.1f}",
    "proof.figure.lost": "{value:%} lost",
    "proof.figure.hue": "{value:.1f}° of hue",
    "proof.figure.grey": "a*b* {value:.1f}",
    # What must be known.
    "proof.scanned": "the card's colours come from a scan, good to about ΔE00 {uncertainty:.1f}",
    "proof.photographed": "the card's colours come from a photograph, good to about ΔE00 {uncertainty:.1f}",
    "proof.through-management": "the sheet was printed through colour management: the proof shows what that whole path reaches, maybe less than what the card holds",
    # What keeps one from being made.
    "proof.no-card": Fault(
        "a proof needs to know the card",
        Where(
            terminal="give --profile FILE.icc, or --card TRIAL for a card that was read",
            page="choose a profile, or a card that was read",
        ),
    ),
    "proof.sheet-through-management": Fault(
        "the sheet of {card} was printed through colour management, so no profile's numbers can be predicted on it",
        Where(
            terminal="leave out --profile, or print and read a bare one: tackside sheet STOCK PRINTER --purpose device --out FILE",
            page="leave the profile out, or test the card with a sheet for the printer alone, and read that",
        ),
    ),
    "proof.no-way": Fault("there is no card to show it on ({reason})", "compare the cards again"),
    "proof.no-file": Fault("the proof has no such file", "open the choice again"),
    "proof.part-not-prepared": Fault("this part of the proof is not prepared", "open the choice again"),
}
