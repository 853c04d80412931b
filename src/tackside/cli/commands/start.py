"""``tackside start``: the workbench in the browser."""

from __future__ import annotations

import getpass
import ipaddress
import os
import sys
import threading
import webbrowser
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.cli.listening import LOOPBACK, server_of, url_of
from tackside.cli.listening import listen as listen_on
from tackside.cli.session import Outcome, bench_folder, choose_bench
from tackside.errors import BadRequest

PASSWORD = "TACKSIDE_PASSWORD"


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
    demo: Annotated[
        bool,
        Parameter(
            help="Open the invented studio of tackside demo, in ./tackside-demo; made first if it is not there.",
            negative=(),
        ),
    ] = False,
) -> Outcome:
    """Open the workbench in the browser. It serves this machine only; stop it with Ctrl-C.

    With --listen others can reach it. It then asks for a password (or takes it from TACKSIDE_PASSWORD). Put a TLS
    server in front, as otherwise the password crosses the network unencrypted.
    """
    if name and listen is None:
        raise BadRequest("--name goes with --listen", "leave it out, or name the address with --listen")
    address = LOOPBACK if listen is None else _address(listen)
    if watch is not None and not watch.is_dir():
        raise BadRequest(
            f"there is no folder {watch} to watch", "name the folder that your scanner saves into"
        )
    password = None if listen is None else _password()
    if demo:
        choose_bench(bench_of_demo())
    # Kept, with what it needs, off the start-up path of other commands.
    from tackside.web.app import create_app
    from tackside.web.workbench import Options

    hosts = tuple(each.lower().rstrip(".") for each in name)
    app = create_app(
        bench_folder(),
        Options(hosts=hosts, any_address=listen is not None, password=password, watched=watch, warm=True),
    )
    door = listen_on(address, port)
    url = url_of(door)
    print(f"Tackside is at {url}  (stop it with Ctrl-C)", file=sys.stderr)
    if listen is not None:
        print(
            "tackside: note: others can reach this. Put a server that speaks TLS in front: without one the password "
            "and every picture cross the network in the clear.",
            file=sys.stderr,
        )
    if browser and listen is None:
        threading.Timer(0.5, webbrowser.open, (url,)).start()
    server_of(app).run(sockets=[door])
    return Outcome({"url": url, "bench": str(bench_folder())})


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
    from tackside.web.safety.gate import LEAST_LENGTH

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
