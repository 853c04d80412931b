"""Machines on the user's own network: heard of, judged by their address, called by HTTP."""
