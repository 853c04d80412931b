"""Amounts of money, and prices that a run lacks or cannot add."""

from tackside.messages.catalogue import Entry, Fault, Where

TEXTS: dict[str, Entry] = {
    "money.amount": "{amount:money}",
    "money.no-such-currency": Fault(
        '"{currency}" is no currency code', "write the ISO 4217 code, as GBP, EUR or JPY"
    ),
    "money.no-pack-price": Fault(
        "{stock} has no pack price",
        Where(
            'add [stock_prices."{stock}"] with count, price and currency to the run file, or pack to the stock',
            "say how many sheets are in a pack and what it costs",
        ),
    ),
    "money.stock-in-another-currency": Fault(
        "{stock} is priced in {currency} and the run in {run_currency}; mixed currencies are not added",
        Where(
            'give its price in {run_currency} under [stock_prices."{stock}"]',
            "give its price in {run_currency} here",
        ),
    ),
    "money.no-ink-price": Fault(
        "the run does not say what ink for {printer} costs",
        Where(
            'add [inks."{printer}"] with ml, price and currency',
            "say how much ink a cartridge holds and what it costs",
        ),
    ),
}
