"""Faults of a list of rows, and what is said of one row's card."""

from tackside.messages.catalogue import Fault, Where

TEXTS = {
    "card-rows.in-row": Fault("{file}, row {row}: {fault}", "{fault:fix}"),
    "card-rows.of-row": "Row {row}: {warning}",
    "card-rows.not-csv": Fault(
        "{file}, line {line}: not valid CSV ({reason})",
        "save it again as CSV, with double quotes round fields that hold commas or quotes",
    ),
    "card-rows.no-rows": Fault("{file} has no rows under its first line", "add a row for each card"),
    "card-rows.too-many-rows": Fault("{file} has {count} rows", "split it into files of {most} rows at most"),
    "card-rows.nothing-to-fill": Fault(
        "the card has no {{name}} to fill from the rows",
        "write {{{column}}} where a row's {column} should stand, or leave the rows out",
    ),
    "card-rows.unknown-field": Fault(
        "the card asks for {{{name}}}, which {file} does not have",
        "its fields are {columns}; {{{{ and }}}} print braces",
    ),
    "card-rows.unknown-field-near": Fault(
        "the card asks for {{{name}}}, which {file} does not have",
        "did you mean {{{near}}}? Its fields are {columns}; {{{{ and }}}} print braces",
    ),
    "card-rows.too-large": Fault("{file} is larger than a list of rows can be (20 MB)", "name a CSV file"),
    "card-rows.no-file": Fault("there is no file {file}", "check the name and the folder"),
    "card-rows.not-text": Fault("{file} is no text that can be read as a list", "save it as CSV UTF-8"),
    "card-rows.empty": Fault(
        "{file} is empty", "write the fields' names in the first line, then a row for each card"
    ),
    "card-rows.code-page": (
        "{file} is not UTF-8: it is read as Windows text of Western Europe. Look whether the letters are right: {fields}."
    ),
    "card-rows.unnamed-column": Fault(
        "{file}, line 1: column {column} has no name", "give every column a name"
    ),
    "card-rows.column-twice": Fault(
        '{file}, line 1: two columns are called "{column}"', "rename one of them"
    ),
    "card-rows.too-many-fields": Fault(
        "line {line} has {count} fields, the first line has {columns}",
        "put double quotes round a field that holds a comma, semicolon or tab",
    ),
    "card-rows.field-empty": Fault(
        'no "{name}" (line {line}, column {column})', "fill it in, or take the row out"
    ),
    "card-rows.in-column": Fault("line {line}, column {column}: {fault}", "{fault:fix}"),
    "card-rows.no-list-chosen": Fault("no list was chosen", "choose a CSV file"),
    "card-rows.row": "row {row}: {fault}",
    "card-rows.several": Fault(
        "{file}: {count} of {rows} rows cannot be made: {faults:lines}",
        "correct these rows; nothing was written",
    ),
    "card-rows.named-by-nothing": Fault(
        'there is no column "{name}" in {file} to call the cards by', "its columns are {columns}"
    ),
    "card-rows.no-such-row": Fault(
        '{file} has no row "{row}"', "give a number from 1 to {last}, or what stands under {column}"
    ),
    "card-rows.row-without-list": Fault(
        "a row is asked for, but no list",
        Where("name the list with --csv, or leave out --row", "choose a list, or no row"),
    ),
    "card-rows.one-file-not-pdf": Fault(
        "{file} cannot hold the cards of a whole list", "name a PDF, or make a file for each card"
    ),
    "card-rows.for-a-list": Fault(
        Where(
            "--one-file, --faces-apart and --named-by are for the cards of a list",
            "one PDF, its order and its names are for the cards of a list",
        ),
        Where("name the list with --csv", "choose a list"),
    ),
    "card-rows.apart-in-one-file": Fault(
        Where(
            "--faces-apart orders the pages of one PDF", "all outsides first is an order of pages in one PDF"
        ),
        Where("add --one-file, or leave out --faces-apart", "choose one PDF"),
    ),
    "card-rows.spread-one-file": Fault(
        "one PDF is made here and at once",
        Where("leave out --workers and --cluster, or --one-file", "choose a file for each card"),
    ),
    "card-rows.not-here": Fault(
        "row {row}: a worker made {file}, but it is not there for this machine",
        Where(
            "put the card's folder and that of --out where all workers reach them under the same path",
            "put the card's folder and that of its files where all workers reach them under the same path",
        ),
    ),
}
