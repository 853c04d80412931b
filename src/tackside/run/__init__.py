"""Many cards: quantities, ink, cost, price, batches, sending."""
