"""The same sheet for another trial: everything where it was, under another id."""

from __future__ import annotations

from tackside.records import Caption, SheetPlan, Tag
from tackside.sheet.page.tags import PREFIX


def renamed(plan: SheetPlan, before: str, after: str, *, marked: str) -> SheetPlan:
    """The plan with the tag and the captions of another trial, whose id is as long, so that the tag keeps its size.

    Captions that name the trial also say that it is ``marked`` so.
    """
    if len(before) != len(after):
        raise ValueError("an id of another length would need a larger tag")
    return plan.model_copy(
        update={
            "tags": tuple(_tag(each, before, after) for each in plan.tags),
            "captions": tuple(_caption(each, before, after, marked) for each in plan.captions),
        }
    )


def _tag(tag: Tag, before: str, after: str) -> Tag:
    parts = tag.text.removeprefix(PREFIX).split("/")
    return tag.model_copy(
        update={"text": PREFIX + "/".join(after if each == before else each for each in parts)}
    )


def _caption(caption: Caption, before: str, after: str, marked: str) -> Caption:
    if before not in caption.text:
        return caption
    return caption.model_copy(update={"text": f"{marked}: {caption.text.replace(before, after)}"})
