"""Addresses: one module a subject, each with a ``router``. A subject adds its own line here."""

from fastapi import APIRouter

from tackside.web.routes import api, closing, enter, exchange, home, jobs, printers, printers_around, stocks
from tackside.web.routes.cards import card_files, card_fonts, card_list, cards, printing, run_plan, runs
from tackside.web.routes.pictures import choose, gamut, own_profiles, pictures, profiles, proof
from tackside.web.routes.prints import (
    arrived,
    compare,
    eye,
    files,
    guide,
    phone,
    practice,
    published,
    scanning,
    scans,
    trials,
    withdraw,
)

ROUTERS: tuple[APIRouter, ...] = (
    home.router,
    enter.router,
    closing.router,
    stocks.router,
    exchange.router,
    printers_around.router,
    printers.router,
    trials.router,
    withdraw.router,
    guide.router,
    arrived.router,
    scanning.router,
    phone.router,
    eye.router,
    practice.router,
    files.router,
    scans.router,
    compare.router,
    published.router,
    cards.router,
    card_files.router,
    card_fonts.router,
    card_list.router,
    run_plan.router,
    runs.router,
    printing.router,
    choose.router,
    proof.router,
    gamut.router,
    profiles.router,
    own_profiles.router,
    pictures.router,
    jobs.router,
    api.router,
)
