"""Only like is ranked with like, and the answer comes in plain sentences."""

from __future__ import annotations

from dataclasses import replace

from tackside.records.reading import FileSays
from tackside.report.change import changes
from tackside.report.entry import Entry
from tackside.report.ranking import answer, clears_the_card, groups_of, is_unsettled, labels_of, predicate
from tests.report.invented import entry, four


def test_best_grade_comes_first_and_equals_share_a_place() -> None:
    entries = [
        entry("C", grade="draft", trial_id="c"),
        entry("A", grade="sell", trial_id="a", reach=0.8),
        entry("B", grade="sell", trial_id="b", reach=0.9),
    ]
    (group,) = groups_of(entries)
    assert [(one.label, one.place) for one in group.ranked] == [("B", "1="), ("A", "1="), ("C", "3")]


def test_other_scanners_and_settings_are_never_ranked_together() -> None:
    entries = [entry("A", trial_id="a"), entry("B", trial_id="b", comparable_with="flatbed-2/600/8")]
    groups = groups_of(entries)
    assert [[one.label for one in group.ranked] for group in groups] == [["A"], ["B"]]


def test_other_kinds_of_sheet_are_never_ranked_together() -> None:
    entries = [
        entry("A", trial_id="a"),
        entry("B", trial_id="b", space="adobe-rgb"),
        entry("C", trial_id="c", space=None),
    ]
    assert len(groups_of(entries)) == 3


def test_the_answer_says_what_to_use_and_what_not() -> None:
    (group,) = groups_of(four())
    said = " ".join(answer(group))
    assert "Print cards for sale on Harbour Satin 300; Fulmar Etching 310 is good enough to send; " in said
    assert "; do not print on Shingle Craft 250." in said
    assert len(answer(group)) <= 2


def test_a_card_is_not_blamed_for_a_fault_of_settings_or_side() -> None:
    (group,) = groups_of(
        [entry("A", trial_id="a"), entry("B", grade="reject", cause="managed-twice", trial_id="b")]
    )
    said = " ".join(answer(group))
    assert "Do not print on B" not in said
    assert "Do not judge B by this print yet: the likeliest cause is colour managed twice." in said


def test_a_weak_suspicion_of_the_settings_does_not_clear_the_card() -> None:
    one = entry("A", grade="reject", cause="too-little-ink")
    doubtful = one.verdict.model_copy(
        update={"causes": {"too-little-ink": 0.4, "stock": 0.35, "unknown": 0.25}}
    )
    (group,) = groups_of([replace(one, verdict=doubtful)])
    assert answer(group) == ("Do not print on A.",)


def test_when_nothing_is_fit_to_sell_it_is_said() -> None:
    (group,) = groups_of(
        [entry("A", grade="send", trial_id="a"), entry("B", grade="reject", cause="stock", trial_id="b")]
    )
    assert answer(group) == ("None of these is fit to sell; A is good enough to send; do not print on B.",)


def test_a_card_that_is_the_likeliest_cause_is_never_cleared() -> None:
    one = entry("A", grade="draft", cause="stock")
    chances = {"stock": 0.4, "too-little-ink": 0.35, "unmanaged": 0.2, "unknown": 0.05}
    open_ = replace(one, verdict=one.verdict.model_copy(update={"causes": chances}))
    (group,) = groups_of([open_])
    assert not clears_the_card(open_.verdict)
    assert is_unsettled(open_.verdict)
    (said,) = answer(group)
    assert said == (
        "Whether A or the way it was printed is at fault is open: print it again before you decide."
    )
    assert "do not judge" not in (said + predicate(group.ranked[0])).lower()


def test_names_that_clash_are_told_apart() -> None:
    entries = [entry("A", trial_id="1"), entry("A", trial_id="2", side="back"), entry("B", trial_id="3")]
    assert labels_of(entries) == ["A (front side)", "A (back side)", "B"]
    entries = [entry("A", trial_id="1", media="Satin"), entry("A", trial_id="2", media="Matt")]
    assert labels_of(entries) == ["A (Satin)", "A (Matt)"]
    assert labels_of([entry("A", trial_id="1"), entry("A", trial_id="2")]) == ["A (1)", "A (2)"]


def test_a_cause_comes_with_its_chance() -> None:
    (group,) = groups_of([entry("A", grade="reject", cause="stock")])
    assert predicate(group.ranked[0]) == (
        "does not hold a print: black at L* 6 and 721 thousand cubic units of colour. The likeliest cause is "
        "the card itself: no inkjet coating, or a poor one (82\u00a0%)."
    )


def test_a_print_on_the_wrong_side_is_told_to_turn_the_card_over() -> None:
    (group,) = groups_of([entry("A", grade="draft", cause="side")])
    assert any("Turn A over" in sentence for sentence in answer(group))


def test_scans_whose_files_say_the_same_are_ranked_together_whatever_their_labels() -> None:
    said = FileSays(make="Invented Makers", model="F1", ppi=600, bits=16)

    def read_by(name: str, source: str) -> Entry:
        made = entry(name, trial_id=name, comparable_with=f"scan | {source} | 600 ppi, 16 bits, sRGB assumed")
        return replace(made, reading=made.reading.model_copy(update={"file_says": said}))

    named, silent, other = read_by("A", "device Mine"), read_by("B", "told 1"), read_by("C", "device Yours")
    groups = groups_of([named, silent, other])
    assert [[one.label for one in group.ranked] for group in groups] == [["A", "B"], ["C"]]
    # The card printed again counts as tried again, too.
    again = replace(silent, trial=silent.trial.model_copy(update={"stock": "A"}), stock=named.stock)
    assert [len(changes(pair)) for pair in ([named, again], [named, other])] == [1, 0]
