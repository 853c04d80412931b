"""An example of each command, in the order of the job: what pages of help end with, and how they order commands."""

from __future__ import annotations

import re
from collections.abc import Sequence
from inspect import cleandoc

from cyclopts import App

# command → how it is called in a working day. Cards, printers and ids are invented.
EXAMPLES: dict[str, str] = {
    "demo": "demo --out demo",
    "start": "start",
    "printer new": 'printer new --name "Tern 8" --largest A3+ --thickest "0.6 mm" --borderless "A4; A6"',
    "printer add": "printer add tern-8.toml",
    "printer find": "printer find",
    "printer ask": "printer ask ipp://printer.local/ipp/print",
    "printer list": "printer list",
    "printer show": 'printer show "Tern 8"',
    "stock new": 'stock new --name "Harbour Satin 300" --size A4 --folds open --weight 300gsm --price "£14.50"',
    "stock add": "stock add harbour-satin-300.toml plover-matt-230.toml",
    "stock list": "stock list",
    "stock show": 'stock show "Harbour Satin 300"',
    "stock side": 'stock side "Harbour Satin 300"',
    "stock export": 'stock export "Harbour Satin 300" --out satin.zip',
    "stock import": "stock import satin.zip",
    "stock schema": "stock schema",
    "fit": 'fit "Harbour Satin 300" "Tern 8"',
    "sheet": 'sheet "Harbour Satin 300" "Tern 8" --out sheet.tif',
    "placement": 'placement "Harbour Satin 300" "Tern 8"',
    "trial list": "trial list",
    "trial show": "trial show 3K1P86AA",
    "trial send": "trial send 3K1P86AA --to ipp://printer.local/ipp/print",
    "trial set": 'trial set 3K1P86AA --media "Photo satin"',
    "trial withdraw": 'trial withdraw 3K1P86AA',
    "trial put-back": "trial put-back 3K1P86AA",
    "scan": "scan --from http://scanner.local/eSCL",
    "read": "read scans/*.tif",
    "reading withdraw": 'reading withdraw 41',
    "reading put-back": "reading put-back 41",
    "answer": "answer 3K1P86AA",
    "judge": "judge 3K1P86AA",
    "report": "report 3K1P86AA 937R2BRE --out cards.html",
    "scanner target": 'scanner target Desk --scan target.tif --data target.txt --corners "9,8 239,8 239,158 9,158"',
    "scanner learn": 'scanner learn Desk 3K1P86AA --scan scan.tif --data measured.txt',
    "scanner sharpness": "scanner sharpness Desk edge.tif",
    "scanner check": 'scanner check Desk 3K1P86AA scan.tif',
    "scanner list": "scanner list",
    "scanner show": "scanner show Desk",
    "practice print": "practice print 3K1P86AA --out scan.tif --fault too-much-ink",
    "practice list": "practice list",
    "practice reveal": "practice reveal 7QX2B0M4 --guess managed-twice",
    "profile build": "profile build 3K1P86AA --out satin.icc",
    "profile refine": 'profile refine 3K1P86AA --out better.icc',
    "profile check": 'profile check 3K1P86AA',
    "profile install": 'profile install satin.icc',
    "profile match": "profile match 3K1P86AA satin.icc matt.icc",
    "profile show": "profile show satin.icc",
    "profile list": "profile list",
    "picture check": "picture check boats.jpg",
    "gamut": "gamut 3K1P86AA",
    "proof": "proof boats.jpg --profile satin.icc --out proof.png",
    "choose": "choose boats.jpg heath.jpg",
    "card new": 'card new mount --out card.toml',
    "card preview": 'card preview card.toml --out preview.png',
    "card make": "card make card.toml --out card.pdf",
    "card send": "card send card.toml --to ipp://printer.local/ipp/print --sheets 10",
    "card second-side": 'card second-side "Tern 8"',
    "run cost": "run cost run.toml",
    "run ink": 'run ink "Tern 8" --changed cyan --ml 12',
    "run keep": "run keep run.toml",
    "run list": "run list",
    "run show": 'run show 41',
    "run instructions": 'run instructions run.toml',
    "run picklist": 'run picklist run.toml --out picklist.pdf',
    "run labels": 'run labels run.toml --out labels.pdf',
    "run send": 'run send 41 1 --to ipp://printer.local/ipp/print',
    "run cancel": "run cancel 41",
    "run count": 'run count 41 1 --good 24 --spoiled 1',
    "run withdraw": 'run withdraw 41 2',
    "run put-back": 'run put-back 41 2',
    "bench show": "bench show",
    "bench backup": 'bench backup bench.zip',
    "bench check": "bench check",
    "bench restore": 'bench restore bench.zip',
    "bench repair": 'bench repair ~/Tackside-saved',
    "bench move": 'bench move ~/Tackside "postgresql://desk@studio/cards?files=/srv/cards"',
    "bench rejudge": "bench rejudge",
}  # fmt: skip

HELP = ("--help", "-h")
_JOB = tuple(EXAMPLES)
# What commands take that take many, where a page of help would say no more than that.
_TAKES = {
    "read": "[TRIAL] FILE...",
    "judge": "TRIAL...",
    "stock add": "FILE...",
    "printer add": "FILE...",
}


def prepare_help(app: App, words: Sequence[str]) -> None:
    """Have the page of help that is asked for end with its example, and list its commands in the order of the job."""
    chain, apps, _ = app.parse_commands([word for word in words if word not in HELP])
    command, shown = " ".join(chain), apps[-1]
    if command in EXAMPLES:
        if (whole := getattr(shown.default_command, "__doc__", None)) is not None:
            shown.help = re.sub(
                r"(?<!\n)\n(?!\n)", " ", cleandoc(whole)
            )  # where the list of commands has but a line
        if command in _TAKES:
            shown.usage = f"Usage: tackside {command} [OPTIONS] {_TAKES[command]}"
        told = f"Example: tackside {EXAMPLES[command]}"
        shown.help_epilogue = "\n\n".join(filter(None, (told, shown.help_epilogue)))
    for name in shown if command else ():  # the first page's have theirs, and are not loaded for it
        if not name.startswith("-"):
            shown[name].sort_key = place_of(f"{command} {name}".strip())


def place_of(command: str) -> int:
    """Where a command, or the first of a group, stands in the order of the job."""
    return next((at for at, each in enumerate(_JOB) if f"{each} ".startswith(f"{command} ")), len(_JOB))
