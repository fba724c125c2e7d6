"""How alike two records are: of customers, of wells. Pure arithmetic, apart from any book."""
