"""Pick list, labels and instruction cards."""
