"""A bench, or all of a stock, carried elsewhere: backup, move, exchange archives."""
