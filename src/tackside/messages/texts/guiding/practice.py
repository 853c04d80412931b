"""Practice on the virtual press: marks, refusals, and what is told when a print is revealed."""

from tackside.messages.catalogue import Entry, Fault, Where

TEXTS: dict[str, Entry] = {
    "practice.marked": "Practice: printed by the virtual press on an invented card. It counts for nothing: no list, report or choice of real cards holds it.",
    "practice.note": "Practice: these prints are the virtual press's, on invented cards. Nothing here says anything of a real card.",
    "practice.no-evidence": Fault(
        "{trial} is practice, printed by the virtual press, and says nothing of a real card",
        "name the trial of a real print",
    ),
    "practice.beside-real": Fault(
        "{practice} is practice and {real} is a real print: they say nothing of each other",
        "name practice trials only, or real ones only",
    ),
    "practice.no-practice": Fault(
        "{trial} is no practice trial",
        Where(
            terminal="see tackside practice list, or begin one: tackside practice print TRIAL --out scan.tif",
            page="begin one on the page of a trial",
        ),
    ),
    "practice.no-such-fault": Fault("this sheet cannot show the fault “{fault}”", "choose {faults:or}"),
    "practice.through-a-profile": Fault(
        "the sheet of {trial} went through a profile of a real printer, which the practice press does not have",
        "practise on a sheet that went through none",
    ),
    "practice.scan-suffix": Fault("{file} would be no TIFF", "name a file that ends in .tif"),
    "practice.printed": "The practice press printed and scanned the sheet of {of} as practice trial {trial}.",
    "practice.fault-chosen": "The fault: {cause}.",
    "practice.fault-hidden": "One fault may be in it, or none: read it, judge it, and guess.",
    "practice.not-printed-yet": Fault(
        "the practice press has not printed {trial} yet", "wait until it has, then load the page again"
    ),
    "practice.then": "Guess what the fault is, and see the truth.",
    # Revealed.
    "practice.truth": "The truth: {cause}.",
    "practice.guess-right": "You guessed right.",
    "practice.guess-wrong": "You guessed: {cause}.",
    "practice.guess-none": "You made no guess.",
    "practice.verdict-right": "The verdict found it.",
    "practice.verdict-wrong": "The verdict took it for: {cause}.",
    "practice.verdict-none": "It was not judged yet.",
    "practice.revealed-before": "It was revealed before; the first guess counts.",
}
