"""Trying an installation out as its users would: a server of its own, visited over HTTP."""
