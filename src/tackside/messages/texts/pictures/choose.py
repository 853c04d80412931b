"""Which card for these pictures: the answer, the reasons, and what was left out."""

from tackside.messages.catalogue import Fault, Plural, Where

TEXTS = {
    # The answer, one sentence.
    "choose.only": Plural(
        "For this picture use {stock}, {way}: {result}; there was no other card to compare it with.",
        "For these {count} pictures use {stock}, {way}: {result}; there was no other card to compare it with.",
    ),
    "choose.alike": Plural(
        "For this picture use {stock}, {way}: {result}; {second} comes out alike, so take the cheaper or the one you like to hold.",
        "For these {count} pictures use {stock}, {way}: {result}; {second} comes out alike, so take the cheaper or the one you like to hold.",
    ),
    "choose.close": Plural(
        "For this picture use {stock}, {way}: {result}; {second} is close behind.",
        "For these {count} pictures use {stock}, {way}: {result}; {second} is close behind.",
    ),
    "choose.hint": Plural(
        "For this picture {stock} looks best, {way}: {result}. It is a hint, no ranking: the cards were read in different ways, so {second} may be as good. Read all with the same scanner and settings, or by one instrument, to be sure.",
        "For these {count} pictures {stock} looks best, {way}: {result}. It is a hint, no ranking: the cards were read in different ways, so {second} may be as good. Read all with the same scanner and settings, or by one instrument, to be sure.",
    ),
    "choose.clear": Plural(
        "For this picture use {stock}, {way}: {result}; next comes {second} with ΔE00 {mean:.1f} on average.",
        "For these {count} pictures use {stock}, {way}: {result}; next comes {second} with ΔE00 {mean:.1f} on average.",
    ),
    "choose.clear-and-loses": Plural(
        "For this picture use {stock}, {way}: {result}; next comes {second} with ΔE00 {mean:.1f} on average and {worse:and}.",
        "For these {count} pictures use {stock}, {way}: {result}; next comes {second} with ΔE00 {mean:.1f} on average and {worse:and}.",
    ),
    "choose.result": "its colours come within ΔE00 {mean:.1f} on average",
    "choose.result-far-off": "its colours come within ΔE00 {mean:.1f} on average, which is far off, so see the proof before you print",
    "choose.by-reading": "converted by the card's own reading, {intent}",
    "choose.by-profile": 'with the profile "{profile}", {intent}',
    # Why.
    "choose.holds": "ΔE00 {mean:.1f} on average, 95 % under {p95:.1f}; {held:and} hold",
    "choose.held.shadow": "shadows",
    "choose.held.saturated": "strong colours",
    "choose.held.hue": "hues",
    "choose.held.grey": "greys",
    "choose.figures-alone": "ΔE00 {mean:.1f} on average, 95 % under {p95:.1f}",
    "choose.far": "ΔE00 {mean:.1f} on average, 95 % under {p95:.1f}, which is far from the picture",
    "choose.loses": "ΔE00 {mean:.1f} on average, 95 % under {p95:.1f}; {losses}",
    "choose.loss.shadow": "{share:%} of shadow detail lost",
    "choose.loss.saturated": "{share:%} of the detail in strong colours lost",
    "choose.loss.weaker": "colours weaker (chroma down by {step:.0f})",
    "choose.loss.stronger": "colours stronger (chroma up by {step:.0f})",
    "choose.loss.strong-weaker": "strong colours weaker (chroma down by {step:.0f})",
    "choose.loss.darker": "the whole picture darker (L* down by {step:.0f})",
    "choose.loss.lighter": "the whole picture lighter (L* up by {step:.0f})",
    "choose.loss.hue": "hues turn by {degrees:.0f}°",
    "choose.loss.grey": "greys drift by {drift:.1f}",
    "choose.more-loss.shadow": "{share:%} more shadow detail lost",
    "choose.more-loss.saturated": "{share:%} more detail in strong colours lost",
    # Why a card was left out.
    "choose.no-feed": "no feed of {printer} takes it",
    "choose.folds-to": "it folds to {size_mm}",
    "choose.on-hand-unknown": "how many sheets are on hand is not known",
    "choose.on-hand": Plural("one sheet is on hand", "{count} sheets are on hand"),
    "choose.price-unknown": "its price is not known",
    "choose.price": "a sheet costs {price}",
    # What must be known of the ranking.
    "choose.read-unlike": "these cards were read in different ways, so the ranking between them is only a hint",
    "choose.scanned": "the cards were read by scanner: the ranking is sound, the figures themselves are estimates",
    "choose.not-opened": "{file}: {fault}",
    # What keeps it from being answered.
    "choose.no-stock": Fault("there is no stock called '{name}'", "{hint}"),
    "choose.see-stocks": Where(
        terminal="see the names with tackside stock list", page="choose it on the page Stocks"
    ),
    "choose.no-panel": Fault("there is no panel of {stock} called '{name}'", "{hint}"),
    "choose.panels": "its panels are {panels}",
    "choose.stock-not-read": Fault(
        "no trial of {stock} has been read",
        Where(
            terminal='print its sheet and read it: tackside sheet "{stock}" PRINTER --purpose device --out FILE.tif',
            page="test {stock} with a sheet for the printer alone, and read that",
        ),
    ),
    "choose.stock-not-read-on": Fault(
        "no trial of {stock} has been read on {printer}",
        Where(
            terminal='print its sheet and read it: tackside sheet "{stock}" PRINTER --purpose device --out FILE.tif',
            page="test {stock} with a sheet for the printer alone, and read that",
        ),
    ),
    "choose.none-weighed": Fault("no card can be compared: {reason}", "read a test sheet of each card first"),
    "choose.no-card": Fault(
        "no card can be compared: there is no card to choose from", "read a test sheet of each card first"
    ),
    "choose.none-opened": Fault(
        "none of the pictures can be opened",
        Where(terminal="look at them with tackside picture check", page="look at them on the page Pictures"),
    ),
    "choose.not-at-worker": Fault(
        "a worker does not find {file}", "put the pictures where all workers reach them by that path"
    ),
    "choose.sheet-format": Fault("a contact sheet cannot be written as {file}", "name it {formats}"),
    "choose.no-choice": Fault("there is no such choice", "see the choices that were made on the page Choose"),
    "choose.no-picture": Fault("the choice holds no such picture", "open the choice again"),
    "choose.not-shown": Fault("this choice shows no such picture", "open the choice again"),
    "choose.not-made": Fault("this choice is not made yet", "wait for it, or compare the cards again"),
}
