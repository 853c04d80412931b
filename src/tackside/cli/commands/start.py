"""``tackside start``: the workbench in the browser."""

from __future__ import annotations

import contextlib
import getpass
import ipaddress
import os
import socket
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.cli.listening import LOOPBACK, ended_by_ctrl_c, server_of, url_of
from tackside.cli.listening import listen as listen_on
from tackside.cli.opening import clear, open_in_browser, wait, with_key
from tackside.cli.process import collect_as_usual
from tackside.cli.session import Outcome, bench_folder, choose_bench
from tackside.cli.without_terminal.only_one import OnlyOne
from tackside.errors import BadRequest
from tackside.files.atomic import passing_folder

PASSWORD = "TACKSIDE_PASSWORD"
WAIT_SECONDS = 15.0  # for one that is just coming up, or about to end


def start(
    *,
    port: Annotated[int | None, Parameter(help="Port; by default 8372, or the next that is free.")] = None,
    browser: Annotated[bool, Parameter(help="Open the browser.")] = True,
    listen: Annotated[
        str | None,
        Parameter(help="Give others access: the address to listen on. Asks for a password."),
    ] = None,
    name: Annotated[
        tuple[str, ...],
        Parameter(help="With --listen: a host name that browsers may use for it.", negative=()),
    ] = (),
    watch: Annotated[
        Path | None,
        Parameter(help="A folder that your scanner saves into: new scans are read automatically."),
    ] = None,
    proxy: Annotated[
        tuple[str, ...],
        Parameter(
            help="With --listen: the address of a server in front, which says for whom it calls. Forwarded addresses "
            "are believed from it alone.",
            negative=(),
        ),
    ] = (),
    keep_sessions: Annotated[
        bool,
        Parameter(
            help="With --listen: who has signed in stays so when the workbench is started again, for its 12 hours.",
            negative=(),
        ),
    ] = False,
    demo: Annotated[
        bool,
        Parameter(
            help="Open the invented studio of tackside demo, in ./tackside-demo; made first if it is not there.",
            negative=(),
        ),
    ] = False,
) -> Outcome:
    """Open the workbench in the browser. It serves you on this machine only; stop it with Ctrl-C.

    Its address holds a key, as every account of the machine could open it else. A workbench of this bench that runs
    already is opened in place of a second one.

    With --listen others can reach it. It then asks for a password (or takes it from TACKSIDE_PASSWORD). Put a TLS
    server in front, as otherwise the password crosses the network unencrypted, and name its address with --proxy.
    """
    if listen is None and (name or proxy or keep_sessions):
        option = "--name" if name else "--proxy" if proxy else "--keep-sessions"
        raise BadRequest(f"{option} goes with --listen", "leave it out, or name the address with --listen")
    address = LOOPBACK if listen is None else _address(listen)
    proxies = tuple(_address(each) for each in proxy)
    if watch is not None and not watch.is_dir():
        raise BadRequest(
            f"there is no folder {watch} to watch", "name the folder that your scanner saves into"
        )
    password = None if listen is None else _password()
    if demo:
        choose_bench(bench_of_demo())
    folder = Path(bench_folder())
    options = {
        "hosts": tuple(each.lower().rstrip(".") for each in name), "any_address": listen is not None,
        "password": password, "watched": watch, "keeps_sessions": listen is None or keep_sessions,
    }  # fmt: skip
    if listen is not None or watch is not None or port is not None:
        door = listen_on(address, port)
        return _serve(folder, door, options, proxies=proxies, browser=browser and listen is None)
    with _only_one(folder) as only:
        other = None if only is None else _other(only)
        if other is not None:
            return _lead_to(other, folder, browser=browser)
        return _serve(folder, None, options, browser=browser, only=only)


def _serve(
    folder: Path,
    door: socket.socket | None,
    options: dict[str, Any],
    *,
    browser: bool,
    proxies: tuple[str, ...] = (),
    only: OnlyOne | None = None,
) -> Outcome:
    """Serve the bench in a folder until it is stopped."""
    # Kept, with what it needs, off the start-up path of other commands.
    from tackside.web.app import create_app
    from tackside.web.safety.gate import new_key
    from tackside.web.workbench import Options

    key = new_key()
    app = create_app(folder, Options(key=key, warm=True, **options))
    door = door or listen_on(LOOPBACK, None)
    url = url_of(door)
    address = with_key(url, key)
    server = server_of(app, proxies)
    # Before it is said to be there: Ctrl-C is answered in order from then on.
    with ended_by_ctrl_c(server):
        print(f"Tackside is at {address}  (stop it with Ctrl-C)", file=sys.stderr)
        if options["password"] is not None:
            print(
                "tackside: note: others can reach this with the password; the key in the address above is yours alone. "
                "Put a server that speaks TLS in front: without one the password and every picture cross the network "
                "in the clear.",
                file=sys.stderr,
            )
        if only is not None:
            only.tell(address)
        collect_as_usual()
        # What the browser asks for at once waits at the door until the server is up.
        page = open_in_browser(address, folder) if browser else None
        try:
            server.run(sockets=[door])
        finally:
            clear(page)
            if only is not None:
                only.tell("")
    return Outcome({"url": url, "bench": str(folder)})


@contextlib.contextmanager
def _only_one(folder: Path) -> Iterator[OnlyOne | None]:
    """Where it is said which workbench of a bench runs; None where nothing can be kept."""
    try:
        only = OnlyOne(passing_folder(), folder)
    except OSError:
        yield None
    else:
        with only:
            yield only


def _other(only: OnlyOne) -> str | None:
    try:
        return only.other(WAIT_SECONDS)
    except TimeoutError:  # one that neither comes up nor ends keeps nobody from working
        return None


def _lead_to(address: str, folder: Path, *, browser: bool) -> Outcome:
    print(f"Tackside is at {address}  (it runs already)", file=sys.stderr)
    if browser:
        wait(open_in_browser(address, folder))
    return Outcome({"url": address.partition("open?")[0], "bench": str(folder)})


def bench_of_demo() -> Path:
    """The bench of the demo, as it was left; made where there is none."""
    from tackside.cli.commands.demo import FOLDER, run_shown
    from tackside.cli.demo.studio import demo_bench

    return demo_bench(FOLDER) or run_shown(FOLDER).bench


def _address(text: str) -> str:
    try:
        return str(ipaddress.ip_address(text.strip("[]")))
    except ValueError as error:
        raise BadRequest(
            f"{text!r} is no address to listen on", "give one in figures, as 192.0.2.7, or 0.0.0.0 for all"
        ) from error


def _password() -> str:
    """From the environment, else typed twice. It is never kept."""
    from tackside.web.safety.password import LEAST_LENGTH

    given = os.environ.pop(PASSWORD, None)
    if given is None:
        if not sys.stdin.isatty():
            raise BadRequest(
                "--listen needs a password", f"set {PASSWORD}, or start it from a terminal to be asked"
            )
        given = getpass.getpass("Password for the workbench: ")
        if getpass.getpass("Once more: ") != given:
            raise BadRequest("the two passwords differ", "start it again")
    if len(given) < LEAST_LENGTH:
        raise BadRequest(
            f"the password has fewer than {LEAST_LENGTH} characters", "take a longer one; a few words do well"
        )
    return given
