"""What cannot be judged as it is asked."""

from tackside.messages.catalogue import Fault, Where

TEXTS = {
    "judge.two-references": Fault(
        Where(
            "--against and --profile both name a reference",
            "a trial and a profile are both chosen as the reference",
        ),
        Where("leave one out: a good print tells more", "choose one of them: a good print tells more"),
    ),
    "judge.against-itself": Fault(
        Where("--against names {trial} itself", "{trial} cannot be compared with itself"),
        Where("name another trial", "choose another trial"),
    ),
    "judge.not-the-other-side": Fault(
        "{other} is {other_stock}, printed on the {other_side}, on {other_printer}: not the other side of {trial}",
        Where(
            "name a trial of {stock} on {printer}, printed on the other side",
            "choose a trial of {stock} on {printer}, printed on the other side",
        ),
    ),
    "judge.sides-unknown": Fault(
        "nothing is known of the sides of {stock}",
        Where(
            "lay a damp finger on each side and tell --drag-front and --drag-back, or print and read a sheet on each. {caution}",
            "print and read a sheet on each side, or answer by eye what a damp finger finds. {caution}",
        ),
    ),
    "judge.trial-of-another-side": Fault(
        "{trial} is {other_stock}, printed on the {other_side}, not the {side} of {stock}",
        Where(
            "name a trial of the {side} of {stock}: tackside trial list",
            "choose a trial of the {side} of {stock}",
        ),
    ),
    "judge.by-eye-apart": Where(
        "By eye, judged apart ({reading}): {grade}, {cause}.",
        "By eye, judged apart ({reading}): {grade}; likeliest cause: {cause}. "
        "The verdict on what was measured stands.",
    ),
    # The command.
    "judge.trial-or-file": Fault(
        Where(
            terminal="judge takes either a trial or --data FILE", page="either a trial or a file is judged"
        ),
        Where(
            terminal="name one of them, as: tackside judge TRIAL, or tackside judge --data chart.txt",
            page="choose one of them",
        ),
    ),
    "judge.file-against": Fault(
        Where(
            terminal="--against compares trials, and a bare file is none",
            page="a bare file cannot be compared with a trial",
        ),
        Where(terminal="judge the file without --against", page="judge the file alone"),
    ),
    "judge.several-sides": Fault(
        "several prints are judged together, and an other side or a damp finger belongs to one of them",
        "judge that trial by itself",
    ),
    "judge.file-sides": Fault(
        "the sides of a card belong to a trial, and a bare file is none", "name the trial"
    ),
}
