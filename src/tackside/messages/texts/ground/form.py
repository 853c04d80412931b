"""Faults of what was typed or sent in the browser that no record's own check finds."""

from tackside.messages.catalogue import Entry, Fault

TEXTS: dict[str, Entry] = {
    # Beside a field.
    "form.no-such-font": Fault("this card has no such font", "bring it again"),
    "form.no-such-picture": Fault("this card has no such picture", "drop it on the card again"),
    "form.no-card-chosen": Fault("no card was chosen", "choose one of yours, or a format"),
    "form.no-printer-chosen": Fault("no printer was chosen", "choose one, or describe one first"),
    "form.no-length": Fault("“{given}” is not a length", "type a number such as 148"),
    "form.one-side-alone": Fault("one side alone is not a size", "type both, or neither"),
    "form.no-price": Fault("“{given}” is not a price", "type a number such as 1"),
    "form.no-count-of-sheets": Fault("“{given}” is not a count of sheets", "type a whole number"),
    "form.share-below": Fault("{field}: {given} % is too small", "it must be at least {limit} %"),
    "form.share-above": Fault("{field}: {given} % is too large", "it must be at most {limit} %"),
    "form.price-of-no-printer": Fault("it is not said of which printer this is the price", "choose one"),
    "form.price-of-no-stock": Fault("it is not said of which card this is the price", "choose one"),
    "form.price-above-already": Fault("{name} has a price above already", "leave one of them out"),
    "form.card-not-fed": "{why:sentences}",
    "form.no-archive": Fault("there is no archive", "choose the file that was handed to you"),
    "form.stock-keeps-its-name": Fault(
        "a stock keeps its name, as its trials are known by it", "describe a new stock to use another name"
    ),
    "form.printer-keeps-its-name": Fault(
        "a printer keeps its name, as its trials are known by it", "describe a new one to use another name"
    ),
    "form.wrong-password": Fault(
        "that is not the password", "type the one that was chosen when the workbench was started"
    ),
    "form.too-many-wrong-passwords": Fault(
        "there were too many wrong passwords", "wait {seconds} seconds, then try again"
    ),
    "form.many-sign-in-at-once": Fault(
        "too many are signing in at this moment", "try again in {seconds} seconds"
    ),
    # A request as a whole.
    "form.page-too-old": Fault(
        "this page is not one of this bench's, or the browser no longer holds its cookie",
        "load the page again and repeat what you did; cookies of this address must be allowed",
    ),
    "form.no-password": Fault("the password was not given yet", "enter it at /enter first"),
    "form.no-key": Fault(
        "this workbench was not opened with its key yet",
        "open the whole address that stood in the terminal when it started, and keep its cookies",
    ),
    "form.wrong-key": Fault(
        "the key in this address is not, or no longer, that of the workbench",
        "start Tackside again, or open the address that stands in its terminal",
    ),
    "form.no-token": Fault(
        "the request has no valid X-CSRF-Token", "take one from /api/session, with its cookie"
    ),
    "form.cut-off": Fault("the upload was cut off half-way; nothing of it was kept", "send it again"),
    "form.damaged": Fault("the upload is damaged", "send it again"),
    "form.too-large": Fault("the form is larger than any form here", "send less text"),
    "form.too-many-fields": Fault("the form has too many fields", "send less"),
    "form.too-many-files": Fault("more than {most} files came at once", "send them in several goes"),
    "form.no-utf-8": Fault("the form is not UTF-8 text", "load the page again"),
    "form.file-too-large": Fault(
        "{file} is larger than {megabytes} MB", "scan at 300 or 600 ppi, and only the area of the sheet"
    ),
    "form.nothing-here": Fault("there is nothing at this address", "go to the first page"),
    "form.refused": Fault("{said}", "go back and try again"),
    "form.own-fault": Fault(
        "a fault of Tackside's own ({kind})",
        "tackside bench check says whether your records are whole; please tell the project what you did",
    ),
    "form.no-archive-yet": Fault("no archive of '{name}' was made yet", "have it made on the stock's page"),
    "form.no-picture-there": Fault("there is no such picture", "choose one of the list"),
    "form.no-gamut-there": Fault(
        "there is no such gamut", "choose a card, a profile or a working space of the list"
    ),
}
