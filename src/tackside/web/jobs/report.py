"""The job that makes a report to publish: one HTML page and a paged PDF, as ``tackside report`` writes them."""

from __future__ import annotations

from typing import Any

from tackside.files.atomic import write_atomically
from tackside.report.data import plain_name
from tackside.report.gather import entry_of, extras_of
from tackside.report.pages.page import render_report
from tackside.report.pages.paper import render_pdf
from tackside.report.pages.short import render_short, render_short_pdf
from tackside.web.jobs.engine.task import Task


def make(task: Task) -> dict[str, Any]:
    """Asked: ``trials``, ``title``, ``note``, ``licence``, ``pictures``, ``data``, and ``short`` for one card alone.

    Result: both files, kept, by their endings; and what the report is called.
    """
    asked, bench = task.asked, task.bench
    task.tell(0.05, "gathering trials and readings")
    entries = [entry_of(bench, trial) for trial in asked["trials"]]
    title, note = asked["title"] or None, asked["note"] or None
    if asked["short"]:
        title = f"Can I print on {entries[0].stock.name}?"
        task.tell(0.3, "writing the page")
        html, pdf = render_short(entries[0]), render_short_pdf(entries[0])
    else:
        task.tell(0.1, "making the pictures of the prints")
        extras = extras_of(
            bench, entries, asked["licence"] or None, pictures=asked["pictures"], data=asked["data"]
        )
        task.tell(0.4, "writing the page")
        html = render_report(entries, title=title, note=note, extras=extras)
        task.tell(0.6, "setting the PDF")
        pdf = render_pdf(entries, title=title, note=note, extras=extras)
    name = plain_name(title or " ".join(dict.fromkeys(entry.stock.name for entry in entries)))
    files: dict[str, str] = {}
    for suffix, content in (("html", html.encode("utf-8")), ("pdf", pdf)):
        path = task.folder / f"{name}.{suffix}"
        write_atomically(path, content)
        files[suffix] = bench.keep_file(path, path.name)
    return {"files": files, "title": title, "stocks": [entry.stock.name for entry in entries]}
