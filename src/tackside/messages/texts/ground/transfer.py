"""A bench moved, backed up and restored; a stock handed on to another tester and taken in."""

from tackside.messages.catalogue import Entry, Fault, Where

_DISTRUST = "ask for another copy of it; nothing was kept"
_NAME_EMPTY = "nothing was moved; name an empty place"

TEXTS: dict[str, Entry] = {
    # Moving.
    "transfer.same-place": Fault(
        "both places are the same bench", "name another folder or database to move it to"
    ),
    "transfer.nothing-to-move": Fault("there is no bench in {folder}", "name the bench that is to move"),
    "transfer.copy-differs": Fault("{file} is not what was copied", "check the disk, then move again"),
    "transfer.rows-missing": Fault(
        "the bench {bench} did not take every row ({table}: {there}, not {here})", _NAME_EMPTY
    ),
    "transfer.other-records-there": Fault(
        "the bench {bench} already holds other records ({table}: {there}, not {here})", _NAME_EMPTY
    ),
    "transfer.folder-of-another": Fault("{folder} belongs to another bench", "name an empty folder"),
    # Backups.
    "transfer.nothing-to-back-up": Fault(
        "there is no bench in {folder}",
        Where("name the right folder with --bench", "name the right folder"),
    ),
    "transfer.backup-damaged": Fault(
        "{file} is damaged, or no backup of a bench", "take another copy; nothing was written"
    ),
    "transfer.backup-rows-differ": Fault(
        "{file} is damaged: the rows of {table} are not those that were kept", "take another copy"
    ),
    "transfer.backup-newer": Fault(
        "{file} was made by a newer Tackside ({version})", "install that version or a newer one"
    ),
    "transfer.backup-writes-outside": Fault(
        "{file} would write outside the bench", "do not trust it; nothing was written"
    ),
    "transfer.records-there-already": Fault(
        "the bench {bench} holds records already", "name an empty folder or database"
    ),
    "transfer.kept-file-damaged": Fault(
        "{file} is damaged: its bytes are not those that were kept",
        "take this file from an earlier backup, then back up again",
    ),
    "transfer.bench-damaged": Fault(
        "the bench {bench} is damaged: {flaw}",
        "save what can be saved into a new bench first: tackside bench repair FOLDER",
    ),
    # What is damaged on a bench.
    "transfer.flaw-row-altered": Fault(
        "the record {record} was altered: it is not what was kept", "take it from an earlier backup"
    ),
    "transfer.flaw-row-unreadable": Fault(
        "the record {record} cannot be read", "take it from an earlier backup"
    ),
    "transfer.flaw-row-orphaned": Fault(
        "the record {record} belongs to one that is lost", "take both from an earlier backup"
    ),
    "transfer.flaw-file-missing": Fault(
        "the file {file} is missing ({sha256})", "copy it back from an earlier backup, or read it in again"
    ),
    "transfer.flaw-file-damaged": Fault(
        "the file {file} is damaged ({sha256})", "copy it back from an earlier backup, or read it in again"
    ),
    "transfer.flaw-database": Fault(
        "the database is damaged: {said}",
        "save what can be saved into a new bench: tackside bench repair FOLDER",
    ),
    "transfer.link-outside": Fault("{folder} leads out of the bench", "remove that link, then restore again"),
    # Handing on and taking in.
    "transfer.file-damaged": Fault(
        "the file {file} on the bench is damaged: its bytes are not those that were kept",
        "restore it from a backup, then export again",
    ),
    "transfer.file-missing": Fault(
        "{archive} does not hold the files that it lists: {file} is missing", _DISTRUST
    ),
    "transfer.file-not-listed": Fault(
        "{archive} does not hold the files that it lists: '{file}' is not listed", _DISTRUST
    ),
    "transfer.file-listed-twice": Fault(
        "{archive} does not hold the files that it lists: one is listed twice", _DISTRUST
    ),
    "transfer.archive-too-large": Fault("{archive} holds more than {gigabytes} GB", _DISTRUST),
    "transfer.file-of-another-size": Fault("{archive}: {file} has another size than listed", _DISTRUST),
    "transfer.unpacks-to-more": Fault("{archive} unpacks to more than it says", _DISTRUST),
    "transfer.unpacks-to-far-more": Fault(
        "{archive} unpacks to far more than an archive of a stock does", _DISTRUST
    ),
    "transfer.archive-damaged": Fault("{archive} is damaged, or no archive of a stock", _DISTRUST),
    "transfer.too-many-files": Fault(
        "{archive} holds {count} files, more than an archive of a stock can", _DISTRUST
    ),
    "transfer.file-out-of-place": Fault("{archive} holds '{file}', which has no place in it", _DISTRUST),
    "transfer.file-twice": Fault("{archive} holds {file} twice", _DISTRUST),
    "transfer.no-document": Fault(
        "{archive} is no archive of a stock: it has no {document}", "name another file"
    ),
    "transfer.document-too-large": Fault("{archive} has a {document} larger than any record", _DISTRUST),
    "transfer.document-no-json": Fault("{archive}: its {document} is no JSON", _DISTRUST),
    "transfer.no-archive": Fault("{archive} is no archive of a stock", "name another file"),
    "transfer.archive-newer": Fault(
        "{archive} comes from Tackside {version} (schema {schema}, this one knows {known})",
        "install the newer version; nothing was kept",
    ),
    "transfer.record-damaged": Fault("{archive}: {fault}", _DISTRUST),
    "transfer.does-not-hold-together": Fault("{archive} does not hold together: {why}", _DISTRUST),
    "transfer.stock-of-several-names": "its stock has several names or numbers twice",
    "transfer.printer-twice": "a printer is in it twice",
    "transfer.trial-twice": "a trial is in it twice",
    "transfer.trial-of-another-stock": "trial {trial} is of another stock",
    "transfer.printer-not-in-it": "the printer of trial {trial} is not in it",
    "transfer.id-is-none": "a trial's id is none",
    "transfer.finding-of-another": "a finding in trial {trial} belongs to another",
    "transfer.reading-not-in-it": "a verdict of {trial} lacks its reading",
    "transfer.withdrawal-of-another": "something was withdrawn in trial {trial} that is not in it",
    "transfer.both-edited": Fault(
        "you have another '{name}', edited in its own way",
        Where(
            "choose with --keep mine, --keep theirs, or --keep both (theirs then gets another name)",
            "take it in again, and choose which of the two is to be kept",
        ),
    ),
    "transfer.too-many-of-a-name": Fault(
        "there are too many stocks called '{name}'",
        Where("import it under --keep mine or theirs", "take it in again, and keep yours or theirs alone"),
    ),
}
