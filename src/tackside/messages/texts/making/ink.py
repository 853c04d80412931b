"""Where a figure of ink comes from, and how far it holds."""

from tackside.messages.catalogue import Entry

TEXTS: dict[str, Entry] = {
    "ink.from-cartridges": "Ink from your cartridge records of {printer}, cleaning included.",
    "ink.usual": "Ink from the trade's {least:g} to {most:g} ml/m² for photographs, as {why}.",
    "ink.no-cartridge": "no cartridge of {printer} is on record",
    "ink.sets-and-single": "both whole sets and single cartridges of {printer} are on record",
    "ink.count-unknown": "cartridges, but not how many inks it has, of {printer} are on record",
    "ink.some-inks-only": "only {known:d} of {inks:d} inks of {printer} are on record",
    "ink.changed-once": "{ink} of {printer} has been changed only once",
    "ink.coverage-missing": "some sheets printed on {printer} between two changes of {ink} have no coverage on record",
    "ink.too-little-printed": "too little was printed on {printer} between two changes of {ink}",
    "ink.all-rows": "Ink is counted on all {rows:d} rows.",
    "ink.some-rows": "Ink is counted on {counted:d} of {rows:,d} rows, drawn at random: the mean of all lies within "
    "±{doubt:.1%} of theirs (95 %).",
}
