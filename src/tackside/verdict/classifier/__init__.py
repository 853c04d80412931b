"""Trained weights: features of a print to likelihoods."""
