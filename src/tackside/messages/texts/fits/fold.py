"""Folds that cannot be."""

from tackside.messages.catalogue import Fault, Where

TEXTS = {
    "fold.front-too-short": Fault(
        "a front shorter by {short_mm:g} does not go with a card of {card_mm:g}", "shorten it by less"
    ),
    "fold.no-one-sheet": Fault(
        "this fold has no one open sheet",
        Where(terminal="name its creases in the stock file", page="describe the stock with its creases"),
    ),
    "fold.vertical-crease-outside": Fault(
        "a vertical crease at {at_mm:g} lies outside the sheet, whose width is {length_mm:g}",
        Where(
            terminal="give an at_mm between 0 and {length_mm:g}", page="give the crease a place on the sheet"
        ),
    ),
    "fold.horizontal-crease-outside": Fault(
        "a horizontal crease at {at_mm:g} lies outside the sheet, whose height is {length_mm:g}",
        Where(
            terminal="give an at_mm between 0 and {length_mm:g}", page="give the crease a place on the sheet"
        ),
    ),
    "fold.folds-out": Fault(
        Where(
            terminal='the crease at {at_mm:g} has folds = "out", as only the first crease of an accordion may',
            page="the crease at {at_mm:g} folds out, as only the first crease of an accordion may",
        ),
        Where(
            terminal="leave folds out, or give it to the left or upper one of two creases in one direction",
            page="let it fold in, or let the left or upper one of two creases in one direction fold out",
        ),
    ),
}
