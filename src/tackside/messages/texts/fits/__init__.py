"""Stock and printer: the fit, the post, the test sheet, where prints fall."""
