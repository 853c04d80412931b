"""The workbench put together: one app for one bench."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from starlette.middleware import Middleware

from tackside import __version__
from tackside.bench.location import PAGE_SESSIONS
from tackside.bench.store import Bench
from tackside.web.jobs.engine.runner import Runner
from tackside.web.jobs.engine.watched import Watcher
from tackside.web.phone.door import Doorway
from tackside.web.routes import ROUTERS
from tackside.web.safety.gate import Gate
from tackside.web.safety.guard import Guard
from tackside.web.safety.secret import secret_of
from tackside.web.shell import error_pages as trouble
from tackside.web.shell.attendance import Attended
from tackside.web.shell.static_files import Shipped
from tackside.web.workbench import Options, Workbench
from tackside.workflow.placement import KnownPaths

DESCRIPTION = (
    "Pages for people, and the same records as JSON under /api. A request that changes something needs the token of "
    "its page: as the form field csrf, or as the header X-CSRF-Token; /api/session hands one out."
)


def create_app(folder: str | os.PathLike[str], options: Options | None = None) -> FastAPI:
    """The app of the bench in a folder, which is made where there is none.

    Raises StorageTrouble where the bench cannot be opened or is of a newer version.
    """
    given = options or Options()
    bench = Bench.open(folder)
    secret = secret_of(bench.folder)
    sessions = bench.folder / PAGE_SESSIONS if given.keeps_sessions else None
    workbench = Workbench(
        bench,
        given,
        Gate(given.password, key=given.key, secret=secret, sessions_file=sessions),
        Runner(bench, warm=given.warm),
        Runner(bench, lane="printer"),
        Runner(bench, lane="scanner"),
        KnownPaths(bench),
        secret,
        Doorway(),
    )

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        watcher = Watcher(workbench) if given.watched is not None else None
        if given.keep_jobs:
            workbench.runner.start()
            workbench.printing.start()
            workbench.scanning.start()
        if watcher is not None:
            watcher.start()
        yield
        if watcher is not None:
            watcher.stop()
        workbench.doorway.shut()
        workbench.runner.stop()
        workbench.printing.stop()
        workbench.scanning.stop()

    attended = [] if given.attendance is None else [Middleware(Attended, attendance=given.attendance)]
    app = FastAPI(
        title="Tackside workbench",
        version=__version__,
        description=DESCRIPTION,
        openapi_url="/api/openapi.json",
        docs_url=None,  # their pages load scripts from elsewhere
        redoc_url=None,
        redirect_slashes=False,
        lifespan=life,
        middleware=[
            Middleware(Guard, workbench=workbench),
            *attended,
        ],  # whoever is not let in is not attended to
    )
    app.state.workbench = workbench
    for router in ROUTERS:
        app.include_router(router)
    app.mount("/assets/{fingerprint}", Shipped(), name="assets")
    trouble.install(app)
    return app
