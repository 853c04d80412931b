"""The records of a bench: names that it does not hold, edits that crossed, findings that are not there yet."""

from tackside.messages.catalogue import Entry, Fault, Plural, Where

_LOOK = "look at what was changed, then save again if yours is to hold"

TEXTS: dict[str, Entry] = {
    # Names that nothing has. The hint is a name that is near, or where to look.
    "bench.no-stock": Fault("there is no stock '{name}'", "{hint}"),
    "bench.no-printer": Fault("there is no printer '{name}'", "{hint}"),
    "bench.no-card": Fault("there is no card '{name}'", "{hint}"),
    "bench.no-trial": Fault("there is no trial '{name}'", "{hint}"),
    "bench.no-run": Fault("there is no run '{name}'", "{hint}"),
    "bench.no-scanner": Fault("there is no scanner '{name}'", "{hint}"),
    "bench.see-stocks": Where("see the names with tackside stock list", "choose it on the page Stocks"),
    "bench.see-printers": Where("see the names with tackside printer list", "choose it on the page Printers"),
    "bench.see-cards": Where("see the cards in the workbench", "choose it on the page Cards"),
    "bench.see-trials": Where("see the ids with tackside trial list", "choose it on the page Trials"),
    "bench.see-runs": Where("see the ids with tackside run list", "choose it on the page Runs"),
    "bench.add-stock": Where(
        "add one first: tackside stock add FILE.toml", "describe one on the page Stocks"
    ),
    "bench.add-printer": Where(
        "add one first: tackside printer add FILE.toml", "describe one on the page Printers"
    ),
    "bench.make-trial": Where(
        "make one first: tackside sheet STOCK PRINTER --out FILE.tif", "make one first: test a card"
    ),
    "bench.keep-run": Where("keep one first: tackside run keep FILE.toml", "plan one on the page Runs"),
    "bench.learn-scanner": "characterise one first: tackside scanner learn NAME TRIAL --scan FILE --data FILE",
    # Revisions.
    "bench.no-stock-revision": Fault(
        "the stock '{name}' has no revision {revision}",
        Where("see its revisions with tackside stock show", "see its history on its page"),
    ),
    "bench.no-printer-revision": Fault(
        "the printer '{name}' has no revision {revision}",
        Where("see its revisions with tackside printer show", "see its history on its page"),
    ),
    "bench.stock-there-already": Fault(
        "there is a stock '{name}' already", "give this stock a name of its own"
    ),
    "bench.printer-there-already": Fault(
        "there is a printer '{name}' already", "give this printer a name of its own"
    ),
    "bench.card-there-already": Fault("there is a card '{name}' already", "give this card a name of its own"),
    "bench.stock-overtaken": Fault(
        "the stock '{name}' was changed elsewhere meanwhile (revision {newest}; you edited {edited})", _LOOK
    ),
    "bench.printer-overtaken": Fault(
        "the printer '{name}' was changed elsewhere meanwhile (revision {newest}; you edited {edited})", _LOOK
    ),
    "bench.card-overtaken": Fault(
        "the card '{name}' was changed elsewhere meanwhile (revision {newest}; you edited {edited})", _LOOK
    ),
    "bench.settings-overtaken": Fault(
        "the settings of trial {trial} were changed elsewhere meanwhile", _LOOK
    ),
    "bench.run-overtaken": Fault(
        "sheets of this run were counted in another window meanwhile; yours are not counted yet",
        "look at what was counted, and count again what is missing",
    ),
    # Trials, readings, verdicts.
    "bench.trial-there-already": Fault(
        "a trial {trial} is already on the bench", Where("run the command once more", "try again")
    ),
    "bench.stock-revision-not-kept": Fault(
        "the bench holds no stock '{name}' in revision {revision}",
        Where("add it first: tackside stock add FILE.toml", "describe it on the page Stocks"),
    ),
    "bench.printer-revision-not-kept": Fault(
        "the bench holds no printer '{name}' in revision {revision}",
        Where("add it first: tackside printer add FILE.toml", "describe it on the page Printers"),
    ),
    "bench.no-reading-yet": Fault(
        "trial {trial} has no reading yet",
        Where(
            "read what you printed: tackside read {trial} FILE", "open the trial and read what you printed"
        ),
    ),
    "bench.no-verdict-yet": Fault(
        "trial {trial} has no verdict yet",
        Where("judge it first: tackside judge {trial}", "open the trial and judge it"),
    ),
    "bench.no-reading": Fault(
        "there is no reading '{id}'",
        Where("see the trial with tackside trial show", "see the trial's page"),
    ),
    "bench.no-verdict": Fault(
        "there is no verdict '{id}'",
        Where("see the trial with tackside trial show", "see the trial's page"),
    ),
    "bench.reading-by-eye": Fault(
        "the newest reading of trial {trial} are answers by eye, which hold no colours",
        Where(
            "scan or measure its sheet: tackside read {trial} FILE",
            "scan or measure its sheet, and read it on the page of trial {trial}",
        ),
    ),
    "bench.trial-not-kept": Fault("the bench holds no trial '{id}'", "keep the trial first"),
    "bench.reading-not-kept": Fault("the bench holds no reading '{id}'", "keep the reading first"),
    # What was withdrawn.
    "bench.trial-withdrawn": Fault(
        "trial {trial} was withdrawn",
        Where("put it back first: tackside trial put-back {trial}", "put it back on its page first"),
    ),
    "bench.all-readings-withdrawn": Fault(
        "trial {trial} has no reading that was not withdrawn",
        Where(
            "read its print again, or put a reading back: tackside reading put-back READING",
            "read its print again, or put a reading back on its page",
        ),
    ),
    "bench.all-verdicts-withdrawn": Fault(
        "no verdict on trial {trial} stands: what it was given on was withdrawn",
        Where("judge what stands: tackside judge {trial}", "open the trial and judge what stands"),
    ),
    "bench.no-count": Fault(
        Plural(
            "run {run} has no count {number}: {count} was made",
            "run {run} has no count {number}: {count} were made",
        ),
        Where("see them with tackside run show {run}", "choose one on the page of the run"),
    ),
    "bench.reason-too-long": Fault("a reason may be {most} characters long", "say it more briefly"),
    "bench.withdrew-trial": "Trial {id} is withdrawn. It stays in the history and counts for nothing.",
    "bench.withdrew-trial-already": "Trial {id} was withdrawn already.",
    "bench.put-back-trial": "Trial {id} is put back.",
    "bench.put-back-trial-already": "Trial {id} is not withdrawn.",
    "bench.withdrew-reading": "Reading {id} is withdrawn. It stays in the history and counts for nothing.",
    "bench.withdrew-reading-already": "Reading {id} was withdrawn already.",
    "bench.put-back-reading": "Reading {id} is put back.",
    "bench.put-back-reading-already": "Reading {id} is not withdrawn.",
    "bench.verdict-stands": "The verdict on trial {trial} that stands is {verdict}: {grade}.",
    "bench.no-verdict-stands": "No verdict on trial {trial} stands.",
    "bench.judged-without": Plural(
        "{count} trial that was judged beside it was judged again: {trials}.",
        "{count} trials that were judged beside it were judged again: {trials}.",
    ),
    "bench.scanners-learnt-from-it": "Learnt from it, and used no more until it is put back: {scanners}. "
    "What was read with them before keeps its colours; read it again.",
    # Files of the bench.
    "bench.no-profile": Fault("the bench holds no such profile", "take it in on the page of all profiles"),
    "bench.no-picture": Fault("the bench holds no such picture", "take it in on the page of all pictures"),
    "bench.no-file": Fault(
        "the bench holds no file '{sha256}'", "read the file in again, or restore the files folder"
    ),
    "bench.file-damaged": Fault(
        "a file is damaged: its hash is not {sha256}", "fetch it again from where it came"
    ),
    "bench.second-sides-damaged": Fault(
        "{file} is damaged", "remove it, and answer the second-side guide again"
    ),
    "bench.scanner-damaged": Fault(
        Plural(
            "{file} holds no scanner that this version knows ({count} fault)",
            "{file} holds no scanner that this version knows ({count} faults)",
        ),
        "characterise the scanner again, or restore the file from your last copy",
    ),
    "bench.record-damaged": Fault(
        Plural(
            "the bench {bench} holds a {record} that does not hold together ({count} fault)",
            "the bench {bench} holds a {record} that does not hold together ({count} faults)",
        ),
        "restore the records from your last copy of them, or install the version that wrote it",
    ),
    "bench.record-newer": Fault(
        "the bench {bench} holds a {record} with fields that this Tackside does not know: a newer one wrote it",
        "install the newer version; nothing was changed",
    ),
}
