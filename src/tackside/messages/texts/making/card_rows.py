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
    "card-rows.not-utf-8": Fault("{file} is not UTF-8 text", "save it as CSV UTF-8"),
    "card-rows.not-read": Fault("cannot read {file}: {reason}", "check its name and permissions"),
    "card-rows.empty": Fault(
        "{file} is empty", "write the fields' names in the first line, then a row for each card"
    ),
    "card-rows.semicolons": Fault(
        "{file} has semicolons between its fields", "save it with commas (RFC 4180)"
    ),
    "card-rows.unnamed-column": Fault(
        "{file}, line 1: column {column} has no name", "give every column a name"
    ),
    "card-rows.column-twice": Fault(
        '{file}, line 1: two columns are called "{column}"', "rename one of them"
    ),
    "card-rows.too-many-fields": Fault(
        "{file}, row {row} (line {line}) has {count} fields, the first line has {columns}",
        "put double quotes round a field that holds a comma",
    ),
    "card-rows.field-empty": Fault(
        '{file}, row {row} (line {line}), column {column}: no "{name}"', "fill it in, or take the row out"
    ),
    "card-rows.fields-empty": Fault(
        '{file}, row {row} (line {line}), column {column}: no "{name}" (and {others} more)',
        "fill it in, or take the row out",
    ),
    "card-rows.not-here": Fault(
        "row {row}: a worker made {file}, but it is not there for this machine",
        Where(
            "put the card's folder and that of --out where all workers reach them under the same path",
            "put the card's folder and that of its files where all workers reach them under the same path",
        ),
    ),
}
