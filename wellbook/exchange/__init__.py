"""Bringing records in, and letting them out."""
