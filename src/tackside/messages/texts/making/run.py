"""A run: what its file asks for, what its plan assumes, its steps, and what was kept of it."""

from tackside.messages.catalogue import Entry, Fault, Where

_NO_ADDING = "mixed currencies are not added"

TEXTS: dict[str, Entry] = {
    # What a run file, or the form of a run, must hold together.
    "run.money-without-quotes": Fault(
        Where("{field} is a bare number", "{field}: this is no exact amount"),
        Where('write money in quotes, as "{example}", so that it stays exact', "type it as {example}"),
    ),
    "run.quantity-or-list": Fault(
        Where(
            "{card} needs either a quantity or a list",
            "{card}: either a number of cards or a list belongs here",
        ),
        Where(
            'give either quantity = 40 or recipients = "people.csv", a row a card',
            "type a number, or add a list",
        ),
    ),
    "run.design-or-ink": Fault(
        Where(
            "{card} has neither a card file nor all that stands in for one", "{card}: its ink is not known"
        ),
        Where(
            'give file = "card.toml", or stock, printer and ink_ml (ml a sheet) together',
            "choose a design, or say which card and printer it is and how much ink a sheet takes",
        ),
    ),
    "run.cards-alike": Fault("two cards are called {name}", "give each its own name"),
    "run.no-working-time": Fault(
        Where("the calendar has no working time", "{field}: no time is left to work in"),
        Where(
            "give at least one day, and to_time after from_time",
            "choose at least one day, and end after you begin",
        ),
    ),
    "run.labels-too-wide": Fault(
        "the labels need a width of {needed_mm:g}, the page has {page_mm:g}",
        "give fewer or narrower labels, or a wider page",
    ),
    "run.labels-too-high": Fault(
        "the labels need a height of {needed_mm:g}, the page has {page_mm:g}",
        "give fewer or lower labels, or a higher page",
    ),
    "run.labels-overlap-across": Fault(
        "from one label to the next it is {pitch_mm:g} across, less than a label's own width",
        "give at least {label_mm:g}",
    ),
    "run.labels-overlap-down": Fault(
        "from one label to the next it is {pitch_mm:g} down, less than a label's own height",
        "give at least {label_mm:g}",
    ),
    "run.ink-without-a-price": Fault("the ink of {name} has no price", "give price and currency"),
    "run.pack-without-a-price": Fault("the pack of {name} has no price", "give price and currency"),
    "run.envelopes-without-a-price": Fault("the envelopes have no price", "give price and currency"),
    "run.sleeves-without-a-price": Fault("the sleeves have no price", "give price and currency"),
    "run.ink-in-another-currency": Fault(
        f"the ink of {{name}} is priced in {{currency}} and the run in {{run_currency}}; {_NO_ADDING}",
        "give its price in {run_currency}",
    ),
    "run.pack-in-another-currency": Fault(
        f"the pack of {{name}} is priced in {{currency}} and the run in {{run_currency}}; {_NO_ADDING}",
        "give its price in {run_currency}",
    ),
    "run.envelopes-in-another-currency": Fault(
        f"the envelopes are priced in {{currency}} and the run in {{run_currency}}; {_NO_ADDING}",
        "give their price in {run_currency}",
    ),
    "run.sleeves-in-another-currency": Fault(
        f"the sleeves are priced in {{currency}} and the run in {{run_currency}}; {_NO_ADDING}",
        "give their price in {run_currency}",
    ),
    "run.folder-given": Fault("{file}: unknown field folder", "remove it; files lie beside the run file"),
    "run.card-file-outside": Fault(
        '{run_file}: {card}: "{file}" leaves the folder of the run file', "copy it beside the run file"
    ),
    "run.font-outside": Fault(
        '{run_file}: labels: "{file}" leaves the folder of the run file', "copy it beside the run file"
    ),
    "run.card-not-fed": Fault(
        "{printer} cannot be fed with {stock}",
        Where(
            "tackside fit says why, and what would do",
            "test the card with this printer: the page says what would do",
        ),
    ),
    "run.calendar-without-end": Fault(
        "the calendar runs on for centuries",
        Where(
            "check print_minutes, drying_places and the quantities",
            "check the time to print a sheet, the places to dry and the numbers of cards",
        ),
    ),
    # What the plan assumes.
    "run.waste": "{stock} on {printer}: {spoilage}; {setup}.",
    "run.spoilage-given": "spoilage as you gave it",
    "run.spoilage-from-log": "spoilage from your log of {sheets:d} sheets",
    "run.spoilage-usual": "spoilage of {least:%} to {most:%} is a trade figure, as your log is too short to tell",
    "run.setup-given": "set-up sheets as you gave them",
    "run.setup-from-log": "set-up sheets from {batches:d} batches in your log",
    "run.setup-usual": "{least:d} to {most:d} set-up sheets are a trade figure",
    "run.labour-not-counted": Where(
        "Working time is not counted: give [labour] with a rate to count it.",
        "Working time is not counted: say what an hour costs to count it.",
    ),
    "run.labour-assumed": Where(
        "Working time: {setup:g} min to set up a batch, {sheet:g} min a sheet, {card:g} min to finish a card; where "
        "the run file is silent, these are assumptions.",
        "Working time: {setup:g} min to set up a batch, {sheet:g} min a sheet, {card:g} min to finish a card; what you "
        "did not give of these is assumed.",
    ),
    "run.wear-not-counted": Where(
        'The wear of {printer} is not counted: give [equipment."{printer}"] to count it.',
        "The wear of {printer} is not counted: say what the printer cost and how many sheets it lasts to count it.",
    ),
    "run.profit-assumed": Where(
        "Profit of {profit:%} on cost is an assumption; set pricing.profit.",
        "Profit of {profit:%} on cost is an assumption; give your own.",
    ),
    "run.retail-assumed": Where(
        "Retail is twice wholesale, the trade's rule; set pricing.retail_factor.",
        "Retail is twice wholesale, the trade's rule; give your own factor.",
    ),
    "run.postage-given": Where(
        "Postage is what the run file says, {service}, as of {dated}.",
        "Postage is what you gave, {service}, as of {dated}.",
    ),
    "run.of-card": "{card}: {remark}",
    "run.service": "{service} ({country})",
    "run.post-unknown": 'The limits of "{service}" are not known, so it is not checked; known are {known}.',
    "run.post-does-not-go": "{stock} as {service} ({country}, noted {noted}): it does not go, {reasons:lines}.",
    "run.post-surcharge": "{stock} as {service} ({country}, noted {noted}): {surcharge}.",
    "run.post-unchecked": "{stock} as {service} ({country}, noted {noted}): it goes, as far as could be checked; not "
    "checked: {unchecked}.",
    # What money goes on, and what if it were otherwise.
    "run.part-stock": "card",
    "run.part-ink": "ink",
    "run.part-envelopes": "envelopes",
    "run.part-sleeves": "sleeves",
    "run.part-labour": "labour",
    "run.part-equipment": "equipment",
    "run.part-postage": "postage",
    "run.part-extras": "extras",
    "run.if-dearer": "{part} a tenth dearer",
    "run.if-on-stock": "all on {stock}",
    # The steps of the calendar.
    "run.step-set-up": "set up",
    "run.step-print": "print",
    "run.step-print-first-face": "print the first face",
    "run.step-print-second-face": "print the second face",
    "run.step-dry-before-piling": "let the last sheets dry before they are piled",
    "run.step-dry-before-sleeving": "dry in the open before sleeving",
    "run.step-finish": "fold, envelope and sleeve",
    # A kept run: counted, sent, written down.
    "run.no-batch": Fault("run {run} has no batch {batch}", "its batches are numbered 1 to {last}"),
    "run.no-batch-planned": Fault("the run has no batch {batch}", "its batches are numbered 1 to {last}"),
    "run.no-card-in-batch": Fault('batch {batch} has no card "{card}"', "its cards are {known}"),
    "run.sheets-not-counted": Fault("{sheets} sheets cannot be counted", "count what came out: 1 or more"),
    "run.not-a-count": Fault(
        Where('{field} is "{typed}"', "{field}: “{typed}” is no number of sheets"),
        "give a whole number, {most:d} at most",
    ),
    "run.sheets-not-sent": Fault("{sheets} sheets cannot be sent", "give 1 or more"),
    "run.no-card-file": Fault(
        "{card} has no card file to send", "print it by its driver, or give the run file = ..."
    ),
    "run.kept-on-a-page": Fault(
        "run {run} was planned in the browser, where its designs lie",
        Where(
            "download its run file there, lay the card files beside it, save it with tackside run keep, and send that",
            "download its run file, and send it from the command line",
        ),
    ),
    "run.kept-at-the-terminal": Fault(
        "run {run} was saved from the command line, where its card files lie",
        "write its papers there: tackside run picklist {file} --out pick.pdf",
    ),
    "run.file-changed": Fault(
        "{file} has changed since run {run} was saved",
        Where("save it again: tackside run keep, and send that run", "save it again, and send that run"),
    ),
    "run.nothing-on-the-card": Fault(
        "the card {card} holds neither a picture nor a text",
        Where("give it a picture or a text", "drop a picture on it"),
    ),
    "run.not-planned-yet": Fault("this run is not planned yet", "wait for it, or plan it again"),
    "run.no-such-plan": Fault("there is no such plan", "plan the run again"),
    "run.paper-not-written": Fault("this paper is not written", "have the papers written on the run's page"),
}
