"""Where a bench lies, and what its database refuses."""

from tackside.messages.catalogue import Entry, Fault, Where

_LATER = Where(
    "wait until the other program has finished, then run this again",
    "wait until the other program has finished, then try again",
)
_RESTORE = "keep the folder as it is, and restore bench.sqlite from your last copy of it"
_ALLOW = Where(
    "allow writing in that folder, or name another one with --bench",
    "allow writing in that folder, then try again",
)
_ANOTHER = Where("name another folder with --bench", "start the workbench with another folder")
_SPACE = Where(
    "free some space, then run this again; the records are as they were",
    "free some space, then try again; the records are as they were",
)
_AGAIN = Where(
    "nothing was changed; run this again when it is back", "nothing was changed; try again when it is back"
)
_ASK = "ask whoever keeps the server"

TEXTS: dict[str, Entry] = {
    # SQLite.
    "database.in-use": Fault("the bench {bench} is in use by another program", _LATER),
    "database.emptied": Fault(
        "the records of the bench {bench} are gone, though its files are there",
        "restore a backup into it: tackside bench restore FILE.zip; or name another folder",
    ),
    "database.damaged": Fault("the bench {bench} is damaged", _RESTORE),
    "database.damaged-or-none": Fault("the bench {bench} is damaged, or no bench at all", _RESTORE),
    "database.read-only": Fault("the bench {bench} can only be read", _ALLOW),
    "database.cannot-be-opened": Fault("the bench {bench} cannot be opened", _ALLOW),
    "database.full": Fault("the bench {bench} has no room to grow: the disk is full", _SPACE),
    "database.disk-refuses": Fault(
        "the bench {bench} cannot be read or written: the disk refuses or is full", _SPACE
    ),
    "database.refuses": Fault("the bench {bench} refuses: {said}", _RESTORE),
    # PostgreSQL.
    "database.no-driver": Fault(
        "a bench on PostgreSQL needs the driver psycopg", "install Tackside again with its part [postgres]"
    ),
    "database.out-of-reach": Fault("the bench {bench} cannot be reached", _AGAIN),
    "database.connection-lost": Fault("the bench {bench} cannot be reached ({said})", _AGAIN),
    "database.wrong-password": Fault(
        "the bench {bench} refuses this user or password",
        "check both; a password may stand in ~/.pgpass or PGPASSWORD",
    ),
    "database.not-on-server": Fault(
        "the bench {bench} does not exist on that server",
        Where(
            "make it first: createdb --template=template0 --encoding=UTF8 NAME",
            "make it first on the server, in UTF-8",
        ),
    ),
    "database.server-read-only": Fault(
        "the bench {bench} can only be read", "name the server that takes writes"
    ),
    "database.no-rights": Fault(
        "the bench {bench} does not give this user the rights",
        f"{_ASK} for the right to read and write in it",
    ),
    "database.server-full": Fault(
        "the bench {bench} has no room or no free connection", f"nothing was changed; {_ASK}"
    ),
    "database.server-stopping": Fault("the bench {bench} is being stopped or started", _AGAIN),
    "database.server-disk": Fault(
        "the bench {bench} cannot be read or written: the server's disk refuses", _ASK
    ),
    "database.server-damaged": Fault(
        "the bench {bench} is damaged", f"{_ASK}, and restore the last backup: tackside bench restore"
    ),
    "database.server-refuses": Fault("the bench {bench} refuses: {said}", _ASK),
    "database.not-unicode": Fault(
        "the database {bench} is in {encoding} and cannot hold every letter",
        Where(
            "make a new one: createdb --template=template0 --encoding=UTF8 NAME",
            "make a new one on the server, in UTF-8",
        ),
    ),
    # Forms of the database.
    "database.none-there": Fault(
        "there is no bench in {bench}",
        Where(
            "name the right one with --bench, or begin one: tackside stock add FILE.toml",
            "start the workbench with the right folder",
        ),
    ),
    "database.another-kind": Fault("{bench} is a database of another kind, not a bench", _ANOTHER),
    "database.moved": Fault(
        "the records of the bench {bench} were moved to another bench",
        Where("name that one with --bench", "start the workbench with that one"),
    ),
    "database.newer": Fault(
        "the bench {bench} was made by a newer Tackside (its form is {form}, this one knows {known})",
        "install the newer version; nothing was changed",
    ),
    "database.form-changed": Fault(
        "another version of Tackside changed the form of the bench {bench} while this one had it open "
        "(its form is {form}, this one knows {known})",
        Where(
            "run this again with the newer version; what was kept before is safe",
            "stop this workbench and start it with the newer version; what was kept before is safe",
        ),
    ),
    # Places.
    "database.no-url": Fault(
        "that is no URL of a database", "write it as postgresql://user@host/name?files=FOLDER"
    ),
    "database.url-without-name": Fault(
        "{url} names no database", "add its name: postgresql://user@host/name"
    ),
    "database.url-without-files": Fault(
        "{url} does not say where files lie",
        "add ?files=FOLDER, a folder that every station reaches, or set {variable}",
    ),
    "database.pointer-without-name": Fault(
        "{file} names no database", 'write database = "postgresql://user@host/name", or remove the file'
    ),
    "database.pointer-elsewhere": Fault(
        "{file} names no PostgreSQL database", "correct it, or remove the file"
    ),
    "database.file-not-folder": Fault(
        "{folder} is a file, not a folder",
        Where("name a folder with --bench", "start the workbench with a folder"),
    ),
    "database.no-folder-for-files": Fault(
        "there is no folder {folder} for the files of {bench}", "make it, or correct files="
    ),
    "database.folder-of-another": Fault(
        "{folder} holds a bench of its own", "name another folder for files, or use: tackside bench move"
    ),
}
