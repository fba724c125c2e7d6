"""The picture of one well: its parts, its record, its sheets, and how the sheets make the string."""
