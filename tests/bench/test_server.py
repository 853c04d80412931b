"""A bench on PostgreSQL: found by URL or folder, its writers in turn, its refusals one line."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from tackside.bench import location as places
from tackside.bench.database import storage
from tackside.bench.location import is_url, place_of, remember
from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound, Overtaken, StorageTrouble
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records import Settings
from tackside.records.run import PrintJob
from tests.bench import invented
from tests.postgres import Server


def test_a_url_and_then_its_folder_lead_to_the_same_records(server: Server, tmp_path: Path) -> None:
    url = f"{server.url(server.fresh())}&files={tmp_path / 'files'}"
    Bench.open(url).stocks.add(invented.stock())
    assert Bench.open(tmp_path / "files", create=False).stocks.revision("Harbour Satin 300") == 1
    assert not (tmp_path / "files" / "bench.sqlite").exists()


def test_asking_does_not_make_a_bench(server: Server, tmp_path: Path) -> None:
    name = server.fresh()
    (tmp_path / "files").mkdir()
    with pytest.raises(NotFound, match="there is no bench in postgresql://"):
        Bench.open(f"{server.url(name)}&files={tmp_path / 'files'}", create=False)
    assert server.run("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'", name) == "0"
    with pytest.raises(NotFound, match=r"no folder .*nowhere"):
        Bench.open(f"{server.url(name)}&files={tmp_path / 'nowhere'}", create=False)


def test_no_file_and_no_message_keeps_a_password(
    tmp_path: Path, server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(places, "_given", {})
    monkeypatch.setenv("PGPASSWORD", "")
    url = f"postgresql://tackside:s3cret@/{server.fresh()}?host={server.socket}&files={tmp_path / 'files'}"
    folder = remember(place_of(url))
    Bench.open(folder).stocks.add(invented.stock())
    assert "s3cret" not in (folder / "bench.toml").read_text()
    assert os.environ["PGPASSWORD"] == "s3cret"  # for the programs that this one starts
    with pytest.raises(StorageTrouble) as refused:
        Bench.open(url.replace(str(server.socket), str(tmp_path)))
    assert "s3cret" not in str(refused.value)


@pytest.mark.parametrize(
    ("url", "said"),
    [
        ("postgresql://host/name", r"does not say where files lie; add \?files=FOLDER"),
        ("postgresql://host?files=x", "names no database"),
        ("postgresql://host:port/name?files=x", "no URL of a database"),
    ],
)
def test_a_url_that_says_too_little_is_told_what_is_missing(
    url: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("TACKSIDE_FILES", raising=False)
    with pytest.raises(BadRequest, match=said):
        place_of(url)


def test_the_folder_of_files_may_stand_in_the_environment(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TACKSIDE_FILES", str(tmp_path))
    assert place_of("postgresql://host/name").folder == tmp_path
    assert not is_url("C:\\bench")
    assert not is_url("postgresql")


def test_a_server_that_is_not_there_is_told_in_a_line(tmp_path: Path, server: Server) -> None:
    with pytest.raises(StorageTrouble, match=r"cannot be reached .*nothing was changed"):
        Bench.open(f"postgresql://tackside@/x?host={tmp_path}&files={tmp_path / 'files'}")
    with pytest.raises(StorageTrouble, match=r"cannot be reached .*does not exist"):
        Bench.open(f"{server.url('nowhere')}&files={tmp_path / 'files'}")
    with pytest.raises(StorageTrouble, match=r"cannot be reached .*invalid .*sslmode"):
        Bench.open(f"{server.url('postgres')}&sslmode=nonsense&files={tmp_path / 'files'}")


def test_a_database_that_goes_away_in_mid_work_loses_nothing(
    server: Server, on_server: Callable[[str], Path]
) -> None:
    bench = Bench.open(on_server("bench"))
    bench.stocks.add(invented.stock())

    def cut_off() -> None:
        with bench._vault.writing() as connection:
            bench._vault.revive(type(invented.stock()), invented.stock().model_dump())
            server.run(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE pid <> pg_backend_pid() AND backend_type = 'client backend'"
            )
            connection.exec_driver_sql("SELECT 1")

    with pytest.raises(StorageTrouble, match=r"cannot be reached|is being stopped"):
        cut_off()
    assert bench.stocks.add(invented.stock(notes="again")).revision == 2


def test_a_user_without_rights_is_told_so(server: Server, tmp_path: Path) -> None:
    name = server.fresh()
    Bench.open(f"{server.url(name)}&files={tmp_path / 'files'}").stocks.add(invented.stock())
    server.run("DROP ROLE IF EXISTS guest; CREATE ROLE guest LOGIN")
    guest = server.url(name).replace("tackside@", "guest@")
    with pytest.raises(StorageTrouble, match="does not give this user the rights"):
        Bench.open(f"{guest}&files={tmp_path / 'files'}")
    server.run("GRANT SELECT ON ALL TABLES IN SCHEMA public TO guest", name)
    bench = Bench.open(f"{guest}&files={tmp_path / 'files'}")
    assert bench.stocks.revision("Harbour Satin 300") == 1
    with pytest.raises(StorageTrouble, match="does not give this user the rights"):
        bench.stocks.add(invented.stock(notes="new"))


def test_a_database_that_cannot_hold_every_letter_is_refused(server: Server, tmp_path: Path) -> None:
    server.run("CREATE DATABASE narrow TEMPLATE template0 ENCODING 'LATIN1' LC_COLLATE 'C' LC_CTYPE 'C'")
    with pytest.raises(StorageTrouble, match="LATIN1 and cannot hold every letter"):
        Bench.open(f"{server.url('narrow')}&files={tmp_path / 'files'}")


def test_a_database_of_another_kind_is_refused_and_not_touched(server: Server, tmp_path: Path) -> None:
    name = server.fresh()
    server.run("CREATE TABLE recipes (name text)", name)
    with pytest.raises(StorageTrouble, match="another kind"):
        Bench.open(f"{server.url(name)}&files={tmp_path / 'files'}")
    assert server.run("SELECT tablename FROM pg_tables WHERE schemaname = 'public'", name) == "recipes"


def test_a_writer_that_waits_too_long_is_told_to_wait(
    on_server: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(storage, "WAIT_SECONDS", 0.1)
    folder = on_server("bench")
    bench, other = Bench.open(folder), Bench.open(folder)
    with bench._vault.writing():
        assert other.stocks.list() == ()  # reading goes on while another writes
        with pytest.raises(StorageTrouble, match="in use by another program; wait"):
            other.stocks.add(invented.stock())
    assert other.stocks.add(invented.stock()).is_new


def test_concurrent_edits_are_told_apart(place: Path) -> None:
    here, there = Bench.open(place), Bench.open(place)
    first = here.stocks.add(invented.stock()).revision
    there.stocks.add(invented.stock(notes="theirs"), after=first)
    with pytest.raises(Overtaken, match=r"changed elsewhere meanwhile \(revision 2; you edited 1\)"):
        here.stocks.add(invented.stock(notes="mine"), after=first)
    assert here.stocks.get("Harbour Satin 300").notes == "theirs"
    here.printers.add(invented.printer())
    here.trials.add(invented.trial())
    there.trials.update_settings("7K3M9QPA", Settings(quality="high"), after=1)
    with pytest.raises(Overtaken, match="changed elsewhere meanwhile"):
        here.trials.update_settings("7K3M9QPA", Settings(quality="draft"), after=1)


def test_lists_search_and_sort_alike_on_both(bench: Bench) -> None:
    for name in ("Wren 200", "auk 250", "Harbour Satin 300"):
        bench.stocks.add(invented.stock(name=name))
    bench.printers.add(invented.printer())
    for ordinal, grade in enumerate(("draft", "sell", None)):
        bench.trials.add(invented.trial(f"TRIAL{ordinal:03}"))
        if grade:
            bench.verdicts.add(invented.verdict(f"TRIAL{ordinal:03}", grade=grade))
    stocks, total = bench.catalogue.stocks(ListAsked(sort="name"))
    assert ([line.stock.name for line in stocks], total) == (["auk 250", "Harbour Satin 300", "Wren 200"], 3)
    standing = [[(each.id, each.grade) for each in line.standing] for line in stocks]
    assert standing == [[], [("TRIAL001", "sell")], []]
    found, total = bench.catalogue.trials(ListAsked(words="SATIN tern", sort="grade"))
    assert ([line.grade for line in found], total) == (["sell", "draft", None], 3)
    assert bench.catalogue.untried() == ("auk 250", "Wren 200")
    assert [line.id for line in bench.catalogue.trials(ListAsked(stage="to-print"))[0]] == ["TRIAL002"]
    assert [line.trials for line in bench.catalogue.printers(ListAsked())[0]] == [3]
    bench.catalogue.archive("stock", "auk 250")
    assert "auk 250" not in bench.catalogue.names("stock")
    assert bench.catalogue.is_archived("stock", "auk 250")


def test_jobs_are_claimed_once_on_both(bench: Bench) -> None:
    asked = [bench.jobs.add("scan", {"number": number}).id for number in range(3)]
    claimed = [bench.jobs.claim(keeper) for keeper in ("a", "b", "c", "d")]
    assert [job.id if job else None for job in claimed] == [*asked, None]
    bench.jobs.tell(asked[0], 0.5, Message("progress.judged", done=1, of=2))
    assert bench.jobs.get(asked[0]).doing == Message("progress.judged", done=1, of=2)
    bench.jobs.finish(asked[0], {"file": "x"})
    assert bench.jobs.get(asked[0]).result == {"file": "x"}
    fault, place = Message("job.too-long"), Place("run", ("cards", 0, "label"))
    bench.jobs.fail(asked[1], fault, place)
    assert (bench.jobs.get(asked[1]).fault, bench.jobs.get(asked[1]).place) == (fault, place)
    assert [job.state for job in bench.jobs.list()] == ["running", "failed", "done"]


def test_the_news_of_a_print_job_are_the_newest_on_both(bench: Bench) -> None:
    job = PrintJob(
        printer="Tern 8", uri="ipp://localhost/x", document="a.pdf", document_sha256="0" * 64, copies=1, asked={},
        state="sent", made_at=invented.NOON,
    )  # fmt: skip
    number = bench.runs.note_job(job)
    later = job.model_copy(update={"state": "completed", "made_at": invented.NOON + timedelta(minutes=3)})
    assert bench.runs.note_job(later, number) == number
    assert bench.runs.note_job(job) == number + 1
    assert [each.state for each in bench.runs.jobs()] == ["completed", "sent"]
