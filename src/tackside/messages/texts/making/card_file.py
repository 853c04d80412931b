"""What the checks of a card's file, or of its form, refuse."""

from tackside.messages.catalogue import Entry, Fault, Where

TEXTS: dict[str, Entry] = {
    "card-file.smallest-is-larger": Fault(
        "{field}: the smallest size, {smallest:g} pt, is larger than the size itself, {size:g} pt",
        "give a smallest size under it",
    ),
    "card-file.credit-says-nothing": Fault(
        "{field}: the credit says nothing",
        Where("give the credit a text, a qr, or both", "give it a text, a link for its code, or both"),
    ),
    "card-file.two-pictures-on-a-panel": Fault(
        "{field}: the panel {panel} has two pictures", "keep one of them"
    ),
    "card-file.fonts-alike": Fault('{field}: two fonts are called "{name}"', "rename one of them"),
    "card-file.ticks-without-cut": Fault(
        "{field}: ticks are drawn outside the card that is cut out, and it is not said how large that is",
        Where("give cut_to_mm with ticks", "give the size that the card is cut to"),
    ),
    "card-file.holds-nothing": Fault(
        Where(
            "{field}: the card holds neither a picture nor a text",
            "the card holds neither a picture nor a text",
        ),
        Where("add [[pictures]] or [[texts]]", "drop a picture on it, or add words"),
    ),
}
