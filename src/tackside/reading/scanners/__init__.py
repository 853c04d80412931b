"""Scanners: what one sees of your inks, learnt once by regression, watched for drift, named in each reading."""
