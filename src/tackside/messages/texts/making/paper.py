"""Papers of a run: labels whose letters no font has, and what cannot be set."""

from tackside.messages.catalogue import Entry, Fault, Plural, Where

TEXTS: dict[str, Entry] = {
    "paper.letter": "{letter} ({name}, U+{number})",
    "paper.nameless-letter": "{letter} (a character, U+{number})",
    "paper.borrowed": "{letter} and its like are set in {family}, a font of this computer; another may set them "
    "otherwise.",
    "paper.lacking": Where(
        "No font at hand has {letters}, so a mark stands in its place: name a font file that has it, fonts = "
        '["FILE.ttf"] under [labels] in the run file.',
        "No font at hand has {letters}, so a mark stands in its place: install a font that has it on the computer that "
        "Tackside runs on.",
    ),
    "paper.lacking-more": Where(
        Plural(
            "No font at hand has {letters} and {count} more, so a mark stands in its place: name a font file that has "
            'it, fonts = ["FILE.ttf"] under [labels] in the run file.',
            "No font at hand has {letters} and {count} more, so a mark stands in its place: name a font file that has "
            'them, fonts = ["FILE.ttf"] under [labels] in the run file.',
        ),
        Plural(
            "No font at hand has {letters} and {count} more, so a mark stands in its place: install a font that has it "
            "on the computer that Tackside runs on.",
            "No font at hand has {letters} and {count} more, so a mark stands in its place: install a font that has "
            "them on the computer that Tackside runs on.",
        ),
    ),
    "paper.label-asks": Fault(
        "the label of {card} asks for {{{name}}}, which its list does not have", "it may ask for {known}"
    ),
    "paper.variable": "{{{name}}}",
    "paper.not-a-pdf": Fault(
        "{file} is no .pdf file", Where("end the name of --out in .pdf", "end its name in .pdf")
    ),
    "paper.neither-pdf-nor-text": Fault(
        "{file} is no .pdf or .txt file",
        Where("end the name of --out in .pdf or .txt", "end its name in .pdf or .txt"),
    ),
    "paper.not-set": Fault("the paper cannot be set ({reason})", "check names and texts for odd characters"),
}
