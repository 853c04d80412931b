"""Faults of a record's data. In a file a field is named by its key, on a page by its label."""

from tackside.messages.catalogue import Entry, Fault, Plural, Where

_IS = "{field} is {given}"
_IS_LENGTH = "{field} is {given_mm:g}"

TEXTS: dict[str, Entry] = {
    # What was given, and how a field is written in a file.
    "record.given-text": Where('"{text}"', "“{text}”"),
    "record.given": "{text}",
    "record.given-table": "a table",
    "record.given-list": "a list of {count}",
    "record.given-huge": "a huge number",
    "record.example-feeds": "a [[feeds]] table with name, min_size_mm and max_size_mm",
    "record.example-size": "{name} = [210, 297]",
    "record.example-number": "{name} = a number",
    "record.example-text": '{name} = "…"',
    "record.example-any": "{name} = …",
    # Several faults, and the file that they stand in.
    "record.and-more": Fault(
        Plural("{fault} (and {count} more fault)", "{fault} (and {count} more faults)"), "{fault:fix}"
    ),
    "record.in-file": Fault("{file}: {fault}", "{fault:fix}"),
    # Fields that are none.
    "record.unknown-field": Fault("unknown field {field}", "the fields are {known}"),
    "record.unknown-field-of-none": Fault("unknown field {field}", "take it out"),
    "record.unknown-field-near": Fault("unknown field {field}", "did you mean {near}?"),
    "record.unknown-field-near-in": Fault(
        "unknown field {field}", "did you mean {near}, which belongs in {holder}?"
    ),
    "record.unknown-field-of-the-top": Fault(
        "unknown field {field}", "{name} belongs at the top of the file, before the first [table]"
    ),
    # What is not there.
    "record.missing": Fault(
        Where("{field} is missing", "{field}: this is missing"), Where("add {example}", "fill it in")
    ),
    "record.entries-missing": Fault(
        Where("{field} has too few entries", "{field}: a part of this is missing"),
        Where("give it as {example}", "fill in all of it"),
    ),
    "record.empty": Fault(
        Where("{field} is empty", "{field}: this is empty"), Where("give it a text", "fill it in")
    ),
    "record.too-few-entries": Fault(
        Where("{field} has too few entries", "{field}: these are too few"), "give {least} at least"
    ),
    "record.too-many-entries": Fault(
        Where("{field} has too many entries", "{field}: these are too many"), "give {most} at most"
    ),
    "record.too-long": Fault(
        Where("{field} is too long", "{field}: this is too long"), "shorten it to {most} characters"
    ),
    # Another kind of value.
    "record.no-number": Fault(
        Where(_IS + ", not a number", "{field}: {given} is not a number"),
        Where("give it as 0.32", "type a number"),
    ),
    "record.no-whole-number": Fault(
        Where(_IS + ", not a whole number", "{field}: {given} is not a whole number"),
        Where("give it as 25", "type a whole number"),
    ),
    "record.no-amount": Fault(
        Where(_IS + ", not an amount", "{field}: {given} is not an amount of money"),
        Where('give it as "14.50"', "type a number, such as 14"),
    ),
    "record.no-text": Fault(
        Where(_IS + ", not text in quotes", "{field}: {given} is not a text"),
        Where('give it as "photo"', "type a text"),
    ),
    "record.no-true-or-false": Fault(
        Where(_IS + ", not true or false", "{field}: {given} is neither yes nor no"),
        Where("give it as true", "choose yes or no"),
    ),
    "record.no-list": Fault(
        Where(_IS + ", not a list", "{field}: {given} is a single value"),
        Where("put it in square brackets, with commas between its parts", "give a list"),
    ),
    "record.no-list-of-tables": Fault(
        Where(_IS + ", not a list", "{field}: {given} is a single value"),
        Where(
            "write {head}, in double brackets, on a line of its own, and below it {names:and}", "give a list"
        ),
    ),
    "record.no-sizes": Fault(
        Where(_IS + ", not a list", "{field}: {given} is no list of sizes"),
        Where("give it as [[210, 297], [102, 152]]", "give each size as width and height"),
    ),
    "record.no-size": Fault(
        Where(_IS + ", not a list", "{field}: {given} is not a size"),
        Where("give it as [210, 297]", "type width and height with an x between them"),
    ),
    "record.no-table": Fault(
        Where(_IS + ", not a table", "{field}: {given} is a single value"),
        Where("write {head} on a line of its own, and below it {names:and}", "give its parts"),
    ),
    "record.no-date": Fault(
        Where(_IS + ", not a date", "{field}: {given} is not a date"),
        Where("give it as 2026-11-28", "type year, month and day as 2026-11-28"),
    ),
    "record.no-time": Fault(
        Where(_IS + ", not a time of day", "{field}: {given} is not a time of day"),
        Where("give it as 09:00:00", "type hours and minutes as 09:00"),
    ),
    "record.not-finite": Fault(
        Where("{field} is not a finite number", "{field}: this is not a finite number"),
        "give a number, or leave the field out if it is unknown",
    ),
    "record.huge": Fault(
        Where("{field} is a huge number", "{field}: this is a huge number"), "check its digits"
    ),
    "record.too-many-decimals": Fault(
        Where(_IS, "{field}: {given} has too many digits"), "give an amount with at most 4 decimals"
    ),
    "record.no-currency": Fault(
        Where(_IS, "{field}: {given} is not the code of a currency"), "give it as three capital letters"
    ),
    "record.not-the-form": Fault(
        Where(_IS, "{field}: {given} is not written as it must be"),
        Where("compare it with the example in the guide", "correct it"),
    ),
    "record.no-colour": Fault(
        Where(_IS + ", not a colour", "{field}: {given} is not a colour"),
        Where(
            'give it as "#" and six signs, two each for red, green and blue from 00 to FF: "#000000" is black, "#C03028" a red',
            "choose it in the field of colours, or type # and six signs: #000000 is black, #C03028 a red",
        ),
    ),
    "record.no-language": Fault(
        Where(_IS + ", not a language", "{field}: {given} is not a language"),
        Where('give its code, such as "en", "de" or "pt-BR"', "type its code, such as en, de or pt-BR"),
    ),
    "record.does-not-hold": Fault(
        Where(_IS + ", which does not hold", "{field}: {given} will not do here"),
        Where("compare it with the example in the guide", "correct it"),
    ),
    "record.no-choice": Fault(
        Where(_IS, "{field}: {given} is not among the choices"),
        Where("it can be {choices}", "choose one of the list"),
    ),
    "record.near-a-choice": Fault(
        Where(_IS, "{field}: {given} is not among the choices"),
        Where("did you mean {near}? It can be {choices}", "choose one of the list"),
    ),
    # Bounds.
    "record.not-above": Fault(Where(_IS, "{field}: {given} is too small"), "it must be more than {limit}"),
    "record.below": Fault(Where(_IS, "{field}: {given} is too small"), "it must be at least {limit}"),
    "record.not-under": Fault(Where(_IS, "{field}: {given} is too large"), "it must be less than {limit}"),
    "record.above": Fault(Where(_IS, "{field}: {given} is too large"), "it must be at most {limit}"),
    "record.length-not-above": Fault(
        Where(_IS_LENGTH, "{field}: {given_mm:g} is too small"), "it must be more than {limit_mm:g}"
    ),
    "record.length-below": Fault(
        Where(_IS_LENGTH, "{field}: {given_mm:g} is too small"), "it must be at least {limit_mm:g}"
    ),
    "record.length-not-under": Fault(
        Where(_IS_LENGTH, "{field}: {given_mm:g} is too large"), "it must be less than {limit_mm:g}"
    ),
    "record.length-above": Fault(
        Where(_IS_LENGTH, "{field}: {given_mm:g} is too large"), "it must be at most {limit_mm:g}"
    ),
    # Records' own checks.
    "record.check": Fault("{field}: {said}", Where("correct it in the file", "correct it")),
    "record.envelope-of-one-size": Fault(
        "{field}: the envelope {name} must have one size, in mm or in inches",
        Where(
            "give size_mm = [long, short] or size_in = [long, short]",
            "give its size once, in mm or in inches",
        ),
    ),
    "record.price-without-currency": Fault(
        Where("{field} is missing", "{field}: this is missing, and a price needs it"),
        Where(
            'give price and currency together, as price = "14.50" and currency = "GBP"',
            "give price and currency together",
        ),
    ),
    "record.currency-without-price": Fault(
        Where("{field} is missing", "{field}: this is missing where a currency is given"),
        Where(
            'give price and currency together, as price = "14.50" and currency = "GBP"',
            "give price and currency together",
        ),
    ),
    "record.horizontal-crease-outside": Fault(
        "{field}: a horizontal crease at {at_mm:g} lies outside the sheet, whose height is {limit_mm:g}",
        Where(
            "measure at_mm from the top edge, and check open_size_mm",
            "measure the crease from the top edge, and check the size of the open sheet",
        ),
    ),
    "record.vertical-crease-outside": Fault(
        "{field}: a vertical crease at {at_mm:g} lies outside the sheet, whose width is {limit_mm:g}",
        Where(
            "measure at_mm from the left edge, and check open_size_mm",
            "measure the crease from the left edge, and check the size of the open sheet",
        ),
    ),
    "record.widest-below-narrowest": Fault(
        "{field}: the largest width, {most_mm:g}, is below the smallest, {least_mm:g}",
        Where("correct it in the file", "correct one of the two"),
    ),
    "record.longest-below-shortest": Fault(
        "{field}: the largest height, {most_mm:g}, is below the smallest, {least_mm:g}",
        Where("correct it in the file", "correct one of the two"),
    ),
    "record.feeds-alike": Fault(
        Where('{field}: two feeds have the same name, "{name}"', "{field}: two feeds are called “{name}”"),
        "give each its own name",
    ),
}
