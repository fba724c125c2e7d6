"""Who to visit and whom to tell, from what the ledger says is due."""
