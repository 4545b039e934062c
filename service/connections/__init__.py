"""How members hold on to each other and to the house: ledger, hangers, caps, ties, braces, guard posts."""
