"""A verdict's page in another language: all that it says comes from that language's catalogue, and none is English."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

import pytest

from tackside.bench.store import Bench
from tackside.messages.catalogue import Plural, entry_of, strings_in, texts_of
from tackside.messages.languages import LANGUAGES
from tackside.messages.message import Message
from tackside.messages.wording import Wording
from tackside.reading.eye import read_answers
from tackside.reading.eye_questions import answers_from
from tackside.records import Trial, Verdict
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.web.workshop import TestClient, add_reading, add_trial

ENGLISH = Wording(where="page")
OTHERS = tuple(each for each in LANGUAGES if each != "en")
SUBJECTS = ("verdict", "rule", "cause", "evidence", "step", "side", "measure")
ANSWERS = {"black_beside_good": "much-less", "creep": "much", "drag_this_side": "no", "beside_screen": "less",
           "hues_off": 0}  # fmt: skip


def shown(client: TestClient, trial: Trial, language: str = "de") -> str:
    page = client.get(f"/trials/{trial.id}", headers={"accept-language": language})
    assert page.status_code == 200
    return re.sub(r"\s+", " ", html.unescape(page.text))


def said(verdict: Verdict) -> Iterator[Message]:
    """All that the page says of a verdict but its opening, which stands there as the grade."""
    yield from verdict.reasons[1:]
    yield from verdict.notices
    for each in verdict.evidence:
        yield each.sentence


def whole_texts() -> Iterator[str]:
    """The English of every message of a verdict that says something of its own: three words or more, as they stand."""
    for subject in SUBJECTS:
        for entry in texts_of(subject).values():
            for text in strings_in(entry):
                for each in (text.one, text.many) if isinstance(text, Plural) else (text,):
                    yield from (part for part in re.split(r"\{[^}]*\}", each) if len(part.split()) >= 3)


def by_scan(bench: Bench) -> tuple[Trial, Verdict]:
    trial = add_trial(bench, bench.stocks.list()[0])
    reading = add_reading(bench, trial, 31.0)
    verdict = judge(KnownPrint(reading, trial, bench.stocks.get(trial.stock)))
    return trial, bench.verdicts.add(verdict.model_copy(update={"reading": reading.id}))


def by_eye(bench: Bench) -> tuple[Trial, Verdict]:
    trial = add_trial(bench, bench.stocks.list()[0])
    reading = bench.readings.add(read_answers(answers_from(ANSWERS), trial.sheet, trial=trial.id))
    return trial, bench.verdicts.add(judge(KnownPrint(reading, trial)))


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("make", [by_scan, by_eye])
def test_all_that_a_verdict_says_is_in_the_readers_language(
    client: TestClient, bench: Bench, make: object, language: str
) -> None:
    trial, verdict = make(bench)  # type: ignore[operator]
    page, wording = shown(client, trial, language), Wording(language=language, where="page")
    messages = list(said(verdict))
    assert len(messages) > 5
    for message in messages:
        assert re.sub(r"\s+", " ", wording.text(message)) in page
        assert ENGLISH.text(message) not in page
    for text in whole_texts():
        assert text.strip() not in page, text


@pytest.mark.parametrize(
    ("language", "name"), [("de", "Papierweiß, L* a* b*"), ("fr", "Blanc du papier, L* a* b*")]
)
def test_measures_have_names_in_the_language(
    client: TestClient, bench: Bench, language: str, name: str
) -> None:
    trial, _ = by_scan(bench)
    page = shown(client, trial, language)
    assert name in page
    assert not any(str(text) in page for name in texts_of("measure") if ".name." in name
                   for text in strings_in(entry_of(name)) if len(str(text).split()) >= 3)  # fmt: skip


def test_a_verdict_kept_as_sentences_is_shown_and_keeps_its_links(client: TestClient, bench: Bench) -> None:
    trial, verdict = by_scan(bench)
    plain = verdict.model_dump(mode="json", exclude={"id"})
    for holder in (*plain["rules"], *plain["evidence"], *plain["next_steps"]):
        holder["sentence"] = ENGLISH.text(Message.of_data(holder["sentence"]))
    for rule in plain["rules"]:
        del rule["close_call"]
        rule["source"] = ENGLISH.text(Message.of_data(rule["source"]))
    for each in plain["evidence"]:
        each["figure"] = ENGLISH.text(Message.of_data(each["figure"]))
    for key in ("reasons", "notices"):
        plain[key] = [ENGLISH.text(Message.of_data(each)) for each in plain[key]]
    old = Verdict.model_validate(plain)
    assert {each.code for each in (*old.reasons, *old.notices)} == {"kept.sentence"}
    assert [each.figure.code for each in old.evidence] == [each.figure.code for each in verdict.evidence]
    bench.verdicts.add(old)
    page = shown(client, trial)
    assert 'data-show="black"' in page
    (black,) = (rule.sentence for rule in old.rules if rule.rule == "black")
    assert f'<span lang="en">{ENGLISH.text(black)}' in page
