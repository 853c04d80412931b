"""Addresses: one module a subject, each with a ``router``. A subject adds its own line here."""

from fastapi import APIRouter

from tackside.web.routes import (
    api,
    card_files,
    cards,
    choose,
    compare,
    enter,
    exchange,
    eye,
    files,
    gamut,
    guide,
    home,
    jobs,
    printers,
    proof,
    published,
    runs,
    scans,
    stocks,
    trials,
)

ROUTERS: tuple[APIRouter, ...] = (
    home.router,
    enter.router,
    stocks.router,
    exchange.router,
    printers.router,
    trials.router,
    guide.router,
    eye.router,
    files.router,
    scans.router,
    compare.router,
    published.router,
    cards.router,
    card_files.router,
    runs.router,
    choose.router,
    proof.router,
    gamut.router,
    jobs.router,
    api.router,
)
