"""Test sheets: what did not get room, and what cannot be made."""

from tackside.messages.catalogue import Fault, Plural, Where

TEXTS = {
    "sheet.marks-only": "no panel has room for patches; the sheet holds marks only",
    "sheet.panel-empty": "panel {panel} is too small for marks and blocks; it stays empty",
    "sheet.no-ruler": "no room for a ruler at the {edge} of panel {panel}",
    "sheet.edge-left": "left",
    "sheet.edge-right": "right",
    "sheet.edge-top": "top",
    "sheet.edge-bottom": "bottom",
    "sheet.no-tag": "panel {panel} has no room for a tag",
    "sheet.no-patches": "panel {panel} has no room for grey, ink and colour patches",
    "sheet.no-cube": "panel {panel} has no room for the colour cube",
    "sheet.no-ramps": "panel {panel} has no room for the ink ramps",
    "sheet.no-block": "no room for the {block} block on panel {panel}",
    "sheet.block-lines": "lines",
    "sheet.block-edges": "edges",
    "sheet.block-type": "type",
    "sheet.block-smudge": "smudge",
    "sheet.block-scene": "pictures",
    "sheet.block-ink-on-ink": "ink on ink",
    "sheet.black-lines-only": "no room for more than black lines on panel {panel}",
    "sheet.no-coloured-lines": "no room for more than black and reversed lines on panel {panel}",
    "sheet.left-out": "left out: {notice}",
    "sheet.no-place-for-picture": Fault(
        "this sheet is too small for pictures, so yours finds no place on it",
        Where(
            terminal="leave --picture out, or test a larger card",
            page="leave the picture out, or test a larger card",
        ),
    ),
    "sheet.ppi": Fault(
        "a sheet at {ppi:g} ppi cannot be made",
        Where(
            terminal="choose {least:g} to {most:g} ppi with --ppi; 600 serves most printers",
            page="correct the grid in the printer's record, to {least:g} to {most:g} ppi",
        ),
    ),
    "sheet.too-many-pixels": Fault(
        "a sheet of {size_mm:g} at {ppi:g} ppi has too many pixels",
        Where(
            terminal="choose fewer with --ppi; 600 serves most printers",
            page="correct the grid in the printer's record; 600 serves most printers",
        ),
    ),
    "sheet.size": Fault(
        "a test sheet of {size_mm:g} cannot be made",
        Where(
            terminal="give an open size from {least_mm:g} to {most_mm:g} as the stock's open_size_mm",
            page="the open size of a stock for it is {least_mm:g} to {most_mm:g}",
        ),
    ),
    # The sheet for a profile.
    "sheet.chart-without-device": Fault(
        "a number of patches holds only for a sheet of bare device numbers",
        Where(
            terminal="add --purpose device, or leave --patches and --patch-mm out",
            page="choose bare device numbers, or leave the number of patches empty",
        ),
    ),
    "sheet.chart-uncounted": Fault(
        "a patch's least side holds only for a sheet with a number of patches",
        Where(terminal="add --patches 500, or leave --patch-mm out", page="give the number of patches too"),
    ),
    "sheet.chart-count": Fault(
        "a sheet for a profile cannot have {patches} patches",
        "choose {least} to {most}: 200 are a start, 500 good, 900 more than most cards are worth",
    ),
    "sheet.chart-side": Fault(
        "patches of {patch_mm:g} cannot be asked for",
        "choose {least_mm:g} to {most_mm:g}: a scanner wants 6 mm, a hand-held instrument about 8 mm",
    ),
    "sheet.chart-too-large": Fault(
        "{patches} patches of {least_mm:g} take more than {pages} sheets of {size_mm:g}, which hold {most}",
        "ask for fewer patches or smaller ones, or take a larger size of the stock",
    ),
    "sheet.chart-economy": Plural(
        "One sheet of the stock: {patches} patches of {patch_mm:.1f}, {colours} colours, {repeated} of "
        "them in {copies} places.",
        "{count} sheets of the stock: {patches} patches of {patch_mm:.1f}, {colours} colours, {repeated} of "
        "them in {copies} places.",
    ),
    "sheet.chart-by-hand": "Large enough for most hand-held instruments, row by row from A1; ask your instrument's maker.",
    "sheet.chart-by-scan": Where(
        terminal="Made for a scanner; most hand-held instruments want patches of {by_hand_mm:g}: --patch-mm 8.",
        page="Made for a scanner; most hand-held instruments want patches of {by_hand_mm:g}.",
    ),
    "sheet.chart-by-reading": "Patches stand closer where an earlier reading of this card (trial {trial}) bends most.",
    "sheet.suffix": Fault("a sheet cannot be written as {file}", "name a file that ends in .tif or .pdf"),
    "sheet.not-written": Fault(
        "cannot write {file}: the image library gave up part of the way",
        "check that the disk has room, then run this again",
    ),
}
