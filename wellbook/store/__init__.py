"""The book: tables, opening and upgrading, recording, replaying, loading, the ledger, finding."""
