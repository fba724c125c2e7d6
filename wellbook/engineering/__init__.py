"""Arithmetic of a drop pipe in a well: pressure, ratings, dimensions, bore and weight.

Pure functions on plain numbers. They know nothing of the book, so that each can be checked against
a published figure on its own; nothing is re-exported here, so that a command pays only for what it
uses.
"""
