"""wellbook: the service book of a small water-well pump contractor."""

__version__ = "0.1.0"
